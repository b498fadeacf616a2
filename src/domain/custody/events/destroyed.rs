//! An item was destroyed.

use super::action::{ItemAction, Subject};
use super::kind::{Constants, ErasablePlace, EventKind, Named, Sentence};
use super::phrases;
use crate::domain::custody::case_state::CaseState;
use crate::domain::custody::item::{Item, ItemKind};
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
    const MISTAKEN: Option<&'static str> = Some("destroyed");
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
                "{} comes back: the work is canceled, and the office has not said that it is destroyed.",
                proposal.named(&self.tag)
            );
            proposal.refuse(CustodyRule::Stopped, Some(&self.tag), sentence);
        }
        if let Some(lacks) = self.lacks_what_is_made(proposal) {
            let sentence = format!(
                "{} is what the work is made from, and {lacks} is here yet. Enter that it is damaged, and send it back: the \
                 office says what the work is made from now.",
                proposal.named(&self.tag)
            );
            proposal.refuse(CustodyRule::F, Some(&self.tag), sentence);
        } else if self.is_consent_of_others(proposal) {
            let sentence = format!(
                "{} is the patient’s, and the office has the patient’s consent or has not: send it back, and it is destroyed \
                 there.",
                proposal.named(&self.tag)
            );
            proposal.refuse(CustodyRule::Right, Some(&self.tag), sentence);
        }
        let kind = proposal.kind(&self.tag);
        proposal.refuse_end_of_loan(&self.tag);
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

    fn sign_under(&mut self, by: Signed) {
        self.signed = Some(by);
    }

    fn ends_its_item(&self) -> bool {
        Self::ENDS
    }
}

impl Destroyed {
    /// What is lacking for the lab to destroy what the office has sent to be worked from: of the pattern the final of its
    /// arch, of records, impressions and casts anything made for the mouth. None where nothing is. Common practice, no
    /// source. Of cancelled work the office has said what becomes of it.
    fn lacks_what_is_made(&self, proposal: &ProposedEvent<'_>) -> Option<&'static str> {
        let home = proposal.state(&self.tag).map(|state| state.home);
        let is_sent = home == Some(Side::Office) && proposal.side == Side::Lab;
        let kind = proposal.kind(&self.tag)?;
        if !is_sent || proposal.case.is_cancelled() {
            return None;
        }
        let (items, arch) = (proposal.scope.items, proposal.arch(&self.tag));
        match kind {
            ItemKind::Provisional => {
                let is_final = |item: &Item| item.kind == ItemKind::FinalDenture;
                let mut finals = items
                    .iter()
                    .filter(|item| is_final(item) && item.arch == arch);
                let is_there = |tag: &Tag| proposal.state(tag).is_some_and(State::is_there);
                let is_made = finals.any(|item| is_there(&item.tag));
                (!is_made).then_some("no final denture of its arch")
            }
            kind if kind.is_worked_from() => {
                let is_made = proposal.case.has_made(items, arch);
                (!is_made).then_some("nothing made from it")
            }
            _ => None,
        }
    }

    /// Whether the lab would say of the patient's property what the patient has told the office: but for cancelled work,
    /// of which the office has said it. Not asked in an entry from before consent was.
    fn is_consent_of_others(&self, proposal: &ProposedEvent<'_>) -> bool {
        let is_said = proposal.case.fate(&self.tag) == Some(Fate::Scrapped);
        let is_asked = self.consent.is_some() && proposal.side == Side::Lab;
        is_asked && !is_said && proposal.is_the_patients(&self.tag)
    }
}
