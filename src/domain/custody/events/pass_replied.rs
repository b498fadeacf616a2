//! The first laboratory answers a question of the second one, or the second one takes it back.

use super::kind::{Constants, ErasablePlace, EventKind, Named, Sentence};
use super::sample::SAMPLE_TEXT;
use crate::domain::custody::case_state::CaseState;
use crate::domain::custody::passed::PassQuestion;
use crate::domain::custody::proposal::{CustodyRule, ProposedEvent};
use crate::domain::custody::questions::Reply;
use crate::domain::custody::sign::{OnLine, Sign};
use crate::domain::custody::stamp::Stamp;
use crate::domain::people::party::Side;
use crate::domain::values::ids::{EventId, Tag};
use serde::{Deserialize, Serialize};

/// An answer to a question of the second laboratory.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PassReplied {
    /// The entry that asked.
    pub question: EventId,
    pub text: String,
    /// Whether the laboratory that asked says it, because nothing is to be answered any more.
    pub taken_back: bool,
}

impl PassReplied {
    /// An answer to a question, or the word that it is taken back.
    pub fn sample(question: &PassQuestion, taken_back: bool) -> PassReplied {
        PassReplied {
            question: question.event.clone(),
            text: SAMPLE_TEXT.to_owned(),
            taken_back,
        }
    }
}

impl Constants for PassReplied {
    const WORD: &'static str = "pass_replied";
    const MISTAKEN: Option<&'static str> = None;
    const OPEN: &'static [&'static str] = &["question"];
    const ERASABLE: &'static [ErasablePlace] = &[("/what/text", "answer")];
}

impl EventKind for PassReplied {
    fn tags(&self) -> Vec<&Tag> {
        Vec::new()
    }

    fn check(&self, proposal: &mut ProposedEvent<'_>) {
        proposal.side_only(Side::Lab, "The two laboratories arrange this between them.");
        let Some((pass, asked)) = proposal.case.pass_question(&self.question) else {
            let sentence = "There is no such question of a second laboratory.";
            proposal.refuse(CustodyRule::J, None, sentence);
            return;
        };
        if !pass.is_open() || proposal.case.is_cancelled() {
            let sentence = "That work is over: nothing is to be answered any more.";
            proposal.refuse(CustodyRule::J, None, sentence);
        }
        let is_second = pass.is_for(proposal.by);
        if self.taken_back && !is_second {
            let sentence = "Only the laboratory that asked takes a question back.";
            proposal.refuse(CustodyRule::Right, None, sentence);
        }
        if !self.taken_back {
            let wanted = "Write the answer.";
            proposal.needs(&self.text, CustodyRule::Form, None, wanted);
        }
        if let Some(reply) = &asked.reply {
            let sentence = format!(
                "{} has said something to this on {}: look at it again.",
                reply.by,
                reply.at.in_words()
            );
            proposal.refuse(CustodyRule::F, None, sentence);
        }
        proposal.refuse_before_question(asked.at);
    }

    fn apply(&self, case: &mut CaseState, stamp: &Stamp<'_>) {
        for pass in &mut case.passes {
            let mut open = pass.questions.iter_mut().filter(|one| one.reply.is_none());
            let Some(one) = open.find(|one| one.event == self.question) else {
                continue;
            };
            one.reply = Some(Reply {
                event: stamp.id.clone(),
                at: stamp.at,
                by: stamp.answering(),
                text: self.text.clone(),
                by_telephone: false,
                taken_back: self.taken_back,
            });
            pass.new_answers = match self.taken_back {
                true => 0,
                false => pass.new_answers + 1,
            };
        }
    }

    fn describe(&self, _: Named<'_>) -> Sentence {
        let what = match self.taken_back {
            true => "The second lab takes its question back",
            false => "The second lab is answered",
        };
        (what.to_owned(), vec![self.text.clone()])
    }

    fn sign(&self, _: OnLine<'_>) -> Option<Sign> {
        None
    }

    fn takes_room(&self) -> bool {
        false
    }

    fn is_of_second_lab(&self, case: &CaseState) -> Option<EventId> {
        let (pass, _) = case.pass_question(&self.question)?;
        self.taken_back.then(|| pass.event.clone())
    }

    fn about_events(&self) -> Vec<&EventId> {
        vec![&self.question]
    }
}
