//! A note that says what is wrong with an earlier entry, and what is right.

use super::kind::{Constants, Erasable, Kind, Named, Sentence, WhenClosed};
use crate::domain::custody::case_state::CaseState;
use crate::domain::custody::proposal::{Proposal, Rule};
use crate::domain::custody::sign::{OnLine, Sign};
use crate::domain::custody::stamp::Stamp;
use crate::domain::custody::state::Holder;
use crate::domain::people::party::Side;
use crate::domain::values::ids::Tag;
use serde::{Deserialize, Serialize};

/// A correction of an earlier entry, which stays as it is.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Corrected {
    pub event: String,
    pub note: String,
}

impl Constants for Corrected {
    const WORD: &'static str = "corrected";
    const OPEN: &'static [&'static str] = &["event"];
    const ERASABLE: &'static [Erasable] = &[("/what/note", "correction")];
}

impl Kind for Corrected {
    fn tags(&self) -> Vec<&Tag> {
        Vec::new()
    }

    /// j: a correction appends, and names an event that is there.
    fn check(&self, proposal: &mut Proposal<'_>) {
        if proposal.journal.earlier(&self.event).is_none() {
            proposal.refuse(Rule::J, None, "There is no such entry to correct.");
        }
        let wanted = "Say what is wrong with the entry and what is right.";
        proposal.needs(&self.note, Rule::J, None, wanted);
    }

    fn apply(&self, _: &mut CaseState, _: &Stamp<'_>) {}

    fn describe(&self, _: Named<'_>) -> Sentence {
        (
            "Correction of an earlier entry".to_owned(),
            vec![self.note.clone()],
        )
    }

    fn sign(&self, _: OnLine<'_>) -> Option<Sign> {
        Some(Sign::Corrected)
    }

    fn wanted_holder(&self, _: Side) -> Option<Holder> {
        None
    }

    fn when_closed(&self) -> WhenClosed {
        WhenClosed::Allowed
    }

    fn shows_with(&self) -> Option<&str> {
        Some(&self.event)
    }

    fn about_events(&self) -> Vec<&str> {
        vec![&self.event]
    }
}
