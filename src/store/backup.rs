//! A copy of a database in a file, as it is at one moment, while it is used.

use super::connection::Backend;
use super::database::Store;
use super::error::StoreError;
use super::lack::Lack;
use super::picture_folder::PictureFolder;
use super::pictures::Shelf;
use crate::domain::values::digest::hex;
use crate::record::checkpoint::Checkpoint;
use rustix::fs::OFlags;
use rustix::io::Errno;
use rustix::process::geteuid;
use sha2::{Digest, Sha256};
use std::fs::{File, Metadata, OpenOptions, Permissions, TryLockError};
use std::io::{self, Read};
use std::os::unix::fs::{MetadataExt, OpenOptionsExt, PermissionsExt};
use std::path::{Path, PathBuf};

/// Bytes of a file that are hashed at once.
const PIECE: usize = 1 << 16;

/// Why there is no copy.
#[derive(Debug, thiserror::Error)]
pub enum BackupError {
    #[error("{0} is there already: name a file that is not there")]
    Exists(String),
    #[error("cannot write {path}: {why}")]
    File { path: String, why: io::Error },
    #[error("a server's database is not copied as a file")]
    OnServer,
    #[error(
        "another backup into {0} is being made at this moment: wait for it, or name another file"
    )]
    Running(String),
    #[error(
        "{0} is not what a backup that was broken off has left: look whose it is, and take it away"
    )]
    Foreign(String),
    #[error(transparent)]
    Store(#[from] StoreError),
}

fn of_file(path: &Path, why: io::Error) -> BackupError {
    BackupError::File {
        path: path.display().to_string(),
        why,
    }
}

/// A copy that is not whole yet, held by whoever makes it.
#[derive(Debug)]
pub struct UnfinishedCopy {
    pub path: PathBuf,
    /// Locked until the copy has its name, or is left.
    _held: File,
}

impl UnfinishedCopy {
    /// Takes the name for a copy. What is left there of a copy that was broken off is taken away; what somebody else
    /// has put there, where many may write, is not written into.
    fn take(path: &Path) -> Result<UnfinishedCopy, BackupError> {
        let part = unfinished(path);
        let failed = |why: io::Error| match why.raw_os_error() == Some(Errno::LOOP.raw_os_error()) {
            true => BackupError::Foreign(part.display().to_string()),
            false => of_file(&part, why),
        };
        let pictures = PictureFolder::of(&part);
        if !is_left_of_copy(&pictures).map_err(|why| of_file(pictures.path(), why))? {
            return Err(BackupError::Foreign(pictures.path().display().to_string()));
        }
        let no_link = OFlags::NOFOLLOW | OFlags::NONBLOCK;
        let file = OpenOptions::new()
            .write(true)
            .create(true)
            .truncate(false)
            .mode(OWN_MODE)
            .custom_flags(no_link.bits().cast_signed())
            .open(&part)
            .map_err(failed)?;
        match file.try_lock() {
            Ok(()) => {}
            Err(TryLockError::WouldBlock) => {
                return Err(BackupError::Running(path.display().to_string()));
            }
            Err(TryLockError::Error(why)) => return Err(failed(why)),
        }
        // Another may have given it its name between the two.
        let is_there = std::fs::metadata(&part).is_ok_and(|now| {
            file.metadata()
                .is_ok_and(|held| (held.dev(), held.ino()) == (now.dev(), now.ino()))
        });
        if !is_there {
            return Err(BackupError::Running(path.display().to_string()));
        }
        let found = file.metadata().map_err(failed)?;
        if !found.is_file() || found.nlink() != 1 || !is_own(&found) {
            return Err(BackupError::Foreign(part.display().to_string()));
        }
        let private = Permissions::from_mode(OWN_MODE);
        file.set_permissions(private).map_err(failed)?;
        file.set_len(0).map_err(failed)?;
        Ok(UnfinishedCopy {
            path: part,
            _held: file,
        })
    }

    /// Takes it away: it is no copy.
    fn remove(self) {
        let pictures = PictureFolder::of(&self.path);
        for gone in [std::fs::remove_file(&self.path), pictures.remove_all()] {
            if let Err(error) = gone {
                tracing::warn!(%error, "what is left of a copy could not be taken away");
            }
        }
    }
}

/// Whoever may read a copy is its owner alone.
const OWN_MODE: u32 = 0o600;
const WRITTEN_BY_OTHERS: u32 = 0o022;

/// Whether it is of whoever runs this, and nobody else may have written there.
fn is_own(found: &Metadata) -> bool {
    found.uid() == geteuid().as_raw() && found.mode() & WRITTEN_BY_OTHERS == 0
}

/// Whether a copy that was broken off has left this folder, or there is none.
fn is_left_of_copy(pictures: &PictureFolder) -> io::Result<bool> {
    let found = match std::fs::symlink_metadata(pictures.path()) {
        Err(why) if why.kind() == io::ErrorKind::NotFound => return Ok(true),
        found => found?,
    };
    Ok(found.is_dir() && is_own(&found) && pictures.has_nothing_else()?)
}

impl Store {
    /// How far the key has signed by what lies beside it, if anything does.
    ///
    /// # Errors
    /// If the file there cannot be read.
    pub fn signed_so_far(&self) -> Result<Option<Checkpoint>, StoreError> {
        let Some(last) = self.last_signed() else {
            return Ok(None);
        };
        let read = last.read(self.key());
        let read = read.map_err(|why| StoreError::Lacks(Lack::Unreadable(why)))?;
        Ok(read.map(|(_, signed)| signed))
    }

    /// Copies the database into a new file, under a name that says that it is not whole yet. Comes back when the
    /// copy is on the disk. Whoever writes to the database meanwhile is not held up.
    ///
    /// # Errors
    /// If the file is there already or cannot be written, and for a database of a server.
    pub async fn copy_into(&self, path: &Path) -> Result<UnfinishedCopy, BackupError> {
        if self.backend() == Backend::Postgres {
            return Err(BackupError::OnServer);
        }
        if path.exists() {
            return Err(BackupError::Exists(path.display().to_string()));
        }
        let (own, copied) = match self.shelf() {
            Shelf::Folder(own) => (own, PictureFolder::of(path)),
            Shelf::Table => return Err(BackupError::OnServer),
        };
        if copied.path().exists() {
            return Err(BackupError::Exists(copied.path().display().to_string()));
        }
        let part = UnfinishedCopy::take(path)?;
        match self.copy_all(own, &part.path).await {
            Ok(()) => Ok(part),
            Err(why) => {
                part.remove();
                Err(why)
            }
        }
    }

    async fn copy_all(&self, own: PictureFolder, part: &Path) -> Result<(), BackupError> {
        // Pictures before the database, for one may be erased meanwhile; and after it, for one may have been added.
        let beside_part = PictureFolder::of(part);
        copy_pictures(own.clone(), beside_part.clone(), true).await?;
        let mut conn = self.read().await?;
        // The file itself is open for reading only; the copy is another one.
        conn.close_on_drop();
        sqlx::query("PRAGMA query_only = OFF")
            .execute(&mut *conn)
            .await
            .map_err(StoreError::from)?;
        sqlx::query("VACUUM INTO $1")
            .bind(part.to_string_lossy().into_owned())
            .execute(&mut *conn)
            .await
            .map_err(StoreError::from)?;
        let flushed = File::open(part).and_then(|file| file.sync_all());
        flushed.map_err(|why| of_file(part, why))?;
        copy_pictures(own, beside_part, false).await
    }

    /// Opens a copy of this database for looking at it, with the same key.
    pub async fn open_copy_read_only(&self, path: &Path) -> Result<Store, StoreError> {
        Store::open_read_only(&Store::sqlite_address(path), self.signer().clone(), None).await
    }
}

/// Copies what is not copied yet; again, where nothing is to stay of a copy that was broken off.
async fn copy_pictures(
    from: PictureFolder,
    to: PictureFolder,
    from_start: bool,
) -> Result<(), BackupError> {
    let path = to.path().to_owned();
    let copy = move || {
        if from_start {
            to.remove_all()?;
        }
        from.copy_into(&to)
    };
    let done = tokio::task::spawn_blocking(copy).await;
    let done = done.unwrap_or_else(|why| Err(io::Error::other(why)));
    done.map_err(|why| of_file(&path, why))
}

/// The name of a copy that is not done.
fn unfinished(path: &Path) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(".part");
    PathBuf::from(name)
}

/// Gives a copy that was looked through its name. Answers with its bytes and their SHA-256.
///
/// # Errors
/// If there is such a file by now, or the folder cannot be written.
pub fn finish(part: &Path, path: &Path) -> Result<(u64, String), BackupError> {
    if path.exists() {
        return Err(BackupError::Exists(path.display().to_string()));
    }
    let sum = sha256_of(part).map_err(|why| of_file(part, why))?;
    let pictures = PictureFolder::of(path);
    let named = PictureFolder::of(part).rename(&pictures);
    named.map_err(|why| of_file(pictures.path(), why))?;
    let rename = || -> io::Result<()> {
        std::fs::rename(part, path)?;
        let folder = path.parent().filter(|path| !path.as_os_str().is_empty());
        File::open(folder.unwrap_or(Path::new(".")))?.sync_all()
    };
    rename().map_err(|why| of_file(path, why))?;
    Ok(sum)
}

fn sha256_of(path: &Path) -> io::Result<(u64, String)> {
    let (mut file, mut hash, mut size) = (File::open(path)?, Sha256::new(), 0);
    let mut piece = vec![0; PIECE];
    loop {
        let read = file.read(&mut piece)?;
        if read == 0 {
            return Ok((size, hex(&hash.finalize())));
        }
        size += read as u64;
        hash.update(piece.get(..read).unwrap_or_default());
    }
}
