//! Taking back a handoff by the side that had released it: what never left, or what its carrier brought back, all of it or
//! the parcels that have not come.

use super::case_work::CaseWork;
use super::entry::signed;
use super::receive::the_handoff;
use super::run::on_case::enter_on_case;
use super::{App, AppError, Person, PostKey};
use crate::domain::custody::What;
use crate::domain::custody::events::{Voided, taken_back_means};
use crate::domain::custody::forms::TakeBackForm;
use crate::domain::values::ids::{CaseNumber, HandoffId};

/// Takes a handoff back; returns the number of its case.
pub async fn take_back(
    app: &App,
    person: &Person,
    id: &HandoffId,
    form: &TakeBackForm,
    key: &PostKey,
) -> Result<CaseNumber, AppError> {
    // A stranger learns nothing, not even that the password was wrong.
    let (work, handoff) = super::receive::see(app, person, id).await?;
    let number = work.case.number;
    let has_left = handoff.has_left();
    let means = taken_back_means(has_left);
    let signed = signed(app, person, &form.password, means).await?;
    let what = |work: &CaseWork| {
        let handoff = the_handoff(work, id)?;
        Ok(What::Voided(Voided {
            handoff: id.clone(),
            items: handoff.to_take_back().into_iter().cloned().collect(),
            reason: form.reason.clone(),
            signed: signed.clone(),
            brought_back: Some(has_left),
        }))
    };
    enter_on_case(app, person, &number, key, None, what).await?;
    Ok(number)
}
