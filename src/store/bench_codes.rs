//! The devices at the benches of a lab, the short codes of its people, and wrong codes.

use super::batch::Tx;
use super::error::StoreError;
use super::rows::{id_of, one_kept, one_row};
use crate::domain::values::ids::{AccountId, DeviceId, PartyId};
use sqlx::any::AnyRow;
use sqlx::{AnyConnection, Row};

/// A device that a manager of the lab has allowed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DeviceRow {
    pub id: DeviceId,
    pub secret_hash: String,
    pub party: PartyId,
    pub name: String,
    /// Printed name of who allowed it.
    pub by_name: String,
    pub allowed_ms: i64,
    /// When somebody last came in on it by a code; 0 is never.
    pub used_ms: i64,
    /// 0 where it is still allowed.
    pub taken_back_ms: i64,
    /// What only the program can have written beside it.
    pub binding: String,
}

/// Somebody's code, as it is stored.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CodeRow {
    pub account: AccountId,
    /// Printed name of whose it is.
    pub name: String,
    /// Of the account, as it is now.
    pub version: i64,
    pub hash: String,
    /// What only the program can have written beside it.
    pub binding: String,
}

fn device(row: &AnyRow) -> Result<DeviceRow, StoreError> {
    Ok(DeviceRow {
        id: id_of(row, "id")?,
        secret_hash: row.try_get("secret_hash")?,
        party: id_of(row, "party_id")?,
        name: row.try_get("name")?,
        by_name: row.try_get("by_name")?,
        allowed_ms: row.try_get("allowed_ms")?,
        used_ms: row.try_get("used_ms")?,
        taken_back_ms: row.try_get("taken_back_ms")?,
        binding: row.try_get("binding")?,
    })
}

fn code(row: &AnyRow) -> Result<CodeRow, StoreError> {
    Ok(CodeRow {
        account: id_of(row, "account_id")?,
        name: row.try_get("name")?,
        version: row.try_get("version")?,
        hash: row.try_get("hash")?,
        binding: row.try_get("binding")?,
    })
}

/// Allows a device, by the hash of its secret.
pub async fn insert_device(tx: &mut Tx, device: &DeviceRow) -> Result<(), StoreError> {
    let done = sqlx::query(
        "INSERT INTO bench_device (id, secret_hash, party_id, name, by_name, allowed_ms, used_ms, taken_back_ms, binding) \
         VALUES ($1, $2, $3, $4, $5, $6, 0, 0, $7)",
    )
    .bind(device.id.as_str())
    .bind(&device.secret_hash)
    .bind(device.party.as_str())
    .bind(&device.name)
    .bind(&device.by_name)
    .bind(device.allowed_ms)
    .bind(&device.binding)
    .execute(tx.conn())
    .await?;
    one_kept(&done, "the device")
}

/// The device with this secret, if it is still allowed.
pub async fn allowed_device(
    conn: &mut AnyConnection,
    secret_hash: &str,
) -> Result<Option<DeviceRow>, StoreError> {
    let sql = "SELECT * FROM bench_device WHERE secret_hash = $1 AND taken_back_ms = 0";
    let row = sqlx::query(sql)
        .bind(secret_hash)
        .fetch_optional(conn)
        .await?;
    row.as_ref().map(device).transpose()
}

/// The devices of a lab, taken back or not, the newest first; bounded, since a lab has a few.
pub async fn devices_of(
    conn: &mut AnyConnection,
    party: &PartyId,
) -> Result<Vec<DeviceRow>, StoreError> {
    let sql =
        "SELECT * FROM bench_device WHERE party_id = $1 ORDER BY allowed_ms DESC, id LIMIT 200";
    let rows = sqlx::query(sql)
        .bind(party.as_str())
        .fetch_all(conn)
        .await?;
    rows.iter().map(device).collect()
}

/// All devices that are allowed, by the id after this one; bounded.
pub async fn devices_after(
    conn: &mut AnyConnection,
    after: &str,
    limit: i64,
) -> Result<Vec<DeviceRow>, StoreError> {
    let sql = "SELECT * FROM bench_device WHERE id > $1 AND taken_back_ms = 0 ORDER BY id LIMIT $2";
    let rows = sqlx::query(sql)
        .bind(after)
        .bind(limit)
        .fetch_all(conn)
        .await?;
    rows.iter().map(device).collect()
}

/// Takes a device of this lab back, and ends whatever was begun on it by a code.
pub async fn take_back(
    tx: &mut Tx,
    id: &DeviceId,
    party: &PartyId,
    at_ms: i64,
) -> Result<(), StoreError> {
    let done = sqlx::query(
        "UPDATE bench_device SET taken_back_ms = $1, binding = '' WHERE id = $2 AND party_id = $3 AND taken_back_ms = 0",
    )
    .bind(at_ms)
    .bind(id.as_str())
    .bind(party.as_str())
    .execute(tx.conn())
    .await?;
    one_row(&done, "the device")?;
    sqlx::query("DELETE FROM session WHERE device_id = $1")
        .bind(id.as_str())
        .execute(tx.conn())
        .await?;
    Ok(())
}

/// Notes that somebody came in on a device by a code.
pub async fn note_use(tx: &mut Tx, id: &DeviceId, at_ms: i64) -> Result<(), StoreError> {
    sqlx::query("UPDATE bench_device SET used_ms = $1 WHERE id = $2")
        .bind(at_ms)
        .bind(id.as_str())
        .execute(tx.conn())
        .await?;
    Ok(())
}

/// Sets the code of an account, and ends what was begun by the one before.
pub async fn set_code(
    tx: &mut Tx,
    account: &AccountId,
    (hash, binding): (&str, &str),
    at_ms: i64,
) -> Result<(), StoreError> {
    let done = sqlx::query(
        "INSERT INTO bench_code (account_id, hash, set_ms, binding) VALUES ($1, $2, $3, $4) ON CONFLICT (account_id) \
         DO UPDATE SET hash = excluded.hash, set_ms = excluded.set_ms, binding = excluded.binding",
    )
    .bind(account.as_str())
    .bind(hash)
    .bind(at_ms)
    .bind(binding)
    .execute(tx.conn())
    .await?;
    one_kept(&done, "the code")?;
    end_by_code(tx, account).await
}

/// Takes the code of an account away.
pub async fn drop_code(tx: &mut Tx, account: &AccountId) -> Result<(), StoreError> {
    sqlx::query("DELETE FROM bench_code WHERE account_id = $1")
        .bind(account.as_str())
        .execute(tx.conn())
        .await?;
    end_by_code(tx, account).await
}

/// The hashes of the secrets of the sessions that somebody has begun by a code.
pub async fn begun_by_code(
    conn: &mut AnyConnection,
    account: &AccountId,
) -> Result<Vec<String>, StoreError> {
    let sql = "SELECT secret_hash FROM session WHERE account_id = $1 AND device_id <> ''";
    let rows = sqlx::query(sql)
        .bind(account.as_str())
        .fetch_all(conn)
        .await?;
    let hash = |row: &AnyRow| row.try_get("secret_hash").ok();
    Ok(rows.iter().filter_map(hash).collect())
}

async fn end_by_code(tx: &mut Tx, account: &AccountId) -> Result<(), StoreError> {
    for sql in [
        "DELETE FROM session WHERE account_id = $1 AND device_id <> ''",
        "DELETE FROM bench_code_wrong WHERE account_id = $1",
    ] {
        sqlx::query(sql)
            .bind(account.as_str())
            .execute(tx.conn())
            .await?;
    }
    Ok(())
}

/// An account's code; none where it has set none.
pub async fn code_of(
    conn: &mut AnyConnection,
    account: &AccountId,
) -> Result<Option<CodeRow>, StoreError> {
    let row = sqlx::query(
        "SELECT c.account_id, c.hash, c.binding, a.name, a.version FROM bench_code c \
         JOIN account a ON a.id = c.account_id WHERE c.account_id = $1",
    )
    .bind(account.as_str())
    .fetch_optional(conn)
    .await?;
    row.as_ref().map(code).transpose()
}

/// Those of a lab who have a code and may sign in, by name.
pub async fn people_with_code(
    conn: &mut AnyConnection,
    party: &PartyId,
) -> Result<Vec<CodeRow>, StoreError> {
    let rows = sqlx::query(
        "SELECT c.account_id, c.hash, c.binding, a.name, a.version FROM account a \
         JOIN bench_code c ON c.account_id = a.id WHERE a.party_id = $1 AND a.disabled = 0 ORDER BY a.name, a.id LIMIT 100",
    )
    .bind(party.as_str())
    .fetch_all(conn)
    .await?;
    rows.iter().map(code).collect()
}

/// All codes, by the account after this one; bounded.
pub async fn codes_after(
    conn: &mut AnyConnection,
    after: &str,
    limit: i64,
) -> Result<Vec<CodeRow>, StoreError> {
    let rows = sqlx::query(
        "SELECT c.account_id, c.hash, c.binding, a.name, a.version FROM bench_code c \
         JOIN account a ON a.id = c.account_id WHERE c.account_id > $1 ORDER BY c.account_id LIMIT $2",
    )
    .bind(after)
    .bind(limit)
    .fetch_all(conn)
    .await?;
    rows.iter().map(code).collect()
}

/// Wrong codes in a row of a person on a device.
pub async fn wrong_codes(
    conn: &mut AnyConnection,
    account: &AccountId,
    device: &DeviceId,
) -> Result<i64, StoreError> {
    let sql = "SELECT count FROM bench_code_wrong WHERE account_id = $1 AND device_id = $2";
    let row = sqlx::query(sql)
        .bind(account.as_str())
        .bind(device.as_str())
        .fetch_optional(conn)
        .await?;
    Ok(row
        .map(|row| row.try_get("count"))
        .transpose()?
        .unwrap_or(0))
}

/// Writes down how many codes in a row were wrong.
pub async fn set_wrong_codes(
    tx: &mut Tx,
    account: &AccountId,
    device: &DeviceId,
    count: i64,
) -> Result<(), StoreError> {
    let done = sqlx::query(
        "INSERT INTO bench_code_wrong (account_id, device_id, count) VALUES ($1, $2, $3) \
         ON CONFLICT (account_id, device_id) DO UPDATE SET count = excluded.count",
    )
    .bind(account.as_str())
    .bind(device.as_str())
    .bind(count)
    .execute(tx.conn())
    .await?;
    one_kept(&done, "the number of wrong codes")
}

/// Begins to count again for somebody who has typed the password on the device with this secret.
pub async fn forget_wrong_codes(
    tx: &mut Tx,
    account: &AccountId,
    secret_hash: &str,
) -> Result<(), StoreError> {
    sqlx::query(
        "DELETE FROM bench_code_wrong WHERE account_id = $1 AND device_id IN \
         (SELECT id FROM bench_device WHERE secret_hash = $2)",
    )
    .bind(account.as_str())
    .bind(secret_hash)
    .execute(tx.conn())
    .await?;
    Ok(())
}
