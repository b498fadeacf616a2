//! One house asks the other something about a case: about a section of the prescription, an item, or all of it.

use super::kind::{Constants, ErasablePlace, EventKind, Named, Sentence};
use super::pictured::{WITH_A_PICTURE, known_picture};
use super::sample::{SAMPLE_TEXT, SampleContext};
use crate::domain::custody::bench::BenchStep;
use crate::domain::custody::case_state::CaseState;
use crate::domain::custody::proposal::{CustodyRule, ProposedEvent};
use crate::domain::custody::questions::{Matter, Question, asks_from_the_work};
use crate::domain::custody::sign::{OnLine, Sign};
use crate::domain::custody::stamp::Stamp;
use crate::domain::people::party::Side;
use crate::domain::prescription::{line_words, section_of};
use crate::domain::values::ids::{EventId, Tag};
use serde::{Deserialize, Serialize};

/// A question.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Asked {
    pub matter: Matter,
    /// The house that asks.
    pub from: Side,
    /// The section of the prescription, by its key.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub section: Option<String>,
    /// The line of that section, by the key of its field.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub line: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub item: Option<Tag>,
    /// The step at the bench at which it came up.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub step: Option<BenchStep>,
    /// A picture that shows it, by the entry that added it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub picture: Option<EventId>,
    /// The revision that was read; 0 where there is none.
    pub revision: i64,
    pub text: String,
    /// The lab makes nothing until it is answered.
    pub waits: bool,
}

/// What is said where neither words nor anything else do.
pub const SAY_WHAT: &str = "Write what you want to know: nothing else says it.";
/// What is said where one thing is named, and not what it contradicts.
pub const SAY_AGAINST_WHAT: &str =
    "Write what it contradicts, or point at that too: one of the two alone says nothing.";

impl Asked {
    /// About nothing of which more would be asked.
    pub fn sample(on: &SampleContext<'_>) -> Asked {
        Asked {
            matter: Matter::Other,
            from: on.side(),
            section: None,
            line: None,
            item: None,
            step: None,
            revision: 0,
            text: SAMPLE_TEXT.to_owned(),
            waits: false,
            picture: None,
        }
    }

    /// What is to be written where neither words nor a part, an item, a picture or a step say what is meant; none where they do.
    pub fn wants_words(&self) -> Option<&'static str> {
        let points = [
            self.section.is_some(),
            self.item.is_some(),
            self.picture.is_some(),
            self.step.is_some(),
        ];
        let points = points.iter().filter(|is_there| **is_there).count();
        match points {
            _ if !self.text.trim().is_empty() => None,
            0 => Some(SAY_WHAT),
            _ if self.matter.needs_words() => Some(SAY_WHAT),
            1 if self.matter == Matter::Contradicts => Some(SAY_AGAINST_WHAT),
            _ => None,
        }
    }
}

impl Constants for Asked {
    const WORD: &'static str = "asked";
    const MISTAKEN: Option<&'static str> = None;
    const OPEN: &'static [&'static str] = &[
        "matter", "from", "section", "line", "item", "picture", "step",
    ];
    const ERASABLE: &'static [ErasablePlace] = &[("/what/text", "question")];
}

impl EventKind for Asked {
    fn tags(&self) -> Vec<&Tag> {
        Vec::new()
    }

    fn concerns(&self, asked: &Tag) -> bool {
        self.item.as_ref() == Some(asked)
    }

    fn check(&self, proposal: &mut ProposedEvent<'_>) {
        if let Some(wanted) = self.wants_words() {
            proposal.refuse(CustodyRule::Form, None, wanted);
        }
        proposal.side_only(self.from, "Each side asks for itself.");
        if !self.matter.is_open_to(self.from) {
            let sentence = "What the patient says reaches the lab through the office.";
            proposal.refuse(CustodyRule::Form, None, sentence);
        }
        if self.step.is_some() && !asks_from_the_work(self.from) {
            let sentence = "Only the lab asks from a step of its bench.";
            proposal.refuse(CustodyRule::Form, None, sentence);
        }
        proposal.own_only(self.item.as_ref());
        known_picture(proposal, self.picture.as_ref());
        if self.waits && !asks_from_the_work(self.from) {
            let sentence = "The lab says whether its work waits. To let it rest, the office stops or pauses the work.";
            proposal.refuse(CustodyRule::Form, None, sentence);
        }
    }

    fn apply(&self, case: &mut CaseState, stamp: &Stamp<'_>) {
        case.questions.push(Question {
            event: stamp.id.clone(),
            from: self.from,
            at: stamp.at,
            by: stamp.answering(),
            matter: self.matter,
            section: self.section.clone(),
            line: self.line.clone(),
            item: self.item.clone(),
            step: self.step,
            revision: self.revision,
            text: self.text.clone(),
            waits: self.waits,
            pictures: Vec::from_iter(self.picture.clone()),
            promised: None,
            reply: None,
        });
    }

    fn describe(&self, named: Named<'_>) -> Sentence {
        let section = self.section.as_deref().and_then(section_of);
        let section = section.map(|one| one.title.to_owned());
        let line = self.line.as_deref().and_then(line_words);
        let step = self.step.map(|step| step.to_do().to_owned());
        let about: Vec<String> = step
            .into_iter()
            .chain(section)
            .chain(line)
            .chain(self.item.as_ref().map(named))
            .collect();
        let about = match about.is_empty() {
            true => "the case".to_owned(),
            false => about.join(", "),
        };
        let about = match self.matter {
            Matter::PatientSays => format!("Told of {about}: {}", self.matter.shown()),
            matter => format!("Asked about {about}: {}", matter.shown()),
        };
        let mut details = vec![self.text.clone()];
        if self.waits {
            details.push("The work waits for the answer".to_owned());
        }
        if self.picture.is_some() {
            details.push(WITH_A_PICTURE.to_owned());
        }
        (about, details)
    }

    fn sign(&self, _: OnLine<'_>) -> Option<Sign> {
        None
    }

    fn is_of_the_bench(&self) -> bool {
        true
    }

    fn note(&self) -> &'static str {
        "asked"
    }
}
