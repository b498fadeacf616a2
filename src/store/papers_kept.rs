//! Until when each house keeps the papers of its closed cases, as it is drawn from signed texts and entries.

use super::batch::Tx;
use super::error::StoreError;
use super::rows::{flag, id_of, one_kept};
use crate::domain::people::party::Side;
use crate::domain::values::ids::{CaseNumber, PartyId};
use crate::domain::values::moment::{parse_date, show_date};
use sqlx::any::AnyRow;
use sqlx::{AnyConnection, Row};
use time::Date;

/// Until when the papers of a closed case are kept; no day where no profile names a time.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PapersKept {
    pub case: CaseNumber,
    pub office: PartyId,
    pub lab: PartyId,
    pub office_until: Option<Date>,
    pub lab_until: Option<Date>,
    /// One of the houses keeps them beyond that.
    pub longer: bool,
}

fn text(day: Option<Date>) -> String {
    day.map(show_date).unwrap_or_default()
}

/// Writes down until when the papers of a case are kept.
pub async fn set(tx: &mut Tx, row: &PapersKept) -> Result<(), StoreError> {
    let done = sqlx::query(
        "INSERT INTO papers_kept (case_number, office_id, lab_id, office_until, lab_until, longer) \
         VALUES ($1, $2, $3, $4, $5, $6) ON CONFLICT (case_number) DO UPDATE SET \
         office_until = excluded.office_until, lab_until = excluded.lab_until, longer = excluded.longer",
    )
    .bind(row.case.as_str())
    .bind(row.office.as_str())
    .bind(row.lab.as_str())
    .bind(text(row.office_until))
    .bind(text(row.lab_until))
    .bind(i64::from(row.longer))
    .execute(tx.conn())
    .await?;
    one_kept(&done, "until when papers are kept")
}

/// A case that goes on is on no list.
pub async fn forget(tx: &mut Tx, case: &CaseNumber) -> Result<(), StoreError> {
    sqlx::query("DELETE FROM papers_kept WHERE case_number = $1")
        .bind(case.as_str())
        .execute(tx.conn())
        .await?;
    Ok(())
}

/// All of it, after this case, in the order of their numbers.
pub async fn after(
    conn: &mut AnyConnection,
    case: &str,
    most: i64,
) -> Result<Vec<PapersKept>, StoreError> {
    let sql = "SELECT * FROM papers_kept WHERE case_number > $1 ORDER BY case_number LIMIT $2";
    let rows = sqlx::query(sql)
        .bind(case)
        .bind(most)
        .fetch_all(conn)
        .await?;
    rows.iter().map(kept).collect()
}

fn kept(row: &AnyRow) -> Result<PapersKept, StoreError> {
    let case: &str = row.try_get("case_number")?;
    let bad = |why: &str| StoreError::row("papers_kept", case, why);
    let day = |column: &'static str| match row.try_get::<&str, _>(column)? {
        "" => Ok(None),
        text => parse_date(text).map(Some).map_err(|_| bad(column)),
    };
    Ok(PapersKept {
        case: CaseNumber::parse(case).map_err(|why| bad(&why.to_string()))?,
        office: id_of(row, "office_id")?,
        lab: id_of(row, "lab_id")?,
        office_until: day("office_until")?,
        lab_until: day("lab_until")?,
        longer: flag(row, "longer")?,
    })
}

/// The closed cases of a house whose papers it was to keep until a day before this one, the earliest first, each with
/// whether they are kept longer.
pub async fn over(
    conn: &mut AnyConnection,
    (side, house): (Side, &PartyId),
    today: Date,
    most: i64,
) -> Result<Vec<(CaseNumber, Date, bool)>, StoreError> {
    let sql = match side {
        Side::Office => {
            "SELECT case_number, office_until AS until, longer FROM papers_kept \
             WHERE office_id = $1 AND office_until > '' AND office_until < $2 ORDER BY office_until, case_number LIMIT $3"
        }
        Side::Lab => {
            "SELECT case_number, lab_until AS until, longer FROM papers_kept \
             WHERE lab_id = $1 AND lab_until > '' AND lab_until < $2 ORDER BY lab_until, case_number LIMIT $3"
        }
    };
    let rows = sqlx::query(sql)
        .bind(house.as_str())
        .bind(show_date(today))
        .bind(most)
        .fetch_all(conn)
        .await?;
    rows.iter().map(one).collect()
}

fn one(row: &AnyRow) -> Result<(CaseNumber, Date, bool), StoreError> {
    let (case, until): (&str, &str) = (row.try_get("case_number")?, row.try_get("until")?);
    let bad = |why: &str| StoreError::row("papers_kept", case, why);
    Ok((
        CaseNumber::parse(case).map_err(|why| bad(&why.to_string()))?,
        parse_date(until).map_err(|_| bad("until"))?,
        flag(row, "longer")?,
    ))
}

/// How many closed cases of a house there are whose profiles name no time for it.
pub async fn without_a_time(
    conn: &mut AnyConnection,
    (side, house): (Side, &PartyId),
) -> Result<i64, StoreError> {
    let sql = match side {
        Side::Office => {
            "SELECT COUNT(*) AS n FROM papers_kept WHERE office_id = $1 AND office_until = ''"
        }
        Side::Lab => "SELECT COUNT(*) AS n FROM papers_kept WHERE lab_id = $1 AND lab_until = ''",
    };
    let row = sqlx::query(sql)
        .bind(house.as_str())
        .fetch_one(conn)
        .await?;
    Ok(row.try_get("n")?)
}
