//! What somebody has ended: sessions, until they would have ended by themselves, and devices and codes of the bench and
//! addresses of calendars. Their rows are gone; one that somebody puts back as it was opens nothing, and none that could
//! not be taken away.
//!
//! They are no entries of the record, which would keep for good when each person leaves the house. So they stand beside
//! the key, in `record.ended`, where whoever writes the database does not write: the programs of one machine share that
//! file, and it outlives them. Where it is not there, or has no more room, every session of before ends: a file that is
//! taken away brings none back.
//!
//! Locks, reads and writes of the file wait for other programs and for the disk: [`on_a_thread`] is the one place of them.
//! So whoever answers a request looks into the file first ([`look`]), and then asks what is remembered ([`holds`]).

use super::App;
use crate::store::ended_file::{EndedFile, EndedHead, MOST, is_for_good};
use std::collections::BTreeMap;
use std::io;
use std::sync::{Mutex, PoisonError};

/// Devices, codes and addresses last until they are ended: so long is it remembered that they were.
const LONG_MS: i64 = 10 * 365 * 24 * 60 * 60_000;

/// What is remembered, and of which state of the file.
#[derive(Debug, Default)]
pub(super) struct EndedSessions {
    remembered: Mutex<Remembered>,
    /// Whoever reads the file, so that what was read before is not taken in after what was read later.
    reading: Mutex<()>,
}

#[derive(Debug, Default)]
struct Remembered {
    /// By the hash of their secrets, until when; what is no session by its binding.
    sessions: BTreeMap<String, i64>,
    /// What began before has ended.
    none_before_ms: i64,
    /// The first line of the file, as it was read last; none where it could not be read.
    head: Option<EndedHead>,
    is_stated: bool,
}

/// What stands in the file: its first line, and the others where that is not the one that was read last.
type Read = (EndedHead, Option<Vec<(String, i64)>>);

/// Ends the session of this secret, which lasts until then at the latest.
pub(super) async fn note(app: &App, secret_hash: &str, ends_ms: i64) {
    note_all(app, vec![(secret_hash.to_owned(), ends_ms)]).await;
}

/// Ends a device, a code or an address for good, by the binding of its row.
pub(super) async fn note_for_good(app: &App, binding: &str) {
    note(app, binding, until_for_good(app)).await;
}

/// Until when something is remembered that was ended for good.
pub(super) fn until_for_good(app: &App) -> i64 {
    app.outside.now_ms() + LONG_MS
}

/// Ends all of these, by the hash of a secret or a binding and until when it is to be remembered, in one go.
pub(super) async fn note_all(app: &App, ended: Vec<(String, i64)>) {
    if ended.is_empty() {
        return;
    }
    let now = app.outside.now_ms();
    app.ended.inside(|one| {
        for (hash, ends_ms) in &ended {
            one.sessions.retain(|_, ends| *ends > now);
            if one.sessions.len() >= MOST {
                one.end_all_before(now);
            }
            one.sessions.insert(hash.clone(), *ends_ms);
        }
    });
    let Some(file) = app.store.ended_file() else {
        return;
    };
    on_a_thread(move || {
        // On a full disk leaving goes on: this program remembers it, and the file has its room from the beginning.
        if let Err(why) = file.write(&ended, now) {
            tracing::warn!(path = %file.path().display(), %why, "what was ended is remembered by this program alone");
        }
    })
    .await;
}

/// Does what waits for the disk where no request waits for it. Given up, it goes on by itself.
async fn on_a_thread(does: impl FnOnce() + Send + 'static) {
    if let Err(why) = tokio::task::spawn_blocking(does).await {
        tracing::error!(%why, "the file of what was ended was not read or written");
    }
}

/// Whether the device, the code or the address with this binding was ended.
pub(super) fn holds_for_good(app: &App, binding: &str) -> bool {
    holds(app, binding, i64::MAX)
}

/// Whether the session of this secret, which began then, was ended.
pub(super) fn holds(app: &App, secret_hash: &str, began_ms: i64) -> bool {
    app.ended
        .inside(|one| began_ms < one.none_before_ms || one.sessions.contains_key(secret_hash))
}

/// Takes in what other programs have written, and begins the file where there is none: before somebody is asked who they
/// are, and before a session begins, which a file that began after it would end with those of before.
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

    /// Reads the file while others ask what is remembered.
    fn look(&self, file: &EndedFile, now_ms: i64) {
        let _one_by_one = self.reading.lock().unwrap_or_else(PoisonError::into_inner);
        let known = self.inside(|one| one.head);
        let read = read(file, known, now_ms);
        self.inside(|one| one.take_in(read, file, now_ms));
    }
}

fn read(file: &EndedFile, known: Option<EndedHead>, now_ms: i64) -> io::Result<Read> {
    let head = file.head(now_ms)?;
    let all = match known == Some(head) {
        true => None,
        false => Some(file.all()?),
    };
    Ok((head, all))
}

impl Remembered {
    fn end_all_before(&mut self, now_ms: i64) {
        self.none_before_ms = now_ms;
        self.sessions.retain(|_, ends| is_for_good(*ends, now_ms));
    }

    /// Takes in what other programs have written since.
    fn take_in(&mut self, read: io::Result<Read>, file: &EndedFile, now_ms: i64) {
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
