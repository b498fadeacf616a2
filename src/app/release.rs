//! Handing over: a release names items, parcels, carrier, purpose and disinfection, in one transaction. It waits
//! for the carrier, or says who took it at once.

use super::case_work::CaseWork;
use super::entry::{exception, late};
use super::run::on_case::run_on_case;
use super::sign_in::prove;
use super::{App, AppError, Person, PostKey, see_case};
use crate::domain::custody::events::Released;
use crate::domain::custody::forms::ReleaseForm;
use crate::domain::custody::{Sent, What};
use crate::domain::values::ids::{CaseNumber, EventId, HandoffId, Tag};

/// The form as it stands to its case: known items only, in the case's order, counted where there are several pieces.
fn in_case(form: &ReleaseForm, work: &CaseWork) -> Result<ReleaseForm, AppError> {
    let tags: Vec<&Tag> = work.items.iter().map(|item| &item.tag).collect();
    let known = |tag: &Tag| {
        let counted = work.state.item(tag).and_then(|state| state.pieces);
        let item = work.items.iter().find(|item| item.tag == *tag);
        counted.or(item.map(|item| item.pieces)).unwrap_or(1)
    };
    let form = form.clone().in_case(work.side, &tags, known);
    form.map_err(AppError::Invalid)
}

/// Releases items to the other side; returns the handoff's id.
pub async fn release(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    form: &ReleaseForm,
    key: &PostKey,
) -> Result<HandoffId, AppError> {
    let handoff = HandoffId::new(app.outside.identity()?);
    let view = see_case::see(app, person, number).await?;
    let seen = &view.work;
    let form = in_case(form, seen)?;
    let late = late(person, form.from_paper.as_ref())?;
    let exception = exception(app, person, &form.exception, &form.password).await?;
    if exception.is_none() {
        prove(app, person, form.password.as_str()).await?;
    }
    // One id for each disinfection that may be entered along, and one for the release.
    let ids = (0..=seen.items.len())
        .map(|_| app.outside.identity().map(EventId::new))
        .collect::<Result<Vec<_>, _>>()?;
    run_on_case(app, person, seen, key, |mut work, mut tx| async {
        let mut ids = ids.iter();
        if let Some(entry) = &form.cleaning {
            for tag in without_entry(&work, &form.items) {
                let id = ids
                    .next()
                    .ok_or_else(|| AppError::Inner("too few ids".to_owned()))?;
                let what = entry.of(tag).into();
                work.append(app, &mut tx, person, id, what, late.as_ref())
                    .await?;
            }
        }
        let from = work.side;
        let to = from.other();
        let what = What::Released(Released {
            handoff: handoff.clone(),
            items: form.items.clone(),
            from,
            to,
            carrier: form.carriage.carrier.clone(),
            tracking: form.carriage.tracking.clone(),
            purpose_code: Some(form.carriage.purpose_code),
            purpose: form.carriage.purpose.clone(),
            seal: String::new(),
            exception: exception.clone(),
            parcels: form.parcels.clone(),
            awaits_pickup: form.taken_by.is_empty(),
            taken_by: form.taken_by.clone(),
        });
        let id = ids
            .next()
            .ok_or_else(|| AppError::Inner("too few ids".to_owned()))?;
        work.append(app, &mut tx, person, id, what, late.as_ref())
            .await?;
        Ok((work, tx, handoff.clone()))
    })
    .await
}

/// The ticked items that need a disinfection entry and have none.
fn without_entry(work: &CaseWork, sent: &[Sent]) -> Vec<Tag> {
    let custody = &work.state.custody;
    let needs = |tag: &Tag| {
        work.items
            .iter()
            .any(|item| item.tag == *tag && item.kind.needs_disinfection())
    };
    sent.iter()
        .map(|sent| sent.tag.clone())
        .filter(|tag| needs(tag) && custody.get(tag).is_some_and(|state| !state.disinfected))
        .collect()
}
