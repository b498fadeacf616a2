//! The lab has taken notice that the work stands still.

use super::kind::{Constants, EventKind, Named, Sentence};
use super::sample::SampleContext;
use crate::domain::custody::case_state::CaseState;
use crate::domain::custody::proposal::{CustodyRule, ProposedEvent};
use crate::domain::custody::sign::{OnLine, Sign};
use crate::domain::custody::stamp::Stamp;
use crate::domain::people::party::Side;
use crate::domain::values::ids::{EventId, Tag};
use serde::{Deserialize, Serialize};

/// Somebody of the lab knows it, and the work rests.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Heeded {
    /// The entry that stopped, paused or cancelled the work.
    pub event: EventId,
}

impl Heeded {
    /// Of the standstill as it is, if it is one.
    pub fn sample(on: &SampleContext<'_>) -> Heeded {
        let halt = on.case.standstill.as_ref();
        Heeded {
            event: halt.map(|one| one.event.clone()).unwrap_or_default(),
        }
    }
}

impl Constants for Heeded {
    const WORD: &'static str = "heeded";
    const MISTAKEN: Option<&'static str> = None;
    const OPEN: &'static [&'static str] = &["event"];
}

impl EventKind for Heeded {
    fn tags(&self) -> Vec<&Tag> {
        Vec::new()
    }

    fn check(&self, proposal: &mut ProposedEvent<'_>) {
        proposal.side_only(Side::Lab, "The lab takes notice of it.");
        let halt = proposal.case.standstill.as_ref();
        let Some(halt) = halt.filter(|one| one.event == self.event) else {
            let sentence =
                "The work does not stand still by that entry any more: look at the case again.";
            proposal.refuse(CustodyRule::Stopped, None, sentence);
            return;
        };
        if let Some((who, at)) = &halt.heeded {
            let at = at.in_words();
            let sentence = format!("{who} acknowledged it on {at}.");
            proposal.refuse(CustodyRule::F, None, sentence);
        }
        super::halting::in_order(proposal);
    }

    fn apply(&self, case: &mut CaseState, stamp: &Stamp<'_>) {
        let halt = case.standstill.as_mut();
        if let Some(halt) = halt.filter(|one| one.event == self.event) {
            halt.heeded = Some((stamp.answering(), stamp.at));
        }
    }

    fn describe(&self, _: Named<'_>) -> Sentence {
        (
            "The lab acknowledged it: the work rests".to_owned(),
            Vec::new(),
        )
    }

    fn sign(&self, _: OnLine<'_>) -> Option<Sign> {
        None
    }

    fn about_events(&self) -> Vec<&EventId> {
        vec![&self.event]
    }
}
