//! What each side keeps of the record: the checkpoint last seen, the keys of its browsers with what they have
//! cosigned, and the alarms that came up when a kept checkpoint was no longer contained.

use super::batch::Tx;
use super::error::StoreError;
use super::rows::{id_of, id_or_none, one_kept};
use crate::domain::values::ids::{AccountId, PartyId};
use crate::record::witness::Why;
use sqlx::any::AnyRow;
use sqlx::{AnyConnection, Row};

/// The newest checkpoint that somebody of a party was shown.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SeenRow {
    pub party: PartyId,
    pub size: u64,
    /// A signed note.
    pub checkpoint: String,
    pub at_ms: i64,
}

/// A witness's key, and the newest checkpoint that it has cosigned.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KeyRow {
    /// `name+id+base64`
    pub key: String,
    pub party: PartyId,
    /// Who was signed in when it was first used, and when that was.
    pub account: AccountId,
    pub account_name: String,
    pub first_ms: i64,
    /// 0 where what it had cosigned was laid aside with a cleared alarm.
    pub size: u64,
    pub checkpoint: String,
    pub line: String,
    pub at_ms: i64,
}

/// A kept checkpoint that the record does not contain.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AlarmRow {
    pub id: String,
    pub why: Why,
    pub kept: String,
    pub found: String,
    pub party: Option<PartyId>,
    /// Whose browser has found it; `None` where the program itself has.
    pub account: Option<AccountId>,
    pub account_name: String,
    pub at_ms: i64,
}

/// An administrator's word on an alarm.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ClearanceRow {
    pub account: AccountId,
    pub name: String,
    pub sentence: String,
    pub at_ms: i64,
}

/// What a party has seen, with its name.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PartySeen {
    pub party: PartyId,
    pub name: String,
    /// `None` where nobody of it has signed in since there is a record.
    pub seen: Option<(u64, i64)>,
}

fn signed(size: u64) -> Result<i64, StoreError> {
    i64::try_from(size).map_err(|why| StoreError::row("witness", size, why))
}

/// A size that no record has counts for nothing: what decides is the note, `check` names the size beside it, and the
/// next note that is kept writes over it.
fn unsigned(size: i64) -> u64 {
    u64::try_from(size).unwrap_or_default()
}

fn seen_row(row: &AnyRow) -> Result<SeenRow, StoreError> {
    Ok(SeenRow {
        party: id_of(row, "party_id")?,
        size: unsigned(row.try_get("size")?),
        checkpoint: row.try_get("checkpoint")?,
        at_ms: row.try_get("seen_ms")?,
    })
}

pub async fn seen(
    conn: &mut AnyConnection,
    party: &PartyId,
) -> Result<Option<SeenRow>, StoreError> {
    let row = sqlx::query("SELECT * FROM witness WHERE party_id = $1")
        .bind(party.as_str())
        .fetch_optional(conn)
        .await?;
    row.as_ref().map(seen_row).transpose()
}

/// What every party has seen; parties are tens, not thousands.
pub async fn seen_by_all(conn: &mut AnyConnection) -> Result<Vec<SeenRow>, StoreError> {
    let rows = sqlx::query("SELECT * FROM witness WHERE party_id > '' ORDER BY party_id LIMIT 500")
        .fetch_all(conn)
        .await?;
    rows.iter().map(seen_row).collect()
}

/// Keeps what a party was shown. A larger one that another request has kept meanwhile stays.
pub async fn store_seen(tx: &mut Tx, row: &SeenRow) -> Result<(), StoreError> {
    sqlx::query(
        "INSERT INTO witness (party_id, size, checkpoint, seen_ms) VALUES ($1, $2, $3, $4) \
         ON CONFLICT (party_id) DO UPDATE SET size = excluded.size, checkpoint = excluded.checkpoint, \
         seen_ms = excluded.seen_ms WHERE witness.size < excluded.size",
    )
    .bind(row.party.as_str())
    .bind(signed(row.size)?)
    .bind(&row.checkpoint)
    .bind(row.at_ms)
    .execute(tx.conn())
    .await?;
    Ok(())
}

/// Lays aside what a party has kept, once the alarm about it is cleared.
pub async fn drop_seen(tx: &mut Tx, party: &PartyId) -> Result<(), StoreError> {
    sqlx::query("DELETE FROM witness WHERE party_id = $1")
        .bind(party.as_str())
        .execute(tx.conn())
        .await?;
    Ok(())
}

/// A party and those that it shares a case with; all of them for an administrator, who has none.
pub async fn seen_by_partners(
    conn: &mut AnyConnection,
    party: &PartyId,
) -> Result<Vec<PartySeen>, StoreError> {
    let rows = sqlx::query(
        "SELECT p.id, p.name, w.size, w.seen_ms FROM party p LEFT JOIN witness w ON w.party_id = p.id \
         WHERE $1 = '' OR p.id = $1 \
         OR EXISTS (SELECT 1 FROM case_file c WHERE c.office_id = $1 AND c.lab_id = p.id) \
         OR EXISTS (SELECT 1 FROM case_file c WHERE c.office_id = p.id AND c.lab_id = $1) \
         ORDER BY p.kind, p.name LIMIT 500",
    )
    .bind(party.as_str())
    .fetch_all(conn)
    .await?;
    let one = |row: &AnyRow| {
        let size: Option<i64> = row.try_get("size")?;
        Ok(PartySeen {
            party: id_of(row, "id")?,
            name: row.try_get("name")?,
            seen: match size {
                Some(size) => Some((unsigned(size), row.try_get("seen_ms")?)),
                None => None,
            },
        })
    };
    rows.iter().map(one).collect()
}

fn key_row(row: &AnyRow) -> Result<KeyRow, StoreError> {
    Ok(KeyRow {
        key: row.try_get("key")?,
        party: id_of(row, "party_id")?,
        account: id_of(row, "account_id")?,
        account_name: row.try_get("account_name")?,
        first_ms: row.try_get("first_ms")?,
        size: unsigned(row.try_get("size")?),
        checkpoint: row.try_get("checkpoint")?,
        line: row.try_get("line")?,
        at_ms: row.try_get("cosigned_ms")?,
    })
}

/// Browsers of one person that are kept: the oldest gives way.
pub const KEYS_MOST: i64 = 20;

/// Keeps what a key has cosigned; a key not known yet becomes known by it. An older cosignature than the one
/// that is kept changes nothing.
pub async fn store_cosigned(tx: &mut Tx, row: &KeyRow) -> Result<(), StoreError> {
    sqlx::query(
        "INSERT INTO witness_key (key, party_id, account_id, account_name, first_ms, size, checkpoint, line, \
         cosigned_ms) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9) ON CONFLICT (key) DO UPDATE SET \
         size = excluded.size, checkpoint = excluded.checkpoint, line = excluded.line, \
         cosigned_ms = excluded.cosigned_ms WHERE witness_key.size < excluded.size",
    )
    .bind(&row.key)
    .bind(row.party.as_str())
    .bind(row.account.as_str())
    .bind(&row.account_name)
    .bind(row.first_ms)
    .bind(signed(row.size)?)
    .bind(&row.checkpoint)
    .bind(&row.line)
    .bind(row.at_ms)
    .execute(tx.conn())
    .await?;
    // Each look at the record verifies all of them, for everybody.
    sqlx::query(
        "DELETE FROM witness_key WHERE party_id = $1 AND account_id = $2 AND key NOT IN (SELECT key FROM witness_key \
         WHERE party_id = $3 AND account_id = $4 ORDER BY cosigned_ms DESC, key LIMIT $5)",
    )
    .bind(row.party.as_str())
    .bind(row.account.as_str())
    .bind(row.party.as_str())
    .bind(row.account.as_str())
    .bind(KEYS_MOST)
    .execute(tx.conn())
    .await?;
    Ok(())
}

/// Lays aside what a key has cosigned, once the alarm about it is cleared; the alarm holds it.
pub async fn drop_cosigned(tx: &mut Tx, key: &str) -> Result<(), StoreError> {
    sqlx::query("UPDATE witness_key SET size = 0, checkpoint = '', line = '' WHERE key = $1")
        .bind(key)
        .execute(tx.conn())
        .await?;
    Ok(())
}

/// The keys of a party, with the newest cosignature first.
pub async fn keys_of(
    conn: &mut AnyConnection,
    party: &PartyId,
    limit: i64,
) -> Result<Vec<KeyRow>, StoreError> {
    let rows = sqlx::query(
        "SELECT * FROM witness_key WHERE party_id = $1 ORDER BY size DESC, cosigned_ms DESC, key LIMIT $2",
    )
    .bind(party.as_str())
    .bind(limit)
    .fetch_all(conn)
    .await?;
    rows.iter().map(key_row).collect()
}

/// Every key after `key`, in order.
pub async fn keys_after(
    conn: &mut AnyConnection,
    key: &str,
    limit: i64,
) -> Result<Vec<KeyRow>, StoreError> {
    let rows = sqlx::query("SELECT * FROM witness_key WHERE key > $1 ORDER BY key LIMIT $2")
        .bind(key)
        .bind(limit)
        .fetch_all(conn)
        .await?;
    rows.iter().map(key_row).collect()
}

fn alarm_row(row: &AnyRow) -> Result<AlarmRow, StoreError> {
    let id: String = row.try_get("id")?;
    let why = Why::from_word(row.try_get("why")?);
    Ok(AlarmRow {
        why: why.ok_or_else(|| StoreError::row("alarm", &id, "why"))?,
        kept: row.try_get("kept")?,
        found: row.try_get("found")?,
        party: id_or_none(row, "party_id")?,
        account: id_or_none(row, "account_id")?,
        account_name: row.try_get("account_name")?,
        at_ms: row.try_get("raised_ms")?,
        id,
    })
}

/// Writes an alarm down, open, and tells whether it is new. One that is there already stays as it is, cleared
/// or not.
pub async fn raise(tx: &mut Tx, alarm: &AlarmRow) -> Result<bool, StoreError> {
    let done = sqlx::query(
        "INSERT INTO alarm (id, why, kept, found, party_id, account_id, account_name, raised_ms) \
         VALUES ($1, $2, $3, $4, $5, $6, $7, $8) ON CONFLICT (id) DO NOTHING",
    )
    .bind(&alarm.id)
    .bind(alarm.why.word())
    .bind(&alarm.kept)
    .bind(&alarm.found)
    .bind(alarm.party.as_ref().map(PartyId::as_str))
    .bind(alarm.account.as_ref().map(AccountId::as_str))
    .bind(&alarm.account_name)
    .bind(alarm.at_ms)
    .execute(tx.conn())
    .await?;
    let new = done.rows_affected() == 1;
    if new {
        // It stands open already where somebody has taken away the alarm alone, past this program.
        sqlx::query(
            "INSERT INTO open_alarm (raised_ms, alarm_id) VALUES ($1, $2) ON CONFLICT (raised_ms, alarm_id) DO NOTHING",
        )
        .bind(alarm.at_ms)
        .bind(&alarm.id)
        .execute(tx.conn())
        .await?;
    }
    Ok(new)
}

/// Opens an alarm again that somebody has taken away past this program; one that stands open stays as it is.
pub async fn raise_again(tx: &mut Tx, alarm: &AlarmRow) -> Result<(), StoreError> {
    raise(tx, alarm).await?;
    sqlx::query(
        "INSERT INTO open_alarm (raised_ms, alarm_id) SELECT raised_ms, id FROM alarm WHERE id = $1 \
         AND NOT EXISTS (SELECT 1 FROM open_alarm o WHERE o.raised_ms = alarm.raised_ms AND o.alarm_id = $1)",
    )
    .bind(&alarm.id)
    .execute(tx.conn())
    .await?;
    Ok(())
}

/// The alarms that nobody has cleared, oldest first.
pub async fn open_alarms(
    conn: &mut AnyConnection,
    limit: i64,
) -> Result<Vec<AlarmRow>, StoreError> {
    let rows = sqlx::query(
        "SELECT a.* FROM open_alarm o JOIN alarm a ON a.id = o.alarm_id WHERE o.raised_ms > 0 \
         ORDER BY o.raised_ms, o.alarm_id LIMIT $1",
    )
    .bind(limit)
    .fetch_all(conn)
    .await?;
    rows.iter().map(alarm_row).collect()
}

fn clearance_row(row: &AnyRow) -> Result<ClearanceRow, StoreError> {
    Ok(ClearanceRow {
        account: id_of(row, "by_account")?,
        name: row.try_get("by_name")?,
        sentence: row.try_get("sentence")?,
        at_ms: row.try_get("settled_ms")?,
    })
}

/// What cleared an alarm, if anything did.
pub async fn clearance_of(
    conn: &mut AnyConnection,
    alarm: &str,
) -> Result<Option<ClearanceRow>, StoreError> {
    let cleared = cleared_alarm(conn, alarm).await?;
    Ok(cleared.map(|(_, clearance)| clearance))
}

/// A cleared alarm with what cleared it.
pub async fn cleared_alarm(
    conn: &mut AnyConnection,
    alarm: &str,
) -> Result<Option<(AlarmRow, ClearanceRow)>, StoreError> {
    let row = sqlx::query(
        "SELECT a.*, s.account_id AS by_account, s.name AS by_name, s.sentence, s.settled_ms FROM settlement s \
         JOIN alarm a ON a.id = s.alarm_id WHERE s.alarm_id = $1",
    )
    .bind(alarm)
    .fetch_optional(conn)
    .await?;
    let one = |row: AnyRow| Ok((alarm_row(&row)?, clearance_row(&row)?));
    row.map(one).transpose()
}

/// The alarms cleared last, each with what cleared it.
pub async fn cleared_alarms(
    conn: &mut AnyConnection,
    limit: i64,
) -> Result<Vec<(AlarmRow, ClearanceRow)>, StoreError> {
    let rows = sqlx::query(
        "SELECT a.*, s.account_id AS by_account, s.name AS by_name, s.sentence, s.settled_ms FROM settlement s \
         JOIN alarm a ON a.id = s.alarm_id WHERE s.settled_ms > 0 ORDER BY s.settled_ms DESC LIMIT $1",
    )
    .bind(limit)
    .fetch_all(conn)
    .await?;
    let one = |row: &AnyRow| Ok((alarm_row(row)?, clearance_row(row)?));
    rows.iter().map(one).collect()
}

/// Clears an open alarm.
pub async fn clear(
    tx: &mut Tx,
    alarm: &AlarmRow,
    clearance: &ClearanceRow,
) -> Result<(), StoreError> {
    let done = sqlx::query("DELETE FROM open_alarm WHERE raised_ms = $1 AND alarm_id = $2")
        .bind(alarm.at_ms)
        .bind(&alarm.id)
        .execute(tx.conn())
        .await?;
    super::rows::one_row(&done, "the alarm")?;
    let done = sqlx::query(
        "INSERT INTO settlement (alarm_id, account_id, name, sentence, settled_ms) VALUES ($1, $2, $3, $4, $5)",
    )
    .bind(&alarm.id)
    .bind(clearance.account.as_str())
    .bind(&clearance.name)
    .bind(&clearance.sentence)
    .bind(clearance.at_ms)
    .execute(tx.conn())
    .await?;
    one_kept(&done, "the word about the alarm")
}
