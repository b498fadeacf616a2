//! What is the patient's own, counted and back in the patient's hands: parts, and the provisional that is worn no more.

use super::action::{ItemAction, Subject};
use super::kind::{Constants, EventKind, Named, Sentence};
use super::phrases;
use crate::domain::custody::case_state::CaseState;
use crate::domain::custody::item::ItemKind;
use crate::domain::custody::proposal::{CustodyRule, ProposedEvent};
use crate::domain::custody::sign::{OnLine, Sign};
use crate::domain::custody::stamp::Stamp;
use crate::domain::form::{FieldSpec, Raw, command, whole};
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::Tag;
use serde::{Deserialize, Serialize};

/// The patient has it again, out of the mouth.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct GivenBack {
    pub tag: Tag,
    pub pieces: u32,
}

command! {
    /// What the form asks for.
    GivenBackForm;
    pieces: u32 = whole(0, 99, ""), "Pieces, counted", "", needed "Count the pieces.";
}

impl ItemAction for GivenBack {
    const ACTION: &'static str = "give_back";
    const LABEL: &'static str = "Give it back to the patient";
    const HINT: &'static str = "It is the patient's own: count it into the patient's hands.";
    const FIELDS: &'static [FieldSpec] = GivenBackForm::FIELDS;

    fn typed(tag: &Tag, raw: &Raw, faults: &mut Vec<Fault>) -> Option<GivenBack> {
        let form = GivenBackForm::read(raw, faults)?;
        Some(GivenBack {
            tag: tag.clone(),
            pieces: form.pieces,
        })
    }

    fn example(about: &Subject<'_>) -> GivenBack {
        let counted = about.case.item(about.tag).and_then(|state| state.pieces);
        GivenBack {
            tag: about.tag.clone(),
            pieces: counted.unwrap_or(1),
        }
    }
}

impl Constants for GivenBack {
    const WORD: &'static str = "given_back";
    const MISTAKEN: Option<&'static str> = Some("given back");
    const OPEN: &'static [&'static str] = &["tag"];
}

impl EventKind for GivenBack {
    fn tags(&self) -> Vec<&Tag> {
        vec![&self.tag]
    }

    fn check(&self, proposal: &mut ProposedEvent<'_>) {
        proposal.office_only();
        let named = proposal.named(&self.tag);
        match proposal.kind(&self.tag) {
            Some(ItemKind::ImplantParts) => {}
            Some(ItemKind::Provisional) => self.check_that_nothing_needs_it(proposal),
            _ => {
                let sentence =
                    format!("{named} is nothing of the patient's own that is given back so.");
                proposal.refuse(CustodyRule::Form, Some(&self.tag), sentence);
            }
        }
        let counted = proposal.state(&self.tag).and_then(|state| state.pieces);
        if self.pieces == 0 || counted.is_some_and(|counted| counted != self.pieces) {
            let sentence = format!(
                "{} pieces of {named} are recorded: count again, or correct the entry that counted them.",
                counted.unwrap_or(1)
            );
            proposal.refuse(CustodyRule::Form, Some(&self.tag), sentence);
        }
    }

    fn apply(&self, case: &mut CaseState, _: &Stamp<'_>) {
        case.change(&self.tag, |state| {
            state.leave_for_the_patient();
            state.given_back = true;
            state.pieces = Some(self.pieces);
        });
    }

    fn describe(&self, named: Named<'_>) -> Sentence {
        (
            format!("{} given back to the patient", named(&self.tag)),
            vec![phrases::pieces(self.pieces)],
        )
    }

    fn sign(&self, _: OnLine<'_>) -> Option<Sign> {
        Some(Sign::GivenBack)
    }

    fn waits_for_holds(&self) -> Vec<&Tag> {
        vec![&self.tag]
    }
}

impl GivenBack {
    /// A provisional is the pattern of the work, and the patient's way back: it goes home once the final of its arch is
    /// worn, or, where the work is given up, once something else is.
    fn check_that_nothing_needs_it(&self, proposal: &mut ProposedEvent<'_>) {
        let arch = proposal.arch(&self.tag);
        let worn = arch.and_then(|arch| proposal.worn_in(arch));
        let worn = worn.and_then(|worn| proposal.kind(&worn));
        let is_enough = match worn {
            Some(ItemKind::FinalDenture) => true,
            Some(_) => proposal.case.is_cancelled(),
            None => false,
        };
        if !is_enough {
            let sentence = format!(
                "{} goes home with the patient once the final of its arch is in the mouth: until then it is what the work is \
                 made from, and the patient's way back.",
                proposal.named(&self.tag)
            );
            proposal.refuse(CustodyRule::B, Some(&self.tag), sentence);
        }
    }
}
