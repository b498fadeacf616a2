//! An entry was a mistake: it is withdrawn by a signed statement, and both entries stay.

use super::action::{ItemAction, Subject};
use super::kind::{Constants, ErasablePlace, EventKind, FromCase, Named, Sentence};
use super::mistaken;
use super::phrases;
use super::sample::SAMPLE_TEXT;
use crate::domain::custody::case_state::CaseState;
use crate::domain::custody::proposal::{CustodyRule, Earlier, ProposedEvent};
use crate::domain::custody::sign::{OnLine, Sign};
use crate::domain::custody::signature::Signed;
use crate::domain::custody::stamp::Stamp;
use crate::domain::custody::state::{Ending, Holder};
use crate::domain::form::{FieldSpec, Kind, Raw, command, text};
use crate::domain::people::party::Side;
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::{EventId, Tag};
use crate::domain::values::moment::Moment;
use serde::{Deserialize, Serialize};

/// What the signature under a withdrawal says.
pub const MEANS_WITHDRAWN: &str = "I state that this entry was made by mistake, that what it says did not happen, and that \
     its things are where the record says without it.";

/// What an entry said counts for nothing from here on: all is as it was before it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Withdrawn {
    pub tag: Tag,
    /// The entry that was a mistake.
    pub event: EventId,
    /// The word of its kind. None in an entry from when only what had ended a thing could be withdrawn.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub was: Option<String>,
    /// When it is said to have happened.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub of: Option<Moment>,
    pub reason: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub signed: Option<Signed>,
}

command! {
    /// What the form asks for.
    WithdrawnForm;
    event: EventId = Kind::Entry, "Which entry", "", needed "Choose the entry.";
    mistake: String = text(500), "What the mistake was", "", needed "Say what the mistake was.";
}

impl ItemAction for Withdrawn {
    const ACTION: &'static str = "withdraw";
    const LABEL: &'static str = "Withdraw an entry made by mistake";
    const HINT: &'static str = "Only where what it says did not happen. All is then as it was before it; both entries stay in the record.";
    const FIELDS: &'static [FieldSpec] = WithdrawnForm::FIELDS;
    const MEANS: &'static str = MEANS_WITHDRAWN;
    const FROM_PAPER: bool = false;

    fn typed(tag: &Tag, raw: &Raw, faults: &mut Vec<Fault>) -> Option<Withdrawn> {
        let form = WithdrawnForm::read(raw, faults)?;
        Some(Withdrawn {
            tag: tag.clone(),
            event: form.event,
            was: None,
            of: None,
            reason: form.mistake,
            signed: None,
        })
    }

    fn example(about: &Subject<'_>) -> Withdrawn {
        Withdrawn {
            tag: about.tag.clone(),
            event: about.mistake.map(|(id, _)| id.clone()).unwrap_or_default(),
            was: about.mistake.map(|(_, word)| word.to_owned()),
            of: None,
            reason: "mistaken".to_owned(),
            signed: None,
        }
    }
}

impl Constants for Withdrawn {
    const WORD: &'static str = "withdrawn";
    const MISTAKEN: Option<&'static str> = None;
    const OPEN: &'static [&'static str] = &["tag", "event", "was"];
    const ERASABLE: &'static [ErasablePlace] = &[("/what/reason", "reason")];
}

impl EventKind for Withdrawn {
    /// None: what holds for things that are there does not hold for this one.
    fn tags(&self) -> Vec<&Tag> {
        Vec::new()
    }

    fn concerns(&self, asked: &Tag) -> bool {
        self.tag == *asked
    }

    /// By those of the house that made the entry who could have made it, as long as nothing rests on it.
    fn check(&self, proposal: &mut ProposedEvent<'_>) {
        let wanted = "Say what the mistake was.";
        proposal.needs(&self.reason, CustodyRule::Form, Some(&self.tag), wanted);
        let tag = Some(&self.tag);
        let Some(earlier) = proposal.journal.earlier(&self.event) else {
            let sentence = "There is no such entry to withdraw.";
            proposal.refuse(CustodyRule::J, tag, sentence);
            return;
        };
        if self.was.is_none() {
            self.check_end(proposal, &earlier);
            return;
        }
        if proposal.refuse_withdrawn(&self.event, tag) {
            return;
        }
        let is_named = self.was.as_deref() == Some(earlier.word);
        if !is_named
            || !proposal
                .journal
                .is_about(&self.event, &self.tag, proposal.case)
        {
            let sentence = "There is no such entry about it to withdraw.";
            proposal.refuse(CustodyRule::J, tag, sentence);
            return;
        }
        if mistaken(earlier.word).is_none() {
            let sentence = "An entry of this kind is not withdrawn: it has a way back of its own, or a correction.";
            proposal.refuse(CustodyRule::J, tag, sentence);
            return;
        }
        if earlier.party != proposal.by.party {
            proposal.refuse_other_house(tag);
            return;
        }
        for sentence in proposal.journal.against_making(&self.event, proposal.by) {
            proposal.refuse(CustodyRule::Right, tag, sentence);
        }
        self.check_time(proposal, &earlier);
        let last = proposal.case.ending_of(&self.tag).cloned();
        if let Some(last) = last.filter(|last| last.event == self.event) {
            self.check_made_since(proposal, &last);
        }
        if proposal.refusals.is_empty() {
            let resting = proposal.journal.rests_on(&self.event);
            if !resting.is_empty() {
                let sentence = format!(
                    "Later entries rest on it, and are withdrawn before it or corrected: {}.",
                    resting.join("; ")
                );
                proposal.refuse(CustodyRule::F, tag, sentence);
            }
        }
    }

    /// To leave the entry out is the fold's: it is as if it had not been made.
    fn apply(&self, _: &mut CaseState, _: &Stamp<'_>) {}

    fn describe(&self, named: Named<'_>) -> Sentence {
        let called = self.was.as_deref().map(called);
        let of = self.of.map_or_else(String::new, |of| format!(" of {of}"));
        let sentence = match called {
            Some(called) => format!(
                "{}: the entry “{called}”{of} is withdrawn",
                named(&self.tag)
            ),
            None => format!(
                "{} is there again: the entry that ended it is withdrawn",
                named(&self.tag)
            ),
        };
        let details = vec![
            format!("The mistake: {}", self.reason),
            self.signed
                .as_ref()
                .map_or_else(String::new, phrases::signed),
        ];
        (sentence, details)
    }

    fn sign(&self, _: OnLine<'_>) -> Option<Sign> {
        Some(Sign::Withdrawn)
    }

    fn wanted_holder(&self, _: Side) -> Option<Holder> {
        None
    }

    /// What the second laboratory has entered of the way, it withdraws as the houses do theirs.
    fn is_of_second_lab(&self, case: &CaseState) -> Option<EventId> {
        let mut passes = case.passes.iter();
        let pass = passes.find(|one| one.moves.contains(&self.event));
        pass.map(|one| one.event.clone())
    }

    fn shows_on(&self, _: &CaseState) -> Vec<Tag> {
        vec![self.tag.clone()]
    }

    fn shows_with(&self) -> Option<&EventId> {
        Some(&self.event)
    }

    fn about_events(&self) -> Vec<&EventId> {
        vec![&self.event]
    }

    fn sign_under(&mut self, by: Signed) {
        self.signed = Some(by);
    }

    fn fill_in(&mut self, from: &FromCase<'_>) {
        let found = (from.earlier)(&self.event);
        self.was = found.map(|(word, _)| word.to_owned());
        self.of = found.map(|(_, at)| at);
    }

    fn withdraws(&self) -> Option<&EventId> {
        Some(&self.event)
    }
}

impl Withdrawn {
    /// The withdrawal of this entry, of a kind with the word `was`, that happened at `of`.
    pub fn sample(tag: &Tag, event: &EventId, was: &str, of: Moment) -> Withdrawn {
        Withdrawn {
            tag: tag.clone(),
            event: event.clone(),
            was: Some(was.to_owned()),
            of: Some(of),
            reason: SAMPLE_TEXT.to_owned(),
            signed: None,
        }
    }

    /// After the entry, and after everything else that is said of its thing.
    fn check_time(&self, proposal: &mut ProposedEvent<'_>, earlier: &Earlier) {
        let tag = Some(&self.tag);
        proposal.refuse_before(earlier.at, tag);
        proposal.refuse_before_the_last(tag);
    }

    /// As it was asked when only what had ended a thing could be withdrawn.
    fn check_end(&self, proposal: &mut ProposedEvent<'_>, earlier: &Earlier) {
        let last = proposal.case.ending_of(&self.tag);
        let Some(last) = last.filter(|last| last.event == self.event).cloned() else {
            let sentence = "There is no entry about it that could be withdrawn.";
            proposal.refuse(CustodyRule::J, Some(&self.tag), sentence);
            return;
        };
        if earlier.party != proposal.by.party {
            proposal.refuse_other_house(Some(&self.tag));
        }
        proposal.refuse_before(last.at, Some(&self.tag));
        self.check_made_since(proposal, &last);
    }

    /// What was made of a thing after it had ended rests on its end.
    fn check_made_since(&self, proposal: &mut ProposedEvent<'_>, last: &Ending) {
        let later = proposal.case.made_since(&self.tag, last);
        if !later.is_empty() {
            let named: Vec<String> = later.iter().map(|tag| proposal.named(tag)).collect();
            let sentence = format!(
                "Entries made since rest on it, those of {}.",
                named.join(", ")
            );
            proposal.refuse(CustodyRule::F, Some(&self.tag), sentence);
        }
    }
}

/// What an entry of a kind is called: the kinds' own word for a mistaken one, or the stored word.
fn called(word: &str) -> String {
    mistaken(word).map_or_else(|| word.replace('_', " "), str::to_owned)
}
