//! The bytes of pictures and scans, by case and SHA-256: in a folder beside the file of a database, in a table on a server,
//! where several programs share it. They are laid before the turn to write, so that nobody waits for them, with a note of it
//! before that; their entry takes the note back in its turn, where it looks whether they still lie there. They are taken away
//! in a turn, so that none goes that an entry names.

use super::batch::Tx;
use super::error::StoreError;
use super::picture_folder::PictureFolder;
use crate::domain::values::ids::CaseNumber;
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use sqlx::any::AnyRow;
use sqlx::pool::PoolConnection;
use sqlx::{Any, AnyConnection, Connection as _, Row};
use std::io;
use std::path::PathBuf;
use std::sync::Arc;

/// Where the bytes lie.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Shelf {
    Folder(PictureFolder),
    Table,
}

/// Case and hash of a picture.
pub type PictureKey = (String, String);

/// Works on the folder beside everything else that is going on.
async fn on_disk<T: Send + 'static>(
    folder: PictureFolder,
    work: impl FnOnce(&PictureFolder) -> io::Result<T> + Send + 'static,
) -> Result<T, StoreError> {
    let path = folder.path().to_owned();
    let done = tokio::task::spawn_blocking(move || work(&folder)).await;
    let done = done.unwrap_or_else(|why| Err(io::Error::other(why)));
    done.map_err(|why| of_folder(path, why))
}

fn of_folder(path: PathBuf, why: io::Error) -> StoreError {
    StoreError::Shelf {
        path: path.display().to_string(),
        why,
    }
}

/// Whether an entry names a file: then the folder was there.
async fn names_any(conn: &mut AnyConnection) -> Result<bool, StoreError> {
    let sql = "SELECT id FROM event WHERE kind IN ('pictured', 'scan_filed') LIMIT 1";
    Ok(sqlx::query(sql).fetch_optional(conn).await?.is_some())
}

/// Puts the bytes into the table of a server.
async fn insert(
    conn: &mut AnyConnection,
    (case, hash): (&str, &str),
    bytes: &[u8],
) -> Result<(), StoreError> {
    let sql =
        "INSERT INTO picture (case_number, hash, bytes) VALUES ($1, $2, $3) ON CONFLICT DO NOTHING";
    sqlx::query(sql)
        .bind(case)
        .bind(hash)
        .bind(STANDARD.encode(bytes))
        .execute(conn)
        .await?;
    Ok(())
}

impl Shelf {
    /// Lays the bytes for an entry that is still to be made, after [`note_coming`] was kept and outside of the turn to
    /// write: they are on the disk when this comes back.
    ///
    /// # Errors
    /// If they cannot be written, or the folder is gone that entries name files in.
    pub async fn lay(
        &self,
        mut conn: PoolConnection<Any>,
        (case, hash): (&CaseNumber, &str),
        bytes: Arc<Vec<u8>>,
    ) -> Result<(), StoreError> {
        let (case, hash) = (case.as_str().to_owned(), hash.to_owned());
        match self.clone() {
            Shelf::Folder(folder) => {
                // A folder that was there and is not is no folder to be made again: whoever has moved it has its files.
                if !folder.is_there() {
                    if names_any(&mut conn).await? {
                        return Err(of_folder(folder.path().to_owned(), is_gone()));
                    }
                    on_disk(folder.clone(), PictureFolder::make).await?;
                }
                drop(conn);
                on_disk(folder, move |folder| folder.write(&case, &hash, &bytes)).await
            }
            Shelf::Table => {
                // A server may still be at it when the program has gone. Whoever takes the note back waits for that, by
                // the lock on its row; once it is back, nothing is laid.
                let mut part = conn.begin().await?;
                let sql =
                    "UPDATE picture_coming SET hash = hash WHERE case_number = $1 AND hash = $2";
                let noted = sqlx::query(sql).bind(&case).bind(&hash);
                if noted.execute(&mut *part).await?.rows_affected() == 1 {
                    insert(&mut part, (&case, &hash), &bytes).await?;
                }
                Ok(part.commit().await?)
            }
        }
    }

    /// Keeps what was laid, for the entry of the same transaction that names it: the note goes, and what somebody has taken
    /// away meanwhile is laid once more.
    pub async fn keep(
        &self,
        tx: &mut Tx,
        (case, hash): (&CaseNumber, &str),
        bytes: Arc<Vec<u8>>,
    ) -> Result<(), StoreError> {
        forget_coming(tx, case, hash).await?;
        let (case, hash) = (case.as_str().to_owned(), hash.to_owned());
        match self.clone() {
            Shelf::Folder(folder) => {
                let lay = move |folder: &PictureFolder| match folder.has(
                    &case,
                    &hash,
                    bytes.len() as u64,
                ) {
                    true => Ok(()),
                    false => folder.write(&case, &hash, &bytes),
                };
                on_disk(folder, lay).await
            }
            Shelf::Table => {
                let sql = "SELECT hash FROM picture WHERE case_number = $1 AND hash = $2";
                let found = sqlx::query(sql).bind(&case).bind(&hash);
                match found.fetch_optional(tx.conn()).await? {
                    Some(_) => Ok(()),
                    None => insert(tx.conn(), (&case, &hash), &bytes).await,
                }
            }
        }
    }

    /// Takes away what is half written of these: at a start, when whoever wrote it has gone.
    pub async fn remove_parts(&self, of: Vec<PictureKey>) -> Result<(), StoreError> {
        match self.clone() {
            Shelf::Folder(folder) => on_disk(folder, move |folder| folder.remove_parts(&of)).await,
            // A server takes back what is half written by itself.
            Shelf::Table => Ok(()),
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
            Shelf::Folder(folder) => on_disk(folder, move |folder| folder.read(&case, &hash)).await,
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
            Shelf::Folder(folder) => on_disk(folder, PictureFolder::list).await,
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
            Shelf::Folder(folder) => {
                on_disk(folder, move |folder| folder.remove(&key.0, &key.1)).await?
            }
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

/// What is said of a folder that is not there any more.
fn is_gone() -> io::Error {
    io::Error::new(io::ErrorKind::NotFound, "it is not there")
}

impl Shelf {
    /// The folder that is not there, although entries name files in it; none where all is well.
    pub async fn missing(&self, conn: &mut AnyConnection) -> Result<Option<PathBuf>, StoreError> {
        let folder = match self {
            Shelf::Folder(folder) if !folder.is_there() => folder.path().to_owned(),
            _ => return Ok(None),
        };
        let mut last = None;
        loop {
            let page = entries_after(conn, last.as_ref(), 500).await?;
            if page.is_empty() {
                return Ok(None);
            }
            if page.iter().any(|one| !one.body.contains(ERASED_HASH)) {
                return Ok(Some(folder));
            }
            last = page.into_iter().next_back();
        }
    }
}

/// How an entry names a file that was erased.
const ERASED_HASH: &str = "\"hash\":\"[erased]\"";

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

/// Notes that bytes are laid for an entry that is still to be made: whoever is killed before it is made takes them away at
/// the next start.
pub async fn note_coming(tx: &mut Tx, case: &CaseNumber, hash: &str) -> Result<(), StoreError> {
    sqlx::query(
        "INSERT INTO picture_coming (case_number, hash) VALUES ($1, $2) ON CONFLICT DO NOTHING",
    )
    .bind(case.as_str())
    .bind(hash)
    .execute(tx.conn())
    .await?;
    Ok(())
}

/// Takes that note back: an entry names them, or they are taken away in the same turn.
pub async fn forget_coming(tx: &mut Tx, case: &CaseNumber, hash: &str) -> Result<(), StoreError> {
    sqlx::query("DELETE FROM picture_coming WHERE case_number = $1 AND hash = $2")
        .bind(case.as_str())
        .bind(hash)
        .execute(tx.conn())
        .await?;
    Ok(())
}

/// What is laid at this moment, or was when a program was killed.
pub async fn coming(conn: &mut AnyConnection) -> Result<Vec<PictureKey>, StoreError> {
    let sql = "SELECT case_number, hash FROM picture_coming ORDER BY case_number, hash";
    keys(&sqlx::query(sql).fetch_all(conn).await?)
}

/// Pictures whose bytes are to go.
pub async fn going(conn: &mut AnyConnection) -> Result<Vec<PictureKey>, StoreError> {
    let sql = "SELECT case_number, hash FROM picture_going ORDER BY case_number, hash";
    keys(&sqlx::query(sql).fetch_all(conn).await?)
}

/// A stored entry that adds a picture or a scan.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PictureEntry {
    pub id: String,
    pub at_ms: i64,
    pub case: String,
    pub body: String,
}

/// The stored entries that add pictures and scans, in the order of time, after this one; at most so many.
pub async fn entries_after(
    conn: &mut AnyConnection,
    last: Option<&PictureEntry>,
    at_most: i64,
) -> Result<Vec<PictureEntry>, StoreError> {
    // Each kind has an index of its own in the order of time; both together would be sorted again for each page.
    let sql = "SELECT * FROM (SELECT id, at_ms, case_number, body FROM event WHERE kind = 'pictured' AND at_ms >= $1 \
               AND (at_ms > $1 OR id > $2) ORDER BY at_ms, id LIMIT $3) AS some_pictures \
               UNION ALL \
               SELECT * FROM (SELECT id, at_ms, case_number, body FROM event WHERE kind = 'scan_filed' AND at_ms >= $1 \
               AND (at_ms > $1 OR id > $2) ORDER BY at_ms, id LIMIT $3) AS some_scans \
               ORDER BY at_ms, id LIMIT $3";
    let rows = sqlx::query(sql)
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
