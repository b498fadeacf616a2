//! The statement that resolves a hold, by the side that had to answer.

use super::kind::{Constants, ErasablePlace, EventKind, Named, Sentence};
use super::phrases;
use super::sample::{SAMPLE_TEXT, SampleContext};
use crate::domain::custody::case_state::CaseState;
use crate::domain::custody::common_refusals::NOTHING_TO_RESOLVE;
use crate::domain::custody::hold::{Ended, Hold, Trouble};
use crate::domain::custody::proposal::{CustodyRule, ProposedEvent};
use crate::domain::custody::sign::{OnLine, Sign};
use crate::domain::custody::signature::Signed;
use crate::domain::custody::stamp::Stamp;
use crate::domain::custody::state::State;
use crate::domain::values::ids::{HoldId, Tag};
use serde::{Deserialize, Serialize};

/// What the signature under a statement on a hold says.
pub const MEANS_RESOLVED: &str =
    "I state for my house how this came about and what is done now, and answer for it.";

/// The statement that resolves a hold.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Resolved {
    pub hold: HoldId,
    pub trouble: Trouble,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tag: Option<Tag>,
    pub reason: String,
    pub done: String,
    pub signed: Signed,
    /// The missing thing was never packed: it is with the side that had sent it.
    #[serde(default, skip_serializing_if = "phrases::is_false")]
    pub not_packed: bool,
}

impl Constants for Resolved {
    const WORD: &'static str = "settled";
    const MISTAKEN: Option<&'static str> = Some("resolved");
    const OPEN: &'static [&'static str] = &["tag", "hold", "trouble"];
    const ERASABLE: &'static [ErasablePlace] = &[
        ("/what/reason", "how it came about"),
        ("/what/done", "what is done"),
    ];
}

impl EventKind for Resolved {
    fn tags(&self) -> Vec<&Tag> {
        Vec::new()
    }

    fn concerns(&self, asked: &Tag) -> bool {
        self.tag.as_ref() == Some(asked)
    }

    /// The side that packed states, once, what is the matter and what is done about it.
    fn check(&self, proposal: &mut ProposedEvent<'_>) {
        let holds = &proposal.case.holds;
        let Some(hold) = holds.iter().find(|hold| hold.id == self.hold) else {
            proposal.refuse(CustodyRule::Held, None, NOTHING_TO_RESOLVE);
            return;
        };
        if hold.trouble != self.trouble || hold.tag != self.tag {
            let sentence = "The statement is about another item than the hold.";
            proposal.refuse(CustodyRule::Held, None, sentence);
        }
        // What is found after the statement was never packed; it is missing from that handoff still.
        let state = hold.tag.as_ref().and_then(|tag| proposal.state(tag));
        let is_missed =
            state.is_some_and(|one| one.missing && one.handoff.as_ref() == Some(&hold.handoff));
        let is_found =
            self.not_packed && is_missed && matches!(hold.ended, Some(Ended::Resolved(_)));
        if !hold.is_open() && !is_found {
            proposal.refuse(CustodyRule::F, None, "This has been resolved already.");
        }
        let packed = hold.side.shown();
        let sentence = match hold.trouble {
            Trouble::DamagedHere => {
                format!("It happened at the {packed}, so its people resolve this.")
            }
            _ => format!("The {packed} packed it, so its people resolve this."),
        };
        proposal.side_only(hold.side, &sentence);
        let said = [&self.reason, &self.done];
        if said.iter().any(|text| text.trim().is_empty()) {
            let wanted = "A statement says how it came about and what is done now.";
            proposal.refuse(CustodyRule::Form, None, wanted);
        }
        if proposal.comes_before(hold.since) {
            let sentence = format!(
                "It was found on {}, and is resolved after that.",
                hold.since.in_words()
            );
            proposal.refuse(CustodyRule::I, None, sentence);
        }
        if self.not_packed {
            self.check_that_it_stayed(proposal);
        }
    }

    fn apply(&self, case: &mut CaseState, stamp: &Stamp<'_>) {
        case.end(stamp, &Ended::Resolved(stamp.id.to_owned()), |hold| {
            hold.id == self.hold
        });
        let stayed = self.tag.as_ref().filter(|_| self.not_packed);
        let Some(tag) = stayed else { return };
        if let Some(handoff) = case.awaiting(tag) {
            handoff.not_packed.push(tag.clone());
        }
        case.change(tag, |state| {
            state.back_to_the_sender();
            state.missing = false;
            state.last_at = stamp.at;
            state.answers = stamp.answering();
        });
    }

    fn describe(&self, named: Named<'_>) -> Sentence {
        let about = self.tag.as_ref();
        let about = about.map_or_else(String::new, |tag| format!("{}: ", named(tag)));
        let stayed = if self.not_packed {
            "It was never packed, and is with those who sent it."
        } else {
            ""
        };
        let details = vec![
            format!("How it came about: {}", self.reason),
            format!("What is done: {}", self.done),
            stayed.to_owned(),
            phrases::signed(&self.signed),
        ];
        (
            format!("Resolved: {about}{}", self.trouble.shown()),
            details,
        )
    }

    fn sign(&self, _: OnLine<'_>) -> Option<Sign> {
        Some(Sign::Resolved)
    }

    fn shows_on(&self, case: &CaseState) -> Vec<Tag> {
        let holds = case.holds.iter().filter(|hold| hold.id == self.hold);
        holds
            .flat_map(|hold| hold.tag.iter().chain(&hold.waiting))
            .cloned()
            .collect()
    }
}

impl Resolved {
    /// The statement on a hold; `not_packed` where what was missing is found with its sender.
    pub fn sample(on: &SampleContext<'_>, hold: &Hold, not_packed: bool) -> Resolved {
        Resolved {
            hold: hold.id.clone(),
            trouble: hold.trouble,
            tag: hold.tag.clone(),
            reason: SAMPLE_TEXT.to_owned(),
            done: SAMPLE_TEXT.to_owned(),
            signed: on.signed(),
            not_packed,
        }
    }

    /// Only what is missing can have stayed at home, and it is not earlier than what was said of it last.
    fn check_that_it_stayed(&self, proposal: &mut ProposedEvent<'_>) {
        let state = self.tag.as_ref().and_then(|tag| proposal.state(tag));
        let is_missing = |state: &State| state.missing && state.is_there();
        if self.trouble != Trouble::Missing || !state.is_some_and(is_missing) {
            proposal.refuse(
                CustodyRule::Form,
                self.tag.as_ref(),
                "Only what was missing from the parcel can have been left unpacked.",
            );
        }
        proposal.refuse_before_the_last(self.tag.as_ref());
    }
}
