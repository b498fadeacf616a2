//! A closed case goes on.

use super::kind::{Constants, ErasablePlace, EventKind, Named, Sentence, WhenClosed};
use super::sample::SAMPLE_TEXT;
use crate::domain::custody::case_state::CaseState;
use crate::domain::custody::proposal::{CustodyRule, ProposedEvent};
use crate::domain::custody::sign::{OnLine, Sign};
use crate::domain::custody::stamp::Stamp;
use crate::domain::people::party::Side;
use crate::domain::values::ids::Tag;
use serde::{Deserialize, Serialize};

/// A closed case goes on.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Reopened {
    pub reason: String,
}

impl Reopened {
    /// With a reason.
    pub fn sample() -> Reopened {
        Reopened {
            reason: SAMPLE_TEXT.to_owned(),
        }
    }
}

impl Constants for Reopened {
    const WORD: &'static str = "reopened";
    const MISTAKEN: Option<&'static str> = None;
    const OPEN: &'static [&'static str] = &[];
    const ERASABLE: &'static [ErasablePlace] = &[("/what/reason", "reason")];
}

impl EventKind for Reopened {
    fn tags(&self) -> Vec<&Tag> {
        Vec::new()
    }

    fn check(&self, proposal: &mut ProposedEvent<'_>) {
        proposal.side_only(Side::Office, "The office opens its cases again.");
        let wanted = "Say why the case goes on.";
        proposal.needs(&self.reason, CustodyRule::Form, None, wanted);
    }

    fn apply(&self, case: &mut CaseState, _: &Stamp<'_>) {
        case.closed = false;
    }

    fn describe(&self, _: Named<'_>) -> Sentence {
        ("Case opened again".to_owned(), vec![self.reason.clone()])
    }

    fn sign(&self, _: OnLine<'_>) -> Option<Sign> {
        None
    }

    fn when_closed(&self) -> WhenClosed {
        WhenClosed::Needed
    }

    fn is_last_of_all(&self) -> bool {
        true
    }

    fn is_about_days(&self) -> bool {
        true
    }

    fn note(&self) -> &'static str {
        "opened again"
    }
}
