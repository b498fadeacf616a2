//! The carrier picks up what was packed: entered by the side that packed it, before anybody received it.

use super::case_work::CaseWork;
use super::entry::{exception, late};
use super::receive::the_handoff;
use super::release::{CHANGED_SINCE_READ, ask_corrected, ask_newer, newer_than_packed};
use super::run::on_case::enter_on_case;
use super::sign_in::prove;
use super::since_packed::since_packed;
use super::{App, AppError, Person, PostKey};
use crate::domain::custody::What;
use crate::domain::custody::events::PickedUp;
use crate::domain::custody::forms::{PickUpForm, SendAnywayForm};
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::{CaseNumber, HandoffId};

/// Enters a pick-up; returns the number of the handoff's case.
pub async fn pick_up(
    app: &App,
    person: &Person,
    id: &HandoffId,
    form: &PickUpForm,
    key: &PostKey,
) -> Result<CaseNumber, AppError> {
    // A stranger learns nothing, not even that the password was wrong.
    let (seen, handoff) = super::receive::see(app, person, id).await?;
    if handoff.is_packed() {
        form.counted_for(&handoff).map_err(AppError::Invalid)?;
    }
    let newer = newer_than_packed(&seen, &handoff);
    let mut faults = ask_newer(&seen, (newer.0, &newer.1), &form.anyway);
    let corrected = since_packed(&seen, &handoff);
    if !corrected.is_empty() && !form.anyway.corrected {
        faults.push(ask_corrected(&corrected));
    }
    let is_vain = seen.state.is_packed_in_vain(id);
    if is_vain && !form.anyway.vain {
        let why = "The work is canceled: did the carrier take this all the same?";
        faults.push(Fault::new(SendAnywayForm::vain().key, why));
    }
    if handoff.is_packed() && !faults.is_empty() {
        return Err(AppError::Invalid(faults));
    }
    let late = late(person, form.from_paper.as_ref())?;
    prove(app, person, form.password.as_str()).await?;
    let exception = exception(app, person, &form.exception, &form.password).await?;
    let what = |work: &CaseWork| {
        let handoff = the_handoff(work, id)?;
        let (unread, older) = newer_than_packed(work, &handoff);
        let is_other = (unread, &older) != (newer.0, &newer.1);
        if is_other || since_packed(work, &handoff) != corrected {
            return Err(AppError::Conflict(CHANGED_SINCE_READ.to_owned()));
        }
        let sent = handoff.sent;
        Ok(What::PickedUp(PickedUp {
            handoff: id.clone(),
            items: sent.into_iter().map(|sent| sent.tag).collect(),
            person: form.taken.picked_by.clone(),
            parcels: form.taken.parcels,
            handed_out_by: form.taken.handed_out_by.clone(),
            unread,
            older: (!older.is_empty()).then_some(work.case.revision),
            exception: exception.clone(),
        }))
    };
    enter_on_case(app, person, &seen, key, late.as_ref(), what).await?;
    Ok(seen.case.number)
}
