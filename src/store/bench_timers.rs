//! Timers of the bench, from their start until their step is entered.

use super::batch::Tx;
use super::error::StoreError;
use super::rows::{id_of, one_kept, one_row};
use crate::domain::custody::bench::{BenchStep, BenchTimer};
use crate::domain::values::arch::Arches;
use crate::domain::values::ids::{CaseNumber, PartyId, TimerId};
use sqlx::any::AnyRow;
use sqlx::{AnyConnection, Row};

/// Timers of one case, or of one lab, that one question answers with.
const MOST: i64 = 100;

/// A timer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TimerRow {
    pub id: TimerId,
    pub case: CaseNumber,
    pub lab: PartyId,
    pub step: BenchStep,
    pub timer: BenchTimer,
    /// The arches whose entry it goes into.
    pub arches: Arches,
    pub seconds: u32,
    pub began_ms: i64,
    /// Printed name of who started it.
    pub by_name: String,
    /// 0 while it runs.
    pub stopped_ms: i64,
}

fn timer(row: &AnyRow) -> Result<TimerRow, StoreError> {
    let id: TimerId = id_of(row, "id")?;
    let bad = |why: &str| StoreError::row("bench_timer", &id, why);
    let (case, step, kind, arches): (&str, &str, &str, &str) = (
        row.try_get("case_number")?,
        row.try_get("step")?,
        row.try_get("kind")?,
        row.try_get("arches")?,
    );
    Ok(TimerRow {
        case: CaseNumber::parse(case).map_err(|why| bad(&why.to_string()))?,
        lab: id_of(row, "lab_id")?,
        step: BenchStep::from_word(step).ok_or_else(|| bad("step"))?,
        timer: BenchTimer::from_word(kind).ok_or_else(|| bad("kind"))?,
        arches: Arches::from_word(arches).ok_or_else(|| bad("arches"))?,
        seconds: u32::try_from(row.try_get::<i64, _>("seconds")?).map_err(|_| bad("seconds"))?,
        began_ms: row.try_get("began_ms")?,
        by_name: row.try_get("by_name")?,
        stopped_ms: row.try_get("stopped_ms")?,
        id,
    })
}

/// Writes a timer: one that is started, or one that its entry gives back.
pub async fn insert_timer(tx: &mut Tx, timer: &TimerRow) -> Result<(), StoreError> {
    let done = sqlx::query(
        "INSERT INTO bench_timer (id, case_number, lab_id, step, kind, arches, seconds, began_ms, by_name, \
         stopped_ms) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10)",
    )
    .bind(timer.id.as_str())
    .bind(timer.case.as_str())
    .bind(timer.lab.as_str())
    .bind(timer.step.word())
    .bind(timer.timer.word())
    .bind(timer.arches.word())
    .bind(i64::from(timer.seconds))
    .bind(timer.began_ms)
    .bind(&timer.by_name)
    .bind(timer.stopped_ms)
    .execute(tx.conn())
    .await?;
    one_kept(&done, "the timer")
}

/// A timer that can be read: one that cannot hides no other, and keeps nobody from the case.
fn readable(row: &AnyRow) -> Option<TimerRow> {
    let read = timer(row);
    read.inspect_err(|why| tracing::error!(%why, "a timer cannot be read"))
        .ok()
}

/// The timers of a case that can be read, in the order in which they were started.
pub async fn timers_of_case(
    conn: &mut AnyConnection,
    case: &CaseNumber,
) -> Result<Vec<TimerRow>, StoreError> {
    let sql = "SELECT * FROM bench_timer WHERE case_number = $1 ORDER BY began_ms, id LIMIT $2";
    let rows = sqlx::query(sql)
        .bind(case.as_str())
        .bind(MOST)
        .fetch_all(conn)
        .await?;
    Ok(rows.iter().filter_map(readable).collect())
}

/// The rows of the timers of a lab that run in open cases, in the order in which they were started, each with the pan of its
/// case.
async fn running_rows(conn: &mut AnyConnection, lab: &PartyId) -> Result<Vec<AnyRow>, StoreError> {
    let rows = sqlx::query(
        "SELECT t.*, c.pan AS pan FROM bench_timer t JOIN case_file c ON c.number = t.case_number WHERE t.lab_id = $1 \
         AND t.stopped_ms = 0 AND c.closed = 0 ORDER BY t.began_ms, t.id LIMIT $2",
    )
    .bind(lab.as_str())
    .bind(MOST)
    .fetch_all(conn)
    .await?;
    Ok(rows)
}

/// The timers of a lab that run in open cases and can be read, in the order in which they were started, each with the pan of
/// its case.
pub async fn running_timers(
    conn: &mut AnyConnection,
    lab: &PartyId,
) -> Result<Vec<(TimerRow, String)>, StoreError> {
    let rows = running_rows(conn, lab).await?;
    let with_pan = |row: &AnyRow| Some((readable(row)?, row.try_get("pan").ok()?));
    Ok(rows.iter().filter_map(with_pan).collect())
}

/// How many of them cannot be read.
pub async fn unreadable_timers(
    conn: &mut AnyConnection,
    lab: &PartyId,
) -> Result<usize, StoreError> {
    let rows = running_rows(conn, lab).await?;
    Ok(rows.iter().filter(|row| timer(row).is_err()).count())
}

/// Stops a timer that runs.
pub async fn stop_timer(
    tx: &mut Tx,
    case: &CaseNumber,
    id: &TimerId,
    at_ms: i64,
) -> Result<(), StoreError> {
    let done = sqlx::query(
        "UPDATE bench_timer SET stopped_ms = $1 WHERE case_number = $3 AND id = $2 AND stopped_ms = 0",
    )
    .bind(at_ms)
    .bind(id.as_str())
    .bind(case.as_str())
    .execute(tx.conn())
    .await?;
    one_row(&done, "the timer")
}

/// Leaves a timer to these arches: those of an entry have it already.
pub async fn leave_timer_to(
    tx: &mut Tx,
    case: &CaseNumber,
    id: &TimerId,
    arches: Arches,
) -> Result<(), StoreError> {
    let sql = "UPDATE bench_timer SET arches = $1 WHERE case_number = $3 AND id = $2";
    let done = sqlx::query(sql)
        .bind(arches.word())
        .bind(id.as_str())
        .bind(case.as_str())
        .execute(tx.conn())
        .await?;
    one_row(&done, "the timer")
}

/// Takes a timer away: it went into the entry of its step, or was started by mistake.
pub async fn remove_timer(tx: &mut Tx, case: &CaseNumber, id: &TimerId) -> Result<(), StoreError> {
    let done = sqlx::query("DELETE FROM bench_timer WHERE case_number = $2 AND id = $1")
        .bind(id.as_str())
        .bind(case.as_str())
        .execute(tx.conn())
        .await?;
    one_row(&done, "the timer")
}
