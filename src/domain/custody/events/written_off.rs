//! Lost and given up: missing from its parcel, by the side that had handed it over; not found in its own house; or by
//! the patient, as the office enters it.

use super::action::{ItemAction, Subject};
use super::kind::{Constants, ErasablePlace, EventKind, Named, Sentence};
use super::phrases;
use crate::domain::custody::case_state::CaseState;
use crate::domain::custody::hold::{Ended, Trouble};
use crate::domain::custody::proposal::{CustodyRule, ProposedEvent};
use crate::domain::custody::sign::{OnLine, Sign};
use crate::domain::custody::signature::Signed;
use crate::domain::custody::stamp::Stamp;
use crate::domain::custody::state::{Gone, Holder};
use crate::domain::custody::worn::Turn;
use crate::domain::form::{FieldSpec, Raw, command, text};
use crate::domain::people::party::Side;
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::Tag;
use serde::{Deserialize, Serialize};

/// What the signature under a writing off says.
pub const MEANS_WRITTEN_OFF: &str =
    "I state that this item was looked for and not found, and that it is given up as lost.";

/// Lost and given up.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WrittenOff {
    pub tag: Tag,
    pub how: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub signed: Option<Signed>,
}

command! {
    /// What the form asks for.
    WrittenOffForm;
    how: String = text(500), "What was done to find it, and why it is given up", "", needed "Say what was done to find it, and why it is given up.";
}

impl ItemAction for WrittenOff {
    const ACTION: &'static str = "write_off";
    const LABEL: &'static str = "Write it off as lost";
    const HINT: &'static str = "Not found in its parcel, in this house, or by the patient. This cannot be undone: no further events can be recorded. If it turns up later, register it again.";
    const FIELDS: &'static [FieldSpec] = WrittenOffForm::FIELDS;
    const MEANS: &'static str = MEANS_WRITTEN_OFF;
    const ENDS: bool = true;
    const FROM_PAPER: bool = false;

    fn typed(tag: &Tag, raw: &Raw, faults: &mut Vec<Fault>) -> Option<WrittenOff> {
        let form = WrittenOffForm::read(raw, faults)?;
        Some(WrittenOff {
            tag: tag.clone(),
            how: form.how,
            signed: None,
        })
    }

    fn example(about: &Subject<'_>) -> WrittenOff {
        WrittenOff {
            tag: about.tag.clone(),
            how: "searched".to_owned(),
            signed: None,
        }
    }
}

impl Constants for WrittenOff {
    const WORD: &'static str = "written_off";
    const MISTAKEN: Option<&'static str> = Some("written off as lost");
    const OPEN: &'static [&'static str] = &["tag"];
    const ERASABLE: &'static [ErasablePlace] = &[("/what/how", "how and why")];
}

impl EventKind for WrittenOff {
    fn tags(&self) -> Vec<&Tag> {
        vec![&self.tag]
    }

    fn check(&self, proposal: &mut ProposedEvent<'_>) {
        self.check_where_it_is(proposal);
        let wanted = WrittenOffForm::how().needed;
        proposal.needs(&self.how, CustodyRule::Form, Some(&self.tag), wanted);
        self.toothless_is_signed(proposal);
    }

    fn apply(&self, case: &mut CaseState, stamp: &Stamp<'_>) {
        let state = case.item(&self.tag);
        let is_missing = state.is_some_and(|state| state.missing);
        let is_worn = state.is_some_and(|state| state.worn);
        let handoff = case.awaiting(&self.tag).filter(|_| is_missing);
        if let Some(handoff) = handoff {
            handoff.written_off.push(self.tag.clone());
        }
        if is_worn {
            case.turns.push(Turn::Out(self.tag.clone(), stamp.at));
            case.change(&self.tag, |state| state.worn = false);
        }
        case.finish(&self.tag, stamp, Gone::WrittenOff, None);
        case.change(&self.tag, |state| state.missing = false);
        case.end(stamp, &Ended::WrittenOff, |hold| {
            hold.trouble == Trouble::Missing && hold.tag.as_ref() == Some(&self.tag)
        });
    }

    fn describe(&self, named: Named<'_>) -> Sentence {
        let signed = self.signed.as_ref();
        (
            format!("{} written off as lost", named(&self.tag)),
            vec![
                self.how.clone(),
                signed.map_or_else(String::new, phrases::signed),
            ],
        )
    }

    fn sign(&self, _: OnLine<'_>) -> Option<Sign> {
        Some(Sign::Lost)
    }

    /// Where it may be lost, its own check says.
    fn wanted_holder(&self, _: Side) -> Option<Holder> {
        None
    }

    fn may_precede_disinfection(&self) -> bool {
        true
    }

    fn sign_under(&mut self, by: Signed) {
        self.signed = Some(by);
    }

    fn ends_its_item(&self) -> bool {
        Self::ENDS
    }
}

impl WrittenOff {
    /// Of what is under way the receiver says first what was found, and then whoever handed it over gives it up; of
    /// what is at a house that house, and of what the patient has the office.
    fn check_where_it_is(&self, proposal: &mut ProposedEvent<'_>) {
        let Some(state) = proposal.state(&self.tag) else {
            return;
        };
        let (holder, is_missing) = (state.holder, state.missing);
        let (own, is_under_way) = match holder {
            Holder::Carrier { to } => (to.other(), true),
            Holder::Passed(_) => (Side::Lab, true),
            Holder::Lab => (Side::Lab, false),
            Holder::Office | Holder::Patient => (Side::Office, false),
        };
        if is_under_way && !is_missing {
            let named = proposal.named(&self.tag);
            let sentence = format!(
                "{named} is not reported as missing from its parcel: the receiver says first what was found."
            );
            proposal.refuse(CustodyRule::Form, Some(&self.tag), sentence);
        }
        if own != proposal.side {
            proposal.refuse_elsewhere(CustodyRule::A, &self.tag, &holder.place());
        }
    }

    /// b: what the patient wore leaves the arch empty, and the dentist signs that.
    fn toothless_is_signed(&self, proposal: &mut ProposedEvent<'_>) {
        let is_worn = proposal.state(&self.tag).is_some_and(|state| state.worn);
        let arch = proposal.arch(&self.tag);
        let is_treated = arch.is_some_and(|arch| proposal.scope.is_treated(arch));
        if is_worn && is_treated {
            proposal.exception_is_signed(CustodyRule::B, &self.tag, &self.how);
        }
    }
}
