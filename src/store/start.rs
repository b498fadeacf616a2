//! Whether the database holds what its key has signed, asked before anything is written to it.

use super::connection::{Backend, Connection};
use super::error::StoreError;
use super::head::head;
use super::last_signed::{LastError, LastSigned};
use super::record::root_at;
use crate::record::checkpoint::Checkpoint;
use crate::record::key::Verifier;
use sqlx::Row;

/// What the database lacks of what its key has signed.
#[derive(Debug, thiserror::Error)]
pub enum Lack {
    /// There is a key, and no word of how far it has signed.
    #[error(
        "there is no {path}, which says how far this key has signed. If the key was copied here, copy that file \
         along. If the installation is of an earlier version, take it in with `vestibule upgrade`. If the file is lost, \
         an administrator can go on with `vestibule restore`, which is entered in the record"
    )]
    NoWord { path: String },
    #[error(transparent)]
    Unreadable(#[from] LastError),
    #[error(
        "there is no database, or an empty one, and this key has signed {signed} entries. Put the database back where \
         it was, or a backup of it; to begin anew, use another folder and another key"
    )]
    NoDatabase { signed: u64 },
    #[error(
        "the database holds {found} entries of the record, and this key has signed {signed}: {} are missing. Put the \
         newer database back. If there is none, an administrator can go on with this one by `vestibule restore`, which is \
         entered in the record and raises an alarm", signed - found
    )]
    Shorter { signed: u64, found: u64 },
    #[error(
        "the first {signed} entries of the record in this database are not those that this key has signed: it was \
         rewritten, or it is another one. Put the right database back. If there is none, an administrator can go on with \
         this one by `vestibule restore`, which is entered in the record and raises an alarm"
    )]
    Rewritten { signed: u64 },
}

impl Lack {
    /// Whether an administrator may go on all the same: there is a record to go on with.
    pub fn may_be_restored(&self) -> bool {
        match self {
            Lack::NoWord { .. } | Lack::Shorter { .. } | Lack::Rewritten { .. } => true,
            Lack::Unreadable(why) => matches!(why, LastError::Unsigned { .. }),
            Lack::NoDatabase { .. } => false,
        }
    }
}

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
    let sql = match backend {
        Backend::Sqlite => "SELECT COUNT(*) AS n FROM sqlite_master WHERE name = 'record_head'",
        Backend::Postgres => {
            "SELECT COUNT(*) AS n FROM information_schema.tables WHERE table_schema = current_schema() \
             AND table_name = 'record_head'"
        }
    };
    let row = sqlx::query(sql).fetch_one(&mut *conn).await?;
    let tables: i64 = row.try_get("n")?;
    if tables == 0 {
        return Ok(false);
    }
    let row = sqlx::query("SELECT COUNT(*) AS n FROM record_head WHERE id = 1")
        .fetch_one(conn)
        .await?;
    Ok(row.try_get::<i64, _>("n")? > 0)
}
