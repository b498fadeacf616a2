//! An item was put somewhere inside the house that has it: bench, oven, shelf.

use super::action::{ItemAction, Subject};
use super::kind::{Constants, ErasablePlace, EventKind, Named, Sentence};
use crate::domain::custody::case_state::CaseState;
use crate::domain::custody::proposal::{CustodyRule, ProposedEvent};
use crate::domain::custody::sign::{OnLine, Sign};
use crate::domain::custody::stamp::Stamp;
use crate::domain::form::{FieldSpec, Raw, command, text};
use crate::domain::values::fault::Fault;
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

command! {
    /// What the form asks for.
    MovedForm;
    moved_to: String = text(500), "Where", "Receiving, bench, oven, shelf.", needed "Name the place.";
}

impl ItemAction for Moved {
    const ACTION: &'static str = "move";
    const LABEL: &'static str = "Move it (shelf, tray, oven)";
    const HINT: &'static str = "So that whoever looks for it finds it.";
    const FIELDS: &'static [FieldSpec] = MovedForm::FIELDS;

    fn typed(tag: &Tag, raw: &Raw, faults: &mut Vec<Fault>) -> Option<Moved> {
        let form = MovedForm::read(raw, faults)?;
        Some(Moved {
            tag: tag.clone(),
            to: form.moved_to,
        })
    }

    fn example(about: &Subject<'_>) -> Moved {
        Moved {
            tag: about.tag.clone(),
            to: "bench".to_owned(),
        }
    }
}

impl Constants for Moved {
    const WORD: &'static str = "moved";
    const MISTAKEN: Option<&'static str> = Some("put at its place");
    const OPEN: &'static [&'static str] = &["tag"];
    const ERASABLE: &'static [ErasablePlace] = &[("/what/spot", "place")];
}

impl EventKind for Moved {
    fn tags(&self) -> Vec<&Tag> {
        vec![&self.tag]
    }

    fn check(&self, proposal: &mut ProposedEvent<'_>) {
        let wanted = "Name the place it was put.";
        proposal.needs(&self.to, CustodyRule::Form, Some(&self.tag), wanted);
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
