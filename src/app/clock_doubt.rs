//! A clock that is wrong dates entries that nobody can take back. So a clock that has leapt far ahead of the newest
//! entry is asked about before anything is entered by it; and where one was ahead once, an administrator lets the
//! record go on (`resume.rs`).

use super::{App, AppError};
use crate::domain::values::moment::Moment;
use crate::store::{Connection, resumption};
use std::sync::atomic::{AtomicI64, Ordering};

const DAY_MS: i64 = 24 * 60 * 60_000;
/// A clock that is so far ahead of the newest entry is asked about: longer than a house is closed in summer.
const FAR_MS: i64 = 60 * DAY_MS;
/// How long somebody's word that the clock is right holds.
const WORD_MS: i64 = DAY_MS;
/// Clocks of several machines differ by so much without anything being wrong.
const APART_MS: i64 = 5 * 60_000;

/// What this program knows of the clock.
#[derive(Debug)]
pub(super) struct ClockDoubt {
    /// The newest entry that this program has made, by the clock that it was made by.
    newest: AtomicI64,
    /// What the clock said when somebody said that it is right.
    trusted: AtomicI64,
}

impl Default for ClockDoubt {
    fn default() -> ClockDoubt {
        ClockDoubt {
            newest: AtomicI64::new(i64::MIN),
            trusted: AtomicI64::new(i64::MIN),
        }
    }
}

impl ClockDoubt {
    fn is_trusted(&self, now: i64) -> bool {
        let said = self.trusted.load(Ordering::SeqCst);
        now.saturating_sub(said) <= WORD_MS && said.saturating_sub(now) <= APART_MS
    }
}

fn shown(ms: i64) -> String {
    Moment::new(ms, 0).to_string()
}

/// Why the clock has to be looked at before anything is entered; `None` where nothing speaks against it.
pub async fn question(app: &App, conn: &mut Connection) -> Result<Option<String>, AppError> {
    let (now, doubt) = (app.outside.now_ms(), &app.clock_doubt);
    let is_near = |newest: i64| now.saturating_sub(newest) <= FAR_MS;
    if is_near(doubt.newest.load(Ordering::SeqCst)) || doubt.is_trusted(now) {
        return Ok(None);
    }
    // Another program may have written to the same database.
    match resumption::newest_moment(conn).await? {
        Some(newest) if !is_near(newest) => Ok(Some(format!(
            "The clock of this computer says {}, and the newest entry is of {}, {} days before.",
            shown(now),
            shown(newest),
            now.saturating_sub(newest) / DAY_MS
        ))),
        _ => Ok(None),
    }
}

/// Refuses to enter anything while the clock is in doubt.
pub(super) async fn refuse_in_doubt(app: &App, conn: &mut Connection) -> Result<(), AppError> {
    match question(app, conn).await? {
        Some(question) => Err(AppError::Refused(vec![format!(
            "{question} Nothing was entered. If the clock is right, say so on the page “Record”, then send this again. \
             If it is wrong, set it first."
        )])),
        None => {
            let now = app.outside.now_ms();
            app.clock_doubt.newest.fetch_max(now, Ordering::SeqCst);
            Ok(())
        }
    }
}

/// Takes somebody's word that the clock is right.
pub fn trust(app: &App) {
    let now = app.outside.now_ms();
    app.clock_doubt.trusted.store(now, Ordering::SeqCst);
}

/// The newest entry's moment, where it lies ahead of the clock and nobody has given a word about it yet.
pub async fn ahead(app: &App, conn: &mut Connection) -> Result<Option<i64>, AppError> {
    let now = app.outside.now_ms();
    let newest = resumption::newest_moment(conn).await?;
    let Some(newest) = newest.filter(|newest| newest.saturating_sub(now) > APART_MS) else {
        return Ok(None);
    };
    let words = resumption::of_clock(conn).await?;
    let is_said = words.iter().any(|(_, until)| newest <= *until);
    Ok((!is_said).then_some(newest))
}

/// What is to be done about it, for the log and for the page of the record.
pub fn words_ahead(app: &App, newest: i64) -> String {
    let now = app.outside.now_ms();
    format!(
        "The newest entry is dated {}, and the clock of this computer says {}. If the clock is wrong now, set it. If it \
         was wrong then, an administrator lets the work go on with “vestibule clock”; until then, nothing can be entered \
         about what was entered by the wrong clock.",
        shown(newest),
        shown(now)
    )
}
