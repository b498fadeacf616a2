//! The case of a lab that stands in a pan: looked for by its row, and said by its entries.

use super::case_work::CaseWork;
use super::whose_case::changed_past_us;
use super::{App, AppError, Person};
use crate::domain::custody::agenda::pan_key;
use crate::domain::values::ids::CaseNumber;
use crate::store::{Connection, cases};

/// What of a case its lab goes by when it scans a pan.
const PAN: &str = "the pan that it stands in";

/// The open case of this person's lab in a pan of this name. On the bench in front of somebody lies the work of a patient,
/// so a row alone leads nobody to a case.
///
/// # Errors
/// A refusal in words, where the case is not as the record says, or its entries say another pan.
pub(super) async fn standing_in(
    app: &App,
    conn: &mut Connection,
    person: &Person,
    pan: &str,
) -> Result<Option<CaseNumber>, AppError> {
    let Some(number) = cases::in_pan(conn, person.party_id(), pan).await? else {
        return Ok(None);
    };
    let work = match CaseWork::load(app, conn, person, &number).await {
        // It is of another lab, whatever its row says.
        Err(AppError::NotFound) => return Ok(None),
        found => found?,
    };
    work.hold(app, conn).await?;
    hold_pan(&work, pan)?;
    Ok(Some(number))
}

/// Holds the pan by which a case was found against its entries.
///
/// # Errors
/// See [`standing_in`].
pub(super) fn hold_pan(work: &CaseWork, pan: &str) -> Result<(), AppError> {
    let said = work.state.assigned.as_ref().map(|now| now.pan.as_str());
    match pan_key(said.unwrap_or_default()) == pan_key(pan) {
        true => Ok(()),
        false => Err(changed_past_us(&work.case.number, PAN)),
    }
}
