//! The record goes on although the database lacks what its key has signed, or comes from an earlier version.
//!
//! Neither happens by itself: an upgrade is asked for by whoever runs the installation, a restored database is gone
//! on with by an administrator's password and reason. Both are entries of the record, and the second is an alarm
//! until it is cleared.

use super::hashing::HashingQueue;
use super::recorded;
use super::recorded::reference::{self, note};
use super::run::write;
use super::{App, AppError};
use crate::domain::people::account::parse_login;
use crate::domain::people::party::Role;
use crate::domain::values::digest::sha256_hex;
use crate::domain::values::ids::AccountId;
use crate::record::witness::Why;
use crate::store::record::head;
use crate::store::reference::{ReferenceData, keys_after};
use crate::store::resumption::{self, Resumed, ResumptionRow};
use crate::store::witness::{self as stored, AlarmRow};
use crate::store::{Lack, LastSigned, cases, people};

/// Characters of a reason.
const REASON_MOST: usize = 500;

/// Whether the database holds rows from before they were entered in the record: those of an earlier version.
pub async fn wants_upgrade(app: &App) -> Result<bool, AppError> {
    let mut conn = app.store.read().await?;
    // Once the record has begun with them, nothing else has to be read at a start.
    if reference::has_begun(&mut conn).await? {
        return Ok(false);
    }
    for of in [ReferenceData::Party, ReferenceData::Account] {
        if !keys_after(&mut conn, of, "", 1).await?.is_empty() {
            return Ok(true);
        }
    }
    let is_empty = head(&mut conn).await?.frontier.size() == 0;
    Ok(is_empty && !cases::numbers_after(&mut conn, "", 1).await?.is_empty())
}

/// Takes the rows of an earlier version into the record, and begins the file beside the key. Answers with the
/// number of entries before and after.
pub async fn upgrade(app: &App, last: &LastSigned) -> Result<(u64, u64), AppError> {
    let before = head(&mut *app.store.read().await?).await?;
    recorded::backfill(app).await?;
    let row = ResumptionRow {
        id: app.outside.identity()?,
        why: Resumed::Upgraded,
        signed: String::new(),
        found: before.checkpoint,
        account: None,
        name: String::new(),
        reason: String::new(),
        at_ms: app.outside.now_ms(),
    };
    resume(app, &row, None, last).await?;
    let after = head(&mut *app.store.read().await?).await?;
    Ok((before.frontier.size(), after.frontier.size()))
}

/// Whoever goes on with a database that lacks something, and why.
#[derive(Debug, Clone)]
pub struct Restore {
    pub login: String,
    pub password: String,
    pub reason: String,
}

/// Goes on with the database as it is. The file beside the key follows it from here on.
///
/// # Errors
/// If it is no administrator of this installation who asks, or no reason is given.
pub async fn restore(
    app: &App,
    lack: &Lack,
    last: &LastSigned,
    asked: &Restore,
) -> Result<(), AppError> {
    let reason = asked.reason.trim();
    if reason.is_empty() || reason.chars().count() > REASON_MOST {
        let wanted = format!("Say in at most {REASON_MOST} characters why it is gone on with.");
        return Err(AppError::field("reason", wanted));
    }
    let administrator = administrator(app, asked).await?;
    let found = head(&mut *app.store.read().await?).await?.checkpoint;
    let signed = last.read(app.store.key()).ok().flatten();
    let signed = signed.map(|(note, _)| note).unwrap_or_default();
    let now = app.outside.now_ms();
    let row = ResumptionRow {
        id: app.outside.identity()?,
        why: Resumed::Restored,
        signed: signed.clone(),
        found: found.clone(),
        account: Some(administrator.0.clone()),
        name: administrator.1.clone(),
        reason: reason.to_owned(),
        at_ms: now,
    };
    let alarm = AlarmRow {
        id: sha256_hex(format!("resumed\n{}", row.id).as_bytes()),
        why: match lack {
            Lack::Shorter { .. } => Why::Shrunk,
            Lack::Rewritten { .. } => Why::Rewritten,
            _ => Why::Unproven,
        },
        kept: signed,
        found,
        party: None,
        account: None,
        account_name: String::new(),
        at_ms: now,
    };
    resume(app, &row, Some(&alarm), last).await
}

/// The administrator's id and name, if the password is right.
async fn administrator(app: &App, asked: &Restore) -> Result<(AccountId, String), AppError> {
    let wrong = || AppError::field("password", "No administrator has this name and password.");
    let login = parse_login(&asked.login).map_err(|_| wrong())?;
    let account = people::account_by_login(&mut *app.store.read().await?, &login).await?;
    let account = account.filter(|one| one.role == Role::Administrator && !one.disabled);
    let hash = account.as_ref().map(|account| account.password.as_str());
    let turn = app.hashing.turn(HashingQueue::SignedIn).await?;
    let fits = turn.password_fits(&asked.password, hash).await?;
    let account = account.filter(|_| fits).ok_or_else(wrong)?;
    Ok((account.id, account.name))
}

async fn resume(
    app: &App,
    row: &ResumptionRow,
    alarm: Option<&AlarmRow>,
    last: &LastSigned,
) -> Result<(), AppError> {
    write(app, |mut tx| async {
        resumption::insert(&mut tx, row).await?;
        note(app, &mut tx, ReferenceData::Resumption, &row.id).await?;
        if let Some(alarm) = alarm {
            stored::raise(&mut tx, alarm).await?;
        }
        Ok((tx, ()))
    })
    .await?;
    let newest = head(&mut *app.store.read().await?).await?.checkpoint;
    last.replace(&newest)
        .map_err(|why| AppError::Inner(why.to_string()))
}
