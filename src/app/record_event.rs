//! One event of one case: disinfecting, moving, fitting, taking out, giving, giving back, bringing back,
//! using up, keeping back, destroying, writing off, withdrawing, correcting. Which of them may happen is the rules' word.

use super::case_work::CaseWork;
use super::entry::{late, signed};
use super::run::on_case::enter_on_case;
use super::{App, AppError, Person, PostKey};
use crate::domain::custody::What;
use crate::domain::custody::events::Action;
use crate::domain::custody::forms::RecordForm;
use crate::domain::custody::item::Item;
use crate::domain::values::ids::Tag;
use crate::domain::values::moment::Moment;
use crate::store::custody;

/// What this person may record about an item now: what the rules would let through if it were filled in well.
pub fn offers(
    work: &CaseWork,
    item: &Item,
    person: &Person,
    at: Moment,
) -> Vec<&'static Action<What>> {
    work.offers_at(person, at).about(&item.tag)
}

/// Records an action on one item of one's own case.
pub async fn record(
    app: &App,
    person: &Person,
    tag: &Tag,
    form: &RecordForm,
    key: &PostKey,
) -> Result<(), AppError> {
    let mut conn = app.store.read().await?;
    let item = custody::find_item(&mut conn, tag)
        .await?
        .ok_or(AppError::NotFound)?;
    super::case_work::own_case(&mut conn, person, &item.case).await?;
    drop(conn);
    let late = late(person, form.from_paper.as_ref())?;
    let mut what = form.what.clone();
    if !form.means.is_empty() {
        let under = signed(app, person, &form.password, form.means).await?;
        what.sign_under(under);
    }
    let in_case = |work: &CaseWork| Ok(what.clone().in_case(&work.state, work.side));
    enter_on_case(app, person, &item.case, key, late.as_ref(), in_case).await
}
