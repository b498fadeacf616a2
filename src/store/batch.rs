//! The one writer, and why many writes share a commit.
//!
//! Both databases flush the disk at each commit, and a flush takes longer than a write. So writes that wait
//! for their turn go into one open transaction, each but the first inside a savepoint of its own, and one
//! commit keeps them all. Nobody is told that something is kept before that commit has come back. A write that fails or
//! is dropped is taken back to its savepoint, the first of all with the transaction; the others do not notice.
//!
//! A request may be given up at any await: its browser has gone, its time is over. What begins, takes back
//! or commits a transaction therefore runs in a task of its own, which nobody gives up, so that what is
//! noted here is always what the database has done.
//!
//! On PostgreSQL several programs may share the database: the first statement of a transaction locks the
//! row of the record's head, so that they write one after another too, and what a write reads is what the
//! one before it has written.

use super::comparing::look_until_read;
use super::connection::{Backend, file_of, prepare_connection};
use super::error::{Outage, StoreError};
use super::filing::{grow, misfiled};
use super::head::{self, Head};
use super::lack::Lack;
use super::last_signed::{LastError, LastSigned};
use super::trust::{Against, Trust};
use crate::files::OpenedFile;
use crate::record::hash::Hash;
use crate::record::key::{Signer, Verifier};
use crate::record::tree::{Frontier, Node};
use sqlx::{AnyConnection, Connection, Row};
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::time::Duration;
use tokio::sync::{Mutex, Notify, OwnedMappedMutexGuard, OwnedMutexGuard, oneshot, watch};

/// Writes that share one commit at most: the first of them waits for the last.
const MOST: u32 = 64;
/// How long the database may take over one step before its connection counts as lost: longer than any
/// flush, shorter than the half minute after which a request is given up.
const LIMIT: Duration = Duration::from_secs(20);
/// How long a finished write waits for the next in line to commit along, before it looks for itself. The
/// next always comes, unless its task has fallen over.
const PATIENCE: Duration = Duration::from_secs(1);

/// How often it is asked whether a look beside the work has ended.
const AGAIN: Duration = Duration::from_millis(20);

/// Leaves that are looked at in the turn of whoever writes: some 20 ms.
pub(super) const FILED_AT_ONCE: u64 = 5_000;

/// What became of a shared transaction.
#[derive(Debug, Clone)]
enum Outcome {
    Open,
    Kept,
    Lost(Loss),
}

/// How a shared transaction was lost.
#[derive(Debug, Clone)]
struct Loss {
    why: String,
    passing: bool,
    outage: Outage,
    /// Whether the database may have kept it all the same.
    may_be_stored: bool,
}

impl From<Loss> for StoreError {
    fn from(loss: Loss) -> StoreError {
        StoreError::Lost {
            why: loss.why,
            passing: loss.passing,
            outage: loss.outage,
            may_be_stored: loss.may_be_stored,
        }
    }
}

/// The connection that writes, and the transaction that is open on it.
#[derive(Debug)]
struct Open {
    conn: AnyConnection,
    /// How many writes the open transaction holds; none is open at `None`.
    writes: Option<u32>,
    /// A write was dropped without `commit`: the next in turn takes it back.
    aborted: bool,
    /// A transaction was lost on this connection: the next in turn makes a new one.
    broken: bool,
    outcome: watch::Sender<Outcome>,
    /// The record as it stands with all that this transaction has written.
    frontier: Frontier,
    /// The same before the write under way, to go back to.
    before_write: Frontier,
    /// The size that is on the disk.
    kept_size: u64,
    /// What stands against an entry in this transaction.
    against: Option<Against>,
    /// Grows with whatever somebody else writes to the file.
    data_version: Option<i64>,
}

/// The turn to write. Waiting here is fair and wakes at once; waiting inside a database polls or fails.
#[derive(Debug, Clone)]
pub(super) struct Writer {
    address: Arc<str>,
    backend: Backend,
    key: Arc<Signer>,
    /// Where it is written down how far the key has signed; none for a store that is only looked at.
    last: Option<LastSigned>,
    trust: Arc<Trust>,
    /// None of a server.
    opened: Option<OpenedFile>,
    turn: Arc<Mutex<Option<Open>>>,
    waiting: Arc<AtomicUsize>,
    /// Whether somebody looks at how all leaves are filed.
    filing: Arc<AtomicBool>,
    /// Whether somebody else has written since that look began.
    written_since: Arc<AtomicBool>,
    /// Something was kept.
    kept: Arc<Notify>,
}

/// One write's part of an open transaction. Dropped without `commit`, it leaves nothing behind.
pub struct Tx {
    open: OwnedMappedMutexGuard<Option<Open>, Open>,
    writer: Writer,
    ended: bool,
}

/// Counts who waits, also when the waiting is given up.
struct InLine(Arc<AtomicUsize>);

impl InLine {
    fn stand(count: &Arc<AtomicUsize>) -> InLine {
        count.fetch_add(1, Ordering::SeqCst);
        InLine(count.clone())
    }
}

impl Drop for InLine {
    fn drop(&mut self) {
        self.0.fetch_sub(1, Ordering::SeqCst);
    }
}

/// The answer to a write whose transaction has gone; `may_be_stored` where it was about to be kept.
fn gone(why: &str, may_be_stored: bool) -> StoreError {
    StoreError::from(Loss {
        why: why.to_owned(),
        passing: false,
        outage: Outage::Gone,
        may_be_stored,
    })
}

/// What comes of it where the file beside the key takes nothing in.
fn not_written_down(why: LastError) -> StoreError {
    tracing::error!(%why, "how far the key has signed cannot be written down");
    StoreError::Lacks(Lack::Unreadable(why))
}

fn lost(why: &str) -> StoreError {
    gone(why, false)
}

/// What takes back a write in a transaction that holds so many before it.
fn taking_back(writes: u32) -> &'static str {
    match writes {
        0 => "ROLLBACK",
        _ => "ROLLBACK TO SAVEPOINT write",
    }
}

/// A step of the database that does not take for ever.
async fn in_time<T>(step: impl Future<Output = Result<T, StoreError>>) -> Result<T, StoreError> {
    let done = tokio::time::timeout(LIMIT, step).await;
    done.unwrap_or_else(|_| Err(lost("the database does not answer")))
}

impl Writer {
    /// Comes back when something has been kept, once for all that was kept since the last time.
    pub async fn kept(&self) {
        self.kept.notified().await;
    }

    pub fn new(
        address: &str,
        backend: Backend,
        key: Arc<Signer>,
        last: Option<LastSigned>,
    ) -> Writer {
        Writer {
            address: address.into(),
            backend,
            key,
            last,
            trust: Arc::default(),
            opened: file_of(address).map(OpenedFile::at),
            turn: Arc::default(),
            kept: Arc::default(),
            waiting: Arc::default(),
            filing: Arc::default(),
            written_since: Arc::default(),
        }
    }

    pub fn key(&self) -> &Verifier {
        self.key.verifier()
    }

    /// The file that is written to, where it is one.
    pub(super) fn file(&self) -> Option<PathBuf> {
        file_of(&self.address)
    }

    pub(super) fn last(&self) -> Option<&LastSigned> {
        self.last.as_ref()
    }

    pub(super) fn signer(&self) -> &Signer {
        &self.key
    }

    pub(super) fn trust(&self) -> &Trust {
        &self.trust
    }

    pub async fn begin(&self) -> Result<Tx, StoreError> {
        let line = InLine::stand(&self.waiting);
        let (asker, answer) = oneshot::channel();
        let writer = self.clone();
        tokio::spawn(async move {
            let begun = writer.take_turn(line, &asker).await;
            // Whoever has gone meanwhile leaves a part without write, and dropping it takes it back.
            drop(asker.send(begun));
        });
        answer
            .await
            .unwrap_or_else(|_| Err(lost("the program is ending")))
    }

    async fn take_turn(
        &self,
        line: InLine,
        asker: &oneshot::Sender<Result<Tx, StoreError>>,
    ) -> Result<Tx, StoreError> {
        let mut turn = self.turn.clone().lock_owned().await;
        drop(line);
        if asker.is_closed() {
            self.leave_none_waiting(&mut turn).await;
            return Err(StoreError::Again);
        }
        self.refuse_unless_in_place()?;
        loop {
            let is_new = turn.as_ref().is_none_or(|open| open.broken);
            if is_new {
                *turn = Some(in_time(Open::connect(&self.address)).await?);
            }
            let Some(open) = turn.as_mut() else {
                return Err(StoreError::Again);
            };
            open.take_back(&self.trust).await;
            if open.broken {
                continue;
            }
            match open.begin_write(self).await {
                Ok(()) => break,
                // A connection may have ended while nobody used it; a new one tells whether it is more than that.
                Err(error) if error.is_of_connection() && !is_new => {}
                Err(error) => return Err(error),
            }
        }
        let open = OwnedMutexGuard::try_map(turn, Option::as_mut).map_err(|_| StoreError::Again)?;
        Ok(Tx {
            open,
            writer: self.clone(),
            ended: false,
        })
    }

    /// Whether all leaves are still found under what their bytes say, after somebody else has written: at once where that
    /// takes no time, otherwise beside the work.
    async fn check_filing(&self, conn: &mut AnyConnection, leaves: u64) -> Result<(), StoreError> {
        if leaves <= FILED_AT_ONCE {
            let found = in_time(self.misfiled_in(conn)).await?;
            self.trust.note_filing(found);
            return Ok(());
        }
        self.written_since.store(true, Ordering::SeqCst);
        // One looks for all.
        if !self.filing.swap(true, Ordering::SeqCst) {
            tokio::spawn(self.clone().look_beside());
        }
        Ok(())
    }

    /// Looks beside the work, until nobody else has written since the look began.
    async fn look_beside(self) {
        loop {
            while self.written_since.swap(false, Ordering::SeqCst) {
                let says = |why| self.trust.note_not_compared(why);
                let found = look_until_read(|| self.look(), says).await;
                self.trust.note_filing(found);
            }
            self.filing.store(false, Ordering::SeqCst);
            let is_asked_again = self.written_since.load(Ordering::SeqCst);
            if !is_asked_again || self.filing.swap(true, Ordering::SeqCst) {
                return;
            }
        }
    }

    /// The same on a connection of its own, and in a task of its own, so that one that falls over is a look that has
    /// failed.
    async fn look(&self) -> Result<Option<String>, StoreError> {
        let writer = self.clone();
        let looked = tokio::spawn(async move { writer.misfiled().await }).await;
        looked.unwrap_or_else(|why| Err(lost(&why.to_string())))
    }

    async fn misfiled(&self) -> Result<Option<String>, StoreError> {
        // Where it was taken away, connecting would make an empty one in its place.
        self.refuse_unless_in_place()?;
        let mut conn = AnyConnection::connect(&self.address).await?;
        prepare_connection(&mut conn).await?;
        match self.misfiled_in(&mut conn).await {
            // It was read, and is not what this program writes.
            Err(why) if why.is_of_a_value() => {
                Ok(Some(format!("its leaves cannot be compared: {why}")))
            }
            other => other,
        }
    }

    /// The head as it is now, on a connection of its own.
    pub(super) async fn head_now(&self) -> Result<Head, StoreError> {
        // Where the file was taken away, connecting would make an empty one in its place.
        self.refuse_unless_in_place()?;
        let mut conn = AnyConnection::connect(&self.address).await?;
        prepare_connection(&mut conn).await?;
        let now = head::head(&mut conn).await;
        // What was read does not hang on how it closes.
        conn.close().await.ok();
        now
    }

    /// What the leaves are filed under is kept where it is known how far the key has signed: who changes the database can
    /// set it back otherwise.
    pub(super) async fn misfiled_in(
        &self,
        conn: &mut AnyConnection,
    ) -> Result<Option<String>, StoreError> {
        misfiled(conn, (self.trust(), self.key()), self.last.is_some()).await
    }

    /// Looks whether somebody else has written, before something is taken away as the word of this installation: as before
    /// a write, and comes back when all is looked at. Nothing is locked in the database.
    pub(super) async fn look_now(&self) -> Result<(), StoreError> {
        self.refuse_unless_in_place()?;
        let writer = self.clone();
        // Given up halfway, it would have seen that somebody has written, and not what.
        let looked = tokio::spawn(async move { writer.look_in_turn().await }).await;
        looked.map_err(|_| lost("the program is ending"))??;
        in_time(async {
            while self.filing.load(Ordering::SeqCst) && self.trust.not_compared().is_none() {
                tokio::time::sleep(AGAIN).await;
            }
            Ok(())
        })
        .await
    }

    async fn look_in_turn(&self) -> Result<(), StoreError> {
        // Whoever holds the turn that long has looked when the transaction began, and nobody else writes to the file meanwhile.
        let Ok(mut turn) = tokio::time::timeout(PATIENCE, self.turn.lock()).await else {
            return Ok(());
        };
        loop {
            let is_new = turn.as_ref().is_none_or(|open| open.broken);
            if is_new {
                *turn = Some(in_time(Open::connect(&self.address)).await?);
            }
            // In a transaction that is open it was looked at when it began.
            let Some(open) = turn.as_mut().filter(|open| open.writes.is_none()) else {
                return Ok(());
            };
            let looked = open.look(self).await;
            // What was not looked at to its end is looked at again by the next.
            open.broken = looked.is_err();
            match looked {
                // As before a write: a connection may have ended while nobody used it.
                Err(error) if error.is_of_connection() && !is_new => {}
                looked => return looked,
            }
        }
    }

    /// The same at a start, beside the first pages: nothing is entered until it has ended.
    pub(super) fn compare_beside(&self) {
        let mut comparer = Some(self.trust.begin_to_compare());
        self.filing.store(true, Ordering::SeqCst);
        let writer = self.clone();
        tokio::spawn(async move {
            let says = |why| {
                writer.trust.note_not_compared(why);
                // Whoever waits is told so.
                comparer = None;
            };
            let found = look_until_read(|| writer.look(), says).await;
            writer.trust.note_compared(found);
            drop(comparer);
            writer.look_beside().await;
        });
    }

    /// # Errors
    /// If the file was deleted or replaced: then nothing that is written to it lasts.
    pub(super) fn refuse_unless_in_place(&self) -> Result<(), StoreError> {
        let Some(gone) = self.opened.as_ref().filter(|one| !one.is_in_place()) else {
            return Ok(());
        };
        let path = gone.path().display().to_string();
        tracing::error!(
            path,
            "the database file was deleted or replaced while this program uses it"
        );
        Err(StoreError::TakenAway { path })
    }

    /// # Errors
    /// If what is signed next could not be written down beside the key: then it is not stored either.
    pub(super) fn refuse_unless_written_down(&self) -> Result<(), StoreError> {
        let Some(last) = &self.last else {
            return Ok(());
        };
        last.try_to_write().map_err(not_written_down)
    }

    /// Writes down beside the key how far it has signed. It waits for the disk, on a thread of its own.
    async fn write_down(&self, note: Option<String>, size: u64) -> Result<(), StoreError> {
        let (Some(note), Some(last)) = (note, self.last.clone()) else {
            return Ok(());
        };
        let key = self.key.clone();
        let write = move || last.advance(&note, size, key.verifier());
        let written = tokio::task::spawn_blocking(write).await;
        let written = written.map_err(|_| lost("the program is ending"))?;
        written.map_err(not_written_down)
    }

    /// Takes back and keeps what is open, unless somebody in line will.
    async fn leave_none_waiting(&self, turn: &mut Option<Open>) {
        if let Some(open) = turn
            && self.waiting.load(Ordering::SeqCst) == 0
        {
            open.take_back(&self.trust).await;
            open.commit_open(self).await;
        }
    }

    /// Keeps what is open if nobody in line will; or, for one who has waited long, its own transaction.
    async fn tidy(self, outcome: Option<watch::Receiver<Outcome>>) {
        let mut turn = self.turn.lock().await;
        let Some(outcome) = outcome else {
            return self.leave_none_waiting(&mut turn).await;
        };
        let is_ours = |open: &&mut Open| open.outcome.subscribe().same_channel(&outcome);
        if let Some(open) = turn.as_mut().filter(is_ours) {
            open.take_back(&self.trust).await;
            open.commit_open(&self).await;
        }
    }

    /// Comes back when all that was written before is kept, or taken back. Given up, it goes on by itself.
    pub async fn kept_so_far(&self) {
        let writer = self.clone();
        let kept = tokio::spawn(async move {
            let mut turn = writer.turn.lock().await;
            if let Some(open) = turn.as_mut() {
                open.take_back(&writer.trust).await;
                open.commit_open(&writer).await;
            }
        });
        // A task that has fallen over leaves it to whoever comes next.
        kept.await.ok();
    }

    pub async fn close(&self) {
        if let Some(mut open) = self.turn.lock().await.take() {
            open.take_back(&self.trust).await;
            open.commit_open(self).await;
            // The program ends here; a connection that does not close cleanly is closed by its end.
            open.conn.close().await.ok();
        }
    }
}

impl Open {
    async fn connect(address: &str) -> Result<Open, StoreError> {
        let mut conn = AnyConnection::connect(address).await?;
        prepare_connection(&mut conn).await?;
        Ok(Open {
            conn,
            writes: None,
            aborted: false,
            broken: false,
            outcome: watch::Sender::new(Outcome::Open),
            frontier: Frontier::default(),
            before_write: Frontier::default(),
            kept_size: 0,
            against: None,
            data_version: None,
        })
    }

    /// Whether somebody else has written to the file since this was asked last; on a server nobody can tell.
    async fn is_foreign(&mut self, backend: Backend) -> Result<bool, StoreError> {
        if backend == Backend::Postgres {
            return Ok(false);
        }
        let row = sqlx::query("PRAGMA data_version").fetch_one(&mut self.conn);
        let now: i64 = row.await?.try_get(0)?;
        Ok(self.data_version.replace(now) != Some(now))
    }

    async fn run(&mut self, sql: &'static str) -> Result<(), StoreError> {
        let step = async { Ok(sqlx::query(sql).execute(&mut self.conn).await?) };
        in_time(step).await.map(drop)
    }

    /// The savepoint of one write in the transaction that is open, or a new transaction, which needs none.
    async fn begin_write(&mut self, writer: &Writer) -> Result<(), StoreError> {
        let done = match self.writes {
            None => self.begin(writer).await,
            Some(_) => self.run("SAVEPOINT write").await,
        };
        self.before_write = self.frontier.clone();
        if let Err(error) = &done {
            self.lose(error, true, false).await;
        }
        done
    }

    /// What is no entry goes on where the record is not the one that the key has signed: somebody has to be told.
    async fn begin(&mut self, writer: &Writer) -> Result<(), StoreError> {
        self.outcome = watch::Sender::new(Outcome::Open);
        self.writes = Some(0);
        self.run(match writer.backend {
            Backend::Sqlite => "BEGIN IMMEDIATE",
            Backend::Postgres => "BEGIN ISOLATION LEVEL READ COMMITTED",
        })
        .await?;
        let held = in_time(head::hold(&mut self.conn, writer.backend)).await?;
        self.look_at(writer, &held).await?;
        self.frontier = held.frontier;
        self.kept_size = self.frontier.size();
        Ok(())
    }

    /// The same without a transaction. Another program may write down beside the key what it has signed, after the head
    /// was read here: then it is asked again, and nothing is said of the head of before.
    async fn look(&mut self, writer: &Writer) -> Result<(), StoreError> {
        let mut found = in_time(head::head(&mut self.conn)).await?;
        loop {
            let against = self.fault_of(writer, &found).await?;
            if against.is_some() {
                let now = in_time(head::head(&mut self.conn)).await?;
                if now != found {
                    found = now;
                    continue;
                }
            }
            return self.note_against(writer, &found, against).await;
        }
    }

    async fn look_at(&mut self, writer: &Writer, found: &Head) -> Result<(), StoreError> {
        let against = self.fault_of(writer, found).await?;
        self.note_against(writer, found, against).await
    }

    async fn fault_of(
        &mut self,
        writer: &Writer,
        found: &Head,
    ) -> Result<Option<Against>, StoreError> {
        if in_time(self.is_foreign(writer.backend)).await? {
            writer
                .check_filing(&mut self.conn, found.frontier.size())
                .await?;
        }
        let signed = (writer.key(), writer.last());
        in_time(writer.trust.fault_of(&mut self.conn, found, signed)).await
    }

    async fn note_against(
        &mut self,
        writer: &Writer,
        found: &Head,
        against: Option<Against>,
    ) -> Result<(), StoreError> {
        writer.trust.note_against(against.as_ref());
        self.against = against;
        match &self.against {
            None => in_time(grow(&mut self.conn, &writer.trust, &found.frontier)).await,
            Some(_) => Ok(()),
        }
    }

    /// Takes back what a dropped write has left. If that fails, the whole transaction is lost: SQLite ends
    /// one by itself when the disk is full, and a connection may have gone.
    async fn take_back(&mut self, trust: &Trust) {
        let is_aborted = std::mem::take(&mut self.aborted);
        let Some(writes) = self.writes.filter(|_| is_aborted) else {
            return;
        };
        self.frontier = self.before_write.clone();
        trust.take_back(self.frontier.size());
        let mut done = self.run(taking_back(writes)).await;
        match done {
            Ok(()) if writes == 0 => self.writes = None,
            Ok(()) => done = self.run("RELEASE SAVEPOINT write").await,
            Err(_) => {}
        }
        if let Err(error) = done {
            self.lose(&error, true, false).await;
        }
    }

    /// Signs how far the record has come, commits, writes down beside the key how far it has signed, and tells
    /// all who wait for it.
    async fn commit_open(&mut self, writer: &Writer) {
        if self.writes.is_none() {
            return;
        }
        let mut note = None;
        if self.frontier.size() != self.kept_size {
            let signed = head::sign(&mut self.conn, &self.frontier, &writer.key);
            match in_time(signed).await {
                Ok(signed) => note = Some(signed),
                Err(error) => return self.lose(&error, error.is_passing(), false).await,
            }
        }
        match self.run("COMMIT").await {
            Ok(()) => {
                self.writes = None;
                if let Some(note) = &note {
                    writer.trust.note(note.clone());
                }
                let size = self.frontier.size();
                let written = match writer.refuse_unless_in_place() {
                    Ok(()) => in_time(writer.write_down(note, size)).await,
                    Err(error) => Err(error),
                };
                self.outcome.send_replace(match written {
                    Ok(()) => Outcome::Kept,
                    // It is in the database. But if that were lost now, nothing would say so.
                    Err(error) => Outcome::Lost(Loss {
                        why: format!("it is stored, and {error}"),
                        passing: false,
                        outage: error.outage(),
                        may_be_stored: true,
                    }),
                });
                // What could not be read now is read before the next write.
                let grown = grow(&mut self.conn, &writer.trust, &self.frontier);
                if let Err(why) = in_time(grown).await {
                    tracing::warn!(%why, "what was written could not be read again");
                }
            }
            // A connection that ends here may have kept everything: whoever tried again might do it twice.
            Err(error) => {
                let passing = error.is_passing() && !error.is_of_connection();
                let may_be_stored =
                    error.is_of_connection() || matches!(error, StoreError::Lost { .. });
                self.lose(&error, passing, may_be_stored).await;
            }
        }
    }

    /// Gives up the transaction and tells all who wait for it. `passing`: nothing of theirs is at fault.
    async fn lose(&mut self, error: &StoreError, passing: bool, may_be_stored: bool) {
        // It may have ended by itself, and the connection with it: then this fails, or is not answered.
        tokio::time::timeout(PATIENCE, self.run("ROLLBACK"))
            .await
            .ok();
        self.writes = None;
        self.aborted = false;
        self.broken = true;
        self.outcome.send_replace(Outcome::Lost(Loss {
            why: error.to_string(),
            passing,
            outage: error.outage(),
            may_be_stored,
        }));
    }
}

impl Tx {
    pub fn conn(&mut self) -> &mut AnyConnection {
        &mut self.open.conn
    }

    /// # Errors
    /// If the record is not the one that the key has signed, or how far it signs next could not be written down.
    pub(super) fn refuse_unless_trusted(&self) -> Result<(), StoreError> {
        if let Some(against) = &self.open.against {
            return Err(against.clone().into());
        }
        self.writer.trust.refuse_unless_filed()?;
        self.writer.refuse_unless_written_down()
    }

    /// A leaf of this number stands there already, and nobody with the key has appended it.
    pub(super) fn note_beyond(&self, number: u64) -> StoreError {
        self.writer.trust.note_beyond(number)
    }

    /// # Errors
    /// If the record is not the one that the key has signed: what is typed there would go with it.
    pub(super) fn refuse_on_another_record(&self) -> Result<(), StoreError> {
        match &self.open.against {
            Some(against @ Against::Forked(_)) => Err(against.clone().into()),
            _ => self.writer.trust.refuse_unless_filed(),
        }
    }

    /// How far the record has come with what this write has appended so far.
    pub(super) fn size(&self) -> u64 {
        self.open.frontier.size()
    }

    /// Takes one more leaf; answers with every node that it has completed.
    pub(super) fn append(&mut self, leaf: Hash) -> Vec<(Node, Hash)> {
        self.writer.trust.append(self.size(), leaf);
        self.open.frontier.append(leaf)
    }

    /// Comes back when everything written here is on the disk. Given up while it waits, it goes on by itself.
    pub async fn commit(self) -> Result<(), StoreError> {
        let writer = self.writer.clone();
        let ended = tokio::spawn(self.end()).await;
        let mut outcome = ended.map_err(|_| gone("the program is ending", true))??;
        loop {
            match &*outcome.borrow_and_update() {
                Outcome::Open => {}
                Outcome::Kept => {
                    writer.kept.notify_one();
                    return Ok(());
                }
                Outcome::Lost(loss) => return Err(loss.clone().into()),
            }
            match tokio::time::timeout(PATIENCE, outcome.changed()).await {
                Ok(Ok(())) => {}
                // Nobody can tell any more: the connection was dropped with the transaction open on it.
                Ok(Err(_)) => return Err(gone("the connection has ended", true)),
                Err(_) => drop(tokio::spawn(writer.clone().tidy(Some(outcome.clone())))),
            }
        }
    }

    /// Ends the write's part, and the transaction if it is full or nobody is in line.
    async fn end(mut self) -> Result<watch::Receiver<Outcome>, StoreError> {
        let before = self.open.writes.unwrap_or_default();
        if before > 0 {
            self.open.run("RELEASE SAVEPOINT write").await?;
        }
        self.ended = true;
        let writes = before + 1;
        self.open.writes = Some(writes);
        let outcome = self.open.outcome.subscribe();
        if writes >= MOST || self.writer.waiting.load(Ordering::SeqCst) == 0 {
            let writer = self.writer.clone();
            self.open.commit_open(&writer).await;
        }
        Ok(outcome)
    }
}

impl Drop for Tx {
    fn drop(&mut self) {
        if self.ended {
            return;
        }
        self.open.aborted = true;
        // Others may wait for this transaction, or nobody may come for long: it must not stay open.
        if let Ok(runtime) = tokio::runtime::Handle::try_current() {
            runtime.spawn(self.writer.clone().tidy(None));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use tokio::time::sleep;

    #[tokio::test(start_paused = true)]
    async fn a_start_that_cannot_look_at_its_leaves_says_so_and_enters_once_it_could() {
        sqlx::any::install_default_drivers();
        let folder = tempfile::tempdir().unwrap();
        // Nobody who opens it makes the file, so that every look fails.
        let address = format!("sqlite://{}", folder.path().join("x.sqlite").display());
        let key = Signer::log("vestibule.test/record", &[7; 32]).unwrap();
        let writer = Writer::new(&address, Backend::Sqlite, Arc::new(key), None);
        writer.compare_beside();
        let comparing = writer.trust.comparing().unwrap();
        comparing.ended().await;
        let refused = writer.trust.refuse_unless_filed();
        assert!(matches!(refused, Err(StoreError::NotCompared(_))));
        assert!(!writer.trust.is_forked());
        let made = format!("{address}?mode=rwc");
        let mut conn = AnyConnection::connect(&made).await.unwrap();
        for sql in [
            "CREATE TABLE leaf (number INTEGER, kind TEXT, about TEXT, case_number TEXT, body TEXT)",
            "CREATE TABLE record_head (id BIGINT, size BIGINT, peaks TEXT, checkpoint TEXT)",
            "INSERT INTO record_head (id, size, peaks, checkpoint) VALUES (1, 0, '', '')",
        ] {
            sqlx::query(sql).execute(&mut conn).await.unwrap();
        }
        conn.close().await.unwrap();
        for _ in 0..5_000 {
            if writer.trust.not_compared().is_none() {
                break;
            }
            // The pauses pass at once; the database is a thread of its own, and takes its time.
            std::thread::sleep(Duration::from_millis(2));
            sleep(Duration::from_secs(1)).await;
        }
        assert!(writer.trust.refuse_unless_filed().is_ok());
        assert!(!writer.trust.is_forked());
    }
}
