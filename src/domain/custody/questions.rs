//! What one house asks the other about a case, and what was said on the telephone.

use super::bench::BenchStep;
use crate::domain::form::choice_field;
use crate::domain::people::party::Side;
use crate::domain::values::ids::{EventId, Tag};
use crate::domain::values::moment::Moment;
use crate::domain::values::words_of;
use serde::{Deserialize, Serialize};

words_of! {
    /// What is the matter with what is asked about.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
    #[serde(rename_all = "snake_case")]
    pub enum Matter {
        Unclear = "unclear",
        Contradicts = "contradicts something else",
        Missing = "missing",
        CannotBeDone = "cannot be done as asked",
        /// The office passes it on: it is read, and need not be answered.
        PatientSays = "what the patient says",
        Other = "something else",
    }
}

choice_field!(Matter);

impl Matter {
    /// Whether it says nothing without words, whatever it points at.
    pub fn needs_words(self) -> bool {
        matches!(self, Matter::Other | Matter::PatientSays)
    }

    /// Whether this side can ask so: what the patient says, the office has heard.
    pub fn is_open_to(self, side: Side) -> bool {
        self != Matter::PatientSays || side == Side::Office
    }
}

/// Whether this side says of what it asks whether work waits for the answer, and at which step of the bench it came up.
pub fn asks_from_the_work(side: Side) -> bool {
    side == Side::Lab
}

/// What answers a question.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reply {
    /// The entry that says it.
    pub event: EventId,
    pub at: Moment,
    /// Who said it, with the house.
    pub by: String,
    pub text: String,
    /// Whether it was said on the telephone.
    pub by_telephone: bool,
    /// Whether nobody answered, and whoever had asked took the question back.
    pub taken_back: bool,
}

/// A question of one house to the other.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Question {
    /// The entry that asks.
    pub event: EventId,
    pub from: Side,
    pub at: Moment,
    /// Who asks, with the house.
    pub by: String,
    pub matter: Matter,
    /// The section of the prescription that it is about.
    pub section: Option<String>,
    /// The line of that section, by the key of its field.
    pub line: Option<String>,
    pub item: Option<Tag>,
    /// The step at the bench at which it came up.
    pub step: Option<BenchStep>,
    /// The revision that whoever asks had read; 0 where there is none.
    pub revision: i64,
    pub text: String,
    /// Whether the lab makes nothing until it is answered.
    pub waits: bool,
    /// The pictures that it is shown with, by the entries that added them; erased ones stay among them.
    pub pictures: Vec<EventId>,
    /// The answer that a revision follows, until that is signed or somebody says otherwise.
    pub promised: Option<Reply>,
    pub reply: Option<Reply>,
}

impl Question {
    pub fn is_open(&self) -> bool {
        self.reply.is_none()
    }

    /// Whether it is something told, which is read and need not be answered.
    pub fn is_for_information(&self) -> bool {
        self.matter == Matter::PatientSays
    }

    /// Whether a picture of what is asked about can still be added to it.
    pub fn takes_pictures(&self) -> bool {
        self.is_open() && !self.is_for_information()
    }

    /// Who asks or tells, and when.
    pub fn asked_words(&self) -> String {
        match self.is_for_information() {
            true => format!(
                "{} told on {} what the patient says",
                self.by,
                self.at.in_words()
            ),
            false => format!("{} asked on {}", self.by, self.at.in_words()),
        }
    }

    /// The house that is asked.
    pub fn to(&self) -> Side {
        self.from.other()
    }
}

/// What was said on the telephone, as one side has written it down.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PhoneCall {
    /// The entry that says so.
    pub event: EventId,
    pub from: Side,
    pub at: Moment,
    /// Who wrote it down, with the house.
    pub by: String,
    /// Who spoke for the other house.
    pub with: String,
    pub text: String,
    /// The question that it answered.
    pub question: Option<EventId>,
    /// The section of the prescription and the item that it was about.
    pub section: Option<String>,
    pub item: Option<Tag>,
    /// The picture that it is shown with, by the entry that added it.
    pub picture: Option<EventId>,
    /// Whether it is otherwise than the prescription in force said then, by the word of either house.
    pub changes: bool,
    pub verdict: Option<CallVerdict>,
    /// Why no revision is to follow, where the office has said so.
    pub unwritten: Option<CallVerdict>,
}

/// What was said of a call that was written down.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CallVerdict {
    pub at: Moment,
    /// Who says so, with the house.
    pub by: String,
    pub is_so: bool,
    pub note: String,
}

impl PhoneCall {
    pub fn is_open(&self) -> bool {
        self.verdict.is_none()
    }

    /// Whether both houses say that it is otherwise than the prescription, and the office has not said that it stays so.
    pub fn is_to_be_written(&self) -> bool {
        let is_so = self.verdict.as_ref().is_some_and(|one| one.is_so);
        self.changes && is_so && self.unwritten.is_none()
    }

    /// What counts of it now, in a sentence without its end.
    pub fn words(&self) -> String {
        if let Some(one) = &self.unwritten {
            let (by, at) = (&one.by, one.at.in_words());
            let why = one.note.trim_end_matches('.');
            return format!("No revision is needed: {by} on {at}. {why}");
        }
        match &self.verdict {
            None => "Not confirmed yet".to_owned(),
            Some(one) if one.is_so => format!("Confirmed: {} on {}", one.by, one.at.in_words()),
            Some(one) if one.note.is_empty() => {
                format!("Taken back: {} on {}", one.by, one.at.in_words())
            }
            Some(one) => format!(
                "It was not so: {} on {}. {}",
                one.by,
                one.at.in_words(),
                one.note.trim_end_matches('.')
            ),
        }
    }
}
