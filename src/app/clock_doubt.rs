//! A clock that is wrong dates entries that nobody can take back. So a clock that has leapt far ahead of the newest
//! entry is asked about before anything is entered by it, nothing is entered by one that stands before the newest entry,
//! and where one was ahead once, an administrator lets the record go on (`resume.rs`).

use super::another_key::refuse_another_key;
use super::counted::{self, Met};
use super::proven::is_signed;
use super::{App, AppError};
use crate::clock::refuse_wrong;
use crate::domain::values::moment::Moment;
use crate::record::entry::{LeafKind, about_revision};
use crate::store::record::{self, LeafRow, head, leaves_from};
use crate::store::resumption::{self, MomentOf};
use crate::store::{Connection, StoreError};
use serde_json::Value;
use std::sync::atomic::{AtomicI64, Ordering};
use std::sync::{Mutex, PoisonError};

const DAY_MS: i64 = 24 * 60 * 60_000;
/// A clock that is so far ahead of the newest entry is asked about: longer than a house is closed in summer.
const FAR_MS: i64 = 60 * DAY_MS;
/// How long somebody's word that the clock is right holds.
const WORD_MS: i64 = DAY_MS;
/// Clocks of several machines differ by so much without anything being wrong.
const APART_MS: i64 = 5 * 60_000;
/// So many of the newest leaves are looked at for a moment, whatever they are about.
const LAST_LEAVES: u64 = 100;
/// So many of the newest rows of each kind are held against their leaves: where all of them were changed, the newest leaves say
/// what the clock is held against.
const ROWS_AT_MOST: i64 = 20;

/// What this program knows of the clock.
#[derive(Debug)]
pub(super) struct ClockDoubt {
    /// The clock that the last entry of this program was made by.
    newest: AtomicI64,
    /// What the clock said when somebody said that it is right.
    trusted: AtomicI64,
    /// The newest entry that was last found to lie ahead of the clock, and nobody has given a word about.
    ahead: AtomicI64,
    /// The moment that the clock is held against, with the checkpoint of the record that it was read from.
    counted: Mutex<Option<(String, Option<i64>)>>,
}

impl Default for ClockDoubt {
    fn default() -> ClockDoubt {
        ClockDoubt {
            newest: AtomicI64::new(i64::MIN),
            trusted: AtomicI64::new(i64::MIN),
            ahead: AtomicI64::new(i64::MIN),
            counted: Mutex::default(),
        }
    }
}

impl ClockDoubt {
    fn is_trusted(&self, now: i64) -> bool {
        let said = self.trusted.load(Ordering::SeqCst);
        now.saturating_sub(said) <= WORD_MS && said.saturating_sub(now) <= APART_MS
    }

    /// The moment that was read from the record with this checkpoint, if it was.
    fn counted_at(&self, checkpoint: &str) -> Option<Option<i64>> {
        // After a panic of a request that held it too: it is written in one step.
        let counted = self.counted.lock().unwrap_or_else(PoisonError::into_inner);
        let (at, newest) = counted.as_ref()?;
        (at == checkpoint).then_some(*newest)
    }

    fn count_at(&self, checkpoint: String, newest: Option<i64>) {
        let mut counted = self.counted.lock().unwrap_or_else(PoisonError::into_inner);
        *counted = Some((checkpoint, newest));
    }
}

fn is_ahead(newest: i64, now: i64) -> bool {
    newest.saturating_sub(now) > APART_MS
}

fn shown(ms: i64) -> String {
    Moment::new(ms, 0).to_string()
}

/// Whether nothing speaks against entering something now that was last done at `newest`.
fn is_near(now: i64, newest: i64) -> bool {
    now.saturating_sub(newest) <= FAR_MS && !is_ahead(newest, now)
}

/// Why the clock has to be looked at before anything is entered; `None` where nothing speaks against it.
pub async fn question(app: &App, conn: &mut Connection) -> Result<Option<String>, AppError> {
    let (now, doubt) = (app.outside.now_ms(), &app.clock_doubt);
    if is_near(now, doubt.newest.load(Ordering::SeqCst)) || doubt.is_trusted(now) {
        return Ok(None);
    }
    // Another program may have written to the same database.
    match moment_that_counts(app, conn).await? {
        Some(newest) if now.saturating_sub(newest) > FAR_MS => Ok(Some(format!(
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
    let (now, doubt) = (app.outside.now_ms(), &app.clock_doubt);
    let refused = |why: String| Err(AppError::Refused(vec![why]));
    if let Err(wrong) = refuse_wrong(now) {
        return refused(format!("Nothing was entered: {wrong}."));
    }
    if let Some(question) = question(app, conn).await? {
        return refused(format!(
            "{question} Nothing was entered. If the clock is right, say so on the page “Record”, then send this again. \
             If it is wrong, set it first."
        ));
    }
    let is_behind = !is_near(now, doubt.newest.load(Ordering::SeqCst)) && !doubt.is_trusted(now);
    if is_behind && let Some(newest) = ahead(app, conn).await? {
        return refused(format!("Nothing was entered. {}", words_ahead(app, newest)));
    }
    doubt.newest.store(now, Ordering::SeqCst);
    Ok(())
}

/// Takes somebody's word that the clock is right. Answers with what goes back where that word is not kept.
pub fn trust(app: &App) -> TrustedBefore {
    let now = app.outside.now_ms();
    TrustedBefore(app.clock_doubt.trusted.swap(now, Ordering::SeqCst))
}

/// What the clock said when it was last said to be right.
#[derive(Debug, Clone, Copy)]
pub struct TrustedBefore(i64);

/// Lets the question stand as it was.
pub(super) fn trust_as_before(app: &App, before: TrustedBefore) {
    app.clock_doubt.trusted.store(before.0, Ordering::SeqCst);
}

/// The newest entry's moment, where it lies ahead of the clock and nobody has given a word about it yet.
pub async fn ahead(app: &App, conn: &mut Connection) -> Result<Option<i64>, AppError> {
    let newest = moment_that_counts(app, conn).await?;
    Ok(note_ahead(app, newest))
}

/// Remembers whether this moment, which the clock is held against, lies ahead of it.
fn note_ahead(app: &App, newest: Option<i64>) -> Option<i64> {
    let now = app.outside.now_ms();
    let found = newest.filter(|newest| is_ahead(*newest, now));
    let known = app
        .clock_doubt
        .ahead
        .swap(found.unwrap_or(i64::MIN), Ordering::SeqCst);
    if let Some(newest) = found
        && newest != known
    {
        tracing::warn!("{}", words_ahead(app, newest));
    }
    found
}

/// Looks whether the clock has been set back behind what was entered by it, where what this program knows speaks for it:
/// else somebody finds out with a patient in the chair. While nothing does, it asks the database nothing; while something
/// does, nothing but how far the record has come, until it has come further.
///
/// # Errors
/// If the database does not answer.
pub async fn look(app: &App) -> Result<(), AppError> {
    let (now, doubt) = (app.outside.now_ms(), &app.clock_doubt);
    let known = [&doubt.newest, &doubt.ahead];
    if known
        .iter()
        .any(|at| is_ahead(at.load(Ordering::SeqCst), now))
    {
        let mut conn = app.store.read_at_once().await?;
        let at = head(&mut conn).await?.checkpoint;
        let newest = match doubt.counted_at(&at) {
            Some(newest) => newest,
            None => {
                let newest = moment_that_counts(app, &mut conn).await?;
                doubt.count_at(at, newest);
                newest
            }
        };
        note_ahead(app, newest);
    }
    Ok(())
}

/// What was found at the last look, where it keeps everything from being entered.
pub fn found_ahead(app: &App) -> Option<i64> {
    let (now, doubt) = (app.outside.now_ms(), &app.clock_doubt);
    let newest = doubt.ahead.load(Ordering::SeqCst);
    (is_ahead(newest, now) && !doubt.is_trusted(now)).then_some(newest)
}

/// The moment that the clock is held against: of the newest entry, or, where a word says that entries up to then were
/// dated by a clock that was ahead, of what was entered by the clock since.
async fn moment_that_counts(app: &App, conn: &mut Connection) -> Result<Option<i64>, AppError> {
    let newest = newest_moment(app, conn).await?;
    let words = resumption::of_clock(conn).await?;
    let is_said = words
        .iter()
        .any(|word| newest.is_some_and(|newest| newest <= word.ahead_ms));
    if !is_said {
        return Ok(newest);
    }
    let mut since: Option<(u64, i64)> = None;
    for word in &words {
        let about = format!("{}/1", word.id);
        let kind = LeafKind::Resumption.word();
        let leaf = app.store.leaf_about(conn, kind, &about).await?;
        // While the word is being entered, it has no leaf yet, and nothing comes after it.
        let number = leaf.map_or(u64::MAX, |leaf| leaf.number);
        since = since.max(Some((number, word.given_ms)));
    }
    let Some((word, given_ms)) = since else {
        return Ok(newest);
    };
    let size = head(conn).await?.frontier.size();
    let from = size.saturating_sub(LAST_LEAVES).max(word.saturating_add(1));
    let last = match from < size {
        true => leaves_from(conn, from, LAST_LEAVES.cast_signed()).await?,
        false => Vec::new(),
    };
    let after = last.iter().filter_map(moment_of).max();
    Ok(after.max(Some(given_ms)))
}

/// When the newest entry is of: of all entries of custody and signatures, and of the last entries of whatever kind.
async fn newest_moment(app: &App, conn: &mut Connection) -> Result<Option<i64>, AppError> {
    let signed = newest_recorded(app, conn).await?;
    let size = head(conn).await?.frontier.size();
    let from = size.saturating_sub(LAST_LEAVES);
    let last = leaves_from(conn, from, LAST_LEAVES.cast_signed()).await?;
    Ok(last.iter().filter_map(moment_of).max().max(signed))
}

/// The moment of the newest entry of custody or signature whose row says what its leaf does. By one that says another day
/// the clock is not held: else whoever writes a day into a row would stop everybody, and the clock would be blamed.
async fn newest_recorded(app: &App, conn: &mut Connection) -> Result<Option<i64>, AppError> {
    match refuse_another_key(app, conn).await {
        Ok(()) => {}
        // No leaf is proved under it, and no single case is to blame for that.
        Err(AppError::AnotherKey) => return Ok(None),
        Err(other) => return Err(other),
    }
    for row in resumption::newest_moments(conn, ROWS_AT_MOST).await? {
        let (kind, about) = match &row.of {
            MomentOf::Entry(id) => (LeafKind::Event, id.to_string()),
            MomentOf::Signature(number) => (LeafKind::Revision, about_revision(&row.case, *number)),
        };
        let is_recorded = match record::leaf_about(conn, kind.word(), &about).await? {
            Some(leaf) => moment_of(&leaf) == Some(row.ms) && proves(app, conn, &leaf).await?,
            // A database of an earlier version is as it was until its rows are entered in the record.
            None => head(conn).await?.is_empty(),
        };
        if is_recorded {
            return Ok(Some(row.ms));
        }
        tracing::error!(case = %row.case, kind = kind.word(), about, "a moment is not as the record says");
        counted::note(app, &row.case, Met::Case);
    }
    Ok(None)
}

/// Whether a leaf is in the signed tree; under a record that is another one, none is, and nothing is entered at all.
async fn proves(app: &App, conn: &mut Connection, leaf: &LeafRow) -> Result<bool, AppError> {
    match is_signed(app, conn, leaf).await {
        Err(AppError::Store(StoreError::Forked(_))) => Ok(false),
        found => found,
    }
}

/// When a leaf's entry is of, where it says so: numbers stay open in all of them. A later version of a card says when
/// the card was made, and not when it was changed.
fn moment_of(leaf: &LeafRow) -> Option<i64> {
    if leaf.kind == LeafKind::Patient.word() && !leaf.about.ends_with("/1") {
        return None;
    }
    let whole: Value = serde_json::from_str(&leaf.body).ok()?;
    let body = whole.get(&leaf.kind)?;
    let places = [
        "/opened_ms",
        "/made_ms",
        "/at_ms",
        "/settled_ms",
        "/at/unix_ms",
    ];
    let moments = places
        .iter()
        .filter_map(|place| body.pointer(place)?.as_i64());
    moments.max()
}

/// What is to be done about it, for the log and for the page of the record.
pub fn words_ahead(app: &App, newest: i64) -> String {
    let now = app.outside.now_ms();
    format!(
        "The newest entry is dated {}, and the clock of this computer says {}. If the clock is wrong now, set it. If it \
         was wrong then, an administrator lets the work go on with “vestibule clock”; until then, nothing can be entered.",
        shown(newest),
        shown(now)
    )
}
