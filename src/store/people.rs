//! Accounts, one-time links, sessions and wrong passwords.

use super::batch::Tx;
use super::error::StoreError;
use super::rows::{flag, one_row};
use crate::domain::people::account::{Account, Invite};
use crate::domain::people::party::{Paper, Party, Role, Side};
use crate::domain::values::ids::{AccountId, PartyId};
use crate::domain::values::tooth::Numbering;
use sqlx::any::AnyRow;
use sqlx::{AnyConnection, Row};

fn role(row: &AnyRow, table: &'static str, key: &str) -> Result<Role, StoreError> {
    Role::from_word(row.try_get("role")?).ok_or_else(|| StoreError::row(table, key, "role"))
}

fn account(row: &AnyRow) -> Result<Account, StoreError> {
    let id: AccountId = row.try_get("id")?;
    Ok(Account {
        party: row.try_get("party_id")?,
        role: role(row, "account", &id)?,
        login: row.try_get("login")?,
        name: row.try_get("name")?,
        licence: row.try_get("licence")?,
        password: row.try_get("password")?,
        disabled: flag(row, "disabled")?,
        version: row.try_get("version")?,
        id,
    })
}

pub async fn insert_account(tx: &mut Tx, account: &Account) -> Result<(), StoreError> {
    sqlx::query(
        "INSERT INTO account (id, party_id, role, login, name, licence, password, disabled, version) \
         VALUES ($1, $2, $3, $4, $5, $6, $7, 0, 1)",
    )
    .bind(&account.id)
    .bind(&account.party)
    .bind(account.role.word())
    .bind(&account.login)
    .bind(&account.name)
    .bind(&account.licence)
    .bind(&account.password)
    .execute(tx.conn())
    .await?;
    Ok(())
}

/// Writes password, licence and whether the account is disabled.
pub async fn update_account(tx: &mut Tx, account: &Account) -> Result<(), StoreError> {
    let done = sqlx::query(
        "UPDATE account SET password = $1, licence = $2, disabled = $3, version = version + 1 \
         WHERE id = $4 AND version = $5",
    )
    .bind(&account.password)
    .bind(&account.licence)
    .bind(i64::from(account.disabled))
    .bind(&account.id)
    .bind(account.version)
    .execute(tx.conn())
    .await?;
    one_row(&done, "the account")
}

pub async fn account_by_login(
    conn: &mut AnyConnection,
    login: &str,
) -> Result<Option<Account>, StoreError> {
    let row = sqlx::query("SELECT * FROM account WHERE login = $1")
        .bind(login)
        .fetch_optional(conn)
        .await?;
    row.as_ref().map(account).transpose()
}

pub async fn account_by_id(
    conn: &mut AnyConnection,
    id: &AccountId,
) -> Result<Option<Account>, StoreError> {
    let row = sqlx::query("SELECT * FROM account WHERE id = $1")
        .bind(id)
        .fetch_optional(conn)
        .await?;
    row.as_ref().map(account).transpose()
}

/// Everybody, by party and name; bounded like the parties.
pub async fn all_accounts(conn: &mut AnyConnection) -> Result<Vec<Account>, StoreError> {
    let rows = sqlx::query("SELECT * FROM account ORDER BY party_id, name, id LIMIT 2000")
        .fetch_all(conn)
        .await?;
    rows.iter().map(account).collect()
}

/// How many administrators may still sign in.
pub async fn count_administrators(conn: &mut AnyConnection) -> Result<i64, StoreError> {
    let row = sqlx::query(
        "SELECT COUNT(*) AS n FROM account WHERE role = 'administrator' AND disabled = 0",
    )
    .fetch_one(conn)
    .await?;
    Ok(row.try_get("n")?)
}

pub async fn insert_invite(
    tx: &mut Tx,
    secret_hash: &str,
    invite: &Invite,
    made_ms: i64,
) -> Result<(), StoreError> {
    sqlx::query(
        "INSERT INTO invite (secret_hash, party_id, role, name, made_ms, ends_ms, used_ms) \
         VALUES ($1, $2, $3, $4, $5, $6, NULL)",
    )
    .bind(secret_hash)
    .bind(&invite.party)
    .bind(invite.role.word())
    .bind(&invite.name)
    .bind(made_ms)
    .bind(invite.ends_ms)
    .execute(tx.conn())
    .await?;
    Ok(())
}

/// The link with this secret, if nobody used it yet.
pub async fn open_invite(
    conn: &mut AnyConnection,
    secret_hash: &str,
) -> Result<Option<Invite>, StoreError> {
    let row = sqlx::query("SELECT * FROM invite WHERE secret_hash = $1 AND used_ms IS NULL")
        .bind(secret_hash)
        .fetch_optional(conn)
        .await?;
    row.map(|row| {
        Ok(Invite {
            party: row.try_get("party_id")?,
            role: role(&row, "invite", "by hash")?,
            name: row.try_get("name")?,
            ends_ms: row.try_get("ends_ms")?,
        })
    })
    .transpose()
}

/// Spends the link: exactly one of two people who open it at once succeeds.
pub async fn spend_invite(tx: &mut Tx, secret_hash: &str, at_ms: i64) -> Result<(), StoreError> {
    let done =
        sqlx::query("UPDATE invite SET used_ms = $1 WHERE secret_hash = $2 AND used_ms IS NULL")
            .bind(at_ms)
            .bind(secret_hash)
            .execute(tx.conn())
            .await?;
    one_row(&done, "the one-time link")
}

/// Begins a session. A password was typed or chosen just now, so it begins proved.
pub async fn insert_session(
    tx: &mut Tx,
    secret_hash: &str,
    account_id: &AccountId,
    began_ms: i64,
    ends_ms: i64,
) -> Result<(), StoreError> {
    sqlx::query(
        "INSERT INTO session (secret_hash, account_id, began_ms, seen_ms, ends_ms, proved_ms) \
         VALUES ($1, $2, $3, $3, $4, $3)",
    )
    .bind(secret_hash)
    .bind(account_id)
    .bind(began_ms)
    .bind(ends_ms)
    .execute(tx.conn())
    .await?;
    Ok(())
}

/// A session with the account behind it and its party's change counter: one question per request.
pub struct SessionRow {
    pub account: Account,
    pub seen_ms: i64,
    pub ends_ms: i64,
    /// When the password was last typed in this session; 0 is never.
    pub proved_ms: i64,
    pub party: Option<Party>,
    /// Zero where the account has no party.
    pub changes: i64,
    /// The record's newest checkpoint, a signed note; empty before the first leaf.
    pub checkpoint: String,
    /// How many alarms nobody has cleared yet.
    pub alarms: i64,
}

pub async fn session(
    conn: &mut AnyConnection,
    secret_hash: &str,
) -> Result<Option<SessionRow>, StoreError> {
    let row = sqlx::query(
        "SELECT a.*, s.seen_ms, s.ends_ms, s.proved_ms, COALESCE(p.changes, 0) AS changes, p.kind AS p_kind, p.name AS p_name, \
         p.address AS p_address, p.licence AS p_licence, p.telephone AS p_telephone, p.zone AS p_zone, p.paper AS p_paper, \
         p.numbering AS p_numbering, p.profile AS p_profile, p.version AS p_version, h.checkpoint, \
         (SELECT COUNT(*) FROM open_alarm WHERE raised_ms > 0) AS alarms FROM session s \
         JOIN account a ON a.id = s.account_id JOIN record_head h ON h.id = 1 \
         LEFT JOIN party p ON p.id = a.party_id WHERE s.secret_hash = $1",
    )
    .bind(secret_hash)
    .fetch_optional(conn)
    .await?;
    row.map(|row| {
        let account = account(&row)?;
        Ok(SessionRow {
            party: account
                .party
                .as_ref()
                .map(|id| session_party(&row, id))
                .transpose()?,
            account,
            seen_ms: row.try_get("seen_ms")?,
            ends_ms: row.try_get("ends_ms")?,
            proved_ms: row.try_get("proved_ms")?,
            changes: row.try_get("changes")?,
            checkpoint: row.try_get("checkpoint")?,
            alarms: row.try_get("alarms")?,
        })
    })
    .transpose()
}

fn session_party(row: &AnyRow, id: &PartyId) -> Result<Party, StoreError> {
    let bad = |why: &str| StoreError::row("party", id, why);
    Ok(Party {
        id: id.clone(),
        kind: Side::from_word(row.try_get("p_kind")?).ok_or_else(|| bad("kind"))?,
        name: row.try_get("p_name")?,
        address: row.try_get("p_address")?,
        licence: row.try_get("p_licence")?,
        telephone: row.try_get("p_telephone")?,
        zone: row.try_get("p_zone")?,
        paper: Paper::from_word(row.try_get("p_paper")?).ok_or_else(|| bad("paper"))?,
        numbering: Numbering::from_word(row.try_get("p_numbering")?)
            .ok_or_else(|| bad("numbering"))?,
        profile: row.try_get("p_profile")?,
        version: row.try_get("p_version")?,
    })
}

pub async fn touch_session(tx: &mut Tx, secret_hash: &str, seen_ms: i64) -> Result<(), StoreError> {
    sqlx::query("UPDATE session SET seen_ms = $1 WHERE secret_hash = $2")
        .bind(seen_ms)
        .bind(secret_hash)
        .execute(tx.conn())
        .await?;
    Ok(())
}

/// Notes that the password was typed again in this session, and was right.
pub async fn prove_session(
    tx: &mut Tx,
    secret_hash: &str,
    proved_ms: i64,
) -> Result<(), StoreError> {
    sqlx::query("UPDATE session SET proved_ms = $1 WHERE secret_hash = $2")
        .bind(proved_ms)
        .bind(secret_hash)
        .execute(tx.conn())
        .await?;
    Ok(())
}

pub async fn end_session(tx: &mut Tx, secret_hash: &str) -> Result<(), StoreError> {
    sqlx::query("DELETE FROM session WHERE secret_hash = $1")
        .bind(secret_hash)
        .execute(tx.conn())
        .await?;
    Ok(())
}

pub async fn end_sessions_of(tx: &mut Tx, account_id: &AccountId) -> Result<(), StoreError> {
    sqlx::query("DELETE FROM session WHERE account_id = $1")
        .bind(account_id)
        .execute(tx.conn())
        .await?;
    Ok(())
}

/// Forgets sessions and post keys that can never be asked for again.
pub async fn forget_old(tx: &mut Tx, before_ms: i64) -> Result<(), StoreError> {
    sqlx::query("DELETE FROM session WHERE ends_ms < $1")
        .bind(before_ms)
        .execute(tx.conn())
        .await?;
    sqlx::query("DELETE FROM once WHERE at_ms < $1")
        .bind(before_ms)
        .execute(tx.conn())
        .await?;
    Ok(())
}

/// Wrong passwords in a row, and until when the login name stays closed.
pub async fn failures(conn: &mut AnyConnection, login: &str) -> Result<(i64, i64), StoreError> {
    let row = sqlx::query("SELECT count, closed_until_ms FROM sign_in_failure WHERE login = $1")
        .bind(login)
        .fetch_optional(conn)
        .await?;
    match row {
        None => Ok((0, 0)),
        Some(row) => Ok((row.try_get("count")?, row.try_get("closed_until_ms")?)),
    }
}

pub async fn set_failures(
    tx: &mut Tx,
    login: &str,
    count: i64,
    closed_until_ms: i64,
) -> Result<(), StoreError> {
    sqlx::query(
        "INSERT INTO sign_in_failure (login, count, closed_until_ms) VALUES ($1, $2, $3) \
         ON CONFLICT (login) DO UPDATE SET count = excluded.count, closed_until_ms = excluded.closed_until_ms",
    )
    .bind(login)
    .bind(count)
    .bind(closed_until_ms)
    .execute(tx.conn())
    .await?;
    Ok(())
}

/// What an earlier post with this key led to.
pub async fn outcome_of(
    conn: &mut AnyConnection,
    account_id: &AccountId,
    key: &str,
) -> Result<Option<String>, StoreError> {
    let row = sqlx::query("SELECT outcome FROM once WHERE account_id = $1 AND post_key = $2")
        .bind(account_id)
        .bind(key)
        .fetch_optional(conn)
        .await?;
    Ok(row.map(|row| row.try_get("outcome")).transpose()?)
}

/// Notes what this post led to. A second post that is under way fails here on the key, and is retried
/// to find the outcome.
pub async fn note_outcome(
    tx: &mut Tx,
    account_id: &AccountId,
    key: &str,
    outcome: &str,
    at_ms: i64,
) -> Result<(), StoreError> {
    sqlx::query("INSERT INTO once (account_id, post_key, outcome, at_ms) VALUES ($1, $2, $3, $4)")
        .bind(account_id)
        .bind(key)
        .bind(outcome)
        .bind(at_ms)
        .execute(tx.conn())
        .await?;
    Ok(())
}

/// Notes that a repeat of this post led to something else.
pub async fn change_outcome(
    tx: &mut Tx,
    account_id: &AccountId,
    key: &str,
    outcome: &str,
) -> Result<(), StoreError> {
    let done = sqlx::query("UPDATE once SET outcome = $1 WHERE account_id = $2 AND post_key = $3")
        .bind(outcome)
        .bind(account_id)
        .bind(key)
        .execute(tx.conn())
        .await?;
    one_row(&done, "the outcome of the post")
}
