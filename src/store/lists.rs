//! Lists that parties have loaded, each with all its versions.

use super::batch::Tx;
use super::error::StoreError;
use super::rows::{id_of, one_kept, one_row};
use crate::domain::trade::lists::ListKind;
use crate::domain::values::ids::{AccountId, PartyId};
use sqlx::any::AnyRow;
use sqlx::{AnyConnection, Row};

/// A list and the version of it that is in force.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PartyList {
    pub id: String,
    pub party: PartyId,
    pub kind: ListKind,
    /// Of a guide; empty for a lab's one mould list.
    pub name: String,
    pub version: i64,
    /// Entries in force; 0 once it is out of use.
    pub entries: i64,
}

/// One version of a list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Version {
    pub list: String,
    pub version: i64,
    /// As loaded; empty where the list was taken out of use. Left empty where versions are only listed.
    pub text: String,
    pub entries: i64,
    pub account: AccountId,
    /// Printed name of whoever loaded it.
    pub name: String,
    pub at_ms: i64,
}

fn list(row: &AnyRow) -> Result<PartyList, StoreError> {
    let id: String = row.try_get("id")?;
    Ok(PartyList {
        kind: ListKind::from_word(row.try_get("kind")?)
            .ok_or_else(|| StoreError::row("party_list", &id, "kind"))?,
        party: id_of(row, "party_id")?,
        name: row.try_get("name")?,
        version: row.try_get("version")?,
        entries: row.try_get("entries")?,
        id,
    })
}

/// How often lists of a kind were loaded, by all houses: another number says that one of them is another.
pub async fn loads(conn: &mut AnyConnection, kind: ListKind) -> Result<i64, StoreError> {
    let row = sqlx::query(
        "SELECT CAST(COALESCE(SUM(version), 0) AS BIGINT) AS n FROM party_list WHERE kind = $1",
    )
    .bind(kind.word())
    .fetch_one(conn)
    .await?;
    Ok(row.try_get("n")?)
}

fn version(row: &AnyRow) -> Result<Version, StoreError> {
    Ok(Version {
        list: row.try_get("list_id")?,
        version: row.try_get("version")?,
        text: row.try_get("text")?,
        entries: row.try_get("entries")?,
        account: id_of(row, "account_id")?,
        name: row.try_get("account_name")?,
        at_ms: row.try_get("at_ms")?,
    })
}

pub async fn insert(tx: &mut Tx, list: &PartyList) -> Result<(), StoreError> {
    let done = sqlx::query(
        "INSERT INTO party_list (id, party_id, kind, name, version, entries) VALUES ($1, $2, $3, $4, $5, $6)",
    )
    .bind(&list.id)
    .bind(list.party.as_str())
    .bind(list.kind.word())
    .bind(&list.name)
    .bind(list.version)
    .bind(list.entries)
    .execute(tx.conn())
    .await?;
    one_kept(&done, "the list")
}

/// Puts the next version in force; `list.version` is the version that was read, one more is stored.
pub async fn update(tx: &mut Tx, list: &PartyList) -> Result<(), StoreError> {
    let done = sqlx::query(
        "UPDATE party_list SET version = version + 1, entries = $1 WHERE id = $2 AND version = $3",
    )
    .bind(list.entries)
    .bind(&list.id)
    .bind(list.version)
    .execute(tx.conn())
    .await?;
    one_row(&done, "the list")
}

pub async fn insert_version(tx: &mut Tx, version: &Version) -> Result<(), StoreError> {
    let done = sqlx::query(
        "INSERT INTO party_list_version (list_id, version, text, entries, account_id, account_name, at_ms) \
         VALUES ($1, $2, $3, $4, $5, $6, $7)",
    )
    .bind(&version.list)
    .bind(version.version)
    .bind(&version.text)
    .bind(version.entries)
    .bind(version.account.as_str())
    .bind(&version.name)
    .bind(version.at_ms)
    .execute(tx.conn())
    .await?;
    one_kept(&done, "the version of the list")
}

pub async fn find(conn: &mut AnyConnection, id: &str) -> Result<Option<PartyList>, StoreError> {
    let row = sqlx::query("SELECT * FROM party_list WHERE id = $1")
        .bind(id)
        .fetch_optional(conn)
        .await?;
    row.as_ref().map(list).transpose()
}

/// All lists of a party, in use or not, by kind and name. A party has a few; the use case bounds them.
pub async fn of_party(
    conn: &mut AnyConnection,
    party: &PartyId,
) -> Result<Vec<PartyList>, StoreError> {
    let rows =
        sqlx::query("SELECT * FROM party_list WHERE party_id = $1 ORDER BY kind, name LIMIT 100")
            .bind(party.as_str())
            .fetch_all(conn)
            .await?;
    rows.iter().map(list).collect()
}

/// The lists of the two parties of a case, in use or not, by kind and name.
pub async fn of_parties(
    conn: &mut AnyConnection,
    office: &PartyId,
    lab: &PartyId,
) -> Result<Vec<PartyList>, StoreError> {
    let rows = sqlx::query(
        "SELECT * FROM party_list WHERE party_id IN ($1, $2) ORDER BY kind, name LIMIT 200",
    )
    .bind(office.as_str())
    .bind(lab.as_str())
    .fetch_all(conn)
    .await?;
    rows.iter().map(list).collect()
}

/// One version with its text.
pub async fn find_version(
    conn: &mut AnyConnection,
    id: &str,
    number: i64,
) -> Result<Option<Version>, StoreError> {
    let row = sqlx::query("SELECT * FROM party_list_version WHERE list_id = $1 AND version = $2")
        .bind(id)
        .bind(number)
        .fetch_optional(conn)
        .await?;
    row.as_ref().map(version).transpose()
}

/// The numbers of all versions of a list, in order.
pub async fn version_numbers(conn: &mut AnyConnection, id: &str) -> Result<Vec<i64>, StoreError> {
    let rows =
        sqlx::query("SELECT version FROM party_list_version WHERE list_id = $1 ORDER BY version")
            .bind(id)
            .fetch_all(conn)
            .await?;
    let one = |row: &AnyRow| Ok(row.try_get("version")?);
    rows.iter().map(one).collect()
}

/// The newest versions of a list without their texts, newest first.
pub async fn versions(conn: &mut AnyConnection, id: &str) -> Result<Vec<Version>, StoreError> {
    let rows = sqlx::query(
        "SELECT list_id, version, '' AS text, entries, account_id, account_name, at_ms FROM party_list_version \
         WHERE list_id = $1 ORDER BY version DESC LIMIT 50",
    )
    .bind(id)
    .fetch_all(conn)
    .await?;
    rows.iter().map(version).collect()
}
