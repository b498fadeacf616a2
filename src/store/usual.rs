//! Sets of usual values, each with all its versions. A version is a row that is written once; the highest is in force.

use super::batch::Tx;
use super::error::StoreError;
use super::rows::{id_of, one_kept};
use crate::domain::values::ids::{AccountId, PartyId};
use sqlx::any::AnyRow;
use sqlx::{AnyConnection, Row};

/// Sets in force that one question answers with: of two houses, each of which has a few.
const MOST: i64 = 200;

/// One version of a set.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct UsualRow {
    pub id: String,
    pub version: i64,
    pub party: PartyId,
    /// As it is stored; empty where the set was ended.
    pub text: String,
    pub account: AccountId,
    /// Printed name of whoever made it.
    pub name: String,
    pub at_ms: i64,
}

fn row(row: &AnyRow) -> Result<UsualRow, StoreError> {
    Ok(UsualRow {
        id: row.try_get("id")?,
        version: row.try_get("version")?,
        party: id_of(row, "party_id")?,
        text: row.try_get("text")?,
        account: id_of(row, "account_id")?,
        name: row.try_get("account_name")?,
        at_ms: row.try_get("at_ms")?,
    })
}

/// Adds a version; one that is there already was made by somebody else meanwhile.
pub async fn insert(tx: &mut Tx, version: &UsualRow) -> Result<(), StoreError> {
    let done = sqlx::query(
        "INSERT INTO usual_set (id, version, party_id, text, account_id, account_name, at_ms) \
         VALUES ($1, $2, $3, $4, $5, $6, $7)",
    )
    .bind(&version.id)
    .bind(version.version)
    .bind(version.party.as_str())
    .bind(&version.text)
    .bind(version.account.as_str())
    .bind(&version.name)
    .bind(version.at_ms)
    .execute(tx.conn())
    .await?;
    one_kept(&done, "the usual set")
}

/// One version.
pub async fn find(
    conn: &mut AnyConnection,
    id: &str,
    version: i64,
) -> Result<Option<UsualRow>, StoreError> {
    let found = sqlx::query("SELECT * FROM usual_set WHERE id = $1 AND version = $2")
        .bind(id)
        .bind(version)
        .fetch_optional(conn)
        .await?;
    found.as_ref().map(row).transpose()
}

/// The version in force.
pub async fn newest(conn: &mut AnyConnection, id: &str) -> Result<Option<UsualRow>, StoreError> {
    let found = sqlx::query("SELECT * FROM usual_set WHERE id = $1 ORDER BY version DESC LIMIT 1")
        .bind(id)
        .fetch_optional(conn)
        .await?;
    found.as_ref().map(row).transpose()
}

/// All versions of a set, in order.
pub async fn versions(conn: &mut AnyConnection, id: &str) -> Result<Vec<UsualRow>, StoreError> {
    let rows = sqlx::query("SELECT * FROM usual_set WHERE id = $1 ORDER BY version")
        .bind(id)
        .fetch_all(conn)
        .await?;
    rows.iter().map(row).collect()
}

/// The sets of two houses, or of one named twice, each in its newest version, ended ones too.
pub async fn of_parties(
    conn: &mut AnyConnection,
    one: &PartyId,
    other: &PartyId,
) -> Result<Vec<UsualRow>, StoreError> {
    let rows = sqlx::query(
        "SELECT * FROM usual_set WHERE party_id IN ($1, $2) AND version = \
         (SELECT MAX(version) FROM usual_set AS later WHERE later.id = usual_set.id) ORDER BY id LIMIT $3",
    )
    .bind(one.as_str())
    .bind(other.as_str())
    .bind(MOST)
    .fetch_all(conn)
    .await?;
    rows.iter().map(row).collect()
}
