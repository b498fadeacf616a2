//! What dentures a patient has by the other cases of the office, for an arch that stands empty by one of them.

use super::whose_case::is_of_patient;
use super::{App, AppError};
use crate::domain::custody::CaseState;
use crate::domain::custody::case::Case;
use crate::domain::custody::emptied::{HadDenture, had_dentures, without_teeth};
use crate::domain::custody::item::Item;
use crate::store::custody as stored;
use crate::store::{Connection, StoreError, cases};

/// Other cases of a patient that are gone through: the newest.
const OTHERS_MOST: usize = 20;

/// The dentures that the patient has by other cases; asked for only where an arch stands empty by this one. A case that
/// cannot be read tells of none, so that whoever is without teeth stays in sight.
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
        match told_by(conn, &other).await {
            Ok(told) => had.extend(told),
            Err(why) if why.is_of_a_value() => {
                tracing::error!(case = %other.number, %why, "a case cannot be read");
            }
            Err(other) => return Err(other.into()),
        }
    }
    Ok(had)
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

async fn told_by(conn: &mut Connection, other: &Case) -> Result<Vec<HadDenture>, StoreError> {
    let items = stored::items_of(conn, &other.number).await?;
    let events = stored::events_of(conn, &other.number).await?;
    Ok(had_dentures(&items, &CaseState::of(&events)))
}
