//! The addresses under which calendar programs read the days of a house, one of an account at most.

use super::batch::Tx;
use super::error::StoreError;
use super::rows::{id_of, one_row};
use crate::domain::people::party::Side;
use crate::domain::values::ids::{AccountId, CaseNumber, PartyId};
use sqlx::any::AnyRow;
use sqlx::{AnyConnection, Row};

/// Whose address it is, since when, and what binds it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FeedRow {
    pub account: AccountId,
    /// Its secret itself is kept nowhere.
    pub secret_hash: String,
    pub made_ms: i64,
    pub binding: String,
}

fn feed(row: &AnyRow) -> Result<FeedRow, StoreError> {
    Ok(FeedRow {
        account: id_of(row, "account_id")?,
        secret_hash: row.try_get("secret_hash")?,
        made_ms: row.try_get("made_ms")?,
        binding: row.try_get("binding")?,
    })
}

/// Makes the address of an account; the one before opens nothing any more.
pub async fn set(tx: &mut Tx, row: &FeedRow) -> Result<(), StoreError> {
    let done = sqlx::query(
        "INSERT INTO calendar_feed (account_id, secret_hash, made_ms, binding) VALUES ($1, $2, $3, $4) \
         ON CONFLICT (account_id) DO UPDATE SET secret_hash = excluded.secret_hash, made_ms = excluded.made_ms, \
         binding = excluded.binding",
    )
    .bind(row.account.as_str())
    .bind(&row.secret_hash)
    .bind(row.made_ms)
    .bind(&row.binding)
    .execute(tx.conn())
    .await?;
    one_row(&done, "the address of the calendar")
}

/// Ends the address of an account, if it has one.
pub async fn end(tx: &mut Tx, account: &AccountId) -> Result<(), StoreError> {
    sqlx::query("DELETE FROM calendar_feed WHERE account_id = $1")
        .bind(account.as_str())
        .execute(tx.conn())
        .await?;
    Ok(())
}

/// The address with this secret.
pub async fn by_secret(
    conn: &mut AnyConnection,
    secret_hash: &str,
) -> Result<Option<FeedRow>, StoreError> {
    let row = sqlx::query("SELECT * FROM calendar_feed WHERE secret_hash = $1")
        .bind(secret_hash)
        .fetch_optional(conn)
        .await?;
    row.as_ref().map(feed).transpose()
}

/// The address of an account.
pub async fn of_account(
    conn: &mut AnyConnection,
    account: &AccountId,
) -> Result<Option<FeedRow>, StoreError> {
    let row = sqlx::query("SELECT * FROM calendar_feed WHERE account_id = $1")
        .bind(account.as_str())
        .fetch_optional(conn)
        .await?;
    row.as_ref().map(feed).transpose()
}

/// The open cases of a house, signed or not, those that changed last before the others.
pub async fn open_cases(
    conn: &mut AnyConnection,
    (side, party): (Side, &PartyId),
    limit: i64,
) -> Result<Vec<CaseNumber>, StoreError> {
    let sql = match side {
        Side::Office => {
            "SELECT number FROM case_file WHERE office_id = $1 AND closed = 0 \
             ORDER BY changed_ms DESC, number LIMIT $2"
        }
        Side::Lab => {
            "SELECT number FROM case_file WHERE lab_id = $1 AND closed = 0 \
             ORDER BY changed_ms DESC, number LIMIT $2"
        }
    };
    let rows = sqlx::query(sql)
        .bind(party.as_str())
        .bind(limit)
        .fetch_all(conn)
        .await?;
    let number = |row: &AnyRow| {
        let text: &str = row.try_get("number")?;
        CaseNumber::parse(text).map_err(|why| StoreError::row("case_file", text, why))
    };
    rows.iter().map(number).collect()
}
