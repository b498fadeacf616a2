//! Resolving a hold: the side that packed states how it came about and what is done. Nothing is edited.

use super::case_work::CaseWork;
use super::entry::signed;
use super::run::on_case::enter_on_case;
use super::{App, AppError, Person, PostKey};
use crate::domain::custody::NOTHING_TO_RESOLVE;
use crate::domain::custody::events::MEANS_RESOLVED;
use crate::domain::custody::events::Resolved;
use crate::domain::custody::forms::ResolveForm;
use crate::domain::custody::{Hold, What};
use crate::domain::values::ids::CaseNumber;

/// Every hold of a case, with the case.
pub async fn see(
    app: &App,
    person: &Person,
    number: &CaseNumber,
) -> Result<(CaseWork, Vec<Hold>), AppError> {
    let mut conn = app.store.read_at_once().await?;
    let work = CaseWork::load_shown(app, &mut conn, person, number).await?;
    let holds = work.state.holds.clone();
    Ok((work, holds))
}

/// Resolves one hold by a signed statement.
pub async fn resolve(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    form: &ResolveForm,
    key: &PostKey,
) -> Result<(), AppError> {
    let (_, holds) = see(app, person, number).await?;
    let hold = holds
        .into_iter()
        .find(|one| one.id == form.hold)
        .ok_or_else(|| AppError::Refused(vec![NOTHING_TO_RESOLVE.to_owned()]))?;
    let what = What::Resolved(Resolved {
        hold: hold.id,
        trouble: hold.trouble,
        tag: hold.tag,
        reason: form.reason.clone(),
        done: form.done.clone(),
        signed: signed(app, person, &form.password, MEANS_RESOLVED).await?,
        not_packed: form.not_packed,
    });
    enter_on_case(app, person, number, key, None, |_| Ok(what.clone())).await
}
