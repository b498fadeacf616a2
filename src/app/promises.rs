//! The lab names the day by which the work is back; the office says whether it will do.

use super::case_work::CaseWork;
use super::run::on_case::enter_on_case;
use super::{App, AppError, Person, PostKey};
use crate::domain::custody::events::{DayAnswered, Promised};
use crate::domain::custody::forms::{DayAnswerForm, PromiseForm};
use crate::domain::custody::is_back as is_back_by_now;
use crate::domain::values::ids::{CaseNumber, EventId};

/// Whether all that is ordered has left the lab, or has been worn: nothing is promised then.
pub fn is_back(work: &CaseWork) -> bool {
    let arches = work.case.arches.treated();
    is_back_by_now(&work.ordered, &work.items, &work.state, arches)
}

/// Names a day for the revision in force.
pub async fn promise(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    form: &PromiseForm,
    key: &PostKey,
) -> Result<(), AppError> {
    enter_on_case(app, person, number, key, None, |work| {
        if form.for_revision != work.case.revision {
            let sentence = "The dentist has signed another revision since: read it, and name the day for that one.";
            return Err(AppError::Refused(vec![sentence.to_owned()]));
        }
        if is_back(work) {
            let sentence = "The work has come back, or is on its way: there is no day to name.";
            return Err(AppError::Refused(vec![sentence.to_owned()]));
        }
        Ok(Promised {
            day: form.promised_day,
            revision: work.case.revision,
            note: form.promise_note.clone(),
        }
        .into())
    })
    .await
}

/// Says whether it will do.
pub async fn answer(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    form: &DayAnswerForm,
    key: &PostKey,
) -> Result<(), AppError> {
    enter_on_case(app, person, number, key, None, |work| {
        let named = work.state.promise.as_ref();
        if named.is_some_and(|one| one.revision != work.case.revision) {
            let sentence =
                "The day was named for an earlier revision: the lab names one for the new one.";
            return Err(AppError::Refused(vec![sentence.to_owned()]));
        }
        Ok(DayAnswered {
            promise: EventId::new(form.promise.as_str()),
            answer: form.will_do,
            note: form.day_note.clone(),
        }
        .into())
    })
    .await
}
