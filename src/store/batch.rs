//! The one writer, and why many deeds share a commit.
//!
//! Both databases flush the disk at each commit, and a flush takes longer than a deed. So deeds that wait
//! for their turn go into one open transaction, each inside a savepoint of its own, and one commit keeps
//! them all. Nobody is told that something is kept before that commit has come back. A deed that fails or
//! is dropped is taken back to its savepoint; the others do not notice.
//!
//! On PostgreSQL several programs may share the database: the first statement of a transaction locks the
//! row of the record's head, so that they write one after another too, and what a deed reads is what the
//! one before it has written.

use super::{Backend, StoreError, prepare_connection, record};
use crate::record::key::{Signer, Verifier};
use crate::record::tree::Frontier;
use sqlx::{AnyConnection, Connection};
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::Duration;
use tokio::sync::{Mutex, OwnedMappedMutexGuard, OwnedMutexGuard, watch};

/// Deeds that share one commit at most: the first of them waits for the last.
const MOST: u32 = 64;
/// How long a finished deed waits for the next in line to commit along, before it looks for itself: the
/// next may have been given up.
const PATIENCE: Duration = Duration::from_millis(10);

/// What became of a shared transaction.
#[derive(Debug, Clone)]
enum Outcome {
    Open,
    Kept,
    Lost { why: String, passing: bool },
}

/// The connection that writes, and the transaction that is open on it.
#[derive(Debug)]
struct Open {
    conn: AnyConnection,
    /// How many deeds the open transaction holds; none is open at `None`.
    deeds: Option<u32>,
    /// A deed was dropped without `commit`: the next in turn takes it back.
    spoilt: bool,
    /// Nothing more can be asked of this connection: the next in turn makes a new one.
    broken: bool,
    outcome: watch::Sender<Outcome>,
    /// The record as it stands with all that this transaction has written.
    frontier: Frontier,
    /// The same before the deed under way, to go back to.
    before_deed: Frontier,
    /// The size that is on the disk.
    kept_size: u64,
}

/// The turn to write. Waiting here is fair and wakes at once; waiting inside a database polls or fails.
#[derive(Debug, Clone)]
pub(super) struct Writer {
    address: Arc<str>,
    backend: Backend,
    key: Arc<Signer>,
    turn: Arc<Mutex<Option<Open>>>,
    waiting: Arc<AtomicUsize>,
}

/// One deed's part of an open transaction. Dropped without `commit`, it leaves nothing behind.
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

impl Writer {
    pub fn new(address: &str, backend: Backend, key: Arc<Signer>) -> Writer {
        Writer {
            address: address.into(),
            backend,
            key,
            turn: Arc::default(),
            waiting: Arc::default(),
        }
    }

    pub fn key(&self) -> &Verifier {
        self.key.verifier()
    }

    pub(super) fn signer(&self) -> &Signer {
        &self.key
    }

    pub async fn begin(&self) -> Result<Tx, StoreError> {
        let line = InLine::stand(&self.waiting);
        let mut turn = self.turn.clone().lock_owned().await;
        drop(line);
        if turn.as_ref().is_none_or(|open| open.broken) {
            *turn = Some(Open::connect(&self.address).await?);
        }
        let Ok(open) = OwnedMutexGuard::try_map(turn, Option::as_mut) else {
            return Err(StoreError::Again);
        };
        // From here on a fall leaves a spoilt deed behind, which the next in turn takes back.
        let mut tx = Tx {
            open,
            writer: self.clone(),
            ended: true,
        };
        tx.open.take_back().await;
        if tx.open.deeds.is_none()
            && let Err(error) = tx.open.begin(self.backend).await
        {
            tx.open.lose(&error).await;
            return Err(error);
        }
        tx.open.before_deed = tx.open.frontier.clone();
        tx.open.run("SAVEPOINT deed").await?;
        tx.ended = false;
        Ok(tx)
    }

    /// Keeps what is open, if nobody in line will.
    async fn tidy(self, outcome: Option<watch::Receiver<Outcome>>) {
        let mut turn = self.turn.lock().await;
        let is_ours = |open: &Open| match &outcome {
            Some(outcome) => open.outcome.subscribe().same_channel(outcome),
            None => self.waiting.load(Ordering::SeqCst) == 0,
        };
        if let Some(open) = turn.as_mut().filter(|open| is_ours(open)) {
            // Whoever waits for this transaction is told of its end, good or bad.
            open.take_back().await;
            open.keep(&self.key).await;
        }
    }

    pub async fn close(&self) {
        if let Some(open) = self.turn.lock().await.take() {
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
            deeds: None,
            spoilt: false,
            broken: false,
            outcome: watch::Sender::new(Outcome::Open),
            frontier: Frontier::default(),
            before_deed: Frontier::default(),
            kept_size: 0,
        })
    }

    async fn run(&mut self, sql: &'static str) -> Result<(), StoreError> {
        sqlx::query(sql).execute(&mut self.conn).await?;
        Ok(())
    }

    async fn begin(&mut self, backend: Backend) -> Result<(), StoreError> {
        // Noted before it is done: if this is given up half-way, the transaction is open all the same.
        self.outcome = watch::Sender::new(Outcome::Open);
        self.deeds = Some(0);
        self.run(match backend {
            Backend::Sqlite => "BEGIN IMMEDIATE",
            Backend::Postgres => "BEGIN ISOLATION LEVEL READ COMMITTED",
        })
        .await?;
        self.frontier = record::hold(&mut self.conn).await?;
        self.kept_size = self.frontier.size();
        Ok(())
    }

    /// Takes back what a dropped deed has left. If that fails, the whole transaction is lost.
    async fn take_back(&mut self) {
        if !std::mem::take(&mut self.spoilt) || self.deeds.is_none() {
            return;
        }
        self.frontier = self.before_deed.clone();
        let mut done = self.run("ROLLBACK TO SAVEPOINT deed").await;
        if done.is_ok() {
            done = self.run("RELEASE SAVEPOINT deed").await;
        }
        if let Err(error) = done {
            self.lose(&error).await;
        }
    }

    /// Signs how far the record has come, commits, and tells all who wait for it.
    async fn keep(&mut self, key: &Signer) {
        if self.deeds.is_none() {
            return;
        }
        let mut done = Ok(());
        if self.frontier.size() != self.kept_size {
            done = record::sign(&mut self.conn, &self.frontier, key).await;
        }
        if done.is_ok() {
            done = self.run("COMMIT").await;
        }
        match done {
            Ok(()) => {
                self.deeds = None;
                self.outcome.send_replace(Outcome::Kept);
            }
            Err(error) => self.lose(&error).await,
        }
    }

    async fn lose(&mut self, error: &StoreError) {
        // The transaction may have ended by itself, so this may fail.
        self.run("ROLLBACK").await.ok();
        self.deeds = None;
        self.broken = !error.is_passing();
        self.outcome.send_replace(Outcome::Lost {
            why: error.to_string(),
            passing: error.is_passing(),
        });
    }
}

impl Tx {
    pub fn conn(&mut self) -> &mut AnyConnection {
        &mut self.open.conn
    }

    /// The record with what this deed has appended so far.
    pub(super) fn frontier(&mut self) -> &mut Frontier {
        &mut self.open.frontier
    }

    /// Comes back when everything written here is on the disk.
    pub async fn commit(mut self) -> Result<(), StoreError> {
        self.open.run("RELEASE SAVEPOINT deed").await?;
        self.ended = true;
        let deeds = self.open.deeds.unwrap_or_default() + 1;
        self.open.deeds = Some(deeds);
        let mut outcome = self.open.outcome.subscribe();
        let writer = self.writer.clone();
        if deeds >= MOST || writer.waiting.load(Ordering::SeqCst) == 0 {
            self.open.keep(&writer.key).await;
        }
        drop(self);
        loop {
            match &*outcome.borrow_and_update() {
                Outcome::Open => {}
                Outcome::Kept => return Ok(()),
                Outcome::Lost { why, passing } => {
                    return Err(StoreError::Lost {
                        why: why.clone(),
                        passing: *passing,
                    });
                }
            }
            match tokio::time::timeout(PATIENCE, outcome.changed()).await {
                Ok(Ok(())) => {}
                // Nobody can tell any more: the connection was dropped with the transaction open on it.
                Ok(Err(_)) => {
                    return Err(StoreError::Lost {
                        why: "the connection has ended".to_owned(),
                        passing: false,
                    });
                }
                Err(_) => writer.clone().tidy(Some(outcome.clone())).await,
            }
        }
    }
}

impl Drop for Tx {
    fn drop(&mut self) {
        if self.ended {
            return;
        }
        self.open.spoilt = true;
        // Others may wait for this transaction, or nobody may come for long: it must not stay open.
        if let Ok(runtime) = tokio::runtime::Handle::try_current() {
            runtime.spawn(self.writer.clone().tidy(None));
        }
    }
}
