//! What a patient has by the other cases of the office: dentures, for an arch that stands empty by one of them, and a case in
//! which work is ordered again that one of them waits for.

use super::counted::{self, Met};
use super::leaf_walk::{SaidErased, WalkEnd, entries_of_events, entries_of_items, walk};
use super::proven::not_in_record;
use super::whose_case::is_of_patient;
use super::{App, AppError};
use crate::domain::custody::case::Case;
use crate::domain::custody::emptied::{HadDenture, had_dentures, without_teeth};
use crate::domain::custody::follow_up::{CaseBeside, again_to_order};
use crate::domain::custody::item::Item;
use crate::domain::custody::{CaseState, Event, Ordered};
use crate::domain::values::ids::CaseNumber;
use crate::record::entry::LeafKind;
use crate::store::custody as stored;
use crate::store::record::head;
use crate::store::{Connection, cases};

/// Other cases of a patient that are gone through: the newest.
const OTHERS_MOST: usize = 20;

/// The dentures that the patient has by other cases; asked for only where an arch stands empty by this one. A case that
/// cannot be read, or is not as the record says, tells of none, so that whoever is without teeth stays in sight.
pub(super) async fn dentures_elsewhere(
    app: &App,
    conn: &mut Connection,
    case: &Case,
    (items, state): (&[Item], &CaseState),
) -> Result<Vec<HadDenture>, AppError> {
    if without_teeth(items, state, case.arches.treated(), &[]).is_empty() {
        return Ok(Vec::new());
    }
    let mut had = Vec::new();
    for other in others(app, conn, case).await? {
        match told_by(app, conn, &other.number).await {
            Ok(told) => had.extend(told),
            Err(why) if why.is_of_one_alone() => {
                tracing::error!(case = %other.number, %why, "a case cannot be read");
            }
            Err(why) => return Err(why),
        }
    }
    Ok(had)
}

/// Whether work of a case is to be ordered again, as far as the case itself says.
pub(super) fn is_to_order_again(state: &CaseState, ordered: &Ordered) -> bool {
    let mut again = again_to_order(&state.follow_ups, ordered.since, &[]);
    again.next().is_some()
}

/// The cases in which that may be ordered; asked for only where it is.
pub(super) async fn cases_elsewhere(
    app: &App,
    conn: &mut Connection,
    case: &Case,
    (state, ordered): (&CaseState, &Ordered),
) -> Result<Vec<CaseBeside>, AppError> {
    if !is_to_order_again(state, ordered) {
        return Ok(Vec::new());
    }
    let others = others(app, conn, case).await?.into_iter();
    let one = |other: Case| CaseBeside {
        opened_ms: other.opened_ms,
        arches: other.arches,
    };
    Ok(others.map(one).collect())
}

/// The other cases that this office has for the patient, by their rows and by the record.
pub(super) async fn others(
    app: &App,
    conn: &mut Connection,
    case: &Case,
) -> Result<Vec<Case>, AppError> {
    let mut others = match cases::cases_of_patient(conn, &case.patient).await {
        // A row that cannot be read is named where it is listed.
        Err(why) if why.is_of_a_value() => Vec::new(),
        found => found?,
    };
    others.retain(|other| other.number != case.number && other.office == case.office);
    others.truncate(OTHERS_MOST);
    let mut own = Vec::new();
    for other in others {
        if is_of_patient(app, conn, &other, &case.patient).await? {
            own.push(other);
        }
    }
    Ok(own)
}

async fn told_by(
    app: &App,
    conn: &mut Connection,
    number: &CaseNumber,
) -> Result<Vec<HadDenture>, AppError> {
    let items = stored::items_of(conn, number).await?;
    let events = stored::events_of(conn, number).await?;
    if !is_as_recorded(app, conn, number, (&items, &events)).await? {
        tracing::error!(case = %number, "what a case says of a mouth is not as the record says");
        counted::note(app, number, Met::Case);
        return Ok(Vec::new());
    }
    Ok(had_dentures(&items, &CaseState::of(&events)))
}

/// Whether the items and entries of a case are those that the signed record has of it.
async fn is_as_recorded(
    app: &App,
    conn: &mut Connection,
    number: &CaseNumber,
    (items, events): (&[Item], &[Event]),
) -> Result<bool, AppError> {
    let leaves = app.store.leaves_of(conn, number).await?;
    // A database of an earlier version is as it was until its rows are entered in the record.
    if leaves.is_empty() && head(conn).await?.is_empty() {
        return Ok(true);
    }
    let said = SaidErased::of(events);
    let mut to_prove = Vec::new();
    for (kind, entries) in [
        (LeafKind::Item, entries_of_items(items)?),
        (LeafKind::Event, entries_of_events(events)?),
    ] {
        let walked = walk(app, (leaves.as_slice(), kind), &entries, &said);
        if walked.end != WalkEnd::AsRecorded {
            return Ok(false);
        }
        to_prove.extend(walked.to_prove);
    }
    Ok(not_in_record(app, conn, to_prove).await?.is_empty())
}
