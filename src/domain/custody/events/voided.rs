//! A handoff is taken back, so nobody can receive it: it never left the house, or its carrier has brought it back.

use super::kind::{Constants, ErasablePlace, EventKind, Named, Sentence};
use super::phrases;
use super::sample::{SAMPLE_TEXT, SampleContext};
use crate::domain::custody::case_state::CaseState;
use crate::domain::custody::handoff::Handoff;
use crate::domain::custody::proposal::{CustodyRule, ProposedEvent};
use crate::domain::custody::sign::{OnLine, Sign};
use crate::domain::custody::signature::Signed;
use crate::domain::custody::stamp::Stamp;
use crate::domain::custody::state::{Holder, State};
use crate::domain::people::party::Side;
use crate::domain::values::ids::{HandoffId, Tag};
use serde::{Deserialize, Serialize};

/// What the signature says under a taking back of what never left.
pub const MEANS_VOIDED: &str = "I state that these items never left our premises.";

/// What the signature says under a taking back of what the carrier had already.
pub const MEANS_BROUGHT_BACK: &str = "I state that the carrier brought these items back to our premises, that all of them are here, and that the other house never had them.";

/// What is signed, and asked for, by whether the carrier had it.
pub fn taken_back_means(was_picked_up: bool) -> &'static str {
    match was_picked_up {
        true => MEANS_BROUGHT_BACK,
        false => MEANS_VOIDED,
    }
}

/// Taken back by the side that had released it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Voided {
    pub handoff: HandoffId,
    pub items: Vec<Tag>,
    pub reason: String,
    pub signed: Signed,
    /// Whether the carrier had it, and brought it back. An entry from before this was asked says nothing of it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub brought_back: Option<bool>,
}

impl Voided {
    /// All that can be taken back is.
    pub fn sample(on: &SampleContext<'_>, handoff: &Handoff) -> Voided {
        Voided {
            handoff: handoff.id.clone(),
            items: handoff.to_take_back().into_iter().cloned().collect(),
            reason: SAMPLE_TEXT.to_owned(),
            signed: on.signed(),
            brought_back: Some(handoff.has_left()),
        }
    }
}

impl Constants for Voided {
    const WORD: &'static str = "voided";
    const MISTAKEN: Option<&'static str> = Some("taken back");
    const OPEN: &'static [&'static str] = &["handoff", "items/*"];
    const ERASABLE: &'static [ErasablePlace] = &[("/what/reason", "reason")];
}

impl EventKind for Voided {
    fn tags(&self) -> Vec<&Tag> {
        self.items.iter().collect()
    }

    /// Only the side that released takes back: all of it while nobody has received any of it, and afterwards all that lies
    /// in the parcels that have not come.
    fn check(&self, proposal: &mut ProposedEvent<'_>) {
        let Some(handoff) = proposal.handoff(&self.handoff) else {
            let sentence = "There is no such handoff in this case.";
            proposal.refuse(CustodyRule::Form, None, sentence);
            return;
        };
        proposal.side_only(
            handoff.from,
            "Only the side that handed it over takes it back.",
        );
        let ended = match (&handoff.voided, handoff.to_take_back().is_empty()) {
            (Some(_), _) => Some("This handoff is taken back already."),
            (None, true) => {
                Some("The other side has received it: what comes back now is a handoff of its own.")
            }
            (None, false) => None,
        };
        if let Some(sentence) = ended {
            proposal.refuse(CustodyRule::F, None, sentence);
            return;
        }
        let said = self.brought_back;
        if said.is_some_and(|said| said != handoff.has_left()) {
            let sentence = "Whether the carrier has picked it up has changed meanwhile: look at the handoff again.";
            proposal.refuse(CustodyRule::Form, None, sentence);
        }
        if handoff.to_take_back().into_iter().ne(&self.items) {
            let sentence = match handoff.received_at {
                None => "A handoff is taken back whole.",
                Some(_) => {
                    "All that lies in the parcels that have not come is taken back together."
                }
            };
            proposal.refuse(CustodyRule::Form, None, sentence);
        }
        let wanted = "Say why it is taken back.";
        proposal.needs(&self.reason, CustodyRule::Form, None, wanted);
    }

    fn apply(&self, case: &mut CaseState, stamp: &Stamp<'_>) {
        for tag in &self.items {
            case.change(tag, State::back_to_the_sender);
        }
        let handoffs = case.handoffs.iter_mut();
        for handoff in handoffs.filter(|one| one.id == self.handoff) {
            if handoff.received_at.is_some() {
                let waiting = handoff.waiting();
                handoff.brought_back.extend(waiting);
                continue;
            }
            handoff.voided = Some((stamp.by.clone(), stamp.at, self.reason.clone()));
        }
    }

    fn describe(&self, named: Named<'_>) -> Sentence {
        let mut details: Vec<String> = self.items.iter().map(named).collect();
        details.push(format!("Why: {}", self.reason));
        details.push(phrases::signed(&self.signed));
        let what = match self.brought_back {
            Some(true) => "Taken back, the carrier brought it back",
            _ => "Handoff taken back, it never left",
        };
        (what.to_owned(), details)
    }

    fn sign(&self, _: OnLine<'_>) -> Option<Sign> {
        Some(Sign::TakenBack)
    }

    fn wanted_holder(&self, side: Side) -> Option<Holder> {
        Some(Holder::Carrier { to: side.other() })
    }

    fn may_touch_packed(&self) -> bool {
        true
    }

    /// What came without a mark is disinfected by whoever has it, and not before something is taken back.
    fn may_precede_disinfection(&self) -> bool {
        true
    }
}
