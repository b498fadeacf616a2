//! The checks after the fit: entered at the office, read by both houses.

use super::entry::late;
use super::run::on_case::enter_on_case;
use super::{App, AppError, Person, PostKey};
use crate::app::case_work::CaseWork;
use crate::domain::custody::What;
use crate::domain::custody::events::ShareAnswered;
use crate::domain::custody::follow_up::FollowUp;
use crate::domain::custody::forms::{FollowUpTyped, ShareForm};
use crate::domain::custody::mouth::{self, Check};
use crate::domain::trade::calendar::OpenDays;
use crate::domain::values::arch::Arch;
use crate::domain::values::ids::{CaseNumber, EventId};

/// Enters a check.
pub async fn enter(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    form: &FollowUpTyped,
    key: &PostKey,
) -> Result<(), AppError> {
    let late = late(person, form.from_paper.as_ref())?;
    let what = |_: &CaseWork| Ok(What::from(form.entry.clone()));
    enter_on_case(app, person, number, key, late.as_ref(), what).await
}

/// Enters what the lab says to the part of each house.
pub async fn answer(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    form: &ShareForm,
    key: &PostKey,
) -> Result<(), AppError> {
    if form.otherwise && form.share_note.trim().is_empty() {
        let spec = ShareForm::share_note();
        return Err(AppError::field(spec.key, "Say how you see it."));
    }
    let what = |_: &CaseWork| {
        Ok(What::from(ShareAnswered {
            event: EventId::new(form.share_of.as_str()),
            agrees: !form.otherwise,
            note: form.share_note.clone(),
        }))
    };
    enter_on_case(app, person, number, key, None, what).await
}

/// The last check in a sentence; none before there is one.
pub fn sentence(work: &CaseWork) -> Option<String> {
    let last = work
        .state
        .follow_ups
        .iter()
        .max_by_key(|one| one.at.unix_ms)?;
    Some(format!(
        "Last check after the fit on {}, {}: {}.",
        last.at,
        last.check.shown(),
        last.words()
    ))
}

/// Whether a check of this name is entered for an arch, since its final went in.
fn is_entered(work: &CaseWork, arch: Arch, after: &str, since_ms: i64) -> bool {
    let named = FollowUp::ALL.iter().find(|one| one.shown() == after);
    let mut entries = work.state.follow_ups.iter();
    entries.any(|one| {
        Some(&one.check) == named
            && one.at.unix_ms >= since_ms
            && one.arches.treated().contains(&arch)
    })
}

/// The proposed checks of each final that is worn, and whether each is entered.
pub fn proposed(work: &CaseWork, office: &OpenDays) -> Vec<(Arch, Check, bool)> {
    let treated = work.case.arches.treated().iter().copied();
    let of_arch = treated.flat_map(|arch| {
        let fitted = mouth::final_fitted(&work.items, &work.state, arch);
        fitted.map_or_else(Vec::new, |at| {
            let checks = mouth::checks(at.date(), office).into_iter();
            let told = |one: Check| (arch, one, is_entered(work, arch, one.after, at.unix_ms));
            checks.map(told).collect::<Vec<_>>()
        })
    });
    of_arch.collect()
}
