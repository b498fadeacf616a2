//! Whether the installation can do its work: its database takes a write, and there is room for the next ones.

use super::{App, AppError};
use crate::store::{NotCompared, Outage, StoreError};

pub(super) const MB: u64 = 1_000_000;

/// How long an answer holds: whoever asks in a loop costs no more than one write a second.
const HOLDS_MS: i64 = 1_000;

/// An answer, and when it was found.
pub(super) type Probed = (i64, Result<(), Outage>);

/// Tries a write that leaves nothing.
///
/// # Errors
/// With what stands in its way.
pub async fn probe(app: &App) -> Result<(), Outage> {
    // Who comes meanwhile waits for the answer.
    let mut probed = app.probed.lock().await;
    let now = app.outside.now_ms();
    if let Some((at, answer)) = *probed
        && (at..at + HOLDS_MS).contains(&now)
    {
        return answer;
    }
    let answer = app.store.probe().await.map_err(|error| {
        tracing::error!(%error, "health check");
        error.outage()
    });
    *probed = Some((now, answer));
    answer
}

/// What is said where the record is not the one that was signed.
pub const FORKED: &str = "Somebody has changed the record of this installation past Vestibule, or has set its database back. Nothing can \
     be entered, printed or proved until an administrator has put the right database back: the log, and “vestibule check”, say more.";

/// What is said in the place of each page of a case where another key has signed the record, or nobody.
pub const ANOTHER_KEY: &str = "The newest checkpoint is not signed by the record's key: somebody has put another record in the place of this \
     installation's. No case is shown, since nothing of it can be proved, and nothing can be entered or printed, until an administrator \
     has put the right database back. The page “Record” says what is known, the log and “vestibule check” say more.";

/// What is said for some seconds after a start.
pub const COMPARING: &str = "This installation has just started and is looking through its record: pages are shown already, and \
     entries and papers wait until that is done.";

/// What is said where that could not be done.
pub const NOT_COMPARED: &str = "Since its start this installation could not look through its record: its database does not let it. Nothing can \
     be entered, printed or proved until it has; it is tried again and again. An administrator finds the reason in the log.";

/// The same where somebody else has written to the database meanwhile.
const NOT_COMPARED_AGAIN: &str = "Somebody else has written to the database, and whether the record is still in order could not be looked at. \
     It is tried again and again; the log says why it fails.";

/// What stands on every page: for everybody, that nothing can be entered any more; for an administrator, what has to be
/// looked after soon.
pub fn warning(app: &App, is_administrator: bool) -> Option<String> {
    if app.store.is_forked() {
        return Some(FORKED.to_owned());
    }
    if app.store.is_comparing() {
        return Some(COMPARING.to_owned());
    }
    match (app.store.not_compared(), is_administrator) {
        (Some(NotCompared::SinceStart), _) => Some(NOT_COMPARED.to_owned()),
        (Some(NotCompared::SinceOthersWrote), true) => Some(NOT_COMPARED_AGAIN.to_owned()),
        (None, true) => super::counted::found(app)
            .or_else(|| tables_unlike(app))
            .or_else(|| entries_ahead(app))
            .or_else(|| almost_full(app)),
        (_, false) => None,
    }
}

/// Refuses what somebody would take away as the word of this installation: a paper, an entry, a proof. What somebody else
/// has written until then is looked at.
///
/// # Errors
/// If the record is not the one that was signed; at a start, whoever asks waits until that is known, and is refused where
/// it could not be looked at.
pub(super) async fn refuse_if_forked(app: &App) -> Result<(), AppError> {
    app.store.looked_at().await;
    refuse_if_found_forked(app)
}

/// As [`refuse_if_forked`], by what was found before: for whoever holds a reader.
///
/// # Errors
/// See [`refuse_if_forked`].
pub(super) fn refuse_if_found_forked(app: &App) -> Result<(), AppError> {
    let is_unknown = app.store.not_compared() == Some(NotCompared::SinceStart);
    let before = "it was found before, and the log says what".to_owned();
    match (app.store.is_forked(), is_unknown) {
        (true, _) => Err(StoreError::Forked(before).into()),
        (false, true) => Err(StoreError::NotCompared(before).into()),
        (false, false) => Ok(()),
    }
}

fn tables_unlike(app: &App) -> Option<String> {
    let first = app.store.unlike().into_iter().next()?;
    Some(format!(
        "{first} Somebody has changed them past this program: look at the database with “vestibule check”."
    ))
}

/// What is left of the room that is warned about belongs to entries, which are small and cannot wait.
const FOR_ENTRIES: u64 = 10;

/// Refuses a picture or a scan that would take the room of entries.
///
/// # Errors
/// With what to do, where the disk would have less left than a tenth of what its administrator is warned at.
pub(super) fn refuse_unless_room(app: &App, bytes: usize) -> Result<(), AppError> {
    let Some(free) = app.store.free_bytes() else {
        return Ok(());
    };
    match free.saturating_sub(bytes as u64) < app.warn_free / FOR_ENTRIES {
        true => Err(AppError::Refused(vec![NO_ROOM.to_owned()])),
        false => Ok(()),
    }
}

const NO_ROOM: &str = "The disk has no room left for pictures and scans: what there is goes to entries. Ask whoever looks after \
     this installation to make room on it, then send the file again.";

/// Before the disk is full.
fn almost_full(app: &App) -> Option<String> {
    let free = app.store.free_bytes()?;
    (free < app.warn_free).then(|| {
        format!(
            "The disk is almost full: {} MB are left where the database lies. When it is full, nothing can be entered. \
             Make room on it.",
            free / MB
        )
    })
}

fn entries_ahead(app: &App) -> Option<String> {
    let newest = super::clock_doubt::found_ahead(app)?;
    Some(super::clock_doubt::words_ahead(app, newest))
}

/// Whether entries that are dated ahead of the clock keep everything from being entered.
///
/// # Errors
/// If the database does not answer.
pub async fn is_behind(app: &App) -> Result<bool, AppError> {
    super::clock_doubt::look(app).await?;
    Ok(super::clock_doubt::found_ahead(app).is_some())
}
