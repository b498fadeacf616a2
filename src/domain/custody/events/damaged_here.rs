//! Something happened to an item in the house that has it.

use super::action::{ItemAction, Subject};
use super::kind::{Constants, ErasablePlace, EventKind, FromCase, Named, Sentence};
use crate::domain::custody::case_state::CaseState;
use crate::domain::custody::hold::{Hold, Trouble};
use crate::domain::custody::parcel::Sent;
use crate::domain::custody::proposal::{CustodyRule, ProposedEvent};
use crate::domain::custody::sign::{OnLine, Sign};
use crate::domain::custody::stamp::Stamp;
use crate::domain::custody::state::{Condition, Holder};
use crate::domain::form::{FieldSpec, Raw, command, text};
use crate::domain::people::party::Side;
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::{HandoffId, Tag};
use serde::{Deserialize, Serialize};

/// Damaged in the hands of whoever has it; work on it waits for that house's statement.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DamagedHere {
    pub tag: Tag,
    pub what: String,
    /// The house in which it happened.
    pub place: Side,
}

command! {
    /// What the form asks for.
    DamagedHereForm;
    damage: String = text(500), "What is damaged, and how it came about", "", needed "Say what is damaged.";
}

impl ItemAction for DamagedHere {
    const ACTION: &'static str = "damaged";
    const LABEL: &'static str = "Damaged here";
    const HINT: &'static str = "It happened on your side. The other side sees it at once, and yours says in a statement what is done.";
    const FIELDS: &'static [FieldSpec] = DamagedHereForm::FIELDS;

    /// In which house, the case itself says.
    fn typed(tag: &Tag, raw: &Raw, faults: &mut Vec<Fault>) -> Option<DamagedHere> {
        let form = DamagedHereForm::read(raw, faults)?;
        Some(DamagedHere {
            tag: tag.clone(),
            what: form.damage,
            place: Side::Office,
        })
    }

    fn example(about: &Subject<'_>) -> DamagedHere {
        let holder = about.case.item(about.tag).map(|state| state.holder);
        DamagedHere {
            tag: about.tag.clone(),
            what: "chipped".to_owned(),
            place: match holder {
                Some(Holder::Lab) => Side::Lab,
                _ => Side::Office,
            },
        }
    }
}

impl Constants for DamagedHere {
    const WORD: &'static str = "damaged_here";
    const MISTAKEN: Option<&'static str> = Some("damaged here");
    const OPEN: &'static [&'static str] = &["tag", "place"];
    const ERASABLE: &'static [ErasablePlace] = &[("/what/what", "what is damaged")];
}

impl EventKind for DamagedHere {
    fn tags(&self) -> Vec<&Tag> {
        vec![&self.tag]
    }

    fn check(&self, proposal: &mut ProposedEvent<'_>) {
        let wanted = "Say what is damaged.";
        proposal.needs(&self.what, CustodyRule::Form, Some(&self.tag), wanted);
        if self.place != proposal.side {
            let sentence = "Each side says what happened on its own premises.";
            proposal.refuse(CustodyRule::Right, Some(&self.tag), sentence);
        }
    }

    fn apply(&self, case: &mut CaseState, stamp: &Stamp<'_>) {
        case.change(&self.tag, |state| state.condition = Condition::Damaged);
        let thing = Sent::of(self.tag.clone());
        let nowhere = HandoffId::default();
        let about = (&nowhere, self.place);
        let hold = Hold::of_item(
            stamp,
            Trouble::DamagedHere,
            about,
            &thing,
            self.what.clone(),
        );
        case.open(stamp, vec![hold]);
    }

    fn describe(&self, named: Named<'_>) -> Sentence {
        let place = Holder::of(self.place).place();
        (
            format!("{} damaged {place}", named(&self.tag)),
            vec![self.what.clone()],
        )
    }

    fn sign(&self, _: OnLine<'_>) -> Option<Sign> {
        Some(Sign::Wrong)
    }

    fn may_precede_disinfection(&self) -> bool {
        true
    }

    fn fill_in(&mut self, from: &FromCase<'_>) {
        self.place = from.side;
    }
}
