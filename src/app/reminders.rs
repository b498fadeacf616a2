//! What is to be thought of in a case: the spare, the checks after the final, and what is lent and late.

use super::avoided_things::{avoided_words, is_material_unknown};
use super::case_work::CaseWork;
use super::custody_words::title_and_tag;
use crate::domain::custody::item::ItemKind;
use crate::domain::custody::mouth::{self, SpareState};
use crate::domain::custody::{LoanNow, overdue};
use crate::domain::people::party::Side;
use crate::domain::people::patient::OwnTeeth;
use crate::domain::trade::calendar::OpenDays;
use crate::domain::values::arch::Arch;
use crate::domain::values::ids::Tag;
use crate::domain::values::moment::whole_day;
use std::collections::BTreeMap;
use time::Date;

/// The reminders for this person's side: what is lent and late, and, for the office, spares and checks, on days on
/// which it is open.
pub fn reminders(work: &CaseWork, office: &OpenDays, today: Date) -> Vec<String> {
    let mut words = Vec::new();
    let title = |tag: &Tag| title_and_tag(work, tag);
    let loans = overdue(&work.items, &work.state, &work.ordered, today).into_iter();
    // What the work needs waits for it, and what is on the way is not here to be sent.
    for one in loans.filter(|one| one.now == LoanNow::InHand) {
        let house = &work.party(one.side).name;
        let due = one.due_words(Some(today));
        let is = if one.is_late(today) { "" } else { "is " };
        words.push(format!(
            "{} is lent and {is}{due}: {house} sends it back.",
            title(&one.tag)
        ));
    }
    words.extend(spares_and_checks(work, office));
    words
}

/// What the office is to think of beside what waits: spares, and checks on days on which it is open.
pub fn spares_and_checks(work: &CaseWork, office: &OpenDays) -> Vec<String> {
    let mut words = Vec::new();
    if work.side == Side::Office {
        for &arch in work.case.arches.treated() {
            let spares = mouth::spares_now(&work.ordered, &work.items, &work.state, arch);
            words.extend(spares.iter().map(|spare| spare_words(work, spare)));
        }
        words.extend(check_words(work, office));
        let arches = work.case.arches.treated().iter();
        words.extend(arches.filter_map(|&arch| teeth_words(work, arch)));
    }
    words
}

/// That the card still names natural teeth where a denture is worn that goes in once they are out.
fn teeth_words(work: &CaseWork, arch: Arch) -> Option<String> {
    let worn = work.worn_in(arch)?;
    let is_final = work.item(&worn).map(|item| item.kind) == Some(ItemKind::FinalDenture);
    let has_teeth = work.teeth_in(arch) == Some(OwnTeeth::Natural);
    (is_final && has_teeth).then(|| {
        format!(
            "{} is worn, and the patient’s card still says natural teeth in the {} jaw: if they are out, say so on the card.",
            title_and_tag(work, &worn),
            arch.shown()
        )
    })
}

/// The proposed checks; both finals in one sentence where they were fitted on one day.
fn check_words(work: &CaseWork, office: &OpenDays) -> Vec<String> {
    let mut fitted: BTreeMap<Date, Vec<&str>> = BTreeMap::new();
    for &arch in work.case.arches.treated() {
        if let Some(at) = mouth::final_fitted(&work.items, &work.state, arch) {
            fitted.entry(at.date()).or_default().push(arch.shown());
        }
    }
    let words = |(day, arches): (Date, Vec<&str>)| {
        let checks = mouth::checks(day, office);
        let days: Vec<String> = checks
            .iter()
            .map(|one| format!("{} {}", one.after.shown(), one.day_words()))
            .collect();
        format!(
            "Hint, checks of the {} final fitted on {}: {}.",
            arches.join(" and "),
            whole_day(day),
            days.join(", ")
        )
    };
    fitted.into_iter().map(words).collect()
}

/// The spare in words; what is of a material to be avoided is not proposed as one.
fn spare_words(work: &CaseWork, spare: &SpareState) -> String {
    let title = |tag: &Tag| title_and_tag(work, tag);
    match spare {
        SpareState::ToGive(tag) => {
            if let Some(words) = avoided_words(work, tag) {
                return format!("{words} It is no spare for this patient.");
            }
            let ask = match is_material_unknown(work, tag) {
                true => {
                    " What it is made of is not entered, and something is to be avoided: find that out first."
                }
                false => "",
            };
            format!(
                "{} becomes the spare: mark it, put it in water, and record it on its page when it is given to the patient.{ask}",
                title(tag)
            )
        }
        SpareState::Given { tag, since, kept } => {
            let kept = kept.as_ref().map_or_else(String::new, |kept| {
                let water = if kept.in_water {
                    "in water"
                } else {
                    "not in water"
                };
                format!(
                    ", marked “{}”, kept {water}: {}, by {}",
                    kept.mark, kept.place, kept.keeper
                )
            });
            format!(
                "{} is the spare since {}{kept}.",
                title(tag),
                whole_day(since.date())
            )
        }
    }
}
