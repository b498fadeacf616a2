//! That the record goes on although something was missing, or from an earlier version: written once.

use super::batch::Tx;
use super::error::StoreError;
use crate::domain::values::ids::AccountId;
use crate::domain::values::words_of;
use sqlx::{AnyConnection, Row};

words_of! {
    /// Why the record went on by somebody's word.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub enum Resumed {
        Upgraded = "taken in from an earlier version",
        Restored = "gone on with although entries were missing",
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
}

/// Writes it down.
pub async fn insert(tx: &mut Tx, row: &ResumptionRow) -> Result<(), StoreError> {
    sqlx::query(
        "INSERT INTO resumption (id, why, signed, found, account_id, name, reason, resumed_ms) \
         VALUES ($1, $2, $3, $4, $5, $6, $7, $8)",
    )
    .bind(&row.id)
    .bind(row.why.word())
    .bind(&row.signed)
    .bind(&row.found)
    .bind(&row.account)
    .bind(&row.name)
    .bind(&row.reason)
    .bind(row.at_ms)
    .execute(tx.conn())
    .await?;
    Ok(())
}

/// The one with this id.
pub async fn find(conn: &mut AnyConnection, id: &str) -> Result<Option<ResumptionRow>, StoreError> {
    let row = sqlx::query("SELECT * FROM resumption WHERE id = $1")
        .bind(id)
        .fetch_optional(conn)
        .await?;
    let Some(row) = row else { return Ok(None) };
    let why = Resumed::from_word(row.try_get("why")?);
    Ok(Some(ResumptionRow {
        why: why.ok_or_else(|| StoreError::row("resumption", id, "why"))?,
        signed: row.try_get("signed")?,
        found: row.try_get("found")?,
        account: row.try_get("account_id")?,
        name: row.try_get("name")?,
        reason: row.try_get("reason")?,
        at_ms: row.try_get("resumed_ms")?,
        id: row.try_get("id")?,
    }))
}
