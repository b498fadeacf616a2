//! Where the record stands, for what is printed: at this moment, or just after the entries that a paper is about.
//!
//! A paper that must never change takes the record that ends with its own entry. One that is drawn again each
//! time takes the head, and asks for it after everything else that it says: so all of that is in the record.

use super::{App, AppError};
use crate::domain::values::ids::CaseNumber;
use crate::papers::record_mark::RecordMark;
use crate::record::entry::LeafKind;
use crate::store::record::head;

/// The record as it is now.
pub async fn now(app: &App) -> Result<RecordMark, AppError> {
    let head = head(&mut *app.store.read().await?).await?.frontier;
    Ok(RecordMark::new(head.size(), head.root(), app.store.key()))
}

/// The record that ends with the newest of these entries, each named by what it is about; none where one of
/// them has no entry.
pub async fn after(
    app: &App,
    kind: LeafKind,
    abouts: &[String],
) -> Result<Option<RecordMark>, AppError> {
    let mut conn = app.store.read_at_once().await?;
    let mut size = 0;
    for about in abouts {
        let leaf = app.store.leaf_about(&mut conn, kind.word(), about);
        match leaf.await? {
            Some(leaf) => size = size.max(leaf.number.saturating_add(1)),
            None => return Ok(None),
        }
    }
    let root = app.store.root_at(&mut conn, size).await?;
    Ok(Some(RecordMark::new(size, root, app.store.key())))
}

/// The record that ends with this entry, which was found in it. What lies under the root of so many entries is written
/// with them, and never again.
pub async fn with(app: &App, entry: u64) -> Result<RecordMark, AppError> {
    let size = entry.saturating_add(1);
    let mut conn = app.store.read().await?;
    let root = app.store.root_at(&mut conn, size).await?;
    Ok(RecordMark::new(size, root, app.store.key()))
}

/// The record that ends with the newest entry of this case.
pub async fn of_case(app: &App, number: &CaseNumber) -> Result<RecordMark, AppError> {
    let mut conn = app.store.read_at_once().await?;
    let newest = app.store.leaves_of(&mut conn, number).await?.pop();
    let size = newest.map_or(0, |leaf| leaf.number.saturating_add(1));
    let root = app.store.root_at(&mut conn, size).await?;
    Ok(RecordMark::new(size, root, app.store.key()))
}
