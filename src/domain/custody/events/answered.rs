//! The other house answers a question, or whoever asked takes it back.

use super::kind::{Constants, ErasablePlace, EventKind, Named, Sentence};
use super::phrases::is_false;
use super::pictured::{WITH_A_PICTURE, known_picture};
use super::sample::SAMPLE_TEXT;
use crate::domain::custody::case_state::CaseState;
use crate::domain::custody::proposal::{CustodyRule, ProposedEvent};
use crate::domain::custody::questions::{Question, Reply};
use crate::domain::custody::sign::{OnLine, Sign};
use crate::domain::custody::stamp::Stamp;
use crate::domain::people::party::Side;
use crate::domain::values::ids::{EventId, Tag};
use serde::{Deserialize, Serialize};

/// An answer.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Answered {
    /// The entry that asked.
    pub question: EventId,
    pub text: String,
    /// Whether the house that asked says it, because nothing is to be answered any more.
    pub taken_back: bool,
    /// A picture that shows it, by the entry that added it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub picture: Option<EventId>,
    /// Whether the prescription is changed for it: what waits goes on waiting until that revision is signed.
    #[serde(default, skip_serializing_if = "is_false")]
    pub revision_follows: bool,
}

impl Answered {
    /// An answer to a question, or the word that it is taken back.
    pub fn sample(question: &Question, taken_back: bool) -> Answered {
        Answered {
            question: question.event.clone(),
            text: SAMPLE_TEXT.to_owned(),
            taken_back,
            picture: None,
            revision_follows: false,
        }
    }
}

impl Constants for Answered {
    const WORD: &'static str = "answered";
    const MISTAKEN: Option<&'static str> = None;
    const OPEN: &'static [&'static str] = &["question", "picture"];
    const ERASABLE: &'static [ErasablePlace] = &[("/what/text", "answer")];
}

/// A question that is still open at this moment; what stands against it is noted.
pub fn open_question(proposal: &mut ProposedEvent<'_>, event: &EventId) {
    let Some(question) = proposal.case.question(event) else {
        proposal.refuse(CustodyRule::J, None, "There is no such question.");
        return;
    };
    if let Some(reply) = &question.reply {
        let done = match reply.taken_back {
            true => "taken this back",
            false => "answered this",
        };
        let sentence = format!(
            "{} has {done} on {}: look at the case again.",
            reply.by,
            reply.at.in_words()
        );
        proposal.refuse(CustodyRule::F, None, sentence);
    }
    proposal.refuse_before_question(question.at);
}

impl EventKind for Answered {
    fn tags(&self) -> Vec<&Tag> {
        Vec::new()
    }

    fn check(&self, proposal: &mut ProposedEvent<'_>) {
        open_question(proposal, &self.question);
        known_picture(proposal, self.picture.as_ref());
        let from = proposal.case.question(&self.question).map(|one| one.from);
        match from {
            Some(_) if self.taken_back && self.revision_follows => {
                let sentence = "What is taken back changes nothing.";
                proposal.refuse(CustodyRule::Form, None, sentence);
            }
            Some(from) if self.taken_back => {
                proposal.side_only(from, "Only the side that asked takes a question back.");
            }
            Some(from) => {
                proposal.side_only(from.other(), "The side that is asked answers.");
                if self.revision_follows {
                    proposal.side_only(Side::Office, "A prescription is the office’s.");
                }
                let is_for_information = proposal.case.question(&self.question);
                if !is_for_information.is_some_and(Question::is_for_information) {
                    let wanted = "Write the answer.";
                    proposal.needs(&self.text, CustodyRule::Form, None, wanted);
                }
            }
            None => {}
        }
    }

    fn apply(&self, case: &mut CaseState, stamp: &Stamp<'_>) {
        let reply = Reply {
            event: stamp.id.clone(),
            at: stamp.at,
            by: stamp.answering(),
            text: self.text.clone(),
            by_telephone: false,
            taken_back: self.taken_back,
        };
        match self.revision_follows {
            true => case.promise_revision(&self.question, reply),
            false => case.reply(&self.question, reply),
        }
        if let Some(picture) = &self.picture {
            case.show(&self.question, picture);
        }
    }

    fn describe(&self, _: Named<'_>) -> Sentence {
        let what = match self.taken_back {
            true => "Question taken back",
            false if self.text.is_empty() => "Read",
            false if self.revision_follows => "Answered, and a revision follows",
            false => "Answered",
        };
        let mut details = vec![self.text.clone()];
        if self.picture.is_some() {
            details.push(WITH_A_PICTURE.to_owned());
        }
        (what.to_owned(), details)
    }

    fn sign(&self, _: OnLine<'_>) -> Option<Sign> {
        None
    }

    fn about_events(&self) -> Vec<&EventId> {
        vec![&self.question]
    }

    fn note(&self) -> &'static str {
        "answered"
    }
}
