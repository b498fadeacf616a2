//! Work that stood still goes on.

use super::halting;
use super::kind::{Constants, ErasablePlace, EventKind, Named, Sentence};
use super::sample::{SAMPLE_TEXT, SampleContext};
use crate::domain::custody::case_state::CaseState;
use crate::domain::custody::proposal::{CustodyRule, ProposedEvent};
use crate::domain::custody::sign::{OnLine, Sign};
use crate::domain::custody::signature::Signed;
use crate::domain::custody::stamp::Stamp;
use crate::domain::custody::standstill::Halt;
use crate::domain::values::ids::Tag;
use serde::{Deserialize, Serialize};

/// What the signature under going on says.
pub const MEANS_WENT_ON: &str =
    "I tell the lab that the work on this case goes on, to the prescription in force.";

/// The work goes on, also after it was cancelled by mistake.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WentOn {
    pub reason: String,
    pub signed: Signed,
}

impl WentOn {
    /// With a reason and a signature.
    pub fn sample(on: &SampleContext<'_>) -> WentOn {
        WentOn {
            reason: SAMPLE_TEXT.to_owned(),
            signed: on.signed(),
        }
    }
}

impl Constants for WentOn {
    const WORD: &'static str = "went_on";
    const MISTAKEN: Option<&'static str> = None;
    const OPEN: &'static [&'static str] = &[];
    const ERASABLE: &'static [ErasablePlace] = &[("/what/reason", "reason")];
}

impl EventKind for WentOn {
    fn tags(&self) -> Vec<&Tag> {
        Vec::new()
    }

    fn check(&self, proposal: &mut ProposedEvent<'_>) {
        halting::by_the_dentist(proposal);
        if proposal.case.standstill.is_none() {
            let sentence = "The work is neither stopped nor paused nor canceled.";
            proposal.refuse(CustodyRule::Stopped, None, sentence);
        }
        let wanted = "Say why it goes on: the lab reads it.";
        proposal.needs(&self.reason, CustodyRule::Form, None, wanted);
        halting::in_order(proposal);
    }

    fn apply(&self, case: &mut CaseState, stamp: &Stamp<'_>) {
        let halt = case.standstill.take();
        let cancelled = halt.filter(|one| one.halt == Halt::Cancelled);
        let gone_on = cancelled.map(|one| (one.since, stamp.at));
        case.gone_on.extend(gone_on);
    }

    fn describe(&self, _: Named<'_>) -> Sentence {
        halting::describe("The work goes on", &self.reason, &self.signed)
    }

    fn sign(&self, _: OnLine<'_>) -> Option<Sign> {
        None
    }

    fn note(&self) -> &'static str {
        "goes on"
    }
}
