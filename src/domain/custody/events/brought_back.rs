//! The patient brings back what was given along.

use super::action::{ItemAction, Subject};
use super::kind::{Constants, EventKind, Named, Sentence};
use crate::domain::custody::case_state::CaseState;
use crate::domain::custody::proposal::{CustodyRule, ProposedEvent};
use crate::domain::custody::sign::{OnLine, Sign};
use crate::domain::custody::stamp::Stamp;
use crate::domain::custody::state::Holder;
use crate::domain::form::{FieldSpec, Raw};
use crate::domain::people::party::Side;
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::Tag;
use serde::{Deserialize, Serialize};

/// Brought back to the office by the patient.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BroughtBack {
    pub tag: Tag,
}

impl ItemAction for BroughtBack {
    const ACTION: &'static str = "bring_back";
    const LABEL: &'static str = "Brought back by the patient";
    const HINT: &'static str = "It is in the office again.";
    const FIELDS: &'static [FieldSpec] = &[];

    fn typed(tag: &Tag, _: &Raw, _: &mut Vec<Fault>) -> Option<BroughtBack> {
        Some(BroughtBack { tag: tag.clone() })
    }

    fn example(about: &Subject<'_>) -> BroughtBack {
        BroughtBack {
            tag: about.tag.clone(),
        }
    }
}

impl Constants for BroughtBack {
    const WORD: &'static str = "brought_back";
    const MISTAKEN: Option<&'static str> = Some("brought back");
    const OPEN: &'static [&'static str] = &["tag"];
}

impl EventKind for BroughtBack {
    fn tags(&self) -> Vec<&Tag> {
        vec![&self.tag]
    }

    fn check(&self, proposal: &mut ProposedEvent<'_>) {
        proposal.office_only();
        if proposal.state(&self.tag).is_some_and(|state| state.worn) {
            proposal.refuse(
                CustodyRule::A,
                Some(&self.tag),
                "It is in the mouth: record what is fitted instead of it.",
            );
        }
    }

    fn apply(&self, case: &mut CaseState, _: &Stamp<'_>) {
        case.change(&self.tag, |state| {
            state.holder = Holder::Office;
            state.spare = false;
            state.spare_kept = None;
            state.given_back = false;
            // It comes from a household: nothing is done with it before the office has disinfected it.
            state.disinfected = false;
            state.held_for_disinfection = true;
        });
    }

    fn describe(&self, named: Named<'_>) -> Sentence {
        let sentence = format!("{} brought back by the patient", named(&self.tag));
        (sentence, Vec::new())
    }

    fn sign(&self, on: OnLine<'_>) -> Option<Sign> {
        on.is_unmarked.then_some(Sign::Unmarked)
    }

    fn wanted_holder(&self, _: Side) -> Option<Holder> {
        Some(Holder::Patient)
    }
}
