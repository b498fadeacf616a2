//! One event of one case: disinfecting, moving, fitting, taking out, giving, giving back, bringing back,
//! using up, keeping back, destroying, writing off, withdrawing, correcting. Which of them may happen is the rules' word.

use super::case_work::CaseWork;
use super::entry::{late, signed};
use super::run::on_case::enter_on_case;
use super::{App, AppError, Person, PostKey};
use crate::domain::custody::What;
use crate::domain::custody::events::{CorrectedForm, FromCase};
use crate::domain::custody::forms::RecordForm;
use crate::domain::values::ids::{EventId, Tag};
use crate::store::custody;

/// Records an action on one item of one's own case.
pub async fn record(
    app: &App,
    person: &Person,
    tag: &Tag,
    form: &RecordForm,
    key: &PostKey,
) -> Result<(), AppError> {
    let mut conn = app.store.read_at_once().await?;
    let item = custody::find_item(&mut conn, tag)
        .await?
        .ok_or(AppError::NotFound)?;
    super::whose_case::own_case(app, &mut conn, person, &item.case).await?;
    drop(conn);
    let late = late(person, form.from_paper.as_ref())?;
    let mut what = form.what.clone();
    if !form.means.is_empty() {
        let under = signed(app, person, &form.password, form.means).await?;
        what.sign_under(under);
    }
    let in_case = |work: &CaseWork| {
        is_about(work, &what, tag)?;
        let earlier = |id: &EventId| {
            let mut events = work.events.iter();
            let found = events.find(|event| event.id == *id)?;
            Some((found.what.word(), found.at))
        };
        Ok(what.clone().in_case(&FromCase {
            side: work.side,
            numbering: work.office.numbering,
            earlier: &earlier,
        }))
    };
    enter_on_case(app, person, &item.case, key, late.as_ref(), in_case).await
}

/// A correction on the page of an item is of an entry about that item.
fn is_about(work: &CaseWork, what: &What, tag: &Tag) -> Result<(), AppError> {
    let What::Corrected(correction) = what else {
        return Ok(());
    };
    let mut events = work.events.iter();
    let found = events.find(|event| event.id == correction.event);
    match found.is_none_or(|event| event.what.concerns(tag)) {
        true => Ok(()),
        false => Err(AppError::field(
            CorrectedForm::event().key,
            "This entry is about something else: correct it on the page of the item that it is about.",
        )),
    }
}
