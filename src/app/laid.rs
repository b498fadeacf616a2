//! The bytes of a picture or a scan are laid before its entry has its turn to write, so that nobody waits for them. A note
//! goes before them, which the entry takes back. Where no entry comes of it they are taken away: at once, or at the next
//! start, by the note of whoever was killed.

use super::case_work::CaseWork;
use super::run::on_case::run_on_case;
use super::run::{write, write_in};
use super::{App, AppError, Person, PostKey, add_item, health};
use crate::domain::custody::events::Registered;
use crate::domain::custody::item::Item;
use crate::domain::custody::{Event, What};
use crate::domain::values::ids::{CaseNumber, EventId};
use crate::store::{Store, StoreError, Tx, custody, pictures};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

/// What is laid until its entry is there. Given up on the way, it is taken away.
struct Laid {
    store: Store,
    case: CaseNumber,
    hash: String,
    bytes: Arc<Vec<u8>>,
    /// It is to be taken away if no entry names it.
    is_loose: bool,
    /// An entry has taken the note back, if its transaction is kept.
    is_named: AtomicBool,
}

impl Laid {
    /// Lays the bytes, unless they are in the case already; whoever gives the waiting up has them taken away once they lie
    /// there.
    async fn lay(app: &App, seen: &CaseWork, hash: &str, bytes: Vec<u8>) -> Result<Laid, AppError> {
        let mut laid = Laid {
            store: app.store.clone(),
            case: seen.case.number.clone(),
            hash: hash.to_owned(),
            bytes: Arc::new(bytes),
            is_loose: false,
            is_named: AtomicBool::new(false),
        };
        if is_named(&seen.events, hash) {
            return Ok(laid);
        }
        let app = app.clone();
        let laying = tokio::spawn(async move {
            write(&app, |mut tx| async {
                pictures::note_coming(&mut tx, &laid.case, &laid.hash).await?;
                Ok::<_, AppError>((tx, ()))
            })
            .await?;
            laid.is_loose = true;
            let (conn, key) = (app.store.read().await?, (&laid.case, laid.hash.as_str()));
            let lying = app.store.shelf().lay(conn, key, laid.bytes.clone()).await;
            match lying {
                Ok(()) => Ok(laid),
                Err(why) => {
                    laid.take_away().await;
                    Err(AppError::from(why))
                }
            }
        });
        laying
            .await
            .unwrap_or_else(|why| Err(AppError::Inner(why.to_string())))
    }

    async fn keep(&self, tx: &mut Tx) -> Result<(), StoreError> {
        let (shelf, key) = (self.store.shelf(), (&self.case, self.hash.as_str()));
        shelf.keep(tx, key, self.bytes.clone()).await?;
        self.is_named.store(true, Ordering::SeqCst);
        Ok(())
    }

    /// Takes it away unless an entry names it by now.
    async fn take_away(&mut self) {
        if std::mem::take(&mut self.is_loose) {
            take_away_or_say(&self.store, &self.case, &self.hash).await;
        }
    }

    async fn finish(mut self, is_done: bool) {
        match is_done && self.is_named.load(Ordering::SeqCst) {
            true => self.is_loose = false,
            false => self.take_away().await,
        }
    }
}

impl Drop for Laid {
    fn drop(&mut self) {
        if !self.is_loose {
            return;
        }
        // Its entry may still be on its way: this has its turn after it.
        if let Ok(runtime) = tokio::runtime::Handle::try_current() {
            let (store, case) = (self.store.clone(), self.case.clone());
            let hash = std::mem::take(&mut self.hash);
            runtime.spawn(async move { take_away_or_say(&store, &case, &hash).await });
        }
    }
}

/// Whether one of these entries names such bytes.
fn is_named(events: &[Event], hash: &str) -> bool {
    let mut files = events.iter().filter_map(|event| event.what.file());
    files.any(|(own, _)| own == hash)
}

/// What is entered with a file: an item that it stands for, if it is a new one, and the entries about it.
pub(super) struct EntriesOfFile {
    pub item: Option<(Item, Registered)>,
    pub more: Vec<What>,
}

/// Entries of which one names a file, and the bytes of that file. `what` is told by which ids they go, one after the other.
/// The answer is the entry that names the file.
pub(super) async fn add_file(
    app: &App,
    person: &Person,
    seen: &CaseWork,
    key: &PostKey,
    (hash, bytes): (&str, Vec<u8>),
    what: impl Fn(&CaseWork, &[EventId; 2]) -> Result<EntriesOfFile, AppError> + Send + Sync,
) -> Result<EventId, AppError> {
    health::refuse_unless_room(app, bytes.len())?;
    let id = || Ok::<_, AppError>(EventId::new(app.outside.identity()?));
    let ids = [id()?, id()?];
    let laid = Laid::lay(app, seen, hash, bytes).await?;
    let done = run_on_case(app, person, seen, key, |mut work, mut tx| async {
        let (entries, mut free) = (what(&work, &ids)?, ids.iter());
        if let Some((item, registered)) = entries.item
            && let Some(id) = free.next()
        {
            let entry = (id, &item);
            add_item::enter(app, &mut tx, person, &mut work, entry, registered, None).await?;
        }
        let of_file = free.clone().next().cloned().unwrap_or_default();
        for (id, what) in free.zip(entries.more) {
            work.append(app, &mut tx, person, id, what, None).await?;
        }
        // Before the entry is kept, its bytes are.
        laid.keep(&mut tx).await?;
        Ok((work, tx, of_file))
    });
    let done = done.await;
    laid.finish(done.is_ok()).await;
    done
}

/// Takes bytes away for good that no entry names, with what says that they go or come.
pub(super) async fn take_away(
    store: &Store,
    number: &CaseNumber,
    hash: &str,
) -> Result<(), AppError> {
    write_in(store, |mut tx| async {
        // First of all: a server may still be laying them, and this waits for it.
        pictures::forget_coming(&mut tx, number, hash).await?;
        let events = custody::events_of(tx.conn(), number).await?;
        let (shelf, is_named) = (store.shelf(), is_named(&events, hash));
        shelf.take_away(&mut tx, (number, hash), is_named).await?;
        Ok((tx, ()))
    })
    .await
}

/// The same where nobody waits for it. What cannot be removed hinders nothing else: it is tried again at the next start.
pub(super) async fn take_away_or_say(store: &Store, number: &CaseNumber, hash: &str) {
    if let Err(error) = take_away(store, number, hash).await {
        tracing::warn!(%number, hash, %error, "the bytes of a picture or scan that no entry names could not be removed");
    }
}

/// Takes away, at a start, what was laid by a program that was killed before an entry named it.
pub async fn sweep(app: &App) -> Result<(), AppError> {
    let coming = pictures::coming(&mut *app.store.read().await?).await?;
    if coming.is_empty() {
        return Ok(());
    }
    let shelf = app.store.shelf();
    if let Err(error) = shelf.remove_parts(coming.clone()).await {
        tracing::warn!(%error, "what is half written of a picture or scan could not be removed");
    }
    for (case, hash) in coming {
        sweep_one(&app.store, &case, &hash).await;
    }
    Ok(())
}

/// Takes away what a row names, if it names anything: one that cannot be read keeps no program from starting.
pub(super) async fn sweep_one(store: &Store, case: &str, hash: &str) {
    match CaseNumber::parse(case) {
        Ok(number) => take_away_or_say(store, &number, hash).await,
        Err(why) => {
            tracing::warn!(case, hash, %why, "what is to be taken away of a picture or scan cannot be told");
        }
    }
}
