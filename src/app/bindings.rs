//! What binds a session, a one-time link, a browser that is known, the address of a calendar, and a device and a code of
//! the bench to the record's key. They are not in the record, and whoever can write the file can put a row there, or
//! change whose it is: without the key nobody makes its binding.

use super::App;
use super::ended::holds_for_good;
use crate::domain::people::account::{Account, Invite};
use crate::domain::values::ids::{AccountId, DeviceId, PartyId};
use crate::store::bench_codes::{CodeRow, DeviceRow};
use crate::store::people::{KnownBrowser, NewSession, SessionRow};

/// When a session was seen last, and when the password was typed in it.
#[derive(Debug, Clone, Copy)]
pub(super) struct SessionTimes {
    pub seen_ms: i64,
    pub proved_ms: i64,
}

/// Of whom a session is, as which version of the account and by which password, from when to when, where it was begun, when
/// it was seen last, when the password was typed in it, and the device of one by a code.
pub(super) fn binding_of_session(app: &App, session: &NewSession, times: SessionTimes) -> String {
    let numbers = [
        session.version,
        session.began_ms,
        session.ends_ms,
        times.seen_ms,
        times.proved_ms,
    ];
    let [version, began, ends, seen, proved] = &numbers.map(|number| number.to_string());
    app.store.binding(&[
        "session, and when it was seen",
        &session.secret_hash,
        session.account.as_str(),
        &session.password,
        version,
        began,
        ends,
        seen,
        proved,
        &session.address,
        &session.browser,
        session.device.as_ref().map_or("", DeviceId::as_str),
    ])
}

/// The binding of a session as its row says it, but for these times.
pub(super) fn binding_of_row(
    app: &App,
    secret_hash: &str,
    row: &SessionRow,
    times: SessionTimes,
) -> String {
    let session = NewSession {
        secret_hash: secret_hash.to_owned(),
        account: row.account.id.clone(),
        password: row.account.password.clone(),
        version: row.account.version,
        began_ms: row.began_ms,
        ends_ms: row.ends_ms,
        address: row.address.clone(),
        browser: row.browser.clone(),
        device: row.by_code.as_ref().map(|at| at.device.clone()),
    };
    binding_of_session(app, &session, times)
}

/// Whether the program has written this row itself.
pub(super) fn is_bound(app: &App, secret_hash: &str, row: &SessionRow) -> bool {
    let times = SessionTimes {
        seen_ms: row.seen_ms,
        proved_ms: row.proved_ms,
    };
    let is_at_device = match (&row.by_code, &row.device) {
        (None, _) => true,
        (Some(_), Some(device)) => {
            is_allowed(app, device) && row.account.party.as_ref() == Some(&device.party)
        }
        (Some(_), None) => false,
    };
    is_at_device && binding_of_row(app, secret_hash, row, times) == row.binding
}

/// Which device at the bench it is, of which lab, and who has allowed it.
pub(super) fn binding_of_device(app: &App, row: &DeviceRow) -> String {
    let allowed = row.allowed_ms.to_string();
    app.store.binding(&[
        "bench device",
        row.id.as_str(),
        &row.secret_hash,
        row.party.as_str(),
        &row.name,
        &row.by_name,
        &allowed,
    ])
}

/// Whether a manager has allowed this device here, and nobody has taken it back.
pub(super) fn is_allowed(app: &App, row: &DeviceRow) -> bool {
    row.taken_back_ms == 0
        && binding_of_device(app, row) == row.binding
        && !holds_for_good(app, &row.binding)
}

/// Whether it is the allowed device of this secret. That the database has found the row by it is not believed.
pub(super) fn is_allowed_as(app: &App, secret_hash: &str, row: &DeviceRow) -> bool {
    row.secret_hash == secret_hash && is_allowed(app, row)
}

/// Whose code it is. With the account as it stands, as for an address of a calendar.
pub(super) fn binding_of_code(app: &App, account: &AccountId, hash: &str, version: i64) -> String {
    let version = version.to_string();
    app.store
        .binding(&["bench code", account.as_str(), hash, &version])
}

/// Whether somebody has set this code here.
pub(super) fn is_set(app: &App, row: &CodeRow) -> bool {
    binding_of_code(app, &row.account, &row.hash, row.version) == row.binding
        && !holds_for_good(app, &row.binding)
}

/// In whose hands a browser is known, and until when.
pub(super) fn binding_of_browser(app: &App, secret_hash: &str, row: &KnownBrowser) -> String {
    let ends = row.ends_ms.to_string();
    app.store
        .binding(&["known browser", secret_hash, row.account.as_str(), &ends])
}

/// Of which word a link is, for whom, and until when.
pub(super) fn binding_of_link(app: &App, secret_hash: &str, invite: &Invite) -> String {
    let ends = invite.ends_ms.to_string();
    app.store.binding(&[
        "one-time link",
        secret_hash,
        invite.admission.as_deref().unwrap_or_default(),
        invite.party.as_ref().map_or("", PartyId::as_str),
        invite.role.word(),
        invite.account.as_ref().map_or("", AccountId::as_str),
        &ends,
    ])
}

/// A link with its binding, as it is stored.
pub(super) fn bound(app: &App, secret_hash: &str, invite: Invite) -> Invite {
    Invite {
        binding: binding_of_link(app, secret_hash, &invite),
        ..invite
    }
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
