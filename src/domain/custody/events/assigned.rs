//! The lab gives a case its pan, and a technician: taken over, passed on, or given back to nobody.

use super::kind::{Constants, ErasablePlace, EventKind, Named, Sentence};
use super::sample::SAMPLE_TEXT;
use crate::domain::custody::bench::Assignment;
use crate::domain::custody::case_state::CaseState;
use crate::domain::custody::erased_text::ERASED;
use crate::domain::custody::proposal::{CustodyRule, ProposedEvent};
use crate::domain::custody::sign::{OnLine, Sign};
use crate::domain::custody::stamp::Stamp;
use crate::domain::people::party::Side;
use crate::domain::values::ids::{AccountId, Tag};
use serde::{Deserialize, Serialize};

/// The pan and the technician from here on.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Assigned {
    /// Empty where it stands in none.
    pub pan: String,
    /// An account of the lab. Its name is not here: the office reads the entry too.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub technician: Option<AccountId>,
}

impl Assigned {
    /// A pan, and nobody of the lab.
    pub fn sample() -> Assigned {
        Assigned {
            pan: SAMPLE_TEXT.to_owned(),
            technician: None,
        }
    }
}

impl Constants for Assigned {
    const WORD: &'static str = "assigned";
    const MISTAKEN: Option<&'static str> = None;
    const OPEN: &'static [&'static str] = &["technician"];
    const ERASABLE: &'static [ErasablePlace] = &[("/what/pan", "pan")];
}

impl EventKind for Assigned {
    fn tags(&self) -> Vec<&Tag> {
        Vec::new()
    }

    fn check(&self, proposal: &mut ProposedEvent<'_>) {
        proposal.side_only(
            Side::Lab,
            "The lab gives out its own pans and its own work.",
        );
        let last = proposal.case.assigned.as_ref().map(|one| one.since);
        if let Some(last) = last.filter(|last| proposal.comes_before(*last)) {
            let last = last.in_words();
            let sentence =
                format!("Pan and technician were entered for {last}, and this would be earlier.");
            proposal.refuse(CustodyRule::I, None, sentence);
        }
    }

    fn apply(&self, case: &mut CaseState, stamp: &Stamp<'_>) {
        case.assigned = Some(Assignment {
            pan: match self.pan.as_str() {
                ERASED => String::new(),
                pan => pan.to_owned(),
            },
            technician: self.technician.clone(),
            since: stamp.at,
        });
    }

    fn describe(&self, _: Named<'_>) -> Sentence {
        let pan = match self.pan.as_str() {
            "" => "no pan".to_owned(),
            pan => format!("pan {pan}"),
        };
        let whose = match self.technician {
            Some(_) => "taken over by a technician of the lab",
            None => "no technician named",
        };
        (format!("At the lab: {pan}, {whose}"), Vec::new())
    }

    fn is_of_the_bench(&self) -> bool {
        true
    }

    fn sign(&self, _: OnLine<'_>) -> Option<Sign> {
        None
    }

    fn takes_room(&self) -> bool {
        false
    }
}
