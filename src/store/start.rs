//! Whether the database holds what its key has signed, asked before anything is written to it.

use super::connection::{Backend, Connection};
use super::error::StoreError;
use super::head::head;
use super::lack::Lack;
use super::last_signed::LastSigned;
use super::record::root_at;
use super::schema::has_table;
use crate::record::checkpoint::Checkpoint;
use crate::record::key::Verifier;
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

async fn compare(
    conn: &mut Connection,
    backend: Backend,
    signed: &Checkpoint,
) -> Result<Option<Lack>, StoreError> {
    let size = signed.size;
    if !has_record(conn, backend).await? {
        return Ok((size > 0).then_some(Lack::NoDatabase { signed: size }));
    }
    let found = match head(conn).await {
        Ok(head) => head.frontier.size(),
        Err(StoreError::Row { .. }) => return Ok(Some(Lack::Rewritten { signed: size })),
        Err(other) => return Err(other),
    };
    match found {
        0 if size > 0 => return Ok(Some(Lack::NoDatabase { signed: size })),
        _ if found < size => {
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
        Ok(_) | Err(StoreError::Row { .. }) => Ok(Some(Lack::Rewritten { signed: size })),
        Err(other) => Err(other),
    }
}

/// Whether there is a table of the record: there is none in a new file, nor in one that was emptied.
async fn has_record(conn: &mut Connection, backend: Backend) -> Result<bool, StoreError> {
    if !has_table(conn, backend, "record_head").await? {
        return Ok(false);
    }
    let row = sqlx::query("SELECT COUNT(*) AS n FROM record_head WHERE id = 1")
        .fetch_one(conn)
        .await?;
    Ok(row.try_get::<i64, _>("n")? > 0)
}
