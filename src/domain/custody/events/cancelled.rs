//! The office gives the work up, and says what becomes of each thing that the lab has.

use super::halting;
use super::kind::{Constants, ErasablePlace, EventKind, Named, Sentence};
use super::sample::{SAMPLE_TEXT, SampleContext};
use crate::domain::custody::case_state::CaseState;
use crate::domain::custody::item::ItemKind;
use crate::domain::custody::proposal::{CustodyRule, ProposedEvent, Scope};
use crate::domain::custody::sign::{OnLine, Sign};
use crate::domain::custody::signature::Signed;
use crate::domain::custody::stamp::Stamp;
use crate::domain::custody::standstill::{Fate, Fated, Halt};
use crate::domain::custody::state::Holder;
use crate::domain::values::ids::Tag;
use serde::{Deserialize, Serialize};

/// What the signature under a cancellation says.
pub const MEANS_CANCELLED: &str =
    "I cancel the work on this case, and state what becomes of each thing that the lab has.";

/// The work is cancelled.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Cancelled {
    pub reason: String,
    pub items: Vec<Fated>,
    pub signed: Signed,
}

impl Cancelled {
    /// All of it comes back.
    pub fn sample(on: &SampleContext<'_>) -> Cancelled {
        let tags = away_from_the_office(&on.scope, on.case);
        let back = |tag| Fated {
            consent: None,
            tag,
            fate: Fate::ComesBack,
        };
        Cancelled {
            reason: SAMPLE_TEXT.to_owned(),
            items: tags.into_iter().map(back).collect(),
            signed: on.signed(),
        }
    }
}

impl Constants for Cancelled {
    const WORD: &'static str = "cancelled";
    const MISTAKEN: Option<&'static str> = None;
    const OPEN: &'static [&'static str] = &["items/*/tag", "items/*/fate"];
    const ERASABLE: &'static [ErasablePlace] = &[("/what/reason", "reason")];
}

impl EventKind for Cancelled {
    fn tags(&self) -> Vec<&Tag> {
        Vec::new()
    }

    fn concerns(&self, asked: &Tag) -> bool {
        self.items.iter().any(|one| one.tag == *asked)
    }

    fn check(&self, proposal: &mut ProposedEvent<'_>) {
        halting::check(proposal, Halt::Cancelled, &self.reason);
        let asked = away_from_the_office(&proposal.scope, proposal.case);
        if self.items.iter().map(|one| &one.tag).ne(asked.iter()) {
            let sentence = "Say of each item that is at the lab or on the way what becomes of it: what is there has changed since this page was read.";
            proposal.refuse(CustodyRule::Form, None, sentence);
        }
        for one in self.items.iter().filter(|one| one.fate == Fate::Stays) {
            let kind = proposal.kind(&one.tag);
            if kind.is_some_and(belongs_to_the_patient) {
                let sentence = format!(
                    "{} is the patient’s or the office’s: it comes back, or is destroyed with consent.",
                    proposal.named(&one.tag)
                );
                proposal.refuse(CustodyRule::Form, Some(&one.tag), sentence);
            }
        }
        for one in self.items.iter().filter(|one| one.fate == Fate::Scrapped) {
            check_destruction(proposal, one);
        }
    }

    fn apply(&self, case: &mut CaseState, stamp: &Stamp<'_>) {
        halting::apply(case, stamp, Halt::Cancelled, &self.reason, &self.items);
    }

    fn describe(&self, named: Named<'_>) -> Sentence {
        let (what, mut details) = halting::describe("Work canceled", &self.reason, &self.signed);
        let ends = self.items.iter();
        let ends = ends.map(|one| {
            let consent = match one.consent {
                Some(true) => ", with the patient's consent",
                _ => "",
            };
            format!("{}: {}{consent}", named(&one.tag), one.fate.shown())
        });
        details.splice(1..1, ends);
        (what, details)
    }

    fn sign(&self, _: OnLine<'_>) -> Option<Sign> {
        None
    }

    fn is_about_days(&self) -> bool {
        true
    }

    fn note(&self) -> &'static str {
        "canceled"
    }
}

/// What lies at the lab or is on the way, in the order of registration: of each the office says what becomes of it.
pub fn away_from_the_office(scope: &Scope<'_>, case: &CaseState) -> Vec<Tag> {
    let is_away = |tag: &Tag| {
        let state = case.item(tag).filter(|state| state.is_there());
        state.is_some_and(|state| {
            state.holder.is_with_lab() || matches!(state.holder, Holder::Carrier { .. })
        })
    };
    let tags = scope.items.iter().map(|item| &item.tag);
    tags.filter(|tag| is_away(tag)).cloned().collect()
}

/// What is lent goes home or stays, and of what is the patient's the consent is said where its end is ordered.
fn check_destruction(proposal: &mut ProposedEvent<'_>, one: &Fated) {
    // An entry from before consent was asked stands as it is.
    let Some(consents) = one.consent else { return };
    let named = proposal.named(&one.tag);
    let item = proposal.scope.item(&one.tag);
    let mut open = Fate::open_to(item.is_some_and(|item| item.borrowed));
    if !open.any(|fate| fate == one.fate) {
        let sentence = format!(
            "{named} is lent: it comes back, or stays with the lab, and is not destroyed there."
        );
        proposal.refuse(CustodyRule::Form, Some(&one.tag), sentence);
    } else if proposal.is_the_patients(&one.tag) && !consents {
        proposal.refuse_without_consent(&one.tag);
    }
}

/// What never stays at the lab.
fn belongs_to_the_patient(kind: ItemKind) -> bool {
    kind.is_the_patients_own() || (kind.is_denture() && kind != ItemKind::FinalDenture)
}
