//! An item was put somewhere inside the house that has it: bench, oven, shelf.

use super::kind::{Constants, Erasable, Kind, Named, Sentence};
use crate::domain::custody::case_state::CaseState;
use crate::domain::custody::proposal::{Proposal, Rule};
use crate::domain::custody::sign::{OnLine, Sign};
use crate::domain::custody::stamp::Stamp;
use crate::domain::values::ids::Tag;
use serde::{Deserialize, Serialize};

/// Put somewhere inside the house that has it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Moved {
    pub tag: Tag,
    /// Stored under a name of its own: `to` is a side wherever else it stands.
    #[serde(rename = "spot")]
    pub to: String,
}

impl Constants for Moved {
    const WORD: &'static str = "moved";
    const OPEN: &'static [&'static str] = &["tag"];
    const ERASABLE: &'static [Erasable] = &[("/what/spot", "place")];
}

impl Kind for Moved {
    fn tags(&self) -> Vec<&Tag> {
        vec![&self.tag]
    }

    fn check(&self, proposal: &mut Proposal<'_>) {
        let wanted = "Name the place it was put.";
        proposal.needs(&self.to, Rule::Form, Some(&self.tag), wanted);
    }

    fn apply(&self, case: &mut CaseState, _: &Stamp<'_>) {
        case.change(&self.tag, |state| state.place = Some(self.to.clone()));
    }

    fn describe(&self, named: Named<'_>) -> Sentence {
        (format!("{} put: {}", named(&self.tag), self.to), Vec::new())
    }

    fn sign(&self, _: OnLine<'_>) -> Option<Sign> {
        Some(Sign::Put)
    }

    fn may_precede_disinfection(&self) -> bool {
        true
    }
}
