//! Taking back a handoff that never left, by the side that had released it, before anybody received it.

use super::case_work::CaseWork;
use super::entry::signed;
use super::manage::Typed;
use super::receive::the_handoff;
use super::record_event::needed;
use super::{App, AppError, Person, PostKey};
use crate::domain::custody::What;
use crate::domain::custody::events::MEANS_VOIDED;
use crate::domain::custody::events::Voided;
use crate::domain::values::ids::CaseNumber;
use crate::store::retry;

/// Takes a handoff back. The case number is the outcome.
pub async fn take_back(
    app: &App,
    person: &Person,
    id: &str,
    typed: &Typed,
    key: &PostKey,
) -> Result<CaseNumber, AppError> {
    // A stranger learns nothing, not even that the password was wrong.
    let (work, _) = super::receive::see(app, person, id).await?;
    let number = work.case.number;
    let mut faults = Vec::new();
    let reason = needed(typed, "reason", "Say why it never left.", &mut faults);
    if !faults.is_empty() {
        return Err(AppError::Invalid(faults));
    }
    let signed = signed(app, person, typed, MEANS_VOIDED).await?;
    let event = app.outside.identity()?;
    retry(|| async {
        let mut tx = app.store.begin().await?;
        let mut work = CaseWork::load(tx.conn(), person, &number).await?;
        if app.earlier(&mut tx, person, key).await?.is_some() {
            return Ok(number.clone());
        }
        let sent = the_handoff(&work, id)?.sent;
        let what = What::Voided(Voided {
            handoff: id.to_owned(),
            items: sent.into_iter().map(|sent| sent.tag).collect(),
            reason: reason.clone(),
            signed: signed.clone(),
        });
        work.append(app, &mut tx, person, &event, what, None)
            .await?;
        work.save(app, &mut tx).await?;
        app.finish(tx, person, key, number.as_str()).await?;
        Ok(number.clone())
    })
    .await
}
