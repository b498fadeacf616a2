//! Which work is passed on to which laboratory that has accounts here.

use super::batch::Tx;
use super::error::StoreError;
use super::rows::{id_of, one_kept};
use crate::domain::custody::{Event, What};
use crate::domain::values::ids::{CaseNumber, EventId, PartyId};
use sqlx::any::AnyRow;
use sqlx::{AnyConnection, Row};

/// Work passed on, as it is listed for the second laboratory.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PassedRow {
    pub event: EventId,
    pub case: CaseNumber,
    pub party: PartyId,
    pub is_open: bool,
    /// Answers to its questions since it has entered something last.
    pub new_answers: i64,
}

/// What is passed on to a house and open.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct PassedCount {
    pub open: i64,
    pub new_answers: i64,
}

fn passed(row: &AnyRow) -> Result<PassedRow, StoreError> {
    let (event, case): (String, String) = (row.try_get("event_id")?, row.try_get("case_number")?);
    let is_open: i64 = row.try_get("is_open")?;
    Ok(PassedRow {
        case: CaseNumber::parse(&case)
            .map_err(|why| StoreError::row("passed_work", &event, why))?,
        event: EventId::new(event),
        party: id_of(row, "party_id")?,
        is_open: is_open != 0,
        new_answers: row.try_get("new_answers")?,
    })
}

/// Lists it, or says again whether it is open and what was answered.
pub async fn keep(tx: &mut Tx, row: &PassedRow) -> Result<(), StoreError> {
    let done = sqlx::query(
        "INSERT INTO passed_work (event_id, case_number, party_id, is_open, new_answers) VALUES ($1, $2, $3, $4, $5) \
         ON CONFLICT (event_id) DO UPDATE SET is_open = excluded.is_open, new_answers = excluded.new_answers",
    )
    .bind(row.event.as_str())
    .bind(row.case.as_str())
    .bind(row.party.as_str())
    .bind(i64::from(row.is_open))
    .bind(row.new_answers)
    .execute(tx.conn())
    .await?;
    one_kept(&done, "what is passed on")
}

pub async fn find(
    conn: &mut AnyConnection,
    event: &EventId,
) -> Result<Option<PassedRow>, StoreError> {
    let row = sqlx::query("SELECT * FROM passed_work WHERE event_id = $1")
        .bind(event.as_str())
        .fetch_optional(conn)
        .await?;
    row.as_ref().map(passed).transpose()
}

/// What is passed on to this house, each or why its row cannot be read, what is open first, at most so many.
pub async fn of_party(
    conn: &mut AnyConnection,
    party: &PartyId,
    most: i64,
) -> Result<Vec<Result<PassedRow, StoreError>>, StoreError> {
    let rows = sqlx::query(
        "SELECT * FROM passed_work WHERE party_id = $1 ORDER BY is_open DESC, event_id LIMIT $2",
    )
    .bind(party.as_str())
    .bind(most)
    .fetch_all(conn)
    .await?;
    Ok(rows.iter().map(passed).collect())
}

/// How much is passed on to this house and open, and how many of its questions were answered there.
pub async fn count_open(
    conn: &mut AnyConnection,
    party: &PartyId,
) -> Result<PassedCount, StoreError> {
    let row = sqlx::query(
        "SELECT COUNT(*) AS n, CAST(COALESCE(SUM(new_answers), 0) AS BIGINT) AS answers FROM passed_work \
         WHERE party_id = $1 AND is_open = 1",
    )
    .bind(party.as_str())
    .fetch_one(conn)
    .await?;
    Ok(PassedCount {
        open: row.try_get("n")?,
        new_answers: row.try_get("answers")?,
    })
}

/// All of it, after this one, in the order of the entries.
pub async fn after(
    conn: &mut AnyConnection,
    event: &EventId,
    most: i64,
) -> Result<Vec<PassedRow>, StoreError> {
    let rows =
        sqlx::query("SELECT * FROM passed_work WHERE event_id > $1 ORDER BY event_id LIMIT $2")
            .bind(event.as_str())
            .bind(most)
            .fetch_all(conn)
            .await?;
    rows.iter().map(passed).collect()
}

/// How much is listed.
pub async fn count(conn: &mut AnyConnection) -> Result<i64, StoreError> {
    let row = sqlx::query("SELECT COUNT(*) AS n FROM passed_work")
        .fetch_one(conn)
        .await?;
    Ok(row.try_get("n")?)
}

/// To whom an entry passes work on; none where it has no account here.
fn passed_to(row: &AnyRow) -> Option<PartyId> {
    let body: String = row.try_get("body").ok()?;
    let event: Event = serde_json::from_str(&body).ok()?;
    match event.what {
        What::PassedOn(one) => one.to.party,
        _ => None,
    }
}

/// How much the entries pass on to laboratories with accounts here.
pub async fn count_said(conn: &mut AnyConnection) -> Result<i64, StoreError> {
    let rows = sqlx::query("SELECT body FROM event WHERE kind = 'passed_on'")
        .fetch_all(conn)
        .await?;
    let said = rows.iter().filter_map(passed_to).count();
    Ok(i64::try_from(said).unwrap_or(i64::MAX))
}

/// How much is listed for another house than the entry passes it on to.
pub async fn count_of_others(conn: &mut AnyConnection) -> Result<i64, StoreError> {
    let rows = sqlx::query(
        "SELECT passed_work.party_id, event.body FROM passed_work JOIN event ON event.id = passed_work.event_id",
    )
    .fetch_all(conn)
    .await?;
    let mut others = 0;
    for row in &rows {
        let listed: PartyId = id_of(row, "party_id")?;
        others += i64::from(passed_to(row) != Some(listed));
    }
    Ok(others)
}

/// How much the entries pass on to this house that is not listed for it.
pub async fn unlisted(conn: &mut AnyConnection, party: &PartyId) -> Result<usize, StoreError> {
    let rows = sqlx::query(
        "SELECT body FROM event WHERE kind = 'passed_on' AND body LIKE $2 AND NOT EXISTS \
         (SELECT 1 FROM passed_work WHERE passed_work.event_id = event.id AND passed_work.party_id = $1)",
    )
    .bind(party.as_str())
    // Those of other houses need not be read.
    .bind(format!("%{}%", party.as_str()))
    .fetch_all(conn)
    .await?;
    let is_its = |row: &&AnyRow| passed_to(row).as_ref() == Some(party);
    Ok(rows.iter().filter(is_its).count())
}
