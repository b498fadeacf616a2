//! Receiving: the other side says item by item what it found. Two people at once: one wins, the other is told.

use super::case_work::CaseWork;
use super::entry::late;
use super::run::on_case::enter_on_case;
use super::sign_in::prove;
use super::{App, AppError, Person, PostKey, see_case};
use crate::domain::custody::What;
use crate::domain::custody::events::Received;
use crate::domain::custody::forms::ReceiptForm;
use crate::domain::custody::handoff::Handoff;
use crate::domain::people::party::Party;
use crate::domain::values::ids::{CaseNumber, HandoffId, Tag};
use crate::store::custody::find_handoff;
use crate::store::{StoreError, parties};

/// A handoff with its case, for the page.
pub async fn see(
    app: &App,
    person: &Person,
    id: &HandoffId,
) -> Result<(CaseWork, Handoff), AppError> {
    let mut conn = app.store.read().await?;
    let row = find_handoff(&mut conn, id)
        .await?
        .ok_or(AppError::NotFound)?;
    drop(conn);
    let view = see_case::see(app, person, &row.case).await?;
    let work = view.work.clone();
    let handoff = work
        .state
        .handoffs
        .iter()
        .find(|one| one.id == *id)
        .cloned();
    let handoff = handoff.ok_or_else(|| StoreError::row("handoff", id, "no event tells of it"))?;
    Ok((work, handoff))
}

/// The two houses of a handoff, sender and receiver: all that whoever finds its parcel is told.
pub async fn houses(app: &App, id: &HandoffId) -> Result<(Party, Party), AppError> {
    let mut conn = app.store.read().await?;
    let row = find_handoff(&mut conn, id)
        .await?
        .ok_or(AppError::NotFound)?;
    let from = parties::find(&mut conn, &row.from).await?;
    let to = parties::find(&mut conn, &row.to).await?;
    from.zip(to).ok_or(AppError::NotFound)
}

/// Receives a handoff; returns the number of its case.
pub async fn receive(
    app: &App,
    person: &Person,
    id: &HandoffId,
    form: &ReceiptForm,
    key: &PostKey,
) -> Result<CaseNumber, AppError> {
    let (seen, handoff) = see(app, person, id).await?;
    let late = late(person, form.from_paper.as_ref())?;
    if !handoff.outstanding().is_empty() {
        form.of(&handoff).map_err(AppError::Invalid)?;
        prove(app, person, form.password.as_str()).await?;
    }
    let what = |work: &CaseWork| {
        let handoff = the_handoff(work, id)?;
        if handoff.outstanding().is_empty() {
            return Err(AppError::Refused(vec![already(&handoff)]));
        }
        let (parcels, items) = form.of(&handoff).map_err(AppError::Invalid)?;
        Ok(What::Received(Received {
            handoff: id.clone(),
            place: work.side,
            items,
            unannounced: form.extra.unannounced.clone(),
            parcels,
            foreign: form.extra.foreign.clone(),
            no_pick_up: handoff.is_packed(),
        }))
    };
    enter_on_case(app, person, &seen, key, late.as_ref(), what).await?;
    Ok(seen.case.number)
}

pub(super) fn the_handoff(work: &CaseWork, id: &HandoffId) -> Result<Handoff, AppError> {
    work.state
        .handoffs
        .iter()
        .find(|one| one.id == *id)
        .cloned()
        .ok_or(AppError::NotFound)
}

/// What the second of two receivers is told.
fn already(handoff: &Handoff) -> String {
    if let Some((by, at, _)) = &handoff.voided {
        let how = match handoff.picked_up {
            Some(_) => "the carrier brought it back to them",
            None => "it never left",
        };
        return format!(
            "{} has taken this back on {at}: {how}. If it is in your hands all the same, put it aside and ask them to \
             hand it over anew.",
            by.name
        );
    }
    if !handoff.written_off.is_empty() {
        let tags: Vec<String> = handoff.written_off.iter().map(Tag::to_string).collect();
        return format!(
            "Written off as lost meanwhile: {}. If it is in your hands all the same, put it aside and tell the other house: it \
             withdraws that entry, and you receive it then.",
            tags.join(", ")
        );
    }
    match (&handoff.received_by, handoff.received_at) {
        (Some(by), Some(at)) => format!(
            "{} has received this on {at}, and said what was found of each thing.",
            by.name
        ),
        _ => "This has been received already.".to_owned(),
    }
}
