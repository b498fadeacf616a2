//! The only room that knows a database. SQLite in a file by default, PostgreSQL by URL, one SQL text.
//!
//! Rows are private to their file and turned into domain values on the way out; a row that cannot be
//! one is reported with its table and key, never repaired in silence. Whoever writes holds a [`Tx`]:
//! nothing it did is there until `commit`.

mod batch;
mod guards;

pub mod cases;
pub mod custody;
pub mod drafts;
pub mod lists;
pub mod parties;
pub mod people;
pub mod record;
pub mod reference;
pub mod revisions;
pub mod witness;

pub use batch::Tx;
use sqlx::any::{AnyPoolOptions, AnyRow};

use crate::record::key::{Signer, Verifier};
use batch::Writer;
use sqlx::{Any, AnyConnection, AnyPool, Row};
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

/// Which database answers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Backend {
    Sqlite,
    Postgres,
}

/// An open connection, as the functions of this room take it.
pub type Connection = AnyConnection;

/// What can go wrong below the rules.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    #[error("the database address {0:?} is neither sqlite: nor postgres:")]
    Address(String),
    #[error("database: {0}")]
    Database(#[from] sqlx::Error),
    #[error("migration: {0}")]
    Migration(#[from] sqlx::migrate::MigrateError),
    /// Stored data that no version of this program writes.
    #[error("table {table}, row {key}: {why}")]
    Row {
        table: &'static str,
        key: String,
        why: String,
    },
    /// Somebody else wrote the same row first.
    #[error("{0} has changed meanwhile")]
    Stale(&'static str),
    /// The transaction that this action shared with others could not be kept.
    #[error("the database could not keep what was written: {why}")]
    Lost { why: String, passing: bool },
    /// The record is not what its checkpoint says.
    #[error("the record in this database is not in order: {0}. Nothing was changed.")]
    Record(String),
    /// Another attempt of the same post has just been written; the next attempt finds its outcome.
    #[error("the same post is being written at this moment")]
    Again,
    #[error("the database keeps commits in memory only: PRAGMA synchronous is {0}, not 2 (FULL)")]
    NotDurable(i64),
}

impl StoreError {
    /// Whether the same transaction may succeed if tried again: a serialisation failure, a deadlock,
    /// SQLite being busy, or a connection that ended before the commit was asked for.
    pub fn is_passing(&self) -> bool {
        if let StoreError::Again | StoreError::Lost { passing: true, .. } = self {
            return true;
        }
        if self.is_of_connection() {
            return true;
        }
        let StoreError::Database(sqlx::Error::Database(error)) = self else {
            return false;
        };
        // PostgreSQL's SQLSTATE words, and SQLite's result codes 5 (busy), 261, 517 and 6 (locked).
        matches!(
            error.code().as_deref(),
            Some("40001" | "40P01" | "5" | "6" | "261" | "517")
        )
    }

    /// Whether the connection has ended, or the server stops or is only starting: a new one may be had.
    pub fn is_of_connection(&self) -> bool {
        match self {
            StoreError::Database(sqlx::Error::Io(_) | sqlx::Error::WorkerCrashed) => true,
            // SQLSTATE class 08, and 57P01 to 57P03: admin_shutdown, crash_shutdown, cannot_connect_now.
            StoreError::Database(sqlx::Error::Database(error)) => {
                let code = error.code().unwrap_or_default();
                // SQLite's own codes are numbers without a leading zero.
                (code.len() == 5 && code.starts_with("08"))
                    || matches!(&*code, "57P01" | "57P02" | "57P03")
            }
            _ => false,
        }
    }

    /// Whether a unique key refused the row.
    pub fn is_duplicate(&self) -> bool {
        matches!(self, StoreError::Database(sqlx::Error::Database(error)) if error.is_unique_violation())
    }

    pub(crate) fn row(table: &'static str, key: impl ToString, why: impl ToString) -> StoreError {
        StoreError::Row {
            table,
            key: key.to_string(),
            why: why.to_string(),
        }
    }
}

/// How long it takes until a log that somebody still reads is tried again to be emptied.
const FLUSH_AGAIN: std::time::Duration = std::time::Duration::from_secs(1);
/// How long the first try waits for readers: longer than a page takes, in milliseconds.
const FLUSH_WAIT: u32 = 200;

/// An open database.
#[derive(Debug, Clone)]
pub struct Store {
    pool: AnyPool,
    backend: Backend,
    writer: Writer,
    /// Whether somebody tries again and again to empty the log.
    flushing: Arc<AtomicBool>,
}

impl Store {
    /// The address of the SQLite file at `path`.
    pub fn sqlite_address(path: &Path) -> String {
        // `#`, `?` and `%` would be read as parts of an address.
        let text = path
            .to_string_lossy()
            .replace('%', "%25")
            .replace('?', "%3F")
            .replace('#', "%23");
        format!("sqlite://{text}?mode=rwc")
    }

    /// Opens the database at `address` (`sqlite://…` or `postgres://…`) and brings its tables up to date.
    /// What is appended to the record is signed with `key`.
    ///
    /// # Errors
    /// Also if the record there does not fit its checkpoint, or another key has signed it: nothing is written
    /// on top of a record that is in doubt.
    pub async fn open(address: &str, key: Signer) -> Result<Store, StoreError> {
        let store = Store::connect(address, key).await?;
        sqlx::migrate!("./migrations").run(&store.pool).await?;
        guards::install(&store).await?;
        store.refuse_unless_durable().await?;
        let fault = record::head_fault(&mut *store.read().await?, store.key()).await?;
        match fault {
            Some(fault) => Err(StoreError::Record(fault)),
            None => {
                // Somebody may have been killed between erasing and this.
                store.flush_erased().await?;
                Ok(store)
            }
        }
    }

    /// Opens the database for looking at it only: nothing is brought up to date, and a record in doubt is
    /// no reason not to look.
    pub async fn look_at(address: &str, key: Signer) -> Result<Store, StoreError> {
        Store::connect(&address.replace("?mode=rwc", "?mode=rw"), key).await
    }

    async fn connect(address: &str, key: Signer) -> Result<Store, StoreError> {
        let backend = match address.split(':').next() {
            Some("sqlite") => Backend::Sqlite,
            Some("postgres" | "postgresql") => Backend::Postgres,
            _ => {
                return Err(StoreError::Address(
                    address.split("://").next().unwrap_or_default().to_owned(),
                ));
            }
        };
        sqlx::any::install_default_drivers();
        let pool = AnyPoolOptions::new()
            .max_connections(match backend {
                // Readers only; more would compete with the writer for two cores.
                Backend::Sqlite => 8,
                Backend::Postgres => 20,
            })
            // A file does not hang up; a server may, and is asked each time whether it is still there.
            .test_before_acquire(backend == Backend::Postgres)
            .after_connect(|conn, _| Box::pin(prepare_connection(conn)))
            .connect(address)
            .await?;
        Ok(Store {
            pool,
            backend,
            writer: Writer::new(address, backend, Arc::new(key)),
            flushing: Arc::default(),
        })
    }

    pub fn backend(&self) -> Backend {
        self.backend
    }

    /// The key that checkpoints are checked with.
    pub fn key(&self) -> &Verifier {
        self.writer.key()
    }

    /// The signed note of an earlier size of the record, for a proof that leads there. It is signed only if
    /// the record of now has grown from it.
    pub async fn checkpoint_at(
        &self,
        conn: &mut Connection,
        size: u64,
    ) -> Result<Option<String>, StoreError> {
        record::checkpoint_at(conn, self.writer.signer(), size).await
    }

    /// A connection for reading.
    pub async fn read(&self) -> Result<sqlx::pool::PoolConnection<Any>, StoreError> {
        Ok(self.pool.acquire().await?)
    }

    /// A connection for reading everything: it sees the database as it is at this moment, whatever is written
    /// meanwhile, and keeps more of it at hand than pages need. It is closed when it is dropped.
    pub async fn snapshot(&self) -> Result<sqlx::pool::PoolConnection<Any>, StoreError> {
        let mut conn = self.read().await?;
        conn.close_on_drop();
        const FIRST: &str = "SELECT size FROM record_head WHERE id = 1";
        // 64 MB at hand. What is begun sees what its first question sees.
        let begin: &[&'static str] = match self.backend {
            Backend::Sqlite => &["PRAGMA cache_size = -65536", "BEGIN", FIRST],
            Backend::Postgres => &["BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY", FIRST],
        };
        for sql in begin.iter().copied() {
            sqlx::query(sql).fetch_all(&mut *conn).await?;
        }
        Ok(conn)
    }

    /// Waits for its turn and begins to write; see [`batch`].
    pub async fn begin(&self) -> Result<Tx, StoreError> {
        self.writer.begin().await
    }

    pub async fn close(&self) {
        self.writer.close().await;
        self.pool.close().await;
    }

    /// Whether the database answers.
    pub async fn ping(&self) -> Result<(), StoreError> {
        let mut conn = self.read().await?;
        sqlx::query("SELECT 1").fetch_one(&mut *conn).await?;
        Ok(())
    }

    /// What the database itself finds wrong with its file; PostgreSQL looks after its own.
    pub async fn damage(&self, conn: &mut Connection) -> Result<Vec<String>, StoreError> {
        if self.backend == Backend::Postgres {
            return Ok(Vec::new());
        }
        let rows = sqlx::query("PRAGMA integrity_check")
            .fetch_all(conn)
            .await?;
        let lines = rows.iter().map(|row| row.try_get(0));
        let lines: Vec<String> = lines.collect::<Result<_, _>>()?;
        Ok(lines.into_iter().filter(|line| line != "ok").collect())
    }

    /// Takes what has been erased out of the write-ahead log as well. While somebody reads, that has to wait,
    /// and is tried again until it is done; a program that is killed meanwhile does it at its next start.
    /// PostgreSQL does it when it vacuums, and keeps its own log as long as it is told to.
    pub async fn flush_erased(&self) -> Result<(), StoreError> {
        if self.backend == Backend::Postgres || self.truncate_log(FLUSH_WAIT).await? {
            return Ok(());
        }
        // One tries for all: each try holds the others up.
        if self.flushing.swap(true, Ordering::SeqCst) {
            return Ok(());
        }
        let store = self.clone();
        tokio::spawn(async move {
            loop {
                tokio::time::sleep(FLUSH_AGAIN).await;
                // Whatever is erased from here on is not in this try.
                store.flushing.store(false, Ordering::SeqCst);
                match store.truncate_log(0).await {
                    Ok(false) if !store.flushing.swap(true, Ordering::SeqCst) => {}
                    // Done, or somebody else tries now; or closed, and closing has done it.
                    Ok(_) | Err(_) => return,
                }
            }
        });
        Ok(())
    }

    /// Writes the log into the file and empties it; answers with whether nobody stood in the way. For readers it
    /// waits `wait_ms` milliseconds, and whoever writes waits along.
    async fn truncate_log(&self, wait_ms: u32) -> Result<bool, StoreError> {
        let mut conn = self.read().await?;
        conn.close_on_drop();
        let wait = format!("PRAGMA busy_timeout = {wait_ms}");
        sqlx::query(sqlx::AssertSqlSafe(wait))
            .execute(&mut *conn)
            .await?;
        let row = sqlx::query("PRAGMA wal_checkpoint(TRUNCATE)")
            .fetch_one(&mut *conn)
            .await;
        match row.map_err(StoreError::from) {
            Ok(row) => Ok(row.try_get::<i64, _>(0)? == 0),
            Err(error) if error.is_passing() => Ok(false),
            Err(error) => Err(error),
        }
    }

    /// A handoff that was acknowledged must survive a power cut, so SQLite has to flush each commit.
    async fn refuse_unless_durable(&self) -> Result<(), StoreError> {
        if self.backend == Backend::Sqlite {
            let mut conn = self.read().await?;
            let row = sqlx::query("PRAGMA synchronous")
                .fetch_one(&mut *conn)
                .await?;
            let synchronous: i64 = row.try_get(0)?;
            if synchronous != 2 {
                return Err(StoreError::NotDurable(synchronous));
            }
        }
        Ok(())
    }
}

/// What every connection needs before its first use; SQLite forgets these with each connection.
async fn prepare_connection(conn: &mut AnyConnection) -> Result<(), sqlx::Error> {
    if conn.backend_name().eq_ignore_ascii_case("sqlite") {
        for pragma in [
            "PRAGMA journal_mode = WAL",
            "PRAGMA synchronous = FULL",
            "PRAGMA foreign_keys = ON",
            "PRAGMA busy_timeout = 5000",
            "PRAGMA temp_store = MEMORY",
            // What is erased is overwritten in the file too.
            "PRAGMA secure_delete = ON",
        ] {
            sqlx::query(pragma).execute(&mut *conn).await?;
        }
    }
    Ok(())
}

/// Runs a write until it succeeds or fails for good: serialisation failures are part of the contract
/// with PostgreSQL, and the attempt leaves nothing behind.
pub async fn retry<T, E, F, Fut>(attempt: F) -> Result<T, E>
where
    F: Fn() -> Fut + Send,
    Fut: Future<Output = Result<T, E>> + Send,
    E: AsStoreError + Send,
    T: Send,
{
    /// Ten tries with doubling pauses from 2 ms wait two seconds in all: longer than any write here takes.
    const TRIES: u32 = 10;
    for number in 0..TRIES {
        match attempt().await {
            Err(error) if error.as_store_error().is_some_and(StoreError::is_passing) => {
                tokio::time::sleep(std::time::Duration::from_millis(2 << number)).await;
            }
            outcome => return outcome,
        }
    }
    attempt().await
}

/// An error that may have come from the store.
pub trait AsStoreError {
    fn as_store_error(&self) -> Option<&StoreError>;
}

impl AsStoreError for StoreError {
    fn as_store_error(&self) -> Option<&StoreError> {
        Some(self)
    }
}

/// Exactly one row was to be written; none means that somebody else was faster.
pub(crate) fn one_row(
    done: &sqlx::any::AnyQueryResult,
    what: &'static str,
) -> Result<(), StoreError> {
    if done.rows_affected() == 1 {
        Ok(())
    } else {
        Err(StoreError::Stale(what))
    }
}

/// A yes or no kept as 1 or 0.
pub(crate) fn flag(row: &AnyRow, column: &str) -> Result<bool, StoreError> {
    Ok(row.try_get::<i64, _>(column)? != 0)
}
