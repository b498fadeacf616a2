//! A backup that is known to be one: copied while the program serves, looked through, and only then named.

use super::examine::{Examined, examine};
use super::{App, AppError, pictures};
use crate::store::backup::finish;
use crate::store::{BackupError, Lack};
use std::path::{Path, PathBuf};

/// A copy that was looked through.
#[derive(Debug)]
pub enum Copied {
    /// It fits, and lies under its name: its bytes, and the SHA-256 of them.
    Whole {
        examined: Examined,
        bytes: u64,
        sha256: String,
    },
    /// It has faults, and so has the database, most likely: it stays under the name of a copy that is not done.
    Faulty { examined: Examined, left: PathBuf },
}

impl From<BackupError> for AppError {
    fn from(error: BackupError) -> AppError {
        match error {
            BackupError::Store(error) => error.into(),
            other => AppError::Refused(vec![other.to_string()]),
        }
    }
}

/// Copies the database of `app`, which is open for looking, into `to`.
///
/// # Errors
/// If there is such a file, or it cannot be written.
pub async fn back_up(app: &App, to: &Path) -> Result<Copied, AppError> {
    // A copy of it would be called rewritten, and is of no use beside this key.
    if let Some(lack @ Lack::OtherKey { .. }) = app.store.lack().await? {
        return Err(AppError::Refused(vec![lack.to_string()]));
    }
    // Before the copy is made: what is signed while it is made is not in it.
    let signed = app.store.signed_so_far()?;
    let part = app.store.copy_into(to).await?;
    let copy = App {
        store: app.store.open_copy_read_only(&part.path).await?,
        ..app.clone()
    };
    pictures::leave_out_strays(&copy).await?;
    let mut examined = examine(&copy, None).await?;
    match &signed {
        Some(signed) => {
            if let Some(lack) = copy.store.lack_of(signed).await? {
                examined.fault(None, lack.to_string());
            }
        }
        None => {
            if let Some(path) = app.store.beside_key() {
                examined.remarks.push(format!(
                    "there is no {}, so nothing says whether newer entries are missing in the database that was copied",
                    path.display()
                ));
            }
        }
    }
    copy.store.close().await;
    if examined.first().is_some() {
        return Ok(Copied::Faulty {
            examined,
            left: part.path,
        });
    }
    let to = to.to_owned();
    let finished = tokio::task::spawn_blocking(move || finish(&part.path, &to)).await;
    let (bytes, sha256) = finished.map_err(|why| AppError::Inner(why.to_string()))??;
    Ok(Copied::Whole {
        examined,
        bytes,
        sha256,
    })
}
