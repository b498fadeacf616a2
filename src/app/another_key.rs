//! Whether the newest checkpoint that stands in the database is another key's: then nothing of a case is gone by, and no
//! single case is to blame.

use super::{App, AppError};
use crate::record::checkpoint::Checkpoint;
use crate::store::record::head;
use crate::store::{Connection, StoreError};

/// Whether a newest checkpoint that was read is one that the record's key has not signed. `seen` is the newest that this
/// program had seen signed before: after one, none at all is another record too.
pub(super) fn is_of_another_key(app: &App, seen: Option<&str>, note: &str) -> bool {
    match seen {
        Some(seen) if seen == note => false,
        _ if note.is_empty() => seen.is_some(),
        _ => Checkpoint::open(note, app.store.key(), &[]).is_err(),
    }
}

/// Refuses to show anything of a case where the newest checkpoint is another key's.
///
/// # Errors
/// If so.
pub(super) async fn refuse_another_key(app: &App, conn: &mut Connection) -> Result<(), AppError> {
    let seen = app.store.newest_seen();
    let is_other = match head(conn).await {
        Ok(head) => is_of_another_key(app, seen.as_deref(), &head.checkpoint),
        Err(StoreError::Row { .. }) => true,
        Err(other) => return Err(other.into()),
    };
    match is_other {
        true => Err(AppError::AnotherKey),
        false => Ok(()),
    }
}
