//! One entry of a case, held by its own leaf: to whom work is passed on, and of which case a file is.

use super::another_key::refuse_another_key;
use super::counted::{self, Met};
use super::proven::{erased_of, is_signed_once};
use super::whose_case::changed_past_us;
use super::{App, AppError};
use crate::domain::custody::Event;
use crate::domain::values::ids::{CaseNumber, EventId, PartyId};
use crate::record::entry::{Entry, LeafKind};
use crate::store::record::{self, LeafRow, head};
use crate::store::{Connection, StoreError};
use serde_json::Value;

/// What the record says of an entry that passes work on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum PassByRecord {
    /// Of this case, to this house.
    To(CaseNumber, PartyId),
    /// There is no such entry, or its laboratory has no account here.
    Unsaid,
    /// A database of an earlier version is as it was until its rows are entered in the record.
    NotBegun,
}

/// The leaf of an entry, also where an index or a server leaves it out: it is proved by whoever goes by it.
async fn leaf_of(
    app: &App,
    conn: &mut Connection,
    id: &EventId,
) -> Result<Option<LeafRow>, AppError> {
    refuse_another_key(app, conn).await?;
    let (kind, about) = (LeafKind::Event.word(), id.as_str());
    Ok(match app.store.leaf_about(conn, kind, about).await {
        Err(StoreError::Forked(_)) => record::leaf_about(conn, kind, about).await?,
        found => found?,
    })
}

/// Of which case an entry passes work on, and to whom, by its leaf: both stand there in the open, and the house in entries of
/// no other kind.
pub(super) async fn pass_by_record(
    app: &App,
    conn: &mut Connection,
    pass: &EventId,
) -> Result<PassByRecord, AppError> {
    let Some(leaf) = leaf_of(app, conn, pass).await? else {
        return Ok(match head(conn).await?.is_empty() {
            true => PassByRecord::NotBegun,
            false => PassByRecord::Unsaid,
        });
    };
    let whole: Value = serde_json::from_str(&leaf.body).unwrap_or_default();
    let said = |place| whole.pointer(place).and_then(Value::as_str);
    let house = said("/event/what/to/party").filter(|_| said("/event/id") == Some(pass.as_str()));
    let case = said("/event/case").and_then(|text| CaseNumber::parse(text).ok());
    let (Some(case), Some(house)) = (case, house) else {
        return Ok(PassByRecord::Unsaid);
    };
    match is_signed_once(app, conn, &leaf).await? {
        true => Ok(PassByRecord::To(case, PartyId::new(house))),
        false => Ok(PassByRecord::Unsaid),
    }
}

/// Holds one entry of a case as it was read on the same connection, for what is found by it alone.
///
/// # Errors
/// A refusal in words, where the record has no such entry in this case.
pub(super) async fn hold_entry(
    app: &App,
    conn: &mut Connection,
    number: &CaseNumber,
    event: &Event,
) -> Result<(), AppError> {
    let is_recorded = match leaf_of(app, conn, &event.id).await? {
        Some(leaf) => {
            let entry = Entry::event(event).map_err(|why| AppError::Inner(why.to_string()))?;
            event.case == *number && erased_of(app, conn, &leaf, &entry).await?.is_some()
        }
        None => head(conn).await?.is_empty(),
    };
    if is_recorded {
        return Ok(());
    }
    tracing::error!(case = %number, event = %event.id, "an entry is not as the record says");
    counted::note(app, number, Met::Case);
    Err(changed_past_us(number, "an entry"))
}
