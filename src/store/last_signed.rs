//! The file that says how far the key has signed: the record's last checkpoint, beside the key.
//!
//! The database alone cannot say that something has been taken out of it: an older copy of it is in order by
//! itself. So the newest checkpoint is also written here, after the database has flushed the commit that it is of,
//! and before anybody is told of that commit. Whatever moment the program is killed at, the file is never ahead of
//! what the database has flushed, and behind it only by commits of which nobody was told.
//!
//! The file holds two slots, and each write takes the one that does not hold the newest: a write that is cut off
//! leaves the other as it was. Several programs on one machine may share the file; each looks before it writes. On
//! several machines each has its own file beside its own copy of the key, and each file is a bound from below.

use crate::files::open_regular;
use crate::record::checkpoint::Checkpoint;
use crate::record::key::{Signer, Verifier};
use crate::record::tree::Frontier;
use std::fs::{File, OpenOptions};
use std::io::{self, Read, Seek};
use std::os::unix::fs::{FileExt, OpenOptionsExt, PermissionsExt};
use std::path::{Path, PathBuf};

/// Bytes of a slot. A checkpoint has some 250, and what is read or written of a disk at once is no less than this.
const SLOT: usize = 4096;

/// Why the file does not say how far the key has signed.
#[derive(Debug, thiserror::Error)]
pub enum LastError {
    #[error("cannot read or write {path}: {why}")]
    File { path: String, why: io::Error },
    #[error(
        "{path} holds no checkpoint that this key has signed: it is damaged, or belongs to another key. Put the right one \
         back. If there is none, an administrator can go on with `vestibule restore`, which is entered in the record and \
         raises an alarm"
    )]
    Unsigned { path: String },
    #[error(
        "others on this machine may change {path}, which says how far the key has signed (its mode is {mode:o}): take \
         that right from them with `chmod 600`, and ask whether it is still as it was"
    )]
    Shared { path: String, mode: u32 },
    #[error("a checkpoint could not be signed: {0}")]
    Signing(String),
}

/// The file, wherever it lies.
#[derive(Debug, Clone)]
pub struct LastSigned {
    path: PathBuf,
}

/// A slot's note, if this key has signed it.
struct Slot {
    number: usize,
    note: String,
    checkpoint: Checkpoint,
}

impl LastSigned {
    pub fn at(path: PathBuf) -> LastSigned {
        LastSigned { path }
    }

    /// `record.last` beside `record.key`.
    pub fn beside(key_file: &Path) -> LastSigned {
        LastSigned::at(key_file.with_extension("last"))
    }

    pub fn path(&self) -> &Path {
        &self.path
    }

    /// The file that takes its place when it is begun again.
    pub fn new_path(&self) -> PathBuf {
        self.path.with_extension("last-new")
    }

    fn file_error(&self, why: io::Error) -> LastError {
        LastError::File {
            path: self.path.display().to_string(),
            why,
        }
    }

    /// Whether it was begun for a key that has signed nothing, and so perhaps was never written.
    pub fn is_untouched(&self) -> bool {
        let mut bytes = Vec::new();
        if let Ok(file) = open_regular(&self.path) {
            // What cannot be read is not untouched.
            file.take(2 * SLOT as u64 + 1).read_to_end(&mut bytes).ok();
        }
        let mut slots = bytes.chunks(SLOT).map(text_of);
        let first = slots.next().flatten();
        let first = first.as_deref().and_then(Checkpoint::of_note);
        first.is_some_and(|checkpoint| checkpoint.size == 0)
            && slots.all(|text| text.is_none_or(|text| text.is_empty()))
    }

    /// Begins the file of a new key, which has signed nothing yet.
    ///
    /// # Errors
    /// Also where there is such a file already that says more: then another key was here.
    pub fn begin(&self, key: &Signer) -> Result<(), LastError> {
        let nothing = Checkpoint {
            origin: key.verifier().name().to_owned(),
            size: 0,
            root: Frontier::default().root(),
        };
        let note = nothing
            .sign(key)
            .map_err(|why| LastError::Signing(why.to_string()))?;
        if self.path.exists() && !self.is_untouched() {
            return Err(self.file_error(io::ErrorKind::AlreadyExists.into()));
        }
        self.replace(&note)
    }

    /// The newest checkpoint in the file, as a signed note and as what it says; `None` if there is no file.
    ///
    /// # Errors
    /// If the file cannot be read, or holds nothing that `key` has signed.
    pub fn read(&self, key: &Verifier) -> Result<Option<(String, Checkpoint)>, LastError> {
        let file = match open_regular(&self.path) {
            Ok(file) => file,
            Err(why) if why.kind() == io::ErrorKind::NotFound => return Ok(None),
            Err(why) => return Err(self.file_error(why)),
        };
        let mode = file.metadata().map_err(|why| self.file_error(why))?;
        let mode = mode.permissions().mode() & 0o777;
        if mode & 0o022 != 0 {
            return Err(LastError::Shared {
                path: self.path.display().to_string(),
                mode,
            });
        }
        let slots = slots(&file, key).map_err(|why| self.file_error(why))?;
        match newest(slots) {
            Some(slot) => Ok(Some((slot.note, slot.checkpoint))),
            None => Err(LastError::Unsigned {
                path: self.path.display().to_string(),
            }),
        }
    }

    /// The newest checkpoint in the file, unless it is this note of so many entries, which needs no signature then. It
    /// waits for whoever writes there.
    ///
    /// # Errors
    /// If the file cannot be read, or holds nothing that `key` has signed.
    pub fn newest_but(
        &self,
        note: &str,
        size: u64,
        key: &Verifier,
    ) -> Result<Option<Checkpoint>, LastError> {
        let read = || -> io::Result<Result<Option<Checkpoint>, LastError>> {
            let file = open_regular(&self.path)?;
            file.lock_shared()?;
            let texts = texts(&file)?;
            let says_no_more = |text: &Option<String>| {
                let said = text.as_deref().and_then(Checkpoint::of_note);
                said.is_none_or(|said| said.size <= size)
            };
            let has_note = texts.iter().flatten().any(|text| text == note);
            if has_note && texts.iter().all(says_no_more) {
                return Ok(Ok(None));
            }
            let newest = newest(slots_of(texts, key));
            Ok(newest
                .map(|slot| Some(slot.checkpoint))
                .ok_or_else(|| LastError::Unsigned {
                    path: self.path.display().to_string(),
                }))
        };
        read().map_err(|why| self.file_error(why))?
    }

    /// Writes down a checkpoint that the database has flushed, unless the file has a newer one. Comes back when it
    /// is on the disk.
    ///
    /// # Errors
    /// If the file is not there or cannot be written: then nobody may be told of the commit.
    pub fn advance(&self, note: &str, size: u64, key: &Verifier) -> Result<(), LastError> {
        let write = || -> io::Result<()> {
            let file = OpenOptions::new().read(true).write(true).open(&self.path)?;
            file.lock()?;
            let newest = newest(slots(&file, key)?);
            if newest
                .as_ref()
                .is_some_and(|slot| slot.checkpoint.size >= size)
            {
                return Ok(());
            }
            let number = newest.map_or(0, |slot| 1 - slot.number);
            write_slot(&file, number, note)?;
            file.sync_data()
        };
        write().map_err(|why| self.file_error(why))
    }

    /// Whether the file is there and takes a write.
    ///
    /// # Errors
    /// If it is not, or does not.
    pub fn try_to_write(&self) -> Result<(), LastError> {
        let opened = OpenOptions::new().read(true).write(true).open(&self.path);
        opened.map(drop).map_err(|why| self.file_error(why))
    }

    /// Puts a checkpoint in the place of whatever the file says, in a new file that takes the old one's place whole.
    ///
    /// # Errors
    /// If it cannot be written; the old file then stands as it was.
    pub fn replace(&self, note: &str) -> Result<(), LastError> {
        let write = || -> io::Result<()> {
            let new = self.new_path();
            let file = OpenOptions::new()
                .write(true)
                .create(true)
                .truncate(true)
                .mode(0o600)
                .open(&new)?;
            write_slot(&file, 0, note)?;
            write_slot(&file, 1, "")?;
            file.sync_all()?;
            std::fs::rename(&new, &self.path)?;
            self.sync_folder()
        };
        write().map_err(|why| self.file_error(why))
    }

    /// A new file is only there for good once its folder is on the disk as well.
    fn sync_folder(&self) -> io::Result<()> {
        let folder = self
            .path
            .parent()
            .filter(|path| !path.as_os_str().is_empty());
        File::open(folder.unwrap_or(Path::new(".")))?.sync_all()
    }
}

fn slots(file: &File, key: &Verifier) -> io::Result<Vec<Slot>> {
    Ok(slots_of(texts(file)?, key))
}

/// What the slots hold, whoever has signed it.
fn texts(mut file: &File) -> io::Result<Vec<Option<String>>> {
    let mut bytes = Vec::new();
    file.rewind()?;
    file.take(2 * SLOT as u64).read_to_end(&mut bytes)?;
    // A file that was cut off ends within a slot.
    bytes.resize(2 * SLOT, 0);
    Ok(bytes.chunks(SLOT).map(text_of).collect())
}

fn slots_of(texts: Vec<Option<String>>, key: &Verifier) -> Vec<Slot> {
    let slot = |(number, text): (usize, Option<String>)| {
        let note = text?;
        let seen = Checkpoint::open(&note, key, &[]).ok()?;
        Some(Slot {
            number,
            note,
            checkpoint: seen.checkpoint,
        })
    };
    texts.into_iter().enumerate().filter_map(slot).collect()
}

/// The text in a slot, up to what fills it.
fn text_of(slot: &[u8]) -> Option<String> {
    let text = slot.split(|byte| *byte == 0).next()?;
    String::from_utf8(text.to_vec()).ok()
}

fn newest(slots: Vec<Slot>) -> Option<Slot> {
    slots.into_iter().max_by_key(|slot| slot.checkpoint.size)
}

fn write_slot(file: &File, number: usize, note: &str) -> io::Result<()> {
    let mut bytes = note.as_bytes().to_vec();
    if bytes.len() >= SLOT {
        return Err(io::Error::other("the checkpoint is too long for its place"));
    }
    bytes.resize(SLOT, 0);
    file.write_all_at(&bytes, (number * SLOT) as u64)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::hash::leaf_hash;

    fn key(seed: u8) -> Signer {
        Signer::log("vestibule.test/record", &[seed; 32]).unwrap()
    }

    /// The note of a record of so many leaves.
    fn note(size: u64) -> String {
        let mut frontier = Frontier::default();
        for number in 0..size {
            frontier.append(leaf_hash(&number.to_be_bytes()));
        }
        let checkpoint = Checkpoint {
            origin: "vestibule.test/record".to_owned(),
            size,
            root: frontier.root(),
        };
        checkpoint.sign(&key(1)).unwrap()
    }

    fn begun() -> (tempfile::TempDir, LastSigned) {
        let folder = tempfile::tempdir().unwrap();
        let last = LastSigned::beside(&folder.path().join("record.key"));
        last.begin(&key(1)).unwrap();
        (folder, last)
    }

    fn size(last: &LastSigned) -> Option<u64> {
        let read = last.read(key(1).verifier());
        read.unwrap().map(|(_, checkpoint)| checkpoint.size)
    }

    #[test]
    fn r1_the_file_says_the_newest_checkpoint_and_goes_back_to_no_older_one() {
        let (_folder, last) = begun();
        assert_eq!(size(&last), Some(0));
        for (written, said) in [(3, 3), (4, 4), (2, 4), (4, 4), (7, 7)] {
            last.advance(&note(written), written, key(1).verifier())
                .unwrap();
            assert_eq!(size(&last), Some(said));
        }
        last.replace(&note(2)).unwrap();
        assert_eq!(size(&last), Some(2));
        assert!(last.begin(&key(1)).is_err() && !last.is_untouched());
    }

    #[test]
    fn r1_a_write_that_is_cut_off_anywhere_leaves_the_checkpoint_before_it() {
        let (_folder, last) = begun();
        last.advance(&note(3), 3, key(1).verifier()).unwrap();
        let before = std::fs::read(last.path()).unwrap();
        last.advance(&note(5), 5, key(1).verifier()).unwrap();
        let after = std::fs::read(last.path()).unwrap();
        let text = note(5).len();
        for cut in 0..=text {
            let slot = before.iter().zip(&after).position(|(a, b)| a != b).unwrap() / SLOT;
            let end = slot * SLOT + cut;
            let mut torn = before.clone();
            torn[slot * SLOT..end].copy_from_slice(&after[slot * SLOT..end]);
            std::fs::write(last.path(), &torn).unwrap();
            // All of it but the rest of what stood there before is the whole note.
            let wanted = if torn == after { 5 } else { 3 };
            assert_eq!(size(&last), Some(wanted), "cut at {cut}");
        }
    }

    #[test]
    fn r22_a_file_that_others_may_write_says_nothing() {
        let (_folder, last) = begun();
        for (mode, is_read) in [(0o600, true), (0o644, true), (0o666, false), (0o620, false)] {
            let mode = std::fs::Permissions::from_mode(mode);
            std::fs::set_permissions(last.path(), mode).unwrap();
            let read = last.read(key(1).verifier());
            match is_read {
                true => assert!(read.is_ok()),
                false => assert!(matches!(read, Err(LastError::Shared { .. }))),
            }
        }
    }

    #[test]
    fn r1_no_file_another_keys_file_and_rubbish_are_told_apart() {
        let (folder, last) = begun();
        last.advance(&note(3), 3, key(1).verifier()).unwrap();
        let foreign = last.read(key(2).verifier());
        assert!(matches!(foreign, Err(LastError::Unsigned { .. })));
        for rubbish in [Vec::new(), vec![0; 2 * SLOT], b"nothing of ours".to_vec()] {
            std::fs::write(last.path(), rubbish).unwrap();
            let read = last.read(key(1).verifier());
            assert!(matches!(read, Err(LastError::Unsigned { .. })));
        }
        std::fs::remove_file(last.path()).unwrap();
        assert!(last.read(key(1).verifier()).unwrap().is_none());
        assert!(last.advance(&note(4), 4, key(1).verifier()).is_err());
        drop(folder);
    }
}
