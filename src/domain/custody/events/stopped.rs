//! The office stops the work at once.

use super::halting;
use super::kind::{Constants, ErasablePlace, EventKind, Named, Sentence};
use super::sample::{SAMPLE_TEXT, SampleContext};
use crate::domain::custody::case_state::CaseState;
use crate::domain::custody::proposal::ProposedEvent;
use crate::domain::custody::sign::{OnLine, Sign};
use crate::domain::custody::signature::Signed;
use crate::domain::custody::stamp::Stamp;
use crate::domain::custody::standstill::Halt;
use crate::domain::values::ids::Tag;
use serde::{Deserialize, Serialize};

/// What the signature under a stop says.
pub const MEANS_STOPPED: &str = "I tell the lab to stop the work on this case now, and to make nothing more until I let it go on.";

/// The work is stopped.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Stopped {
    pub reason: String,
    pub signed: Signed,
}

impl Stopped {
    /// With a reason and a signature.
    pub fn sample(on: &SampleContext<'_>) -> Stopped {
        Stopped {
            reason: SAMPLE_TEXT.to_owned(),
            signed: on.signed(),
        }
    }
}

impl Constants for Stopped {
    const WORD: &'static str = "stopped";
    const MISTAKEN: Option<&'static str> = None;
    const OPEN: &'static [&'static str] = &[];
    const ERASABLE: &'static [ErasablePlace] = &[("/what/reason", "reason")];
}

impl EventKind for Stopped {
    fn tags(&self) -> Vec<&Tag> {
        Vec::new()
    }

    fn check(&self, proposal: &mut ProposedEvent<'_>) {
        halting::check(proposal, Halt::Stopped, &self.reason);
    }

    fn apply(&self, case: &mut CaseState, stamp: &Stamp<'_>) {
        halting::apply(case, stamp, Halt::Stopped, &self.reason, &[]);
    }

    fn describe(&self, _: Named<'_>) -> Sentence {
        halting::describe("Work stopped", &self.reason, &self.signed)
    }

    fn sign(&self, _: OnLine<'_>) -> Option<Sign> {
        None
    }

    fn note(&self) -> &'static str {
        "stopped"
    }
}
