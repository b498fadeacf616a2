//! Whether the path still leads to the file that was opened. A file that is deleted or replaced while it is open goes on
//! taking writes, and they end with the program: so that is asked before and after each write.

use super::error::StoreError;
use std::os::unix::fs::MetadataExt;
use std::path::{Path, PathBuf};

/// The file that was opened; none of a server.
#[derive(Debug, Clone)]
pub(super) struct OpenedFile {
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

    /// # Errors
    /// If the path leads to no file, or to another one.
    pub fn refuse_unless_in_place(&self) -> Result<(), StoreError> {
        if self.is.is_none() || number_of(&self.path) == self.is {
            return Ok(());
        }
        let path = self.path.display().to_string();
        tracing::error!(
            path,
            "the database file was deleted or replaced while this program uses it"
        );
        Err(StoreError::TakenAway { path })
    }
}
