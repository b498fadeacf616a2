//! Whether a one-time link was made by somebody who may make one. The link's row proves nothing: it is not in the record,
//! so anybody who can write the database could add one. The admission on which the link rests is in the record.

use super::bindings::binding_of_link;
use super::manage::INVITE_MS;
use super::recorded::reference::hold;
use super::{App, AppError};
use crate::domain::people::account::Invite;
use crate::domain::people::party::Role;
use crate::domain::values::ids::AccountId;
use crate::record::entry::LeafKind;
use crate::store::Connection;
use crate::store::admissions::{self, Admitted};
use crate::store::record::LeafRow;
use crate::store::reference::ReferenceData;
use serde_json::Value;

/// How far an admission may lie ahead of the clock: clocks are set right by less than this.
const AHEAD_MS: i64 = 60 * 60_000;

/// Whether the link rests on an admission in the record that is for the same role, house and account, that nobody has used
/// and nobody has taken back. The link that `setup` prints rests on none: it is open while there is no administrator.
pub(super) async fn is_admitted(
    app: &App,
    conn: &mut Connection,
    secret_hash: &str,
    invite: &Invite,
) -> Result<bool, AppError> {
    if binding_of_link(app, secret_hash, invite) != invite.binding {
        return Ok(false);
    }
    let Some(id) = &invite.admission else {
        let is_first = invite.role == Role::Administrator
            && (&invite.party, &invite.account) == (&None, &None)
            && no_administrator(app, conn).await?;
        return Ok(is_first);
    };
    let Some(word) = admissions::find(conn, id).await? else {
        return Ok(false);
    };
    match hold(app, conn, ReferenceData::Admission, id).await {
        Ok(_held) => {}
        Err(AppError::Refused(_)) => return Ok(false),
        Err(error) => return Err(error),
    }
    // Twice as long as a link is open: a post that is repeated makes a new link on the same admission. And not far in the
    // future: an admission that was made while the clock was ahead would keep its link open until that day.
    let age = app.outside.now_ms().saturating_sub(word.at_ms);
    let is_of_now = (-AHEAD_MS..=2 * INVITE_MS).contains(&age);
    let is_same =
        (&word.party, word.role, &word.account) == (&invite.party, invite.role, &invite.account);
    let about = format!("{id}/1");
    let kind = LeafKind::Admission.word();
    let leaf = app.store.leaf_about(conn, kind, &about).await?;
    let Some(leaf) = leaf.filter(|_| is_of_now && is_same) else {
        return Ok(false);
    };
    if was_shut_out(app, conn, &word.by, leaf.number).await? {
        return Ok(false);
    }
    let words = app.store.leaves_of_kind(conn, kind).await?;
    if words.iter().any(|later| takes_back(later, &leaf)) {
        return Ok(false);
    }
    match (word.what, &word.account) {
        (Admitted::Invited, None) => has_place(app, conn, &leaf).await,
        // A new password writes a new version of the account. If there is one after the admission, it was used.
        (Admitted::NewPassword | Admitted::AtTheMachine, Some(account)) => {
            let newest = app.store.newest_owned_by(conn, account.as_str()).await?;
            Ok(newest.is_some_and(|newest| newest.number < leaf.number))
        }
        _ => Ok(false),
    }
}

/// Whether the administrator who made the admission was shut out after it. Then it lets nobody in, even if that person may
/// sign in again by now.
async fn was_shut_out(
    app: &App,
    conn: &mut Connection,
    giver: &AccountId,
    word: u64,
) -> Result<bool, AppError> {
    match hold(app, conn, ReferenceData::Account, giver.as_str()).await {
        Ok(_held) => {}
        // The account was changed past this program, or is not there: nobody can tell who made the admission.
        Err(AppError::Refused(_) | AppError::NotFound) => return Ok(true),
        Err(error) => return Err(error),
    }
    let versions = app.store.leaves_owned_by(conn, giver.as_str()).await?;
    let is_out = |leaf: &LeafRow| {
        let body: Value = serde_json::from_str(&leaf.body).unwrap_or_default();
        body.pointer("/account/disabled") == Some(&Value::Bool(true))
    };
    Ok(versions
        .iter()
        .any(|leaf| leaf.number > word && is_out(leaf)))
}

/// Whether a later admission closes the links of an earlier one: it names it as revoked, or makes a newer link for a new
/// password of the same account.
fn takes_back(later: &LeafRow, word: &LeafRow) -> bool {
    let is_revoked = open(later, "what") == Admitted::Revoked.word();
    let is_repeated = [Admitted::NewPassword, Admitted::AtTheMachine]
        .iter()
        .any(|what| open(later, "what") == what.word());
    let account = open(word, "account");
    later.number > word.number
        && ((is_revoked && open(later, "link") == word.case)
            || (is_repeated && !account.is_empty() && open(later, "account") == account))
}

/// A text of the leaf's body; empty if the leaf does not have it in clear.
fn open(leaf: &LeafRow, place: &str) -> String {
    let body: Value = serde_json::from_str(&leaf.body).unwrap_or_default();
    let text = body.pointer(&format!("/{}/{place}", leaf.kind));
    text.and_then(Value::as_str).unwrap_or_default().to_owned()
}

/// Whether nobody has joined by this admission. In the record each account's first version names its admission. Accounts
/// of earlier versions of this program name none: of those, any with the same role and house counts as joined by it.
async fn has_place(app: &App, conn: &mut Connection, word: &LeafRow) -> Result<bool, AppError> {
    let kind = LeafKind::Account.word();
    let accounts = app.store.leaves_of_kind(conn, kind).await?;
    let mut first = accounts.iter().filter(|leaf| leaf.about.ends_with("/1"));
    let is_like = |leaf: &LeafRow| {
        leaf.number >= word.number
            && ["role", "party"]
                .iter()
                .all(|place| open(leaf, place) == open(word, place))
    };
    Ok(!first.any(|leaf| match open(leaf, "admission") {
        none if none.is_empty() => is_like(leaf),
        admission => admission == word.case,
    }))
}

/// Whether the record has no administrator. The rows are not asked: anybody who can write the database can change them.
async fn no_administrator(app: &App, conn: &mut Connection) -> Result<bool, AppError> {
    let kind = LeafKind::Account.word();
    let accounts = app.store.leaves_of_kind(conn, kind).await?;
    let mut roles = accounts.iter().map(|leaf| open(leaf, "role"));
    Ok(!roles.any(|role| role.is_empty() || role == Role::Administrator.word()))
}
