//! A step entered at the bench was a mistake: the entry is withdrawn, and both stay.

use super::kind::{Constants, ErasablePlace, EventKind, Named, Sentence};
use super::worked::Worked;
use crate::domain::custody::case_state::CaseState;
use crate::domain::custody::proposal::{CustodyRule, ProposedEvent};
use crate::domain::custody::sign::{OnLine, Sign};
use crate::domain::custody::stamp::Stamp;
use crate::domain::people::party::Side;
use crate::domain::values::ids::{EventId, Tag};
use serde::{Deserialize, Serialize};

/// What a bench entry said counts for nothing from here on.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Undone {
    /// The entry that was a mistake.
    pub event: EventId,
    pub reason: String,
}

impl Constants for Undone {
    const WORD: &'static str = "undone";
    const OPEN: &'static [&'static str] = &["event"];
    const ERASABLE: &'static [ErasablePlace] = &[("/what/reason", "reason")];
}

impl EventKind for Undone {
    fn tags(&self) -> Vec<&Tag> {
        Vec::new()
    }

    fn check(&self, proposal: &mut ProposedEvent<'_>) {
        proposal.side_only(
            Side::Lab,
            "The lab withdraws what it has entered at the bench.",
        );
        let wanted = "Say what the mistake was.";
        proposal.needs(&self.reason, CustodyRule::Form, None, wanted);
        if let Some(on) = proposal.case.withdrawn_on(&self.event) {
            let sentence = format!("This entry was withdrawn on {on} already.");
            proposal.refuse(CustodyRule::J, None, sentence);
            return;
        }
        let earlier = proposal.journal.earlier(&self.event);
        let Some(earlier) = earlier.filter(|one| one.word == Worked::WORD) else {
            let sentence = "There is no such entry of the bench to withdraw.";
            proposal.refuse(CustodyRule::J, None, sentence);
            return;
        };
        if proposal.at.unix_ms < earlier.at.unix_ms {
            let sentence = format!(
                "The entry is of {}, and is withdrawn after that.",
                earlier.at
            );
            proposal.refuse(CustodyRule::I, None, sentence);
        }
    }

    /// To leave the entry out is the fold's: it is as if it had not been made.
    fn apply(&self, _: &mut CaseState, _: &Stamp<'_>) {}

    fn describe(&self, _: Named<'_>) -> Sentence {
        let details = vec![format!("The mistake: {}", self.reason)];
        ("An entry of the bench is withdrawn".to_owned(), details)
    }

    fn sign(&self, _: OnLine<'_>) -> Option<Sign> {
        None
    }

    fn takes_room(&self) -> bool {
        false
    }

    fn about_events(&self) -> Vec<&str> {
        vec![&self.event]
    }
}
