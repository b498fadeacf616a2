//! Files that have to be ordinary ones, and the same ones all the while. Whoever may write in a folder could put a pipe in
//! place of a file, and whoever opens that waits for ever. A file that is deleted or replaced while it is open goes on
//! taking writes, and they end with the program.

use std::fs::{File, Metadata, OpenOptions};
use std::io;
use std::os::unix::fs::{MetadataExt, OpenOptionsExt};
use std::path::{Path, PathBuf};

/// Opens an ordinary file for reading; what is none is refused without waiting.
///
/// # Errors
/// Also if it is a pipe, a device or a folder.
pub fn open_regular(path: &Path) -> io::Result<File> {
    // Without it the opening itself waits for whoever writes into a pipe; on an ordinary file it changes nothing.
    let at_once = rustix::fs::OFlags::NONBLOCK.bits().cast_signed();
    let file = OpenOptions::new()
        .read(true)
        .custom_flags(at_once)
        .open(path)?;
    refuse_unless_regular(&file.metadata()?)?;
    Ok(file)
}

/// The same for one that is about to be opened by somebody else; none is no error.
///
/// # Errors
/// If what lies there is no ordinary file.
pub fn refuse_other_than_file(path: &Path) -> io::Result<()> {
    match std::fs::metadata(path) {
        Ok(found) => refuse_unless_regular(&found),
        Err(_) => Ok(()),
    }
}

fn refuse_unless_regular(found: &Metadata) -> io::Result<()> {
    match found.is_file() {
        true => Ok(()),
        false => Err(io::Error::other(
            "it is no ordinary file: take it away, and put the right one there",
        )),
    }
}

/// A file that was opened, and where.
#[derive(Debug, Clone)]
pub struct OpenedFile {
    path: PathBuf,
    /// Device and number of the file.
    is: Option<(u64, u64)>,
}

fn number_of(path: &Path) -> Option<(u64, u64)> {
    let file = std::fs::metadata(path).ok()?;
    Some((file.dev(), file.ino()))
}

impl OpenedFile {
    /// The file at this path, which has just been opened.
    pub fn at(path: PathBuf) -> OpenedFile {
        OpenedFile {
            is: number_of(&path),
            path,
        }
    }

    /// Where it was opened.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Whether the path still leads to it. Of a file that could not be told nothing is known.
    pub fn is_in_place(&self) -> bool {
        self.is.is_none() || number_of(&self.path) == self.is
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use rustix::fs::{CWD, FileType, Mode, mknodat};

    #[test]
    fn a_pipe_in_place_of_a_file_is_refused_without_waiting() {
        let folder = tempfile::tempdir().unwrap();
        let pipe = folder.path().join("record.last");
        mknodat(CWD, &pipe, FileType::Fifo, Mode::RUSR | Mode::WUSR, 0).unwrap();
        let why = open_regular(&pipe).unwrap_err();
        assert!(why.to_string().contains("no ordinary file"), "{why}");
        assert!(refuse_other_than_file(&pipe).is_err());
        assert!(open_regular(folder.path()).is_err());
        let file = folder.path().join("record.key");
        std::fs::write(&file, "words").unwrap();
        let read = io::read_to_string(open_regular(&file).unwrap()).unwrap();
        assert_eq!(read, "words");
        let none = folder.path().join("none");
        assert_eq!(
            open_regular(&none).unwrap_err().kind(),
            io::ErrorKind::NotFound
        );
        assert!(refuse_other_than_file(&none).is_ok());
    }

    #[test]
    fn a_file_that_is_replaced_or_deleted_is_no_longer_in_place() {
        let folder = tempfile::tempdir().unwrap();
        let [path, other] = ["one", "other"].map(|name| folder.path().join(name));
        std::fs::write(&path, "words").unwrap();
        std::fs::write(&other, "words").unwrap();
        let opened = OpenedFile::at(path.clone());
        std::fs::write(&path, "more words").unwrap();
        assert!(opened.is_in_place() && opened.path() == path);
        std::fs::rename(&other, &path).unwrap();
        assert!(!opened.is_in_place());
        std::fs::remove_file(&path).unwrap();
        assert!(!opened.is_in_place());
    }
}
