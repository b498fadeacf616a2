//! What binds a session, a browser that is known, and the address of a calendar to the record's key. None of them is in the record, and whoever
//! can write the file can put a row there, or change whose it is: without the key nobody makes its binding.

use super::App;
use crate::domain::people::account::Account;
use crate::domain::values::ids::DeviceId;
use crate::store::people::{KnownBrowser, NewSession, SessionRow};

/// Of whom a session is, from when to when, when the password was typed in it, and the device of one by a code.
pub(super) fn binding_of_session(app: &App, session: &NewSession, proved_ms: i64) -> String {
    let times = [session.began_ms, session.ends_ms, proved_ms].map(|ms| ms.to_string());
    let [began, ends, proved] = &times;
    app.store.binding(&[
        "session",
        &session.secret_hash,
        session.account.as_str(),
        began,
        ends,
        proved,
        session.device.as_ref().map_or("", DeviceId::as_str),
    ])
}

/// Whether the program has written this row itself.
pub(super) fn is_bound(app: &App, secret_hash: &str, row: &SessionRow) -> bool {
    let session = NewSession {
        secret_hash: secret_hash.to_owned(),
        account: row.account.id.clone(),
        began_ms: row.began_ms,
        ends_ms: row.ends_ms,
        device: row.by_code.as_ref().map(|at| at.device.clone()),
        ..NewSession::default()
    };
    binding_of_session(app, &session, row.proved_ms) == row.binding
}

/// In whose hands a browser is known, and until when.
pub(super) fn binding_of_browser(app: &App, secret_hash: &str, row: &KnownBrowser) -> String {
    let ends = row.ends_ms.to_string();
    app.store
        .binding(&["known browser", secret_hash, row.account.as_str(), &ends])
}

/// Whose address of a calendar it is, and since when. With the account as it stands: whatever changes of that (a new
/// password, shut out, let in again) makes every earlier address void, also one that somebody puts back.
pub(super) fn binding_of_feed(
    app: &App,
    secret_hash: &str,
    account: &Account,
    made_ms: i64,
) -> String {
    let (made, version) = (made_ms.to_string(), account.version.to_string());
    app.store.binding(&[
        "calendar feed",
        secret_hash,
        account.id.as_str(),
        &made,
        &version,
    ])
}
