//! Closing a case by hand, when every item has its end, and opening it again.

use super::case_work::CaseWork;
use super::entry::signed;
use super::run::on_case::enter_on_case;
use super::{App, AppError, Person, PostKey};
use crate::domain::custody::emptied::EmptyArch;
use crate::domain::custody::events::MEANS_CLOSED;
use crate::domain::custody::events::{Closed, Reopened};
use crate::domain::custody::forms::{CloseForm, ReopenForm};
use crate::domain::custody::item::Item;
use crate::domain::custody::{Disposed, Gone, What, dispositions};
use crate::domain::people::party::Side;
use crate::domain::values::ids::CaseNumber;

/// Closes the case: what became of each item is drawn from the events in the transaction itself.
pub async fn close(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    form: &CloseForm,
    key: &PostKey,
) -> Result<(), AppError> {
    super::whose_case::own_case(app, &mut *app.store.read_at_once().await?, person, number).await?;
    let signed = signed(app, person, &form.password, MEANS_CLOSED).await?;
    let what = |work: &CaseWork| {
        let items =
            dispositions(&work.context().scope(), &work.state).map_err(AppError::Refused)?;
        let nothing_made = is_unmade(work);
        if nothing_made && !form.nothing_made {
            let sentence = format!(
                "Revision {} is signed, and nothing was made to it. Cancel the work, so that the lab hears of it, or tick this.",
                work.case.revision
            );
            return Err(AppError::field(CloseForm::nothing_made().key, sentence));
        }
        let empty = work.without_teeth();
        if form.note.trim().is_empty() && !empty.is_empty() {
            let named: Vec<String> = empty.iter().map(EmptyArch::sentence).collect();
            let sentence = format!(
                "{}. Say here what the patient wears, or why nothing.",
                named.join(". ")
            );
            return Err(AppError::field(CloseForm::note().key, sentence));
        }
        Ok(What::Closed(Closed {
            items,
            note: form.note.clone(),
            nothing_made,
            signed: signed.clone(),
        }))
    };
    enter_on_case(app, person, number, key, None, what).await
}

/// What became of each item, as the last entry of the end says, or as it would say now.
pub fn ends(work: &CaseWork) -> Vec<Disposed> {
    let mut events = work.events.iter().rev();
    let last = events.find_map(|event| match &event.what {
        What::Closed(Closed { items, .. }) => Some(items.clone()),
        _ => None,
    });
    let now = || dispositions(&work.context().scope(), &work.state).unwrap_or_default();
    last.filter(|_| work.case.closed).unwrap_or_else(now)
}

/// Whether a prescription is in force, and the lab has neither made anything nor noted a step at the bench; to a later
/// revision that it has not acknowledged, what it made before counts for nothing.
pub fn is_unmade(work: &CaseWork) -> bool {
    let revision = work.case.revision;
    let is_unread = revision > 1 && work.case.acknowledged < revision;
    let since = work.ordered.since.filter(|_| is_unread);
    let is_made = |item: &Item| {
        let state = work.state.item(&item.tag);
        let is_its =
            state.is_some_and(|one| one.home == Side::Lab && one.gone != Some(Gone::Mistaken));
        is_its && item.kind.is_made_for_the_mouth()
    };
    let was_sent = work.state.handoffs.iter().any(|one| {
        let is_later = since.is_none_or(|since| one.released_at.unix_ms >= since.unix_ms);
        one.from == Side::Lab && one.voided.is_none() && is_later
    });
    let mut bench = work.state.bench.iter();
    let was_worked = bench.any(|one| !is_unread || one.revision == revision);
    revision > 0
        && !work.state.is_cancelled()
        && !was_worked
        && !was_sent
        && (is_unread || !work.items.iter().any(is_made))
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
