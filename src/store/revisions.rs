//! Signed revisions and their acknowledgements: written once.

use super::batch::Tx;
use super::error::StoreError;
use super::rows::{id_of, one_kept};
use crate::domain::prescription::revision::{Acknowledgement, Revision, Signature, document_hash};
use crate::domain::values::ids::CaseNumber;
use crate::domain::values::moment::Moment;
use sqlx::any::AnyRow;
use sqlx::{AnyConnection, Row};

pub async fn insert(tx: &mut Tx, revision: &Revision) -> Result<(), StoreError> {
    let done = sqlx::query(
        "INSERT INTO revision (case_number, number, document, hash, signer_account, signer_name, signer_licence, \
         meaning, signed_ms, offset_min) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10)",
    )
    .bind(revision.case.as_str())
    .bind(revision.number)
    .bind(&revision.document)
    .bind(&revision.hash)
    .bind(revision.signature.account.as_str())
    .bind(&revision.signature.name)
    .bind(&revision.signature.licence)
    .bind(&revision.signature.meaning)
    .bind(revision.signature.at.unix_ms)
    .bind(i64::from(revision.signature.at.offset_min))
    .execute(tx.conn())
    .await?;
    one_kept(&done, "the prescription")
}

fn moment(row: &AnyRow, ms: &str) -> Result<Moment, StoreError> {
    let offset: i64 = row.try_get("offset_min")?;
    let offset = i16::try_from(offset).map_err(|why| StoreError::row("revision", offset, why))?;
    Ok(Moment::new(row.try_get(ms)?, offset))
}

/// Reads a row, and refuses one whose text no longer fits the hash it was signed with.
fn revision(row: &AnyRow, case: &CaseNumber) -> Result<Revision, StoreError> {
    let revision = Revision {
        case: case.clone(),
        number: row.try_get("number")?,
        document: row.try_get("document")?,
        hash: row.try_get("hash")?,
        signature: Signature {
            account: id_of(row, "signer_account")?,
            name: row.try_get("signer_name")?,
            licence: row.try_get("signer_licence")?,
            meaning: row.try_get("meaning")?,
            at: moment(row, "signed_ms")?,
        },
    };
    if document_hash(&revision.document) != revision.hash {
        let key = format!("{case} revision {}", revision.number);
        return Err(StoreError::row(
            "revision",
            key,
            "the text does not fit the hash it was signed with",
        ));
    }
    Ok(revision)
}

pub async fn find(
    conn: &mut AnyConnection,
    case: &CaseNumber,
    number: i64,
) -> Result<Option<Revision>, StoreError> {
    let row = sqlx::query("SELECT * FROM revision WHERE case_number = $1 AND number = $2")
        .bind(case.as_str())
        .bind(number)
        .fetch_optional(conn)
        .await?;
    row.as_ref().map(|row| revision(row, case)).transpose()
}

/// What is newest of a case.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct NewestRevision {
    /// The number of the newest revision; 0 where there is none.
    pub signed: i64,
    /// The same of those that the lab has acknowledged.
    pub acknowledged: i64,
    /// How many leaves the record has of its revisions.
    pub leaves: i64,
}

/// Asks all of it at once: each page of a case does.
pub async fn newest(
    conn: &mut AnyConnection,
    case: &CaseNumber,
) -> Result<NewestRevision, StoreError> {
    let row = sqlx::query(
        "SELECT COALESCE((SELECT MAX(number) FROM revision WHERE case_number = $1), 0) AS signed, \
         COALESCE((SELECT MAX(revision) FROM acknowledgement WHERE case_number = $1), 0) AS acknowledged, \
         (SELECT COUNT(*) FROM leaf WHERE case_number = $1 AND kind = 'revision') AS leaves",
    )
    .bind(case.as_str())
    .fetch_one(conn)
    .await?;
    Ok(NewestRevision {
        signed: row.try_get("signed")?,
        acknowledged: row.try_get("acknowledged")?,
        leaves: row.try_get("leaves")?,
    })
}

/// All revisions of a case, oldest first.
pub async fn of_case(
    conn: &mut AnyConnection,
    case: &CaseNumber,
) -> Result<Vec<Revision>, StoreError> {
    let rows = sqlx::query("SELECT * FROM revision WHERE case_number = $1 ORDER BY number")
        .bind(case.as_str())
        .fetch_all(conn)
        .await?;
    rows.iter().map(|row| revision(row, case)).collect()
}

/// The revisions of the cases with a number after `range.0` and up to `range.1`, oldest first in each case.
pub async fn between(
    conn: &mut AnyConnection,
    range: (&str, &str),
) -> Result<Vec<Revision>, StoreError> {
    let rows = sqlx::query(
        "SELECT * FROM revision WHERE case_number > $1 AND case_number <= $2 ORDER BY case_number, number",
    )
    .bind(range.0)
    .bind(range.1)
    .fetch_all(conn)
    .await?;
    let one = |row: &AnyRow| {
        let case: String = row.try_get("case_number")?;
        let number =
            CaseNumber::parse(&case).map_err(|why| StoreError::row("revision", &case, why))?;
        revision(row, &number)
    };
    rows.iter().map(one).collect()
}

pub async fn insert_acknowledgement(
    tx: &mut Tx,
    case: &CaseNumber,
    acknowledgement: &Acknowledgement,
) -> Result<(), StoreError> {
    let done = sqlx::query(
        "INSERT INTO acknowledgement (case_number, revision, account_id, name, at_ms, offset_min) \
         VALUES ($1, $2, $3, $4, $5, $6)",
    )
    .bind(case.as_str())
    .bind(acknowledgement.revision)
    .bind(acknowledgement.account.as_str())
    .bind(&acknowledgement.name)
    .bind(acknowledgement.at.unix_ms)
    .bind(i64::from(acknowledgement.at.offset_min))
    .execute(tx.conn())
    .await?;
    one_kept(&done, "the acknowledgement")
}

pub async fn acknowledgements(
    conn: &mut AnyConnection,
    case: &CaseNumber,
) -> Result<Vec<Acknowledgement>, StoreError> {
    let rows =
        sqlx::query("SELECT * FROM acknowledgement WHERE case_number = $1 ORDER BY revision")
            .bind(case.as_str())
            .fetch_all(conn)
            .await?;
    rows.iter().map(acknowledgement).collect()
}

/// The acknowledgements of the cases with a number after `range.0` and up to `range.1`, each with its case.
pub async fn acknowledgements_between(
    conn: &mut AnyConnection,
    range: (&str, &str),
) -> Result<Vec<(String, Acknowledgement)>, StoreError> {
    let rows = sqlx::query(
        "SELECT * FROM acknowledgement WHERE case_number > $1 AND case_number <= $2 ORDER BY case_number, revision",
    )
    .bind(range.0)
    .bind(range.1)
    .fetch_all(conn)
    .await?;
    let one = |row: &AnyRow| Ok((row.try_get("case_number")?, acknowledgement(row)?));
    rows.iter().map(one).collect()
}

/// The acknowledgement of one revision.
pub async fn find_acknowledgement(
    conn: &mut AnyConnection,
    case: &CaseNumber,
    revision: i64,
) -> Result<Option<Acknowledgement>, StoreError> {
    let row = sqlx::query("SELECT * FROM acknowledgement WHERE case_number = $1 AND revision = $2")
        .bind(case.as_str())
        .bind(revision)
        .fetch_optional(conn)
        .await?;
    row.as_ref().map(acknowledgement).transpose()
}

fn acknowledgement(row: &AnyRow) -> Result<Acknowledgement, StoreError> {
    Ok(Acknowledgement {
        revision: row.try_get("revision")?,
        account: id_of(row, "account_id")?,
        name: row.try_get("name")?,
        at: moment(row, "at_ms")?,
    })
}
