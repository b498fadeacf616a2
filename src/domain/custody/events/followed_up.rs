//! A check after the fit was done: what was looked at, what the patient complains of, and what comes of it.

use super::kind::{Constants, ErasablePlace, EventKind, Named, Sentence, WhenClosed};
use crate::domain::custody::case_state::CaseState;
use crate::domain::custody::follow_up::{
    ExaminedPoint, FollowUp, FollowUpEntry, FollowedBy, WorkCause, WorkShare, complaints_of,
    outcome_words,
};
use crate::domain::custody::item::ItemKind;
use crate::domain::custody::proposal::{CustodyRule, ProposedEvent};
use crate::domain::custody::sign::{OnLine, Sign};
use crate::domain::custody::stamp::Stamp;
use crate::domain::custody::worn::Turn;
use crate::domain::people::access::Permission;
use crate::domain::trade::complaint::complaint;
use crate::domain::values::arch::{Arch, Arches};
use crate::domain::values::ids::Tag;
use serde::{Deserialize, Serialize};

/// A check, with what came of it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FollowedUp {
    pub check: FollowUp,
    pub arches: Arches,
    #[serde(rename = "looked", default, skip_serializing_if = "Vec::is_empty")]
    pub examined: Vec<ExaminedPoint>,
    /// By their numbers in the list of complaints.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub complaints: Vec<u8>,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub done: String,
    pub followed_by: FollowedBy,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cause: Option<WorkCause>,
    /// As the office sees it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub share: Option<WorkShare>,
}

impl Constants for FollowedUp {
    const WORD: &'static str = "followed_up";
    const MISTAKEN: Option<&'static str> = None;
    const OPEN: &'static [&'static str] = &[
        "check",
        "arches",
        "looked/*",
        "followed_by",
        "cause",
        "share",
    ];
    const ERASABLE: &'static [ErasablePlace] = &[("/what/done", "what was done")];
}

/// Most complaints that one entry names.
pub const COMPLAINTS_MOST: usize = 3;

impl FollowedUp {
    /// Nothing was found, and nothing follows.
    pub fn sample(arches: Arches) -> FollowedUp {
        FollowedUp {
            check: FollowUp::Other,
            arches,
            examined: vec![ExaminedPoint::Asked],
            complaints: Vec::new(),
            done: String::new(),
            followed_by: FollowedBy::Nothing,
            cause: None,
            share: None,
        }
    }

    /// A final of each of these arches went in by then.
    fn check_fitted(&self, proposal: &mut ProposedEvent<'_>) {
        let is_final = |tag: &Tag, arch: Arch| {
            proposal.arch(tag) == Some(arch) && proposal.kind(tag) == Some(ItemKind::FinalDenture)
        };
        let went_in = |arch: Arch| {
            proposal.case.turns.iter().any(|turn| match turn {
                Turn::In(tag, at) => at.unix_ms <= proposal.at.unix_ms && is_final(tag, arch),
                Turn::Out(..) => false,
            })
        };
        let treated = self.arches.treated().iter().copied();
        let missing: Vec<Arch> = treated.filter(|arch| !went_in(*arch)).collect();
        let missing = match missing.as_slice() {
            [] => return,
            [one] => Arches::from(*one),
            _ => self.arches,
        };
        let sentence = format!(
            "No final denture ({}) had been fitted by then: enter the fitting first.",
            missing.shown()
        );
        proposal.refuse(CustodyRule::A, None, sentence);
    }
}

impl EventKind for FollowedUp {
    fn tags(&self) -> Vec<&Tag> {
        Vec::new()
    }

    fn check(&self, proposal: &mut ProposedEvent<'_>) {
        proposal.permitted_only(Permission::TreatPatient);
        self.check_fitted(proposal);
        let is_known = self.complaints.iter().all(|one| complaint(*one).is_some());
        if !is_known || self.complaints.len() > COMPLAINTS_MOST {
            let sentence = format!("At most {COMPLAINTS_MOST} complaints of the list are named.");
            proposal.refuse(CustodyRule::Form, None, sentence);
        }
        if self.examined.is_empty() && self.complaints.is_empty() {
            let sentence = "Tick what was looked at, or name what the patient complains of.";
            proposal.refuse(CustodyRule::Form, None, sentence);
        }
        let is_said = self.cause.is_some() && self.share.is_some();
        let is_any = self.cause.is_some() || self.share.is_some();
        if !self.followed_by.is_work() && is_any {
            let sentence = "Only a correction or a remake has a cause and is anybody’s part.";
            proposal.refuse(CustodyRule::Form, None, sentence);
        }
        if self.followed_by.is_work() && !is_said {
            let sentence = "A correction or a remake has a cause, and whose part it was.";
            proposal.refuse(CustodyRule::Form, None, sentence);
        }
    }

    fn apply(&self, case: &mut CaseState, stamp: &Stamp<'_>) {
        case.follow_ups.push(FollowUpEntry {
            event: stamp.id.clone(),
            at: stamp.at,
            by: stamp.answering(),
            check: self.check,
            arches: self.arches,
            examined: self.examined.clone(),
            complaints: self.complaints.clone(),
            done: self.done.clone(),
            followed_by: self.followed_by,
            cause: self.cause,
            share: self.share,
            answer: None,
        });
    }

    fn describe(&self, _: Named<'_>) -> Sentence {
        let complaints = complaints_of(&self.complaints);
        let words: Vec<&str> = complaints.iter().map(|one| one.complaint).collect();
        let complains = match words.is_empty() {
            true => "no complaint".to_owned(),
            false => words.join(", "),
        };
        let what = format!(
            "Check after the fit, {}, {}: {complains}",
            self.check.shown(),
            self.arches.shown()
        );
        let examined: Vec<&str> = self.examined.iter().map(|one| one.shown()).collect();
        let mut details = Vec::new();
        if !examined.is_empty() {
            details.push(format!("Looked at: {}", examined.join("; ")));
        }
        details.push(self.done.clone());
        details.push(format!(
            "What comes of it: {}",
            outcome_words(self.followed_by, self.cause, self.share)
        ));
        (what, details)
    }

    fn sign(&self, _: OnLine<'_>) -> Option<Sign> {
        None
    }

    fn takes_room(&self) -> bool {
        false
    }

    fn is_about_days(&self) -> bool {
        true
    }

    /// A case is mostly closed by then.
    fn when_closed(&self) -> WhenClosed {
        WhenClosed::Allowed
    }
}
