//! Settling a hold: the side that packed states how it came about and what is done. Nothing is edited.

use super::case_work::CaseWork;
use super::entry::signed;
use super::manage::Typed;
use super::record_event::needed;
use super::run::on_case::run_on_case;
use super::{App, AppError, Person, PostKey};
use crate::domain::custody::events::MEANS_SETTLED;
use crate::domain::custody::events::Settled;
use crate::domain::custody::{Hold, What};
use crate::domain::values::ids::CaseNumber;

/// Every hold of a case, with the case.
pub async fn see(
    app: &App,
    person: &Person,
    number: &CaseNumber,
) -> Result<(CaseWork, Vec<Hold>), AppError> {
    let mut conn = app.store.read().await?;
    let work = CaseWork::load(&mut conn, person, number).await?;
    let holds = work.state.holds.clone();
    Ok((work, holds))
}

/// Settles one hold by a signed statement.
pub async fn resolve(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    typed: &Typed,
    key: &PostKey,
) -> Result<(), AppError> {
    let wanted = typed.get("hold").map(String::as_str).unwrap_or_default();
    let (_, holds) = see(app, person, number).await?;
    let hold = holds
        .into_iter()
        .find(|one| one.id == wanted)
        .ok_or_else(|| {
            AppError::Refused(vec!["There is nothing of this kind to settle.".to_owned()])
        })?;
    let mut faults = Vec::new();
    let reason = needed(typed, "reason", "Say how it came about.", &mut faults);
    let done = needed(typed, "done", "Say what is done now.", &mut faults);
    if !faults.is_empty() {
        return Err(AppError::Invalid(faults));
    }
    let what = What::Settled(Settled {
        hold: hold.id,
        trouble: hold.trouble,
        tag: hold.tag,
        reason,
        done,
        signed: signed(app, person, typed, MEANS_SETTLED).await?,
        not_packed: typed.get("not_packed").is_some_and(|text| text == "yes"),
    });
    let id = app.outside.identity()?;
    run_on_case(app, person, number, key, |mut work, mut tx| async {
        work.append(app, &mut tx, person, &id, what.clone(), None)
            .await?;
        Ok((work, tx, ()))
    })
    .await
}
