//! What the reports read: the cases of a house in which something happened within a time, and those that are open.

use super::cases::case;
use super::error::StoreError;
use crate::domain::custody::case::Case;
use crate::domain::people::party::Side;
use crate::domain::values::ids::{CaseNumber, PartyId};
use sqlx::any::AnyRow;
use sqlx::{AnyConnection, Row};

fn number(row: &AnyRow) -> Result<CaseNumber, StoreError> {
    let number: String = row.try_get("number")?;
    let parsed = CaseNumber::parse(&number);
    parsed.map_err(|why| StoreError::row("case_file", &number, why))
}

/// A case of a report, with its change counter.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Touched {
    pub number: CaseNumber,
    pub version: i64,
}

/// The cases of a house with an entry of the time from `window.0` up to and without `window.1`, in milliseconds, or
/// with a first prescription signed in it; by number. Entries are found by their time in an index that names their
/// cases, so that none of them is read, and each case once by its number, however many entries it has. In SQLite, CROSS
/// JOIN keeps it from going through all cases of the house instead; PostgreSQL decides by what it knows of the tables.
pub async fn touched(
    conn: &mut AnyConnection,
    (side, party): (Side, &PartyId),
    window: (i64, i64),
) -> Result<Vec<Touched>, StoreError> {
    let sql = match side {
        Side::Office => {
            "SELECT c.number, c.version FROM (SELECT case_number FROM event WHERE at_ms >= $1 AND at_ms < $2 \
             UNION SELECT case_number FROM revision WHERE signed_ms >= $1 AND signed_ms < $2 AND number = 1) AS some_cases \
             CROSS JOIN case_file c WHERE c.number = some_cases.case_number AND c.office_id = $3 ORDER BY c.number"
        }
        Side::Lab => {
            "SELECT c.number, c.version FROM (SELECT case_number FROM event WHERE at_ms >= $1 AND at_ms < $2 \
             UNION SELECT case_number FROM revision WHERE signed_ms >= $1 AND signed_ms < $2 AND number = 1) AS some_cases \
             CROSS JOIN case_file c WHERE c.number = some_cases.case_number AND c.lab_id = $3 ORDER BY c.number"
        }
    };
    let rows = sqlx::query(sql)
        .bind(window.0)
        .bind(window.1)
        .bind(party.as_str())
        .fetch_all(conn)
        .await?;
    let touched = |row: &AnyRow| {
        Ok(Touched {
            number: number(row)?,
            version: row.try_get("version")?,
        })
    };
    rows.iter().map(touched).collect()
}

/// When each revision of a case was signed, with its number, in order.
pub async fn signed(
    conn: &mut AnyConnection,
    case: &CaseNumber,
) -> Result<Vec<(i64, i64)>, StoreError> {
    let sql = "SELECT number, signed_ms FROM revision WHERE case_number = $1 ORDER BY number";
    let rows = sqlx::query(sql).bind(case.as_str()).fetch_all(conn).await?;
    let one = |row: &AnyRow| Ok((row.try_get("number")?, row.try_get("signed_ms")?));
    rows.iter().map(one).collect()
}

/// A case by the number of its row, or why that cannot be read.
pub type NumberedCase = (String, Result<Case, StoreError>);

/// The open cases of a house after a number, in the order of their numbers, at most `limit`.
pub async fn open_after(
    conn: &mut AnyConnection,
    (side, party): (Side, &PartyId),
    after: &str,
    limit: i64,
) -> Result<Vec<NumberedCase>, StoreError> {
    let sql = match side {
        Side::Office => {
            "SELECT number, office_id, lab_id, patient_code, arches, opened_ms, closed, place, also, held, waiting_for, due, lent_due, \
             summary, revision, acknowledged, changed_ms, version, drawn, office_turn, office_day, lab_turn, lab_day, things, work, \
             stage, seals, words, pan, technician, bench_open, bench_next, office_asked, lab_asked FROM case_file \
             WHERE office_id = $1 AND closed = 0 AND number > $2 ORDER BY number LIMIT $3"
        }
        Side::Lab => {
            "SELECT number, office_id, lab_id, patient_code, arches, opened_ms, closed, place, also, held, waiting_for, due, lent_due, \
             summary, revision, acknowledged, changed_ms, version, drawn, office_turn, office_day, lab_turn, lab_day, things, work, \
             stage, seals, words, pan, technician, bench_open, bench_next, office_asked, lab_asked FROM case_file \
             WHERE lab_id = $1 AND closed = 0 AND number > $2 ORDER BY number LIMIT $3"
        }
    };
    let rows = sqlx::query(sql)
        .bind(party.as_str())
        .bind(after)
        .bind(limit)
        .fetch_all(conn)
        .await?;
    Ok(rows.iter().map(numbered).collect())
}

/// The cases of all houses that their rows do not have among the open ones, after a number, in the order of their numbers, at
/// most `limit`.
pub async fn not_open_after(
    conn: &mut AnyConnection,
    after: &str,
    limit: i64,
) -> Result<Vec<NumberedCase>, StoreError> {
    let rows = sqlx::query(
        "SELECT number, office_id, lab_id, patient_code, arches, opened_ms, closed, place, also, held, waiting_for, due, lent_due, \
         summary, revision, acknowledged, changed_ms, version, drawn, office_turn, office_day, lab_turn, lab_day, things, work, \
         stage, seals, words, pan, technician, bench_open, bench_next, office_asked, lab_asked FROM case_file \
         WHERE number > $1 AND closed <> 0 ORDER BY number LIMIT $2",
    )
    .bind(after)
    .bind(limit)
    .fetch_all(conn)
    .await?;
    Ok(rows.iter().map(numbered).collect())
}

fn numbered(row: &AnyRow) -> NumberedCase {
    let number: String = row.try_get("number").unwrap_or_default();
    (number, case(row))
}

/// The open cases of a house, each or why its row cannot be read, in which something lent is due back with its lender, the
/// earliest day first.
pub async fn with_loans(
    conn: &mut AnyConnection,
    (side, party): (Side, &PartyId),
    limit: i64,
) -> Result<Vec<Result<Case, StoreError>>, StoreError> {
    let sql = match side {
        Side::Office => {
            "SELECT number, office_id, lab_id, patient_code, arches, opened_ms, closed, place, also, held, waiting_for, due, lent_due, \
             summary, revision, acknowledged, changed_ms, version, drawn, office_turn, office_day, lab_turn, lab_day, things, work, \
             stage, seals, words, pan, technician, bench_open, bench_next, office_asked, lab_asked FROM case_file \
             WHERE office_id = $1 AND closed = 0 AND lent_due <> '' ORDER BY lent_due, number LIMIT $2"
        }
        Side::Lab => {
            "SELECT number, office_id, lab_id, patient_code, arches, opened_ms, closed, place, also, held, waiting_for, due, lent_due, \
             summary, revision, acknowledged, changed_ms, version, drawn, office_turn, office_day, lab_turn, lab_day, things, work, \
             stage, seals, words, pan, technician, bench_open, bench_next, office_asked, lab_asked FROM case_file \
             WHERE lab_id = $1 AND closed = 0 AND lent_due <> '' ORDER BY lent_due, number LIMIT $2"
        }
    };
    let rows = sqlx::query(sql)
        .bind(party.as_str())
        .bind(limit)
        .fetch_all(conn)
        .await?;
    Ok(rows.iter().map(case).collect())
}
