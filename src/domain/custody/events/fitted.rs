//! One chair step: what was worn comes out, and this goes in.

use super::kind::{Constants, ErasablePlace, EventKind, Named, Sentence};
use super::phrases::{self, is_false};
use super::sample::SampleContext;
use crate::domain::custody::case_state::CaseState;
use crate::domain::custody::item::ItemKind;
use crate::domain::custody::proposal::{CustodyRule, ProposedEvent};
use crate::domain::custody::sign::{OnLine, Sign};
use crate::domain::custody::signature::Exception;
use crate::domain::custody::stamp::Stamp;
use crate::domain::custody::state::State;
use crate::domain::custody::worn::{Turn, worn_in};
use crate::domain::form::choice_field;
use crate::domain::prescription::ApprovedBy;
use crate::domain::values::ids::Tag;
use crate::domain::values::words_of;
use serde::{Deserialize, Serialize};

/// What is said where it was not agreed to, and nobody says why.
pub const SAY_WHY: &str = "Write what was said: it is not agreed to as it is.";

/// One chair step: what was worn comes out, and this goes in.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Fitted {
    pub tag: Tag,
    pub instead_of: Option<Tag>,
    /// It had come from the lab, and was not disinfected again before: stated by whoever enters it.
    #[serde(default, skip_serializing_if = "is_false")]
    pub uncleaned: bool,
    /// Why work goes in that was never worn, while it stands still.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub exception: Option<Exception>,
    /// What was said of it in the mouth, where that was entered.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub approval: Option<FitApproval>,
    /// Why it goes in although its material is to be avoided, where that was asked.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub avoided_why: String,
}

words_of! {
    /// Whether whoever looked at it in the mouth wants it so.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
    #[serde(rename_all = "snake_case")]
    pub enum Agreement {
        Agrees = "agrees",
        AgreesBut = "agrees, but for what was said",
        Disagrees = "does not agree",
    }
}

choice_field!(Agreement);

/// What was said of a denture when it was first seen in the mouth.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FitApproval {
    pub by: ApprovedBy,
    pub agreement: Agreement,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub said: String,
}

impl FitApproval {
    /// Whether it is not said why it is not agreed to.
    pub fn lacks_words(&self) -> bool {
        self.agreement != Agreement::Agrees && self.said.trim().is_empty()
    }

    fn words(&self) -> String {
        let by = match self.by {
            ApprovedBy::Patient => "the patient",
            ApprovedBy::PatientAndCompanion => "the patient, with a companion,",
            ApprovedBy::DentistAlone => "the dentist alone",
        };
        let agreement = self.agreement.shown();
        let words = format!("Looked at in the mirror: {by} {agreement}");
        match self.said.is_empty() {
            true => words,
            false => format!("{words}: {}", self.said),
        }
    }
}

impl Constants for Fitted {
    const WORD: &'static str = "fitted";
    const MISTAKEN: Option<&'static str> = Some("put into the mouth");
    const OPEN: &'static [&'static str] =
        &["tag", "instead_of", "approval/by", "approval/agreement"];
    const ERASABLE: &'static [ErasablePlace] = &[
        ("/what/approval/said", "what was said at the fit"),
        ("/what/exception/reason", "reason of the exception"),
        ("/what/avoided_why", "reason"),
    ];
}

impl EventKind for Fitted {
    fn tags(&self) -> Vec<&Tag> {
        std::iter::once(&self.tag).chain(&self.instead_of).collect()
    }

    fn check(&self, proposal: &mut ProposedEvent<'_>) {
        let tag = Some(&self.tag);
        proposal.office_only();
        let named = proposal.named(&self.tag);
        if !proposal.kind(&self.tag).is_some_and(ItemKind::is_denture) {
            let sentence = format!("{named} is nothing that a patient wears.");
            proposal.refuse(CustodyRule::Form, tag, sentence);
        }
        if proposal.state(&self.tag).is_some_and(|state| state.worn) {
            let sentence = format!("{named} is in the mouth already.");
            proposal.refuse(CustodyRule::Form, tag, sentence);
        }
        self.check_what_comes_out(proposal);
        self.check_that_work_goes_on(proposal);
        if self.approval.as_ref().is_some_and(FitApproval::lacks_words) {
            proposal.refuse(CustodyRule::Form, tag, SAY_WHY);
        }
        super::old_denture::stays_away(proposal, &self.tag);
    }

    fn apply(&self, case: &mut CaseState, stamp: &Stamp<'_>) {
        if let Some(out) = &self.instead_of {
            case.change(out, State::take_out);
            case.turns.push(Turn::Out(out.clone(), stamp.at));
        }
        case.change(&self.tag, |state| {
            state.leave_for_the_patient();
            state.worn = true;
            state.uncleaned = false;
        });
        case.turns.push(Turn::In(self.tag.clone(), stamp.at));
    }

    fn describe(&self, named: Named<'_>) -> Sentence {
        let out = self.instead_of.iter();
        let mut details: Vec<String> = out.map(|out| format!("{} taken out", named(out))).collect();
        if self.uncleaned {
            let word = "It had come from the lab, and went in without being disinfected again";
            details.push(word.to_owned());
        }
        details.push(phrases::exception(self.exception.as_ref()));
        details.extend(self.approval.as_ref().map(FitApproval::words));
        details.push(phrases::prefixed(
            "Of a material to be avoided, and fitted all the same: ",
            &self.avoided_why,
        ));
        (format!("{} fitted", named(&self.tag)), details)
    }

    fn sign(&self, on: OnLine<'_>) -> Option<Sign> {
        let is_in = *on.tag == self.tag;
        Some(if is_in { Sign::Fitted } else { Sign::TakenOut })
    }

    /// What comes out of the mouth is with the patient.
    fn acted_on(&self) -> Vec<&Tag> {
        vec![&self.tag]
    }

    fn rests_on_the_mouth(&self, _: &ProposedEvent<'_>) -> Vec<Tag> {
        vec![self.tag.clone()]
    }

    /// Where an arch is empty, fitting comes first.
    fn waits_for_holds(&self) -> Vec<&Tag> {
        self.instead_of.iter().map(|_| &self.tag).collect()
    }

    fn turns(&self) -> bool {
        true
    }

    fn is_about_days(&self) -> bool {
        true
    }
}

impl Fitted {
    /// For what the item's arch wears now; `is_held` where it is disinfected in the step before.
    pub fn sample(on: &SampleContext<'_>, tag: &Tag, is_held: bool) -> Fitted {
        let arch = on.scope.item(tag).and_then(|item| item.arch);
        let worn = on.case.worn(on.scope.items);
        let is_uncleaned = on.case.item(tag).is_some_and(|state| state.uncleaned);
        Fitted {
            tag: tag.clone(),
            instead_of: arch.and_then(|arch| worn_in(&worn, arch).cloned()),
            uncleaned: !is_held && is_uncleaned,
            exception: on.exception().filter(|_| on.case.rests_unworn(tag)),
            approval: None,
            avoided_why: String::new(),
        }
    }

    /// While the work stands still, what the lab has made and nobody has worn goes in by the dentist's signed word alone;
    /// what the patient had worn before may go back in.
    fn check_that_work_goes_on(&self, proposal: &mut ProposedEvent<'_>) {
        let halt = proposal.case.standstill.as_ref();
        let Some(halt) = halt.filter(|_| proposal.case.rests_unworn(&self.tag)) else {
            return;
        };
        if let Some(exception) = &self.exception {
            proposal.exception_is_signed(CustodyRule::Stopped, &self.tag, &exception.reason);
            return;
        }
        let sentence = format!(
            "The work is {} since {}, and {} was never in the mouth: let the work go on first, or let the dentist sign why \
             it goes in all the same.",
            halt.halt.shown(),
            halt.since.in_words(),
            proposal.named(&self.tag)
        );
        proposal.refuse(CustodyRule::Stopped, Some(&self.tag), sentence);
    }

    /// What it says of the mouth has to be what the mouth holds.
    fn check_what_comes_out(&self, proposal: &mut ProposedEvent<'_>) {
        let arch = proposal.arch(&self.tag);
        let worn = arch.and_then(|arch| proposal.worn_in(arch));
        if worn == self.instead_of {
            return;
        }
        let sentence = match &worn {
            Some(out) => format!(
                "The patient wears {} now: say that it comes out.",
                proposal.named(out)
            ),
            None => "Nothing is worn in that arch now, so nothing comes out.".to_owned(),
        };
        proposal.refuse(CustodyRule::A, Some(&self.tag), sentence);
    }
}
