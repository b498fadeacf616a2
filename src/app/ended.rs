//! What somebody has ended: sessions, until they would have ended by themselves, and devices and codes of the bench and
//! addresses of calendars. Their rows are gone; one that somebody puts back as it was opens nothing, and none that could
//! not be taken away.
//!
//! They are no entries of the record, which would keep for good when each person leaves the house. So they stand beside
//! the key, in `record.ended`, where whoever writes the database does not write: the programs of one machine share that
//! file, and it outlives them. Where it is not there, or has no more room, every session of before ends: a file that is
//! taken away brings none back.

use super::App;
use crate::files::open_regular;
use std::collections::BTreeMap;
use std::fs::{File, OpenOptions};
use std::io;
use std::os::unix::fs::{FileExt, OpenOptionsExt};
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};

/// Sessions that are remembered; a bench changes hands some fifty times a day (common practice, no source), so that this
/// is enough for several hundred people.
const MOST: usize = 20_000;
/// Bytes of a line: the hash of a secret and until when, or the head. A line that is cut off is one that nobody was told of.
const LINE: usize = 80;

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
    head: Option<Head>,
    is_told: bool,
}

/// What began before is over; how often the file was written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Head {
    none_before_ms: i64,
    writes: u64,
}

/// Ends the session of this secret, which lasts until then at the latest.
pub(super) fn note(app: &App, secret_hash: &str, ends_ms: i64) {
    let now = app.outside.now_ms();
    app.ended.inside(|one| {
        one.sessions.retain(|_, ends| *ends > now);
        if one.sessions.len() >= MOST {
            one.end_all_before(now);
        }
        one.sessions.insert(secret_hash.to_owned(), ends_ms);
    });
    let Some(path) = file_of(app) else { return };
    // On a full disk leaving goes on: this program remembers it, and the file has its room from the beginning.
    if let Err(why) = write(&path, secret_hash, ends_ms, now) {
        tracing::warn!(path = %path.display(), %why, "an ended session is remembered by this program alone");
    }
}

/// Ends a device, a code or an address for good, by the binding of its row.
pub(super) fn note_for_good(app: &App, binding: &str) {
    note(app, binding, app.outside.now_ms() + LONG_MS);
}

/// Whether the device, the code or the address with this binding was ended.
pub(super) fn holds_for_good(app: &App, binding: &str) -> bool {
    holds(app, binding, i64::MAX)
}

/// Whether the session of this secret, which began then, was ended.
pub(super) fn holds(app: &App, secret_hash: &str, began_ms: i64) -> bool {
    let (path, now) = (file_of(app), app.outside.now_ms());
    app.ended.inside(|one| {
        if let Some(path) = path {
            one.look(&path, now);
        }
        began_ms < one.none_before_ms || one.sessions.contains_key(secret_hash)
    })
}

fn file_of(app: &App) -> Option<PathBuf> {
    Some(app.store.beside_key()?.with_extension("ended"))
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
    fn look(&mut self, path: &Path, now_ms: i64) {
        match self.take_in(path, now_ms) {
            Ok(()) => self.is_told = false,
            Err(why) => {
                if !std::mem::replace(&mut self.is_told, true) {
                    tracing::error!(path = %path.display(), %why, "which sessions were ended cannot be read: whoever is \
                                    signed in has to sign in again");
                    self.none_before_ms = now_ms;
                }
                self.head = None;
            }
        }
    }

    fn take_in(&mut self, path: &Path, now_ms: i64) -> io::Result<()> {
        let mut head = match open_regular(path) {
            Ok(file) => read_line(&file, 0)?.and_then(|line| head_of(&line)),
            Err(why) if why.kind() == io::ErrorKind::NotFound => None,
            Err(why) => return Err(why),
        };
        if head.is_none_or(|head| head.none_before_ms > now_ms) {
            head = Some(begin(path, now_ms)?);
        }
        if head == self.head {
            return Ok(());
        }
        self.sessions.retain(|_, ends| *ends > now_ms);
        let lines = lines_of(&open_regular(path)?)?;
        let sessions = lines.into_iter().flatten();
        self.sessions
            .extend(sessions.filter(|(_, ends)| *ends > now_ms));
        self.none_before_ms = head.map_or(now_ms, |head| head.none_before_ms);
        self.head = head;
        Ok(())
    }
}

/// Whether it is no session, which would end within a day.
fn is_for_good(ends_ms: i64, now_ms: i64) -> bool {
    ends_ms - now_ms > 24 * 60 * 60_000
}

/// The file, which nobody else writes until it is closed.
fn locked(path: &Path) -> io::Result<File> {
    crate::files::refuse_other_than_file(path)?;
    let file = OpenOptions::new()
        .read(true)
        .write(true)
        .create(true)
        .truncate(false)
        .mode(0o600)
        .open(path)?;
    file.lock()?;
    Ok(file)
}

/// Begins the file where there is none, or none that can be read: what is of before has ended.
fn begin(path: &Path, now_ms: i64) -> io::Result<Head> {
    let file = locked(path)?;
    let found = read_line(&file, 0)?.and_then(|line| head_of(&line));
    match found {
        Some(head) if head.none_before_ms <= now_ms => Ok(head),
        // A clock that was ahead has written it: else nobody could come in until that day.
        Some(head) => write_head(&file, now_ms, head.writes + 1),
        None => empty(&file, now_ms, 0),
    }
}

/// Writes a session where there is room, over one that would have ended by itself.
fn write(path: &Path, secret_hash: &str, ends_ms: i64, now_ms: i64) -> io::Result<()> {
    begin(path, now_ms)?;
    let file = locked(path)?;
    let Some(mut head) = read_line(&file, 0)?.and_then(|line| head_of(&line)) else {
        return Err(io::ErrorKind::InvalidData.into());
    };
    let lines = lines_of(&file)?;
    let is_over = |line: &Option<(String, i64)>| {
        line.as_ref()
            .is_none_or(|(hash, ends)| *ends <= now_ms || hash == secret_hash)
    };
    let mut place = lines.iter().position(is_over).unwrap_or(lines.len());
    if place >= MOST {
        head = empty(&file, now_ms, head.writes + 1)?;
        let kept = lines.into_iter().flatten();
        let kept: Vec<_> = kept
            .filter(|(_, ends)| is_for_good(*ends, now_ms))
            .take(MOST - 1)
            .collect();
        for (number, (hash, ends)) in kept.iter().enumerate() {
            write_line(&file, number + 1, &format!("{hash} {ends}"))?;
        }
        place = kept.len();
    }
    write_line(&file, place + 1, &format!("{secret_hash} {ends_ms}"))?;
    write_head(&file, head.none_before_ms, head.writes + 1)?;
    Ok(())
}

/// A file of its full length, so that a full disk keeps nobody from leaving.
fn empty(file: &File, none_before_ms: i64, writes: u64) -> io::Result<Head> {
    // First of all, so that what is killed on the way brings nothing back.
    let head = write_head(file, none_before_ms, writes)?;
    file.write_all_at(&vec![0; LINE * MOST], LINE as u64)?;
    file.sync_all()?;
    Ok(head)
}

fn write_head(file: &File, none_before_ms: i64, writes: u64) -> io::Result<Head> {
    write_line(file, 0, &format!("ended {none_before_ms} {writes}"))?;
    file.sync_data()?;
    Ok(Head {
        none_before_ms,
        writes,
    })
}

fn write_line(file: &File, place: usize, text: &str) -> io::Result<()> {
    let mut line = text.as_bytes().to_vec();
    line.resize(LINE - 1, b' ');
    line.push(b'\n');
    file.write_all_at(&line, (place * LINE) as u64)
}

/// The line at this place; none where the file ends before.
fn read_line(file: &File, place: usize) -> io::Result<Option<String>> {
    let mut line = [0; LINE];
    match file.read_exact_at(&mut line, (place * LINE) as u64) {
        Ok(()) => Ok(Some(String::from_utf8_lossy(&line).into_owned())),
        Err(why) if why.kind() == io::ErrorKind::UnexpectedEof => Ok(None),
        Err(why) => Err(why),
    }
}

fn head_of(line: &str) -> Option<Head> {
    let mut words = line.strip_prefix("ended ")?.split_whitespace();
    let (none_before_ms, writes) = (words.next()?.parse().ok()?, words.next()?.parse().ok()?);
    Some(Head {
        none_before_ms,
        writes,
    })
}

/// The lines behind the head up to the first that was never written; none for one that cannot be read.
fn lines_of(file: &File) -> io::Result<Vec<Option<(String, i64)>>> {
    let mut bytes = vec![0; LINE * MOST];
    let mut length = 0;
    while let Some(rest) = bytes.get_mut(length..).filter(|rest| !rest.is_empty()) {
        match file.read_at(rest, (LINE + length) as u64)? {
            0 => break,
            more => length += more,
        }
    }
    bytes.truncate(length);
    let written = bytes
        .chunks(LINE)
        .take_while(|line| line.first().is_some_and(|byte| *byte != 0));
    let session = |line: &[u8]| {
        let text = String::from_utf8_lossy(line);
        let (hash, ends) = text.trim().split_once(' ')?;
        Some((hash.to_owned(), ends.parse().ok()?))
    };
    Ok(written.map(session).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn seen(path: &Path, now_ms: i64) -> Remembered {
        let mut one = Remembered::default();
        one.look(path, now_ms);
        one
    }

    #[test]
    fn what_has_ended_is_remembered_beside_the_key_until_it_would_have_ended_by_itself() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("record.ended");
        let mut here = seen(&path, 100);
        assert_eq!(here.none_before_ms, 100, "what is of before has ended");
        write(&path, "a", 210, 100).unwrap();
        write(&path, "b", 220, 105).unwrap();
        let length = std::fs::metadata(&path).unwrap().len();
        for one in [&seen(&path, 200), {
            here.look(&path, 200);
            &here
        }] {
            assert!(one.sessions.contains_key("a") && one.sessions.contains_key("b"));
            assert_eq!(one.none_before_ms, 100);
        }
        // The place of one that is over is used again, and the file is as long as it was.
        write(&path, "c", 330, 212).unwrap();
        let later = seen(&path, 212);
        assert!(later.sessions.keys().eq(["b", "c"]));
        assert_eq!(std::fs::metadata(&path).unwrap().len(), length);
    }

    #[test]
    fn a_file_that_is_taken_away_or_damaged_or_full_ends_what_is_of_before() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("record.ended");
        write(&path, "a", 900, 100).unwrap();
        std::fs::remove_file(&path).unwrap();
        assert_eq!(seen(&path, 200).none_before_ms, 200);
        std::fs::write(&path, "nothing of ours").unwrap();
        assert_eq!(seen(&path, 300).none_before_ms, 300);
        let file = locked(&path).unwrap();
        for number in 1..MOST {
            write_line(&file, number, &format!("hash{number} 900")).unwrap();
        }
        write_line(&file, MOST, &format!("a-device {LONG_MS}")).unwrap();
        drop(file);
        write(&path, "b", 900, 400).unwrap();
        let full = seen(&path, 400);
        assert_eq!(full.none_before_ms, 400);
        assert!(full.sessions.keys().eq(["a-device", "b"]));
        write(&path, "c", 900, 401).unwrap();
        assert_eq!(seen(&path, 402).none_before_ms, 400);
        // What a clock that was ahead has begun keeps nobody outside.
        std::fs::remove_file(&path).unwrap();
        let year = 365 * 24 * 60 * 60_000;
        assert_eq!(seen(&path, year).none_before_ms, year);
        assert_eq!(seen(&path, 500).none_before_ms, 500);
    }
}
