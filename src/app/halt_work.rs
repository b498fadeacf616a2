//! The office stops, pauses or cancels the work of a case, or lets it go on; the lab takes notice.

use super::case_work::CaseWork;
use super::entry::signed;
use super::run::on_case::enter_on_case;
use super::{App, AppError, Person, PostKey};
use crate::domain::custody::emptied::last_dentures;
use crate::domain::custody::events::{
    Cancelled, Heeded, MEANS_CANCELLED, MEANS_PAUSED, MEANS_STOPPED, MEANS_WENT_ON, Paused,
    Stopped, WentOn,
};
use crate::domain::custody::forms::{FateForm, HaltForm, HaltKind};
use crate::domain::custody::{Fate, Fated, by_revision};
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::{CaseNumber, EventId, Tag};

/// What the password under this signs.
pub fn means(kind: HaltKind) -> &'static str {
    match kind {
        HaltKind::Stop => MEANS_STOPPED,
        HaltKind::Pause => MEANS_PAUSED,
        HaltKind::GoOn => MEANS_WENT_ON,
        HaltKind::Cancel => MEANS_CANCELLED,
    }
}

/// Enters what the dentist has decided.
pub async fn halt(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    form: &HaltForm,
    key: &PostKey,
) -> Result<(), AppError> {
    let case =
        super::whose_case::own_case(app, &mut *app.store.read_at_once().await?, person, number)
            .await?;
    by_revision::can_be_halted(case.revision, form.kind)
        .map_err(|why| AppError::Refused(vec![why.to_owned()]))?;
    let signed = signed(app, person, &form.password, means(form.kind)).await?;
    let what = |work: &CaseWork| {
        let (reason, signed) = (form.reason.clone(), signed.clone());
        Ok(match form.kind {
            HaltKind::Stop => Stopped { reason, signed }.into(),
            HaltKind::Pause => Paused { reason, signed }.into(),
            HaltKind::GoOn => WentOn { reason, signed }.into(),
            HaltKind::Cancel => {
                let items = fates(work, form);
                ask_last(work, form, &items)?;
                Cancelled {
                    reason,
                    items,
                    signed,
                }
                .into()
            }
        })
    };
    enter_on_case(app, person, number, key, None, what).await
}

/// A thing that is away from the office, with what can become of it.
pub struct FateAsked {
    pub tag: Tag,
    pub fates: Vec<Fate>,
    /// Whether the patient consents where it is destroyed: it is the patient's.
    pub asks_consent: bool,
}

/// What the office is asked of each thing when it gives the work up.
pub fn fates_asked(work: &CaseWork) -> Vec<FateAsked> {
    let asked = |tag: Tag| {
        let is_lent = work.item(&tag).is_some_and(|item| item.borrowed);
        FateAsked {
            fates: Fate::open_to(is_lent).collect(),
            asks_consent: work.is_the_patients(&tag),
            tag,
        }
    };
    work.away_from_the_office().into_iter().map(asked).collect()
}

/// What was said of each thing that is away from the office; what was not said of one comes back.
fn fates(work: &CaseWork, form: &HaltForm) -> Vec<Fated> {
    let tags = work.away_from_the_office();
    let fated = |tag: Tag| {
        let said = form.fates.get(&tag);
        let fate = said.and_then(|said| said.fate).unwrap_or(Fate::ComesBack);
        let consents = said.is_some_and(|said| said.fate_consent);
        Fated {
            fate,
            consent: (fate == Fate::Scrapped).then_some(consents),
            tag,
        }
    };
    tags.into_iter().map(fated).collect()
}

/// Asks before the last sound denture of an arch that stands empty is destroyed.
fn ask_last(work: &CaseWork, form: &HaltForm, items: &[Fated]) -> Result<(), AppError> {
    let ends = items.iter().filter(|one| one.fate == Fate::Scrapped);
    let ends: Vec<Tag> = ends.map(|one| one.tag.clone()).collect();
    let is_said = |tag: &Tag| form.fates.get(tag).is_some_and(|said| said.fate_last);
    let last = last_dentures(&work.items, &work.without_teeth(), (&work.state, &ends));
    let asked = last.into_iter().filter(|(_, tag)| !is_said(tag));
    let faults: Vec<Fault> = asked
        .map(|(arch, tag)| {
            let key = format!("{}.{}", tag.as_str(), FateForm::fate_last().key);
            let sentence = format!(
                "Nothing is in the {} arch, and the patient has no other sound denture for it. Destroy it all the same?",
                arch.shown()
            );
            Fault::new(key, sentence)
        })
        .collect();
    match faults.is_empty() {
        true => Ok(()),
        false => Err(AppError::Invalid(faults)),
    }
}

/// Takes notice, for the lab, of the entry that its people have read.
pub async fn heed(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    event: &EventId,
    key: &PostKey,
) -> Result<(), AppError> {
    let what = |_: &CaseWork| {
        let event = event.clone();
        Ok(Heeded { event }.into())
    };
    enter_on_case(app, person, number, key, None, what).await
}
