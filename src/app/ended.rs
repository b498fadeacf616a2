//! What somebody has ended: sessions, until they would have ended by themselves, and devices and codes of the bench and
//! addresses of calendars. Their rows are gone; one that somebody puts back as it was opens nothing, and none that could
//! not be taken away.
//!
//! They are no entries of the record, which would keep for good when each person leaves the house. So they stand beside
//! the key, in `record.ended`, where whoever writes the database does not write: the programs of one machine share that
//! file, and it outlives them. Where it is not there, or has no more room, every session of before ends: a file that is
//! taken away brings none back.

use super::App;
use crate::store::ended_file::{EndedFile, EndedHead, MOST, is_for_good};
use std::collections::BTreeMap;
use std::io;
use std::sync::{Mutex, PoisonError};

/// Devices, codes and addresses last until they are ended: so long is it remembered that they were.
const LONG_MS: i64 = 10 * 365 * 24 * 60 * 60_000;

/// What is remembered, and of which state of the file.
#[derive(Debug, Default)]
pub(super) struct EndedSessions(Mutex<Remembered>);

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

/// Ends the session of this secret, which lasts until then at the latest.
pub(super) fn note(app: &App, secret_hash: &str, ends_ms: i64) {
    note_all(app, &[(secret_hash.to_owned(), ends_ms)]);
}

/// Ends a device, a code or an address for good, by the binding of its row.
pub(super) fn note_for_good(app: &App, binding: &str) {
    note(app, binding, until_for_good(app));
}

/// Until when something is remembered that was ended for good.
pub(super) fn until_for_good(app: &App) -> i64 {
    app.outside.now_ms() + LONG_MS
}

/// Ends all of these, by the hash of a secret or a binding and until when it is to be remembered, in one go.
pub(super) fn note_all(app: &App, ended: &[(String, i64)]) {
    if ended.is_empty() {
        return;
    }
    let now = app.outside.now_ms();
    app.ended.inside(|one| {
        for (hash, ends_ms) in ended {
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
    // On a full disk leaving goes on: this program remembers it, and the file has its room from the beginning.
    if let Err(why) = file.write(ended, now) {
        tracing::warn!(path = %file.path().display(), %why, "what was ended is remembered by this program alone");
    }
}

/// Whether the device, the code or the address with this binding was ended.
pub(super) fn holds_for_good(app: &App, binding: &str) -> bool {
    holds(app, binding, i64::MAX)
}

/// Whether the session of this secret, which began then, was ended.
pub(super) fn holds(app: &App, secret_hash: &str, began_ms: i64) -> bool {
    read(app, |one| {
        began_ms < one.none_before_ms || one.sessions.contains_key(secret_hash)
    })
}

/// For whoever is about to begin a session: a file that began after it would end it with those of before.
pub(super) fn begin_file(app: &App) {
    read(app, |_| ());
}

/// Asks what is remembered after what other programs have written was taken in.
fn read<T>(app: &App, asks: impl FnOnce(&Remembered) -> T) -> T {
    let (file, now) = (app.store.ended_file(), app.outside.now_ms());
    app.ended.inside(|one| {
        if let Some(file) = file {
            one.look(&file, now);
        }
        asks(one)
    })
}

impl EndedSessions {
    fn inside<T>(&self, does: impl FnOnce(&mut Remembered) -> T) -> T {
        does(&mut self.0.lock().unwrap_or_else(PoisonError::into_inner))
    }
}

impl Remembered {
    fn end_all_before(&mut self, now_ms: i64) {
        self.none_before_ms = now_ms;
        self.sessions.retain(|_, ends| is_for_good(*ends, now_ms));
    }

    /// Takes in what other programs have written since.
    fn look(&mut self, file: &EndedFile, now_ms: i64) {
        match self.read_new(file, now_ms) {
            Ok(()) => self.is_stated = false,
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

    fn read_new(&mut self, file: &EndedFile, now_ms: i64) -> io::Result<()> {
        let head = file.head(now_ms)?;
        if self.head == Some(head) {
            return Ok(());
        }
        let all = file.all()?;
        self.sessions.extend(all);
        self.sessions.retain(|_, ends| *ends > now_ms);
        self.none_before_ms = head.none_before_ms;
        self.head = Some(head);
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn seen(file: &EndedFile, now_ms: i64) -> Remembered {
        let mut one = Remembered::default();
        one.look(file, now_ms);
        one
    }

    #[test]
    fn what_has_ended_is_remembered_until_it_would_have_ended_by_itself() {
        let folder = tempfile::tempdir().unwrap();
        let file = EndedFile::beside(&folder.path().join("record.last"));
        let mut here = seen(&file, 100);
        assert_eq!(here.none_before_ms, 100, "what is of before has ended");
        file.write(&[("a".to_owned(), 210)], 100).unwrap();
        file.write(&[("b".to_owned(), 220)], 105).unwrap();
        here.look(&file, 200);
        for one in [&seen(&file, 200), &here] {
            assert!(one.sessions.keys().eq(["a", "b"]));
            assert_eq!(one.none_before_ms, 100);
        }
        file.write(&[("c".to_owned(), 330)], 212).unwrap();
        assert!(seen(&file, 212).sessions.keys().eq(["b", "c"]));
    }
}
