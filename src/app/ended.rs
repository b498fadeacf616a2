//! Sessions, devices and codes of the bench, and addresses of calendars that somebody has ended. Their rows are deleted;
//! but whoever can write the database could put a row back, and a full disk could keep it. So what was ended is also
//! written down here, and opens nothing whatever its row says.
//!
//! It is written in `record.ended` beside the key, which whoever writes the database does not reach, and not in the
//! record, which would keep for good when each person leaves the house. The programs of one machine share the file. If it
//! is missing or full of sessions, all sessions that began before end: deleting the file brings none back. Of what was
//! ended for good nobody makes so much in a day that it fills the file (`tries.rs`).
//!
//! The file is read and written on a thread of its own ([`on_a_thread`]), since that waits for other programs and for the
//! disk. Whoever answers a request reads it first ([`look`]), and then asks what is remembered ([`holds`]).

use super::{App, AppError};
use crate::domain::values::ids::AccountId;
use crate::store::ended_file::{EndedFile, EndedHead, MOST, first_of_many, is_for_good};
use crate::store::{Connection, StoreError, bench_codes, feeds, people};
use std::collections::BTreeMap;
use std::io;
use std::sync::{Mutex, PoisonError};

/// How long it is remembered that a session was ended: none lasts longer, a clock that is set back included. What its
/// row says of that is not believed: it may be put back later.
const SESSION_MS: i64 = 13 * 60 * 60_000;
/// How long it is remembered that a device, a code or an address was ended: none of them ends by itself.
const LONG_MS: i64 = 10 * 365 * 24 * 60 * 60_000;

/// What this program remembers of the file.
#[derive(Debug, Default)]
pub(super) struct EndedSessions {
    remembered: Mutex<Remembered>,
    /// Held while the file is read: of two readers the later would otherwise be overwritten by the earlier.
    reading: Mutex<()>,
}

#[derive(Debug, Default)]
struct Remembered {
    /// Until when each is remembered: a session by the hash of its secret, anything else by the binding of its row.
    sessions: BTreeMap<String, i64>,
    /// Every session that began before this has ended.
    none_before_ms: i64,
    /// The file's first line when it was read last; none if that failed.
    head: Option<EndedHead>,
    /// Whether the log says already that the file cannot be read.
    is_stated: bool,
}

/// The file's first line, and the other lines if the first has changed since it was read last.
type FileState = (EndedHead, Option<Vec<(String, i64)>>);

/// Ends the sessions with these secrets. It is remembered until they would have ended by themselves.
pub(super) async fn note_sessions(app: &App, secret_hashes: Vec<String>) {
    note_all(app, as_sessions(app, secret_hashes)).await;
}

/// The same, as they are noted with others.
pub(super) fn as_sessions(app: &App, secret_hashes: Vec<String>) -> Vec<(String, i64)> {
    let until = app.outside.now_ms() + SESSION_MS;
    let ended = secret_hashes.into_iter().map(|hash| (hash, until));
    ended.collect()
}

/// Ends the device, code or address whose row has this binding.
pub(super) async fn note_for_good(app: &App, binding: &str) {
    note_all(app, vec![(binding.to_owned(), until_for_good(app))]).await;
}

/// Until when it is remembered that a device, a code or an address was ended.
pub(super) fn until_for_good(app: &App) -> i64 {
    app.outside.now_ms() + LONG_MS
}

/// What opens something to an account now, as it is noted when it ends: its sessions, its code and its address.
pub(super) async fn all_of(
    app: &App,
    conn: &mut Connection,
    id: &AccountId,
) -> Result<Vec<(String, i64)>, AppError> {
    let mut all = as_sessions(app, people::session_hashes_of(conn, id).await?);
    let code = or_none(bench_codes::code_of(conn, id).await)?.map(|row| row.binding);
    let address = or_none(feeds::of_account(conn, id).await)?.map(|row| row.binding);
    let bindings = code.into_iter().chain(address);
    all.extend(bindings.map(|binding| (binding, until_for_good(app))));
    Ok(all)
}

/// A row that somebody has damaged keeps nobody from shutting out.
fn or_none<T: Default>(found: Result<T, StoreError>) -> Result<T, StoreError> {
    match found {
        Err(why) if why.is_of_a_value() => {
            tracing::warn!(%why, "what is ended cannot be read, and is not noted as ended");
            Ok(T::default())
        }
        found => found,
    }
}

/// Ends all of these at once: each by the hash of its secret or its binding, with the time until which it is remembered.
pub(super) async fn note_all(app: &App, ended: Vec<(String, i64)>) {
    if ended.is_empty() {
        return;
    }
    let now = app.outside.now_ms();
    app.ended.inside(|one| {
        for (hash, ends_ms) in &ended {
            one.sessions.retain(|_, ends| *ends > now);
            if one.sessions.len() >= MOST {
                one.make_room(now);
            }
            one.sessions.insert(hash.clone(), *ends_ms);
        }
    });
    let Some(file) = app.store.ended_file() else {
        return;
    };
    on_a_thread(move || {
        // Nobody is kept from signing out: this program remembers it. A full disk is no reason to get here, since the file
        // is made in its full length.
        if let Err(why) = file.write(&ended, now) {
            tracing::warn!(path = %file.path().display(), %why, "what was ended is remembered by this program alone");
        }
    })
    .await;
}

/// Runs what waits for the disk on a thread that serves no requests. It is finished also if the request is given up.
async fn on_a_thread(does: impl FnOnce() + Send + 'static) {
    if let Err(why) = tokio::task::spawn_blocking(does).await {
        tracing::error!(%why, "the file of what was ended was not read or written");
    }
}

/// Whether the device, code or address whose row has this binding was ended.
pub(super) fn holds_for_good(app: &App, binding: &str) -> bool {
    holds(app, binding, i64::MAX)
}

/// Whether the session with this secret, which began at this time, was ended.
pub(super) fn holds(app: &App, secret_hash: &str, began_ms: i64) -> bool {
    app.ended
        .inside(|one| began_ms < one.none_before_ms || one.sessions.contains_key(secret_hash))
}

/// Reads what other programs have ended, and makes the file if there is none. Call it before [`holds`], and before a
/// session begins: a file that is made later would end that session with all earlier ones.
pub(super) async fn look(app: &App) {
    let Some(file) = app.store.ended_file() else {
        return;
    };
    let (ended, now) = (app.ended.clone(), app.outside.now_ms());
    on_a_thread(move || ended.look(&file, now)).await;
}

impl EndedSessions {
    fn inside<T>(&self, does: impl FnOnce(&mut Remembered) -> T) -> T {
        does(
            &mut self
                .remembered
                .lock()
                .unwrap_or_else(PoisonError::into_inner),
        )
    }

    /// Reads the file. What is remembered can be asked for meanwhile.
    fn look(&self, file: &EndedFile, now_ms: i64) {
        let _one_by_one = self.reading.lock().unwrap_or_else(PoisonError::into_inner);
        let known = self.inside(|one| one.head);
        let read = read(file, known, now_ms);
        self.inside(|one| one.remember(read, file, now_ms));
    }
}

fn read(file: &EndedFile, known: Option<EndedHead>, now_ms: i64) -> io::Result<FileState> {
    let head = file.head(now_ms)?;
    let all = match known == Some(head) {
        true => None,
        false => Some(file.all()?),
    };
    Ok((head, all))
}

impl Remembered {
    /// As the file does where it is full.
    fn make_room(&mut self, now_ms: i64) {
        let lines = self.sessions.iter().map(|(name, ends)| (name, *ends));
        let first = first_of_many(lines, now_ms).cloned();
        match first {
            Some(first) => {
                self.sessions.remove(&first);
            }
            None => self.end_all_before(now_ms),
        }
    }

    fn end_all_before(&mut self, now_ms: i64) {
        self.none_before_ms = now_ms;
        self.sessions.retain(|_, ends| is_for_good(*ends, now_ms));
    }

    /// Remembers what was read. If the file cannot be read, all sessions end, since any of them may stand in it.
    fn remember(&mut self, read: io::Result<FileState>, file: &EndedFile, now_ms: i64) {
        match read {
            Ok((head, all)) => {
                self.is_stated = false;
                if let Some(all) = all {
                    self.sessions.extend(all);
                    self.sessions.retain(|_, ends| *ends > now_ms);
                    self.none_before_ms = head.none_before_ms;
                }
                self.head = Some(head);
            }
            Err(why) => {
                if !std::mem::replace(&mut self.is_stated, true) {
                    tracing::error!(path = %file.path().display(), %why, "which sessions were ended cannot be read: whoever is \
                                    signed in has to sign in again");
                    self.none_before_ms = now_ms;
                }
                self.head = None;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn seen(file: &EndedFile, now_ms: i64) -> EndedSessions {
        let one = EndedSessions::default();
        one.look(file, now_ms);
        one
    }

    fn remembers(one: &EndedSessions, names: &[&str]) -> bool {
        one.inside(|one| one.sessions.keys().eq(names))
    }

    #[test]
    fn what_has_ended_is_remembered_until_it_would_have_ended_by_itself() {
        let folder = tempfile::tempdir().unwrap();
        let file = EndedFile::beside(&folder.path().join("record.last"));
        let none_before = |one: &EndedSessions| one.inside(|one| one.none_before_ms);
        let here = seen(&file, 100);
        assert_eq!(none_before(&here), 100, "what is of before has ended");
        file.write(&[("a".to_owned(), 210)], 100).unwrap();
        file.write(&[("b".to_owned(), 220)], 105).unwrap();
        here.look(&file, 200);
        for one in [&seen(&file, 200), &here] {
            assert!(remembers(one, &["a", "b"]));
            assert_eq!(none_before(one), 100);
        }
        file.write(&[("c".to_owned(), 330)], 212).unwrap();
        assert!(remembers(&seen(&file, 212), &["b", "c"]));
    }

    #[test]
    fn whoever_asks_does_not_wait_for_the_file() {
        let folder = tempfile::tempdir().unwrap();
        let file = EndedFile::beside(&folder.path().join("record.last"));
        let one = std::sync::Arc::new(EndedSessions::default());
        // Another program has the file in hand: whoever begins it waits.
        let held = std::fs::File::create(file.path()).unwrap();
        held.lock().unwrap();
        let looks = std::thread::spawn({
            let (one, file) = (one.clone(), file.clone());
            move || one.look(&file, 100)
        });
        while one.reading.try_lock().is_ok() {
            std::thread::yield_now();
        }
        assert_eq!(one.inside(|one| one.none_before_ms), 0);
        assert!(!looks.is_finished());
        drop(held);
        looks.join().unwrap();
        assert_eq!(one.inside(|one| one.none_before_ms), 100);
    }
}
