//! The open database: one pool for readers, one writer, and writes that are tried again.

use super::batch::{FILED_AT_ONCE, Tx, Writer};
use super::comparing::{Compare, NotCompared};
use super::connection::{Backend, Connection, file_of, prepare_connection, prepare_read_only};
use super::ended_file::EndedFile;
use super::error::{AsStoreError, StoreError};
use super::head::{Head, head};
use super::lack::Lack;
use super::last_signed::LastSigned;
use super::picture_folder::PictureFolder;
use super::pictures::Shelf;
use super::start;
use super::trust::Trust;
use super::unsigned::{self, Unsigned};
use super::{guards, record, schema};
use crate::files::refuse_other_than_file;
use crate::record::checkpoint::Checkpoint;
use crate::record::hash::Hash;
use crate::record::key::{Signer, Verifier};
use sqlx::any::AnyPoolOptions;
use sqlx::migrate::MigrateError;
use sqlx::{Any, AnyPool, Connection as _, Row};
use std::io::Write;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, PoisonError};

/// How long it takes until a log that somebody still reads is tried again to be emptied.
const FLUSH_AGAIN: std::time::Duration = std::time::Duration::from_secs(1);
/// How long the first try waits for readers: longer than a page takes, in milliseconds.
const FLUSH_WAIT: u32 = 200;

/// Tables of which lists are drawn. What is asked by its case is held against the record with it.
const IN_LISTS: [&str; 9] = [
    "case_file",
    "patient",
    "passed_work",
    "casts_kept",
    "papers_kept",
    "party_list",
    "usual_set",
    "account",
    "admission",
];

/// An open database.
#[derive(Debug, Clone)]
pub struct Store {
    pool: AnyPool,
    backend: Backend,
    writer: Writer,
    /// Whether somebody tries again and again to empty the log.
    flushing: Arc<AtomicBool>,
    /// What of the tables was not as this program makes them when somebody looked last.
    unlike: Arc<Mutex<Vec<String>>>,
    purpose: Purpose,
}

/// How PostgreSQL lets all that is read be of one moment.
const AT_ONE_MOMENT: &str = "BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY";

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
        let store = Store::connect(address, key, None, Purpose::Write).await?;
        Store::bring_up(store, Compare::First).await
    }

    /// The same, after the database has been held against what its key has signed: nothing is written to one that
    /// lacks any of it. From here on `last` follows every commit.
    ///
    /// # Errors
    /// [`StoreError::Lacks`], with what is to be done.
    pub async fn open_signed(
        address: &str,
        key: Signer,
        last: LastSigned,
    ) -> Result<Store, StoreError> {
        Store::open_comparing(address, key, last, Compare::First).await
    }

    /// The same, saying when its leaves are compared with what they are found under.
    pub async fn open_comparing(
        address: &str,
        key: Signer,
        last: LastSigned,
        compare: Compare,
    ) -> Result<Store, StoreError> {
        refuse_missing_file(address, &last, key.verifier())?;
        let store = Store::connect(address, key, Some(last), Purpose::Write).await?;
        if let Some(lack) = store.lack().await? {
            return Err(StoreError::Lacks(lack));
        }
        let store = Store::bring_up(store, compare).await?;
        store.write_down().await?;
        Ok(store)
    }

    /// What the database lacks of what its key has signed; nothing for a store without a word of that.
    pub async fn lack(&self) -> Result<Option<Lack>, StoreError> {
        match self.writer.last() {
            Some(last) => {
                let mut conn = self.read_at_once().await?;
                start::lack(&mut conn, self.backend, last, self.key()).await
            }
            None => Ok(None),
        }
    }

    /// What the database lacks of what was signed up to a checkpoint.
    pub async fn lack_of(&self, signed: &Checkpoint) -> Result<Option<Lack>, StoreError> {
        start::compare(&mut *self.read_at_once().await?, self.backend, signed).await
    }

    /// Opens the database as it is, for reading what stands in it, if its tables are of this version and nothing of
    /// what its key has signed is missing. None where the tables have to be brought up to date first.
    ///
    /// # Errors
    /// [`StoreError::Lacks`], and if the record is not in order.
    pub async fn open_to_read(
        address: &str,
        key: Signer,
        last: LastSigned,
    ) -> Result<Option<Store>, StoreError> {
        refuse_missing_file(address, &last, key.verifier())?;
        let store = Store::open_read_only(address, key, Some(last)).await?;
        if let Some(lack) = store.lack().await? {
            return Err(StoreError::Lacks(lack));
        }
        if !schema::is_of_now(&mut *store.read().await?, store.backend).await? {
            store.close().await;
            return Ok(None);
        }
        store.refuse_faulty_head().await?;
        Ok(Some(store))
    }

    /// Writes down how far the record of now has come, where the file is behind.
    async fn write_down(&self) -> Result<(), StoreError> {
        let head = head(&mut *self.read().await?).await?;
        match self.writer.last().filter(|_| !head.checkpoint.is_empty()) {
            Some(last) => {
                let size = head.frontier.size();
                let written = last.advance(&head.checkpoint, size, self.key());
                written.map_err(|why| StoreError::Lacks(Lack::Unreadable(why)))
            }
            None => Ok(()),
        }
    }

    async fn bring_up(store: Store, compare: Compare) -> Result<Store, StoreError> {
        store.refuse_unless_durable().await?;
        schema::refuse_newer(&mut *store.read().await?, store.backend).await?;
        store.lay_tables().await?;
        store.refuse_what_changes_in_silence().await?;
        store.refuse_faulty_head().await?;
        store.compare_leaves(compare).await?;
        // Somebody may have been killed between erasing and this.
        store.flush_erased().await?;
        Ok(store)
    }

    /// Another program may be writing to the same database: head, leaves and hashes are several questions, and are read as of
    /// one moment.
    async fn refuse_faulty_head(&self) -> Result<(), StoreError> {
        let mut conn = self.read_at_once().await?;
        let fault = record::head_fault(&mut conn, self.key()).await?;
        // What is flushed next waits for readers.
        conn.rollback().await?;
        match fault {
            Some(fault) => Err(StoreError::Record(fault)),
            None => Ok(()),
        }
    }

    /// Whether all leaves are found under what their bytes say: some 4 s for a million, so that a server does not wait
    /// for it with its first page.
    async fn compare_leaves(&self, compare: Compare) -> Result<(), StoreError> {
        let mut conn = self.read().await?;
        if compare == Compare::Beside && head(&mut conn).await?.frontier.size() > FILED_AT_ONCE {
            self.writer.compare_beside();
            return Ok(());
        }
        let misfiled = self.writer.misfiled_in(&mut conn).await?;
        self.writer.trust().note_filing(misfiled);
        Ok(())
    }

    /// Whether the comparison of a start still goes on.
    pub fn is_comparing(&self) -> bool {
        self.writer.trust().comparing().is_some()
    }

    /// Whether the leaves could not be compared, several times in a row; it is tried again and again.
    pub fn not_compared(&self) -> Option<NotCompared> {
        self.writer.trust().not_compared()
    }

    /// Comes back when the leaves have been compared, whatever was found, or could not be several times in a row.
    pub async fn compared(&self) {
        while let Some(comparing) = self.writer.trust().comparing() {
            comparing.ended().await;
        }
    }

    pub(super) fn trust(&self) -> &Trust {
        self.writer.trust()
    }

    /// The same, and looks whether somebody else has written since: asked before a paper or a proof. What it finds is said
    /// by [`Store::is_forked`]; a database that cannot be looked at says so where it is read.
    pub async fn looked_at(&self) {
        self.compared().await;
        // Whoever only looks writes nothing beside the file, which a look as before a write does.
        if self.purpose == Purpose::Look {
            return;
        }
        if let Err(why) = self.writer.look_now().await {
            tracing::warn!(%why, "whether somebody else has written could not be looked at");
        }
    }

    /// As at a start that compares, for as long as the answer is kept: for the tests of whoever waits for it.
    pub fn as_while_comparing(&self) -> impl Sized + use<> {
        self.writer.trust().begin_to_compare()
    }

    /// Remembers what else of the tables is not as this program makes them: it makes a program slow, or refuses what is
    /// written, and an office is not locked out of its data for it.
    ///
    /// # Errors
    /// If there is a trigger that is none of ours: what is entered would be stored otherwise.
    async fn refuse_what_changes_in_silence(&self) -> Result<(), StoreError> {
        let found = schema::differences_by_effect(&mut *self.read().await?, self.backend).await?;
        match found.iter().find(|(may_change, _)| *may_change) {
            Some((_, sentence)) => Err(StoreError::Foreign(sentence.clone())),
            None => {
                self.note_unlike(found);
                Ok(())
            }
        }
    }

    /// Looks at the tables again while the program runs; on a file also whether the indexes over what stands in lists have
    /// each row, and under what it says: one that leaves a row out hides it from its list alone. What is found is
    /// remembered, what changes or hides rows in silence first.
    ///
    /// # Errors
    /// If the database does not answer.
    pub async fn look_at_tables(&self) -> Result<(), StoreError> {
        let mut conn = self.read().await?;
        let mut found = schema::differences_by_effect(&mut conn, self.backend).await?;
        if self.backend == Backend::Sqlite {
            for table in IN_LISTS {
                if !schema::has_table(&mut conn, self.backend, table).await? {
                    continue;
                }
                let asked = format!("PRAGMA integrity_check({table})");
                if wrong_places(&mut conn, asked).await? > 0 {
                    let sentence =
                        format!("In the tables, an index of {table} is not as its rows are.");
                    found.push((true, sentence));
                }
            }
        }
        drop(conn);
        found.sort_by_key(|(may_change, _)| !*may_change);
        self.note_unlike(found);
        Ok(())
    }

    fn note_unlike(&self, found: Vec<(bool, String)>) {
        let now: Vec<String> = found.into_iter().map(|(_, sentence)| sentence).collect();
        let mut unlike = self.unlike.lock().unwrap_or_else(PoisonError::into_inner);
        for sentence in now.iter().filter(|one| !unlike.contains(one)) {
            tracing::warn!("{sentence} `vestibule check` says more.");
        }
        *unlike = now;
    }

    /// What of the tables was not as this program makes them when somebody looked last.
    pub fn unlike(&self) -> Vec<String> {
        let unlike = self.unlike.lock().unwrap_or_else(PoisonError::into_inner);
        unlike.clone()
    }

    /// Whether the record was another one than the key has signed when somebody wanted to write last.
    pub fn is_forked(&self) -> bool {
        self.writer.trust().is_forked()
    }

    /// The newest checkpoint that this program has seen signed; nothing for a store without a word of how far its key
    /// has signed.
    pub fn newest_seen(&self) -> Option<String> {
        self.writer
            .last()
            .and_then(|_| self.writer.trust().newest())
    }

    /// Holds the checkpoint that a page has read against the newest that was seen before.
    pub fn check_read(&self, before: Option<&str>, read: &str) {
        self.writer.trust().check_read(before, read, self.key());
    }

    /// Whether a leaf of this number and hash is in the tree that the key has signed, or was appended by the
    /// transaction that is open.
    ///
    /// # Errors
    /// If the database cannot be asked, or the key has not signed the head of its record.
    pub async fn proves(
        &self,
        conn: &mut Connection,
        number: u64,
        leaf: &Hash,
    ) -> Result<bool, StoreError> {
        let trust = self.writer.trust();
        trust.proves(conn, (number, leaf), self.key()).await
    }

    /// The same of each of many leaves, in the order of their numbers.
    ///
    /// # Errors
    /// See [`Store::proves`].
    pub async fn proves_each(
        &self,
        conn: &mut Connection,
        leaves: &[(u64, Hash)],
    ) -> Result<Vec<bool>, StoreError> {
        let trust = self.writer.trust();
        trust.proves_each(conn, leaves, self.key()).await
    }

    /// Opens the database for looking at it only: nothing is brought up to date, and a record in doubt is
    /// no reason not to look.
    pub async fn open_read_only(
        address: &str,
        key: Signer,
        last: Option<LastSigned>,
    ) -> Result<Store, StoreError> {
        let store = Store::connect(&looking(address), key, last, Purpose::Look).await?;
        schema::refuse_newer(&mut *store.read().await?, store.backend).await?;
        Ok(store)
    }

    async fn connect(
        address: &str,
        key: Signer,
        last: Option<LastSigned>,
        purpose: Purpose,
    ) -> Result<Store, StoreError> {
        let backend = backend_of(address)?;
        sqlx::any::install_default_drivers();
        // A pool asks again and again for half a minute; one connection says at once what is wrong.
        try_out(address, backend, purpose).await?;
        let pool = AnyPoolOptions::new()
            .max_connections(match backend {
                // Readers only; more would compete with the writer for two cores.
                Backend::Sqlite => 8,
                Backend::Postgres => 20,
            })
            // A file does not hang up; a server may, and is asked each time whether it is still there.
            .test_before_acquire(backend == Backend::Postgres)
            .after_connect(move |conn, _| Box::pin(purpose.prepare(conn)))
            .connect(address)
            .await?;
        Ok(Store {
            pool,
            backend,
            writer: Writer::new(address, backend, Arc::new(key), last),
            flushing: Arc::default(),
            unlike: Arc::default(),
            purpose,
        })
    }

    pub fn backend(&self) -> Backend {
        self.backend
    }

    /// The key that checkpoints are checked with.
    pub fn key(&self) -> &Verifier {
        self.writer.key()
    }

    /// What only a program with this key can write beside these words.
    pub fn binding(&self, words: &[&str]) -> String {
        self.writer.signer().binding(words).to_string()
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

    pub(super) fn signer(&self) -> &Signer {
        self.writer.signer()
    }

    /// Where the bytes of pictures lie.
    pub fn shelf(&self) -> Shelf {
        match self.writer.file() {
            Some(file) if self.backend == Backend::Sqlite => {
                Shelf::Folder(PictureFolder::of(&file))
            }
            _ => Shelf::Table,
        }
    }

    /// Whether there are the tables of pictures: not in a database of an earlier version, before its next start.
    pub async fn has_pictures(&self, conn: &mut Connection) -> Result<bool, StoreError> {
        schema::has_table(conn, self.backend, "picture_coming").await
    }

    /// Whether there is the table of papers that are kept: not in a database of an earlier version.
    pub async fn has_papers_kept(&self, conn: &mut Connection) -> Result<bool, StoreError> {
        schema::has_table(conn, self.backend, "papers_kept").await
    }

    /// The file that says how far the key has signed, where there is to be one.
    pub fn beside_key(&self) -> Option<&Path> {
        self.writer.last().map(LastSigned::path)
    }

    /// The file beside it that says which sessions were ended.
    pub fn ended_file(&self) -> Option<EndedFile> {
        self.beside_key().map(EndedFile::beside)
    }

    pub(super) fn last_signed(&self) -> Option<&LastSigned> {
        self.writer.last()
    }

    /// A connection for reading.
    pub async fn read(&self) -> Result<sqlx::pool::PoolConnection<Any>, StoreError> {
        Ok(self.pool.acquire().await?)
    }

    /// A connection on which all that is read is of one moment, that of the first question: a row and the leaf that it is held
    /// against are two questions, and whoever writes between them would look like somebody who has changed it past this
    /// program. It goes back to the others when it is dropped, so nobody keeps it longer than it takes to read: what is
    /// erased stays in the log meanwhile. As of any reader, whoever holds one asks for no other.
    pub async fn read_at_once(&self) -> Result<sqlx::Transaction<'static, Any>, StoreError> {
        let begin: &'static str = match self.backend {
            Backend::Sqlite => "BEGIN DEFERRED",
            Backend::Postgres => AT_ONE_MOMENT,
        };
        Ok(self.pool.begin_with(begin).await?)
    }

    /// The head of the record as it is now, for whoever holds a reader that sees an earlier moment: on a connection that is
    /// none of the readers', since they could all be held by such as ask for one more.
    pub(super) async fn head_now(&self) -> Result<Head, StoreError> {
        self.writer.head_now().await
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
            Backend::Postgres => &[AT_ONE_MOMENT, FIRST],
        };
        for sql in begin.iter().copied() {
            sqlx::query(sql).fetch_all(&mut *conn).await?;
        }
        Ok(conn)
    }

    /// Waits for its turn and begins to write; see `batch.rs`.
    pub async fn begin(&self) -> Result<Tx, StoreError> {
        self.writer.begin().await
    }

    /// Comes back when all that was written before is on the disk, or taken back: who was refused by it looks at it then.
    pub async fn kept_so_far(&self) {
        self.writer.kept_so_far().await;
    }

    /// Comes back when this program has written something; one task may wait for it.
    pub async fn written(&self) {
        self.writer.kept().await;
    }

    pub async fn close(&self) {
        self.writer.close().await;
        self.pool.close().await;
    }

    /// Whether the database takes a write, by one that leaves nothing; and whether the disk does.
    pub async fn probe(&self) -> Result<(), StoreError> {
        self.compared().await;
        // It takes the lock of whoever writes, and is dropped.
        let tx = self.begin().await?;
        tx.refuse_unless_trusted()?;
        drop(tx);
        for folder in self.folders() {
            let tried = tokio::task::spawn_blocking(move || try_to_write(&folder)).await;
            let tried = tried.unwrap_or_else(|why| Err(std::io::Error::other(why)));
            tried.map_err(|why| StoreError::Database(sqlx::Error::Io(why)))?;
        }
        Ok(())
    }

    /// The room that is left for the database and for what lies beside the key, where it is known: a server has a
    /// disk of its own.
    pub fn free_bytes(&self) -> Option<u64> {
        let free = self.folders().into_iter().filter_map(|folder| {
            let disk = rustix::fs::statvfs(&folder).ok()?;
            Some(disk.f_bavail.saturating_mul(disk.f_frsize))
        });
        free.min()
    }

    /// The folders that this program writes to.
    fn folders(&self) -> Vec<PathBuf> {
        let last = self.last_signed().map(|last| last.path().to_owned());
        let files = [self.writer.file(), last].into_iter().flatten();
        let folder = |file: PathBuf| match file.parent() {
            Some(folder) if !folder.as_os_str().is_empty() => folder.to_owned(),
            _ => PathBuf::from("."),
        };
        files.map(folder).collect()
    }

    /// In how many places the database itself finds its file wrong, counted up to a hundred; PostgreSQL looks after
    /// its own. What it says of each is for whoever writes databases, and tells nobody what to do.
    pub async fn damage(&self, conn: &mut Connection) -> Result<usize, StoreError> {
        match self.backend {
            Backend::Postgres => Ok(0),
            Backend::Sqlite => wrong_places(conn, "PRAGMA integrity_check".to_owned()).await,
        }
    }

    /// Whether the tables are those of this version.
    pub async fn is_of_now(&self, conn: &mut Connection) -> Result<bool, StoreError> {
        schema::is_of_now(conn, self.backend).await
    }

    /// What an upgrade would enter in the record.
    pub async fn unsigned(&self, conn: &mut Connection) -> Result<Unsigned, StoreError> {
        unsigned::unsigned(conn, self.backend).await
    }

    /// What of the tables is not as this program makes them.
    pub async fn tables_differ(&self, conn: &mut Connection) -> Result<Vec<String>, StoreError> {
        schema::differences(conn, self.backend).await
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

    /// Brings the tables and their locks up to date. Of several programs that start at once on a server, one does it
    /// after the other.
    async fn lay_tables(&self) -> Result<(), StoreError> {
        /// Any number that nothing else in the database takes.
        const TURN: i64 = 0x0076_6573_7469_6275;
        let mut turn = self.read().await?;
        if self.backend == Backend::Postgres {
            sqlx::query("SELECT CAST(pg_advisory_lock($1) AS TEXT)")
                .bind(TURN)
                .execute(&mut *turn)
                .await?;
            // Given back with the connection, whatever happens until then.
            turn.close_on_drop();
        }
        self.migrate().await?;
        let mut conn = self.read().await?;
        // A transaction that a fault has left open on it goes with it.
        conn.close_on_drop();
        guards::install(&mut conn, self.backend).await
    }

    /// On a file, of two programs that lay the same table the second fails, and then finds it laid.
    async fn migrate(&self) -> Result<(), StoreError> {
        const TRIES: u32 = 20;
        for _ in 0..TRIES {
            let done = schema::MIGRATIONS.run(&self.pool).await;
            match done {
                Err(MigrateError::VersionMismatch(step) | MigrateError::VersionMissing(step)) => {
                    return Err(StoreError::OtherStep(step));
                }
                Err(MigrateError::ExecuteMigration(..) | MigrateError::Execute(_))
                    if self.backend == Backend::Sqlite =>
                {
                    tokio::time::sleep(std::time::Duration::from_millis(50)).await;
                }
                done => return Ok(done?),
            }
        }
        Ok(schema::MIGRATIONS.run(&self.pool).await?)
    }

    /// A handoff that was acknowledged must survive a power cut, so each commit has to be flushed.
    async fn refuse_unless_durable(&self) -> Result<(), StoreError> {
        let settings: &[(&'static str, &str)] = match self.backend {
            Backend::Sqlite => &[("PRAGMA synchronous", "2")],
            Backend::Postgres => &[
                ("SHOW fsync", "on"),
                ("SHOW full_page_writes", "on"),
                ("SHOW synchronous_commit", "on"),
            ],
        };
        let mut conn = self.read().await?;
        for (question, wanted) in settings.iter().copied() {
            let row = sqlx::query(question).fetch_one(&mut *conn).await?;
            let found = match self.backend {
                Backend::Sqlite => row.try_get::<i64, _>(0)?.to_string(),
                Backend::Postgres => row.try_get(0)?,
            };
            if found != wanted {
                return Err(StoreError::NotDurable {
                    setting: question,
                    found,
                    wanted: wanted.to_owned(),
                });
            }
        }
        Ok(())
    }
}

/// What a store is opened for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Purpose {
    Write,
    Look,
}

impl Purpose {
    async fn prepare(self, conn: &mut Connection) -> Result<(), sqlx::Error> {
        match self {
            Purpose::Write => prepare_connection(conn).await,
            Purpose::Look => prepare_read_only(conn).await,
        }
    }
}

/// In how many places a file says that it is wrong, as far as it is asked.
async fn wrong_places(conn: &mut Connection, asked: String) -> Result<usize, StoreError> {
    let rows = sqlx::query(sqlx::AssertSqlSafe(asked))
        .fetch_all(conn)
        .await?;
    let lines = rows.iter().map(|row| row.try_get(0));
    let lines: Vec<String> = lines.collect::<Result<_, _>>()?;
    let of_file = lines.iter().flat_map(|line| line.lines());
    Ok(of_file
        .filter(|line| *line != "ok" && !line.starts_with("***"))
        .count())
}

fn backend_of(address: &str) -> Result<Backend, StoreError> {
    match address.split(':').next() {
        Some("sqlite") => Ok(Backend::Sqlite),
        Some("postgres" | "postgresql") => Ok(Backend::Postgres),
        // Of an address only its kind is shown: the rest may hold a password.
        other => Err(StoreError::Address(other.unwrap_or_default().to_owned())),
    }
}

/// The address for looking only. A file that was closed cleanly is read as it lies, so that not a byte beside it is
/// written and a read-only medium will do; one with a log beside it is in use, or was left so.
fn looking(address: &str) -> String {
    let Some(path) = file_of(address) else {
        return address.to_owned();
    };
    let folder = path
        .parent()
        .filter(|folder| !folder.as_os_str().is_empty());
    let folder = folder.unwrap_or(Path::new("."));
    let can_write = rustix::fs::access(folder, rustix::fs::Access::WRITE_OK).is_ok();
    let mode = if is_closed(&path, can_write) {
        "mode=ro&immutable=1"
    } else {
        "mode=ro"
    };
    address.replace("mode=rwc", mode)
}

/// Whether nothing that belongs to a database stands outside of its file. An empty log holds nothing, and where nobody can
/// write it stays so: a program that was killed before its first write has left it.
fn is_closed(path: &Path, can_write: bool) -> bool {
    let length_of = |tail: &str| {
        let mut name = path.as_os_str().to_owned();
        name.push(tail);
        std::fs::metadata(PathBuf::from(name)).map(|file| file.len())
    };
    let is_empty = match length_of("-wal") {
        Ok(length) => length == 0 && !can_write,
        Err(_) => true,
    };
    is_empty && length_of("-shm").is_err()
}

/// One connection, and whether it may write where that is what it is for.
async fn try_out(address: &str, backend: Backend, purpose: Purpose) -> Result<(), StoreError> {
    if let Some(path) = file_of(address) {
        refuse_other_than_file(&path).map_err(|why| StoreError::File {
            path: path.display().to_string(),
            why: why.to_string(),
        })?;
    }
    let of_file = |why: sqlx::Error| match file_of(address) {
        Some(path) => StoreError::of_file(&path, why),
        None => why.into(),
    };
    let mut conn = Connection::connect(address).await.map_err(of_file)?;
    purpose.prepare(&mut conn).await.map_err(of_file)?;
    let statements: &[&'static str] = match (backend, purpose) {
        (Backend::Postgres, _) => &[],
        (Backend::Sqlite, Purpose::Look) => &["SELECT COUNT(*) FROM sqlite_master"],
        // A write that changes nothing.
        (Backend::Sqlite, Purpose::Write) => &[
            "SELECT COUNT(*) FROM sqlite_master",
            "BEGIN IMMEDIATE",
            "PRAGMA user_version = 0",
            "ROLLBACK",
        ],
    };
    for sql in statements.iter().copied() {
        sqlx::query(sql).execute(&mut conn).await.map_err(of_file)?;
    }
    Ok(conn.close().await?)
}

/// A database file that is not there would be made, empty. Where the key has signed something, that is refused.
fn refuse_missing_file(address: &str, last: &LastSigned, key: &Verifier) -> Result<(), StoreError> {
    let Some(path) = file_of(address) else {
        return Ok(());
    };
    let is_empty = std::fs::metadata(&path).map_or(true, |file| file.len() == 0);
    let is_missing = !path.exists();
    match last.read(key) {
        // A key that was copied here alone: nothing is begun for it, not even an empty file.
        Ok(None) if is_missing => {
            let path = last.path().display().to_string();
            Err(StoreError::Lacks(Lack::NoWord { path }))
        }
        Err(why) if is_missing => Err(StoreError::Lacks(Lack::Unreadable(why))),
        Ok(Some((_, signed))) if is_empty && signed.size > 0 => {
            let signed = signed.size;
            Err(StoreError::Lacks(Lack::NoDatabase { signed }))
        }
        _ => Ok(()),
    }
}

/// Writes a file as large as a large entry, sees it on the disk, and takes it away again.
fn try_to_write(folder: &Path) -> std::io::Result<()> {
    const BYTES: usize = 1 << 16;
    let path = folder.join(format!(".vestibule-probe-{}", std::process::id()));
    let write = || {
        let mut file = std::fs::File::create(&path)?;
        // Ones: of zeros, some disks keep nothing.
        file.write_all(&vec![1; BYTES])?;
        file.sync_all()
    };
    let written = write();
    std::fs::remove_file(&path).and(written)
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
        let outcome = attempt().await;
        let error = outcome.as_ref().err().and_then(E::as_store_error);
        match error {
            Some(StoreError::Comparing(comparing)) => {
                let comparing = comparing.clone();
                comparing.ended().await;
            }
            Some(error) if error.is_passing() => {
                tokio::time::sleep(std::time::Duration::from_millis(2 << number)).await;
            }
            _ => return outcome,
        }
    }
    attempt().await
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn r22_an_empty_log_holds_nothing_where_nobody_can_write() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.sqlite");
        let (log, index) = (
            folder.path().join("a.sqlite-wal"),
            folder.path().join("a.sqlite-shm"),
        );
        let closed = || [true, false].map(|can_write| is_closed(&path, can_write));
        assert_eq!(closed(), [true, true]);
        std::fs::write(&log, "").unwrap();
        assert_eq!(closed(), [false, true]);
        std::fs::write(&index, "").unwrap();
        assert_eq!(closed(), [false, false]);
        std::fs::remove_file(&index).unwrap();
        std::fs::write(&log, "frames").unwrap();
        assert_eq!(closed(), [false, false]);
    }
}
