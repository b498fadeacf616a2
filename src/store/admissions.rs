//! Who was let in, or was made a way in for, and by whom: written once.

use super::batch::Tx;
use super::error::StoreError;
use super::rows::{id_of, id_or_none, one_kept};
use crate::domain::people::party::Role;
use crate::domain::values::ids::{AccountId, PartyId};
use crate::domain::values::words_of;
use sqlx::any::AnyRow;
use sqlx::{AnyConnection, Row};

words_of! {
    /// What an administrator did about the door.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub enum Admitted {
        Invited = "invited by a one-time link",
        NewPassword = "given a link for a new password",
        /// By whoever runs the program, where its key lies.
        AtTheMachine = "given a link for a new password at the machine that runs the program",
        Revoked = "one-time link made void",
        /// After having been shut out.
        LetInAgain = "let in again",
    }
}

/// One such word.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AdmissionRow {
    pub id: String,
    pub what: Admitted,
    /// None where it is about an administrator.
    pub party: Option<PartyId>,
    pub role: Role,
    /// Of whoever is let in.
    pub name: String,
    /// Whose password is replaced.
    pub account: Option<AccountId>,
    /// The admission whose link is void from now on.
    pub link: Option<String>,
    pub by: AccountId,
    pub by_name: String,
    pub at_ms: i64,
}

pub async fn insert(tx: &mut Tx, row: &AdmissionRow) -> Result<(), StoreError> {
    let done = sqlx::query(
        "INSERT INTO admission (id, what, party_id, role, name, account_id, link_id, by_account, by_name, at_ms) \
         VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10)",
    )
    .bind(&row.id)
    .bind(row.what.word())
    .bind(row.party.as_ref().map_or("", PartyId::as_str))
    .bind(row.role.word())
    .bind(&row.name)
    .bind(row.account.as_ref().map(AccountId::as_str))
    .bind(&row.link)
    .bind(row.by.as_str())
    .bind(&row.by_name)
    .bind(row.at_ms)
    .execute(tx.conn())
    .await?;
    one_kept(&done, "the word of who is let in")
}

fn admission(row: &AnyRow) -> Result<AdmissionRow, StoreError> {
    let id: String = row.try_get("id")?;
    let what = Admitted::from_word(row.try_get("what")?);
    let role = Role::from_word(row.try_get("role")?);
    Ok(AdmissionRow {
        what: what.ok_or_else(|| StoreError::row("admission", &id, "what"))?,
        role: role.ok_or_else(|| StoreError::row("admission", &id, "role"))?,
        party: Some(id_of(row, "party_id")?).filter(|id: &PartyId| !id.as_str().is_empty()),
        name: row.try_get("name")?,
        account: id_or_none(row, "account_id")?,
        link: row.try_get("link_id")?,
        by: id_of(row, "by_account")?,
        by_name: row.try_get("by_name")?,
        at_ms: row.try_get("at_ms")?,
        id,
    })
}

/// The one with this id.
pub async fn find(conn: &mut AnyConnection, id: &str) -> Result<Option<AdmissionRow>, StoreError> {
    let row = sqlx::query("SELECT * FROM admission WHERE id = $1")
        .bind(id)
        .fetch_optional(conn)
        .await?;
    row.as_ref().map(admission).transpose()
}

/// The newest of a party, or of the administrators, each or why its row cannot be read.
pub async fn of_party(
    conn: &mut AnyConnection,
    party: Option<&PartyId>,
    limit: i64,
) -> Result<Vec<Result<AdmissionRow, StoreError>>, StoreError> {
    let rows =
        sqlx::query("SELECT * FROM admission WHERE party_id = $1 ORDER BY at_ms DESC, id LIMIT $2")
            .bind(party.map_or("", PartyId::as_str))
            .bind(limit)
            .fetch_all(conn)
            .await?;
    Ok(rows.iter().map(admission).collect())
}

/// Notes that somebody has read all of them that are not newer than this.
pub async fn note_seen(tx: &mut Tx, account: &AccountId, at_ms: i64) -> Result<(), StoreError> {
    sqlx::query(
        "INSERT INTO admission_seen (account_id, at_ms) VALUES ($1, $2) \
         ON CONFLICT (account_id) DO UPDATE SET at_ms = excluded.at_ms",
    )
    .bind(account.as_str())
    .bind(at_ms)
    .execute(tx.conn())
    .await?;
    Ok(())
}
