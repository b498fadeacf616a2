//! Closing a case by hand, when every item has its end, and opening it again.

use super::case_work::CaseWork;
use super::entry::signed;
use super::run::on_case::enter_on_case;
use super::{App, AppError, Person, PostKey};
use crate::domain::custody::events::MEANS_CLOSED;
use crate::domain::custody::events::{Closed, Reopened};
use crate::domain::custody::forms::{CloseForm, ReopenForm};
use crate::domain::custody::{What, dispositions};
use crate::domain::values::ids::CaseNumber;

/// Closes the case: what became of each item is drawn from the events in the transaction itself.
pub async fn close(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    form: &CloseForm,
    key: &PostKey,
) -> Result<(), AppError> {
    super::case_work::own_case(&mut *app.store.read().await?, person, number).await?;
    let signed = signed(app, person, &form.password, MEANS_CLOSED).await?;
    let what = |work: &CaseWork| {
        let items =
            dispositions(&work.context().scope(), &work.state).map_err(AppError::Refused)?;
        Ok(What::Closed(Closed {
            items,
            note: form.note.clone(),
            signed: signed.clone(),
        }))
    };
    enter_on_case(app, person, number, key, None, what).await
}

/// Opens a closed case again.
pub async fn reopen(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    form: &ReopenForm,
    key: &PostKey,
) -> Result<(), AppError> {
    let what = |_: &CaseWork| {
        Ok(What::Reopened(Reopened {
            reason: form.reason.clone(),
        }))
    };
    enter_on_case(app, person, number, key, None, what).await
}
