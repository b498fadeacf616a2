//! An item was destroyed.

use super::action::{ItemAction, Subject};
use super::kind::{Constants, ErasablePlace, EventKind, Named, Sentence};
use super::phrases;
use crate::domain::custody::case_state::CaseState;
use crate::domain::custody::item::ItemKind;
use crate::domain::custody::proposal::{CustodyRule, ProposedEvent};
use crate::domain::custody::sign::{OnLine, Sign};
use crate::domain::custody::signature::Signed;
use crate::domain::custody::stamp::Stamp;
use crate::domain::custody::standstill::Fate;
use crate::domain::custody::state::{Gone, State};
use crate::domain::form::{FieldSpec, Kind, Raw, command, text};
use crate::domain::people::party::Side;
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::Tag;
use serde::{Deserialize, Serialize};

/// What the signature under a destruction says.
pub const MEANS_DESTROYED: &str =
    "I state that this item is destroyed, and that nothing more can be done with it.";

/// Destroyed, with how and why.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Destroyed {
    pub tag: Tag,
    pub how: String,
    /// The patient's, for what is the patient's. An entry from before it was asked for everything that is the
    /// patient's tells of it only where it was given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub consent: Option<bool>,
    /// None in an entry from before it was asked for.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub signed: Option<Signed>,
}

command! {
    /// What the form asks for.
    DestroyedForm;
    how: String = text(500), "How and why", "", needed "Say how and why.";
    consent: bool = Kind::Tick, "The patient consents", "For what is the patient's: an old denture, the provisional, what has been worn.";
}

impl ItemAction for Destroyed {
    const ACTION: &'static str = "destroy";
    const LABEL: &'static str = "Destroyed";
    const HINT: &'static str = "This cannot be undone: no further events can be recorded. Needs the patient’s consent if it belongs to the patient.";
    const FIELDS: &'static [FieldSpec] = DestroyedForm::FIELDS;
    const MEANS: &'static str = MEANS_DESTROYED;
    const ENDS: bool = true;

    fn typed(tag: &Tag, raw: &Raw, faults: &mut Vec<Fault>) -> Option<Destroyed> {
        let form = DestroyedForm::read(raw, faults)?;
        Some(Destroyed {
            tag: tag.clone(),
            how: form.how,
            consent: Some(form.consent),
            signed: None,
        })
    }

    fn example(about: &Subject<'_>) -> Destroyed {
        Destroyed {
            tag: about.tag.clone(),
            how: "broken".to_owned(),
            consent: Some(true),
            signed: None,
        }
    }
}

impl Constants for Destroyed {
    const WORD: &'static str = "destroyed";
    const OPEN: &'static [&'static str] = &["tag"];
    const ERASABLE: &'static [ErasablePlace] = &[("/what/how", "how and why")];
}

impl EventKind for Destroyed {
    fn tags(&self) -> Vec<&Tag> {
        vec![&self.tag]
    }

    /// Nothing of the patient's own is destroyed without the patient's consent.
    fn check(&self, proposal: &mut ProposedEvent<'_>) {
        let wanted = "Say how and why it is destroyed.";
        proposal.needs(&self.how, CustodyRule::Form, Some(&self.tag), wanted);
        let comes_back = proposal.case.fate(&self.tag) == Some(Fate::ComesBack);
        if comes_back && proposal.side == Side::Lab {
            let sentence = format!(
                "{} comes back: the work is cancelled, and the office has not said that it is destroyed.",
                proposal.named(&self.tag)
            );
            proposal.refuse(CustodyRule::Stopped, Some(&self.tag), sentence);
        }
        if proposal.side == Side::Lab && self.is_still_worked_from(proposal) {
            let sentence = format!(
                "{} is what the work is made from, and no final denture of its arch is here yet. Enter that it is damaged, \
                 and send it back: the office says what the work is made from now.",
                proposal.named(&self.tag)
            );
            proposal.refuse(CustodyRule::F, Some(&self.tag), sentence);
        }
        let kind = proposal.kind(&self.tag);
        let is_lent = proposal
            .scope
            .item(&self.tag)
            .is_some_and(|item| item.borrowed);
        let home = proposal.state(&self.tag).map(|state| state.home);
        if is_lent && home != Some(proposal.side) {
            let sentence = format!(
                "{} is lent: enter that it is damaged, and its house says what becomes of it.",
                proposal.named(&self.tag)
            );
            proposal.refuse(CustodyRule::Right, Some(&self.tag), sentence);
        }
        let is_own = match self.consent {
            Some(_) => proposal.is_the_patients(&self.tag),
            // As it was asked before.
            None => kind.is_some_and(ItemKind::is_the_patients_own),
        };
        if is_own && self.consent != Some(true) {
            proposal.refuse_without_consent(&self.tag);
        }
    }

    fn apply(&self, case: &mut CaseState, stamp: &Stamp<'_>) {
        case.finish(&self.tag, stamp, Gone::Destroyed, None);
        case.change(&self.tag, |state| state.withheld = None);
    }

    fn describe(&self, named: Named<'_>) -> Sentence {
        let consent = if self.consent == Some(true) {
            "With the patient's consent"
        } else {
            ""
        };
        (
            format!("{} destroyed", named(&self.tag)),
            vec![
                self.how.clone(),
                consent.to_owned(),
                self.signed
                    .as_ref()
                    .map_or_else(String::new, phrases::signed),
            ],
        )
    }

    fn sign(&self, _: OnLine<'_>) -> Option<Sign> {
        Some(Sign::Destroyed)
    }

    fn may_precede_disinfection(&self) -> bool {
        true
    }

    fn waits_for_holds(&self) -> Vec<&Tag> {
        vec![&self.tag]
    }
}

impl Destroyed {
    /// Whether it is the pattern that the office has sent, and nothing stands for it yet: the final of its arch is made
    /// from it. Common practice, no source. Of cancelled work the office has said what becomes of it.
    fn is_still_worked_from(&self, proposal: &ProposedEvent<'_>) -> bool {
        let home = proposal.state(&self.tag).map(|state| state.home);
        let is_pattern =
            proposal.kind(&self.tag) == Some(ItemKind::Provisional) && home == Some(Side::Office);
        let arch = proposal.arch(&self.tag);
        let mut items = proposal.scope.items.iter();
        let is_replaced = items.any(|item| {
            let state = proposal.state(&item.tag);
            let is_final = item.kind == ItemKind::FinalDenture && item.arch == arch;
            is_final && state.is_some_and(State::is_there)
        });
        is_pattern && !is_replaced && !proposal.case.is_cancelled()
    }
}
