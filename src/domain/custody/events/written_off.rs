//! Missing from the parcel and given up, by the side that had handed it over.

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
use crate::domain::form::{FieldSpec, Raw, command, text};
use crate::domain::people::party::Side;
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::Tag;
use serde::{Deserialize, Serialize};

/// What the signature under a writing off says.
pub const MEANS_WRITTEN_OFF: &str =
    "I state that my house has looked for this item, has not found it, and gives it up.";

/// Missing from the parcel and given up.
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
    const HINT: &'static str = "This cannot be undone: no further events can be recorded. If it turns up later, register it anew.";
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
    const OPEN: &'static [&'static str] = &["tag"];
    const ERASABLE: &'static [ErasablePlace] = &[("/what/how", "how and why")];
}

impl EventKind for WrittenOff {
    fn tags(&self) -> Vec<&Tag> {
        vec![&self.tag]
    }

    /// Only what the receiver did not find is given up; until then it may still be on its way.
    fn check(&self, proposal: &mut ProposedEvent<'_>) {
        if !proposal.state(&self.tag).is_some_and(|state| state.missing) {
            let named = proposal.named(&self.tag);
            let sentence = format!(
                "{named} is not reported as missing from its parcel: the receiver says first what was found."
            );
            proposal.refuse(CustodyRule::Form, Some(&self.tag), sentence);
        }
        let wanted = WrittenOffForm::how().needed;
        proposal.needs(&self.how, CustodyRule::Form, Some(&self.tag), wanted);
    }

    fn apply(&self, case: &mut CaseState, stamp: &Stamp<'_>) {
        if let Some(handoff) = case.awaiting(&self.tag) {
            handoff.written_off.push(self.tag.clone());
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

    /// Whoever handed it over gives it up; the receiver only says that it is missing.
    fn wanted_holder(&self, side: Side) -> Option<Holder> {
        Some(Holder::Carrier { to: side.other() })
    }

    fn may_precede_disinfection(&self) -> bool {
        true
    }
}
