//! The checks after the fit: entered at the office, read by both houses.

use super::entry::{Late, late};
use super::run::on_case::enter_on_case;
use super::{App, AppError, Person, PostKey};
use crate::app::case_work::CaseWork;
use crate::domain::custody::What;
use crate::domain::custody::events::ShareAnswered;
use crate::domain::custody::follow_up::{FollowUp, too_early};
use crate::domain::custody::forms::{FollowUpForm, FollowUpTyped, ShareForm};
use crate::domain::custody::mouth::{self, Check};
use crate::domain::trade::calendar::OpenDays;
use crate::domain::values::arch::{Arch, Arches};
use crate::domain::values::ids::CaseNumber;

/// Enters a check.
pub async fn enter(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    form: &FollowUpTyped,
    key: &PostKey,
) -> Result<(), AppError> {
    let late = late(person, form.from_paper.as_ref())?;
    let what = |work: &CaseWork| {
        is_late_enough(app, work, form, late.as_ref())?;
        Ok(What::from(form.entry.clone()))
    };
    enter_on_case(app, person, number, key, late.as_ref(), what).await
}

/// The check at 24 hours is none a minute after the fit. What was entered before this was asked stands.
fn is_late_enough(
    app: &App,
    work: &CaseWork,
    form: &FollowUpTyped,
    late: Option<&Late>,
) -> Result<(), AppError> {
    let at = late.map_or_else(|| work.now(app), |late| late.at);
    for &arch in form.entry.arches.treated() {
        let fitted = mouth::final_fitted(&work.items, &work.state, arch);
        let early = fitted.and_then(|fitted| too_early(form.entry.check, fitted, at));
        if let Some(sentence) = early {
            return Err(AppError::field(FollowUpForm::follow_up().key, sentence));
        }
    }
    Ok(())
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
            event: form.share_of.clone(),
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
        last.at.in_words(),
        last.check.shown(),
        last.words()
    ))
}

/// Whether this check is entered for an arch, since its final went in.
fn is_entered(work: &CaseWork, arch: Arch, after: FollowUp, since_ms: i64) -> bool {
    let mut entries = work.state.follow_ups.iter();
    entries.any(|one| {
        one.check == after && one.at.unix_ms >= since_ms && one.arches.treated().contains(&arch)
    })
}

/// The proposed checks of the finals that are worn, and whether each is entered: once for both arches, where they are of
/// one day and stand alike.
pub fn proposed(work: &CaseWork, office: &OpenDays) -> Vec<(Arches, Check, bool)> {
    let mut rows: Vec<(Arches, Check, bool)> = Vec::new();
    for &arch in work.case.arches.treated() {
        let Some(at) = mouth::final_fitted(&work.items, &work.state, arch) else {
            continue;
        };
        for check in mouth::checks(at.date(), office) {
            let is_done = is_entered(work, arch, check.after, at.unix_ms);
            let same = |row: &&mut (Arches, Check, bool)| row.1 == check && row.2 == is_done;
            match rows.iter_mut().find(same) {
                Some(row) => row.0 = Arches::Both,
                None => rows.push((arch.into(), check, is_done)),
            }
        }
    }
    rows.sort_by_key(|(_, check, _)| check.day);
    rows
}
