//! A check after the fit: what was looked at, complaints, and what comes of them.

use super::from_paper::FromPaper;
use super::shared::TEXT_MOST;
use crate::domain::custody::events::FollowedUp;
use crate::domain::custody::follow_up::{
    ExaminedPoint, FollowUp, FollowedBy, WorkCause, WorkShare,
};
use crate::domain::form::{FieldSet, FieldSpec, Form, Kind, Raw, command, long};
use crate::domain::trade::complaint::COMPLAINT_CHOICES;
use crate::domain::values::arch::Arches;
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::EventId;

command! {
    /// What is said of a check.
    FollowUpForm;
    follow_up: FollowUp = FollowUp::KIND, "Which check", "", needed "Choose which check it was.";
    follow_arches: Arches = Arches::KIND, "For which arch", "", needed "Choose the arch.";
    complaint_first: Option<u32> = Kind::Choice(COMPLAINT_CHOICES), "Complaint", "Empty where there is none.";
    complaint_second: Option<u32> = Kind::Choice(COMPLAINT_CHOICES), "Second complaint", "";
    complaint_third: Option<u32> = Kind::Choice(COMPLAINT_CHOICES), "Third complaint", "";
    follow_done: String = long(TEXT_MOST), "What was found and done", "Nothing that names anybody.";
    followed_by: FollowedBy = FollowedBy::KIND, "What comes of it", "", needed "Choose what comes of it.";
    work_cause: Option<WorkCause> = WorkCause::KIND, "Cause", "Of a correction or a remake.";
    work_share: Option<WorkShare> = WorkShare::KIND, "Whose part it was", "As you see it; the lab reads it.";
}

command! {
    /// One thing of the list of what is looked at.
    ExaminedForm;
    seen: bool = Kind::Tick, "Looked at", "";
}

command! {
    /// What the lab says to the part of each house.
    ShareForm;
    share_of: EventId = Kind::Hidden, "", "", needed "Choose the entry.";
    otherwise: bool = Kind::Tick, "We see it otherwise", "";
    share_note: String = long(TEXT_MOST), "How you see it, if otherwise", "Nothing that names anybody.";
}

/// A check as typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FollowUpTyped {
    pub entry: FollowedUp,
    pub from_paper: Option<FromPaper>,
}

impl FollowUpTyped {
    /// The key of the tick of one thing that is looked at.
    pub fn key_of(one: ExaminedPoint) -> String {
        format!("look.{}.{}", one.word(), ExaminedForm::seen().key)
    }

    /// The fields of the complaints, in their order.
    pub fn complaints() -> [&'static FieldSpec; 3] {
        [
            FollowUpForm::complaint_first(),
            FollowUpForm::complaint_second(),
            FollowUpForm::complaint_third(),
        ]
    }
}

impl Form for FollowUpTyped {
    fn field_sets() -> Vec<FieldSet> {
        vec![
            FieldSet::once(FollowUpForm::FIELDS),
            FieldSet {
                under: "look.#.",
                fields: ExaminedForm::FIELDS,
            },
            FromPaper::FIELDS,
        ]
    }

    fn read(raw: &Raw, faults: &mut Vec<Fault>) -> Option<FollowUpTyped> {
        let form = FollowUpForm::read(raw, faults);
        let from_paper = FromPaper::read(raw, faults);
        let is_ticked = |one: &ExaminedPoint| {
            let key = FollowUpTyped::key_of(*one);
            raw.get(&key).is_some_and(|tick| tick == "yes")
        };
        let examined = ExaminedPoint::ALL
            .iter()
            .copied()
            .filter(is_ticked)
            .collect();
        let form = form?;
        let is_work = form.followed_by.is_work();
        for (is_said, spec, wanted, unwanted) in [
            (
                form.work_cause.is_some(),
                FollowUpForm::work_cause(),
                "Choose the cause.",
                "Only a correction or a remake has a cause: take it out, or choose one of them above.",
            ),
            (
                form.work_share.is_some(),
                FollowUpForm::work_share(),
                "Say whose part it was.",
                "Only a correction or a remake is anybody’s part: take it out, or choose one of them above.",
            ),
        ] {
            match (is_work, is_said) {
                (true, false) => faults.push(Fault::new(spec.key, wanted)),
                (false, true) => faults.push(Fault::new(spec.key, unwanted)),
                _ => {}
            }
        }
        let typed = [
            form.complaint_first,
            form.complaint_second,
            form.complaint_third,
        ];
        let mut complaints: Vec<u8> = Vec::new();
        for number in typed.into_iter().flatten() {
            let number = u8::try_from(number).unwrap_or(u8::MAX);
            if !complaints.contains(&number) {
                complaints.push(number);
            }
        }
        Some(FollowUpTyped {
            entry: FollowedUp {
                check: form.follow_up,
                arches: form.follow_arches,
                examined,
                complaints,
                done: form.follow_done,
                followed_by: form.followed_by,
                cause: form.work_cause,
                share: form.work_share,
            },
            from_paper,
        })
    }
}
