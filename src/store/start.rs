//! Whether the database holds what its key has signed, asked before anything is written to it.

use super::connection::{Backend, Connection};
use super::error::StoreError;
use super::head::head;
use super::lack::Lack;
use super::last_signed::LastSigned;
use super::record::{LeafRow, leaves_from, root_at};
use super::resumption::Resumed;
use super::schema::has_table;
use crate::record::checkpoint::{Checkpoint, CheckpointError};
use crate::record::key::Verifier;
use crate::record::note::NoteError;
use serde_json::Value;
use sqlx::Row;

/// What the database lacks, if anything; a database without tables has no entries.
///
/// # Errors
/// If the database cannot be asked.
pub async fn lack(
    conn: &mut Connection,
    backend: Backend,
    last: &LastSigned,
    key: &Verifier,
) -> Result<Option<Lack>, StoreError> {
    if let Some(other) = other_key(conn, backend, key).await? {
        return Ok(Some(other));
    }
    let signed = match last.read(key) {
        Ok(Some((_, signed))) => signed,
        Ok(None) => {
            let path = last.path().display().to_string();
            return Ok(Some(Lack::NoWord { path }));
        }
        Err(why) => return Ok(Some(Lack::Unreadable(why))),
    };
    compare(conn, backend, &signed).await
}

/// Whether the record is signed, and not by this key. A head that cannot be read, or that nobody has signed, is told
/// otherwise.
async fn other_key(
    conn: &mut Connection,
    backend: Backend,
    key: &Verifier,
) -> Result<Option<Lack>, StoreError> {
    if !has_table(conn, backend, "record_head").await? || !has_head(conn).await? {
        return Ok(None);
    }
    let head = match head(conn).await {
        Err(StoreError::Row { .. }) => return Ok(None),
        other => other?,
    };
    let is_of_other = matches!(
        Checkpoint::open(&head.checkpoint, key, &[]),
        Err(CheckpointError::Note(NoteError::NotSigned)
            | CheckpointError::NotSigned
            | CheckpointError::Origin { .. })
    );
    let found = Checkpoint::of_note(&head.checkpoint).filter(|_| is_of_other);
    Ok(found.map(|found| Lack::of_other_key(&found.origin, key)))
}

/// Whether the last entry is the word of somebody who has gone on with an older or another record: then that was broken
/// off before it was written down beside the key.
async fn is_broken_off(conn: &mut Connection, found: u64) -> Result<bool, StoreError> {
    let Some(last) = found.checked_sub(1) else {
        return Ok(false);
    };
    let last = leaves_from(conn, last, 1).await?;
    let is_restored = |leaf: &LeafRow| {
        let body: Value = serde_json::from_str(&leaf.body).unwrap_or_default();
        body.pointer("/resumption/why").and_then(Value::as_str) == Some(Resumed::Restored.word())
    };
    Ok(last.first().is_some_and(is_restored))
}

/// The same against a checkpoint that was read before.
pub(super) async fn compare(
    conn: &mut Connection,
    backend: Backend,
    signed: &Checkpoint,
) -> Result<Option<Lack>, StoreError> {
    let size = signed.size;
    if !has_table(conn, backend, "record_head").await? {
        return Ok((size > 0).then_some(Lack::NoDatabase { signed: size }));
    }
    if !has_head(conn).await? {
        return Ok((size > 0).then_some(Lack::NoHead { signed: size }));
    }
    let found = match head(conn).await {
        Ok(head) => head.frontier.size(),
        Err(StoreError::Row { .. }) => return Ok(Some(Lack::Rewritten { signed: size })),
        Err(other) => return Err(other),
    };
    let broken_off = Lack::BrokenOff {
        signed: size,
        found,
    };
    match found {
        0 if size > 0 => {
            return Ok(Some(match has_leaves(conn).await? {
                true => Lack::NoHead { signed: size },
                false => Lack::NoDatabase { signed: size },
            }));
        }
        _ if found < size => {
            if is_broken_off(conn, found).await? {
                return Ok(Some(broken_off));
            }
            return Ok(Some(Lack::Shorter {
                signed: size,
                found,
            }));
        }
        _ => {}
    }
    if size == 0 {
        return Ok(None);
    }
    match root_at(conn, size).await {
        Ok(root) if root == signed.root => Ok(None),
        Ok(_) if is_broken_off(conn, found).await? => Ok(Some(broken_off)),
        Ok(_) | Err(StoreError::Row { .. }) => Ok(Some(Lack::Rewritten { signed: size })),
        Err(other) => Err(other),
    }
}

/// Whether the table of the head has its one row.
async fn has_head(conn: &mut Connection) -> Result<bool, StoreError> {
    let row = sqlx::query("SELECT COUNT(*) AS n FROM record_head WHERE id = 1")
        .fetch_one(conn)
        .await?;
    Ok(row.try_get::<i64, _>("n")? > 0)
}

/// Whether there is any leaf of the record.
async fn has_leaves(conn: &mut Connection) -> Result<bool, StoreError> {
    let row = sqlx::query("SELECT number FROM leaf WHERE number >= $1 ORDER BY number LIMIT 1")
        .bind(0_i64)
        .fetch_optional(conn)
        .await?;
    Ok(row.is_some())
}
