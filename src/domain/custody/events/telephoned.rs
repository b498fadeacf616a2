//! What was said on the telephone, written down by one house; the other says whether it was so.

use super::answered::open_question;
use super::kind::{Constants, ErasablePlace, EventKind, Named, Sentence};
use super::phrases::{self, prefixed};
use super::pictured::{WITH_A_PICTURE, known_picture};
use super::sample::{SAMPLE_TEXT, SampleContext};
use crate::domain::custody::case_state::CaseState;
use crate::domain::custody::proposal::{CustodyRule, ProposedEvent};
use crate::domain::custody::questions::{PhoneCall, Reply};
use crate::domain::custody::sign::{OnLine, Sign};
use crate::domain::custody::stamp::Stamp;
use crate::domain::people::party::Side;
use crate::domain::prescription::section_of;
use crate::domain::values::ids::{EventId, Tag};
use serde::{Deserialize, Serialize};

/// A telephone call.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Telephoned {
    /// The house that writes it down.
    pub from: Side,
    /// Who spoke for the other house.
    pub with: String,
    pub text: String,
    /// The question that it answered.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub question: Option<EventId>,
    /// The section of the prescription that it was about, by its key.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub section: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub item: Option<Tag>,
    /// A picture that shows it, by the entry that added it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub picture: Option<EventId>,
    /// Whether it is otherwise than the prescription in force says, by the word of whoever wrote it down.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub changes: bool,
}

impl Telephoned {
    /// A call that answered no question.
    pub fn sample(on: &SampleContext<'_>) -> Telephoned {
        Telephoned {
            from: on.side(),
            with: SAMPLE_TEXT.to_owned(),
            text: SAMPLE_TEXT.to_owned(),
            question: None,
            section: None,
            item: None,
            picture: None,
            changes: false,
        }
    }
}

impl Constants for Telephoned {
    const WORD: &'static str = "telephoned";
    const MISTAKEN: Option<&'static str> = None;
    const OPEN: &'static [&'static str] = &["from", "question", "section", "item", "picture"];
    const ERASABLE: &'static [ErasablePlace] =
        &[("/what/with", "who spoke"), ("/what/text", "what was said")];
}

impl EventKind for Telephoned {
    fn tags(&self) -> Vec<&Tag> {
        Vec::new()
    }

    fn concerns(&self, asked: &Tag) -> bool {
        self.item.as_ref() == Some(asked)
    }

    fn check(&self, proposal: &mut ProposedEvent<'_>) {
        proposal.side_only(self.from, "Each side writes down its own calls.");
        let wanted = "Write who spoke for the other side.";
        proposal.needs(&self.with, CustodyRule::Form, None, wanted);
        let wanted = "Write what was said.";
        proposal.needs(&self.text, CustodyRule::Form, None, wanted);
        proposal.own_only(self.item.as_ref());
        known_picture(proposal, self.picture.as_ref());
        if let Some(question) = &self.question {
            open_question(proposal, question);
        }
    }

    fn apply(&self, case: &mut CaseState, stamp: &Stamp<'_>) {
        case.calls.push(PhoneCall {
            event: stamp.id.clone(),
            from: self.from,
            at: stamp.at,
            by: stamp.answering(),
            with: self.with.clone(),
            text: self.text.clone(),
            question: self.question.clone(),
            section: self.section.clone(),
            item: self.item.clone(),
            picture: self.picture.clone(),
            changes: self.changes,
            verdict: None,
            unwritten: None,
        });
        if let Some(question) = &self.question {
            let reply = Reply {
                event: stamp.id.clone(),
                at: stamp.at,
                by: stamp.answering(),
                text: self.text.clone(),
                by_telephone: true,
                taken_back: false,
            };
            case.reply(question, reply);
            if let Some(picture) = &self.picture {
                case.show(question, picture);
            }
        }
    }

    fn describe(&self, named: Named<'_>) -> Sentence {
        let section = self.section.as_deref().and_then(section_of);
        let section = section.map(|one| one.title.to_owned());
        let about = section.into_iter().chain(self.item.as_ref().map(named));
        let about: Vec<String> = about.collect();
        let what = match self.question {
            Some(_) => "Answered on the telephone",
            None => "Telephone call written down",
        };
        let what = match about.is_empty() {
            true => what.to_owned(),
            false => format!("{what}, about {}", about.join(", ")),
        };
        let mut details = vec![prefixed("Spoke with ", &self.with), self.text.clone()];
        if self.changes {
            details.push(phrases::OTHERWISE_THAN_SIGNED.to_owned());
        }
        if self.picture.is_some() {
            details.push(WITH_A_PICTURE.to_owned());
        }
        (what, details)
    }

    fn sign(&self, _: OnLine<'_>) -> Option<Sign> {
        None
    }

    fn about_events(&self) -> Vec<&EventId> {
        self.question.iter().collect()
    }

    fn note(&self) -> &'static str {
        "telephoned"
    }
}
