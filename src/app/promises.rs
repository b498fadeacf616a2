//! The lab names the day by which the work is back; the office says whether it will do.

use super::run::on_case::enter_on_case;
use super::{App, AppError, Person, PostKey};
use crate::domain::custody::events::{DayAnswered, Promised};
use crate::domain::custody::forms::{DayAnswerForm, PromiseForm};
use crate::domain::values::ids::{CaseNumber, EventId};

/// Names a day for the revision in force.
pub async fn promise(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    form: &PromiseForm,
    key: &PostKey,
) -> Result<(), AppError> {
    enter_on_case(app, person, number, key, None, |work| {
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
    enter_on_case(app, person, number, key, None, |_| {
        Ok(DayAnswered {
            promise: EventId::new(form.promise.as_str()),
            answer: form.will_do,
            note: form.day_note.clone(),
        }
        .into())
    })
    .await
}
