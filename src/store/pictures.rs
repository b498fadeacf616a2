//! The bytes of pictures, by case and SHA-256: in a folder beside the file of a database, in a table on a server, where
//! several programs share it. Both are written and taken away in the turn to write, so that none goes that an entry names.

use super::batch::Tx;
use super::error::StoreError;
use super::picture_folder::PictureFolder;
use crate::domain::values::ids::CaseNumber;
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use sqlx::any::AnyRow;
use sqlx::{AnyConnection, Row};
use std::io;

/// Where the bytes lie.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Shelf {
    Folder(PictureFolder),
    Table,
}

/// Case and hash of a picture.
pub type PictureKey = (String, String);

/// Works on the disk beside everything else that is going on.
async fn on_disk<T: Send + 'static>(
    work: impl FnOnce() -> io::Result<T> + Send + 'static,
) -> Result<T, StoreError> {
    let done = tokio::task::spawn_blocking(work).await;
    let done = done.unwrap_or_else(|why| Err(io::Error::other(why)));
    done.map_err(|why| StoreError::Database(sqlx::Error::Io(why)))
}

impl Shelf {
    /// Keeps a picture, for the entry of the same transaction that names it: in a folder it is on the disk when this
    /// comes back.
    pub async fn keep(
        &self,
        tx: &mut Tx,
        (case, hash): (&CaseNumber, &str),
        bytes: Vec<u8>,
    ) -> Result<(), StoreError> {
        let (case, hash) = (case.as_str().to_owned(), hash.to_owned());
        match self.clone() {
            Shelf::Folder(folder) => on_disk(move || folder.write(&case, &hash, &bytes)).await,
            Shelf::Table => {
                sqlx::query(
                    "INSERT INTO picture (case_number, hash, bytes) VALUES ($1, $2, $3) ON CONFLICT DO NOTHING",
                )
                .bind(case)
                .bind(hash)
                .bind(STANDARD.encode(&bytes))
                .execute(tx.conn())
                .await?;
                Ok(())
            }
        }
    }

    /// The bytes of a picture, if they are there.
    pub async fn read(
        &self,
        conn: &mut AnyConnection,
        (case, hash): (&str, &str),
    ) -> Result<Option<Vec<u8>>, StoreError> {
        let (case, hash) = (case.to_owned(), hash.to_owned());
        match self.clone() {
            Shelf::Folder(folder) => on_disk(move || folder.read(&case, &hash)).await,
            Shelf::Table => {
                let row =
                    sqlx::query("SELECT bytes FROM picture WHERE case_number = $1 AND hash = $2")
                        .bind(&case)
                        .bind(&hash)
                        .fetch_optional(conn)
                        .await?;
                let Some(row) = row else { return Ok(None) };
                let text: String = row.try_get("bytes")?;
                let bytes = STANDARD.decode(text);
                let bytes = bytes.map_err(|why| StoreError::row("picture", &hash, why))?;
                Ok(Some(bytes))
            }
        }
    }

    /// Case and hash of every picture that lies there, and the names of all else.
    pub async fn list(
        &self,
        conn: &mut AnyConnection,
    ) -> Result<(Vec<PictureKey>, Vec<String>), StoreError> {
        match self.clone() {
            Shelf::Folder(folder) => on_disk(move || folder.list()).await,
            Shelf::Table => {
                let sql = "SELECT case_number, hash FROM picture ORDER BY case_number, hash";
                let rows = sqlx::query(sql).fetch_all(conn).await?;
                Ok((keys(&rows)?, Vec::new()))
            }
        }
    }

    /// Takes a picture away for good, in the turn to write, and what says that it is to go with it. `is_named` is
    /// whether an entry still names it: then it stays.
    pub async fn take_away(
        &self,
        tx: &mut Tx,
        (case, hash): (&CaseNumber, &str),
        is_named: bool,
    ) -> Result<(), StoreError> {
        let key = (case.as_str().to_owned(), hash.to_owned());
        match self.clone() {
            _ if is_named => {}
            Shelf::Folder(folder) => on_disk(move || folder.remove(&key.0, &key.1)).await?,
            Shelf::Table => {
                sqlx::query("DELETE FROM picture WHERE case_number = $1 AND hash = $2")
                    .bind(&key.0)
                    .bind(&key.1)
                    .execute(tx.conn())
                    .await?;
            }
        }
        sqlx::query("DELETE FROM picture_going WHERE case_number = $1 AND hash = $2")
            .bind(case.as_str())
            .bind(hash)
            .execute(tx.conn())
            .await?;
        Ok(())
    }
}

fn keys(rows: &[AnyRow]) -> Result<Vec<PictureKey>, StoreError> {
    let key = |row: &AnyRow| Ok((row.try_get("case_number")?, row.try_get("hash")?));
    rows.iter().map(key).collect()
}

/// Notes, with the erasing of its entry, that a picture's bytes are to go: whoever is killed before they have gone takes
/// them away at the next start.
pub async fn note_going(tx: &mut Tx, case: &CaseNumber, hash: &str) -> Result<(), StoreError> {
    sqlx::query(
        "INSERT INTO picture_going (case_number, hash) VALUES ($1, $2) ON CONFLICT DO NOTHING",
    )
    .bind(case.as_str())
    .bind(hash)
    .execute(tx.conn())
    .await?;
    Ok(())
}

/// Pictures whose bytes are to go.
pub async fn going(conn: &mut AnyConnection) -> Result<Vec<PictureKey>, StoreError> {
    let sql = "SELECT case_number, hash FROM picture_going ORDER BY case_number, hash";
    keys(&sqlx::query(sql).fetch_all(conn).await?)
}

/// A stored entry that adds a picture.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PictureEntry {
    pub id: String,
    pub at_ms: i64,
    pub case: String,
    pub body: String,
}

/// The stored entries that add pictures, in the order of time, after this one; at most so many.
pub async fn entries_after(
    conn: &mut AnyConnection,
    last: Option<&PictureEntry>,
    at_most: i64,
) -> Result<Vec<PictureEntry>, StoreError> {
    let rows = sqlx::query(
        "SELECT id, at_ms, case_number, body FROM event WHERE kind = 'pictured' AND at_ms >= $1 \
         AND (at_ms > $1 OR id > $2) ORDER BY at_ms, id LIMIT $3",
    )
    .bind(last.map_or(i64::MIN, |one| one.at_ms))
    .bind(last.map_or("", |one| one.id.as_str()))
    .bind(at_most)
    .fetch_all(conn)
    .await?;
    let entry = |row: &AnyRow| {
        Ok(PictureEntry {
            id: row.try_get("id")?,
            at_ms: row.try_get("at_ms")?,
            case: row.try_get("case_number")?,
            body: row.try_get("body")?,
        })
    };
    rows.iter().map(entry).collect()
}
