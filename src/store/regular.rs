//! Opening a file that has to be an ordinary one. Whoever may write in a folder could put a pipe in its place, and whoever
//! opens that waits for ever.

use std::fs::{File, Metadata, OpenOptions};
use std::io;
use std::os::unix::fs::OpenOptionsExt;
use std::path::Path;

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
pub(super) fn refuse_other_than_file(path: &Path) -> io::Result<()> {
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

#[cfg(test)]
mod tests {
    use super::*;
    use rustix::fs::{CWD, FileType, Mode, mknodat};

    #[test]
    fn c1_a_pipe_in_place_of_a_file_is_refused_without_waiting() {
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
}
