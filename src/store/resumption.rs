//! That the record goes on although something was missing, or from an earlier version: written once.

use super::batch::Tx;
use super::error::StoreError;
use super::rows::{id_of, id_or_none, one_kept};
use super::strays::COUNTER_END;
use crate::domain::values::ids::{AccountId, CaseNumber, EventId};
use crate::domain::values::words_of;
use sqlx::any::AnyRow;
use sqlx::{AnyConnection, Row};
use std::collections::BTreeSet;

words_of! {
    /// Why the record went on by somebody's word.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub enum Resumed {
        Upgraded = "taken in from an earlier version",
        Restored = "gone on with although entries were missing",
        Clock = "gone on with although entries are dated ahead of the clock",
        ClockRight = "gone on with by a clock that is far ahead of the newest entry",
    }
}

/// One such word.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ResumptionRow {
    pub id: String,
    pub why: Resumed,
    /// How far the key had signed, a signed note; empty where nothing said so.
    pub signed: String,
    /// Where the record stood, a signed note; empty where it had not begun.
    pub found: String,
    /// The administrator; `None` for an upgrade.
    pub account: Option<AccountId>,
    pub name: String,
    pub reason: String,
    pub at_ms: i64,
    /// The moment up to which entries were dated by a wrong clock; 0 where the word is about something else.
    pub ahead_ms: i64,
}

/// Writes it down.
pub async fn insert(tx: &mut Tx, row: &ResumptionRow) -> Result<(), StoreError> {
    let done = sqlx::query(
        "INSERT INTO resumption (id, why, signed, found, account_id, name, reason, resumed_ms, ahead_ms) \
         VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)",
    )
    .bind(&row.id)
    .bind(row.why.word())
    .bind(&row.signed)
    .bind(&row.found)
    .bind(row.account.as_ref().map(AccountId::as_str))
    .bind(&row.name)
    .bind(&row.reason)
    .bind(row.at_ms)
    .bind(row.ahead_ms)
    .execute(tx.conn())
    .await?;
    one_kept(&done, "the word of why the record goes on")
}

/// A word about a clock that was ahead.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WordOfClock {
    pub id: String,
    /// From when on it counts.
    pub given_ms: i64,
    /// Up to when entries were dated ahead.
    pub ahead_ms: i64,
}

/// The words about a clock that was ahead.
pub async fn of_clock(conn: &mut AnyConnection) -> Result<Vec<WordOfClock>, StoreError> {
    let rows = sqlx::query(
        "SELECT id, resumed_ms, ahead_ms FROM resumption WHERE ahead_ms > 0 ORDER BY resumed_ms, id LIMIT 500",
    )
    .fetch_all(conn)
    .await?;
    let word = |row: &AnyRow| {
        Ok(WordOfClock {
            id: row.try_get("id")?,
            given_ms: row.try_get("resumed_ms")?,
            ahead_ms: row.try_get("ahead_ms")?,
        })
    };
    rows.iter().map(word).collect()
}

/// When a signature or an entry of custody is of, by its row.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RowMoment {
    pub case: CaseNumber,
    pub of: MomentOf,
    /// Milliseconds since 1970.
    pub ms: i64,
}

/// What has a moment.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum MomentOf {
    Entry(EventId),
    /// The revision of this number.
    Signature(i64),
}

/// The newest signatures and entries of custody, whatever was entered after them, the newest first: at most `most` of each.
pub async fn newest_moments(
    conn: &mut AnyConnection,
    most: i64,
) -> Result<Vec<RowMoment>, StoreError> {
    let mut newest = Vec::new();
    for sql in [
        "SELECT case_number, id, 0 AS number, at_ms AS ms FROM event WHERE at_ms > $1 ORDER BY at_ms DESC LIMIT $2",
        "SELECT case_number, '' AS id, number, signed_ms AS ms FROM revision WHERE signed_ms > $1 ORDER BY signed_ms DESC LIMIT $2",
    ] {
        let rows = sqlx::query(sql)
            .bind(0_i64)
            .bind(most)
            .fetch_all(&mut *conn)
            .await?;
        // One that cannot be read says nothing here, and is named where its case is read.
        newest.extend(rows.iter().filter_map(|row| row_moment(row).ok()));
    }
    newest.sort_by_key(|one| std::cmp::Reverse(one.ms));
    Ok(newest)
}

fn row_moment(row: &AnyRow) -> Result<RowMoment, StoreError> {
    let case: String = row.try_get("case_number")?;
    let id: EventId = id_of(row, "id")?;
    Ok(RowMoment {
        case: CaseNumber::parse(&case).map_err(|why| StoreError::row("case_file", &case, why))?,
        of: match id.is_empty() {
            true => MomentOf::Signature(row.try_get("number")?),
            false => MomentOf::Entry(id),
        },
        ms: row.try_get("ms")?,
    })
}

/// Counts a change of every case that has an entry after a moment, and of its parties: what pages keep of them was
/// made before the word about the clock.
pub async fn count_change_after(tx: &mut Tx, ms: i64) -> Result<(), StoreError> {
    let rows = sqlx::query("SELECT case_number FROM event WHERE at_ms > $1")
        .bind(ms)
        .fetch_all(tx.conn())
        .await?;
    let numbers = rows.iter().map(|row| row.try_get("case_number"));
    let numbers: BTreeSet<String> = numbers.collect::<Result<_, _>>()?;
    let mut houses = BTreeSet::new();
    for number in numbers {
        sqlx::query(
            "UPDATE case_file SET version = version + 1 WHERE number = $1 AND version < $2",
        )
        .bind(&number)
        .bind(COUNTER_END)
        .execute(tx.conn())
        .await?;
        let row = sqlx::query("SELECT office_id, lab_id FROM case_file WHERE number = $1")
            .bind(&number)
            .fetch_one(tx.conn())
            .await?;
        for column in ["office_id", "lab_id"] {
            houses.insert(row.try_get::<String, _>(column)?);
        }
    }
    for house in houses {
        sqlx::query("UPDATE party SET changes = changes + 1 WHERE id = $1 AND changes < $2")
            .bind(house)
            .bind(COUNTER_END)
            .execute(tx.conn())
            .await?;
    }
    Ok(())
}

/// The one with this id.
pub async fn find(conn: &mut AnyConnection, id: &str) -> Result<Option<ResumptionRow>, StoreError> {
    let row = sqlx::query("SELECT * FROM resumption WHERE id = $1")
        .bind(id)
        .fetch_optional(conn)
        .await?;
    row.as_ref().map(resumption).transpose()
}

/// All of them, the newest first, at most `limit`: there is one for each time that something went wrong.
pub async fn newest(
    conn: &mut AnyConnection,
    limit: i64,
) -> Result<Vec<ResumptionRow>, StoreError> {
    let rows = sqlx::query("SELECT * FROM resumption ORDER BY resumed_ms DESC, id LIMIT $1")
        .bind(limit)
        .fetch_all(conn)
        .await?;
    rows.iter().map(resumption).collect()
}

fn resumption(row: &AnyRow) -> Result<ResumptionRow, StoreError> {
    let id: String = row.try_get("id")?;
    let why = Resumed::from_word(row.try_get("why")?);
    Ok(ResumptionRow {
        why: why.ok_or_else(|| StoreError::row("resumption", &id, "why"))?,
        signed: row.try_get("signed")?,
        found: row.try_get("found")?,
        account: id_or_none(row, "account_id")?,
        name: row.try_get("name")?,
        reason: row.try_get("reason")?,
        at_ms: row.try_get("resumed_ms")?,
        ahead_ms: row.try_get("ahead_ms")?,
        id,
    })
}
