//! Until when labs keep matrix and casts of their cases, as it is drawn from the entries.

use super::batch::Tx;
use super::error::StoreError;
use super::rows::{id_of, one_kept};
use crate::domain::values::ids::{CaseNumber, PartyId};
use crate::domain::values::moment::{parse_date, show_date};
use sqlx::any::AnyRow;
use sqlx::{AnyConnection, Row};
use time::Date;

/// Writes down until when casts of a case are kept; with no day nothing is said.
pub async fn set(
    tx: &mut Tx,
    (case, lab): (&CaseNumber, &PartyId),
    until: Option<Date>,
) -> Result<(), StoreError> {
    match until {
        None => {
            sqlx::query("DELETE FROM casts_kept WHERE case_number = $1")
                .bind(case.as_str())
                .execute(tx.conn())
                .await?;
        }
        Some(until) => {
            let done = sqlx::query(
                "INSERT INTO casts_kept (case_number, lab_id, until) VALUES ($1, $2, $3) \
                 ON CONFLICT (case_number) DO UPDATE SET until = excluded.until",
            )
            .bind(case.as_str())
            .bind(lab.as_str())
            .bind(show_date(until))
            .execute(tx.conn())
            .await?;
            one_kept(&done, "until when casts are kept")?;
        }
    }
    Ok(())
}

/// Until when casts of a case are kept, as it is listed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CastsKept {
    pub case: CaseNumber,
    pub lab: PartyId,
    pub until: Date,
}

/// All of them after this case, in the order of their numbers.
pub async fn after(
    conn: &mut AnyConnection,
    case: &str,
    most: i64,
) -> Result<Vec<CastsKept>, StoreError> {
    let sql = "SELECT case_number, lab_id, until FROM casts_kept WHERE case_number > $1 \
               ORDER BY case_number LIMIT $2";
    let rows = sqlx::query(sql)
        .bind(case)
        .bind(most)
        .fetch_all(conn)
        .await?;
    let row = |row: &AnyRow| {
        let (case, until) = one(row)?;
        let lab = id_of(row, "lab_id")?;
        Ok(CastsKept { case, lab, until })
    };
    rows.iter().map(row).collect()
}

/// The cases of a lab whose casts were kept until a day before this one, the earliest first.
pub async fn over(
    conn: &mut AnyConnection,
    lab: &PartyId,
    today: Date,
    most: i64,
) -> Result<Vec<(CaseNumber, Date)>, StoreError> {
    let rows = sqlx::query(
        "SELECT case_number, until FROM casts_kept WHERE lab_id = $1 AND until < $2 ORDER BY until, case_number LIMIT $3",
    )
    .bind(lab.as_str())
    .bind(show_date(today))
    .bind(most)
    .fetch_all(conn)
    .await?;
    rows.iter().map(one).collect()
}

fn one(row: &AnyRow) -> Result<(CaseNumber, Date), StoreError> {
    let (case, until): (&str, &str) = (row.try_get("case_number")?, row.try_get("until")?);
    let bad = |why: &str| StoreError::row("casts_kept", case, why);
    Ok((
        CaseNumber::parse(case).map_err(|why| bad(&why.to_string()))?,
        parse_date(until).map_err(|_| bad("until"))?,
    ))
}
