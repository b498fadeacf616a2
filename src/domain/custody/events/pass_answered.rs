//! The office says whether work may be passed on, or has read that it is.

use super::kind::{Constants, ErasablePlace, EventKind, Named, Sentence};
use super::sample::SAMPLE_TEXT;
use crate::domain::custody::case_state::CaseState;
use crate::domain::custody::passed::{PassAnswer, PassReply, PassedWork};
use crate::domain::custody::proposal::{CustodyRule, ProposedEvent};
use crate::domain::custody::sign::{OnLine, Sign};
use crate::domain::custody::stamp::Stamp;
use crate::domain::people::access::Permission;
use crate::domain::people::party::Side;
use crate::domain::values::ids::{EventId, Tag};
use serde::{Deserialize, Serialize};

/// The office's word on work that is passed on.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PassAnswered {
    /// The entry that passes it on.
    pub pass: EventId,
    pub answer: PassAnswer,
    pub note: String,
}

impl PassAnswered {
    /// Agreed to; what is said already is changed, where it is not too late.
    pub fn sample(pass: &PassedWork) -> PassAnswered {
        PassAnswered {
            pass: pass.event.clone(),
            answer: match pass.reply.is_some() && !pass.is_refused() {
                true => PassAnswer::Objected,
                false => PassAnswer::Agreed,
            },
            note: SAMPLE_TEXT.to_owned(),
        }
    }
}

impl Constants for PassAnswered {
    const WORD: &'static str = "pass_answered";
    const MISTAKEN: Option<&'static str> = None;
    const OPEN: &'static [&'static str] = &["pass", "answer"];
    const ERASABLE: &'static [ErasablePlace] = &[("/what/note", "what was said to passing it on")];
}

impl EventKind for PassAnswered {
    fn tags(&self) -> Vec<&Tag> {
        Vec::new()
    }

    fn check(&self, proposal: &mut ProposedEvent<'_>) {
        proposal.side_only(
            Side::Office,
            "The office says whether its work may be passed on.",
        );
        if self.answer == PassAnswer::Objected {
            let wanted = "Say why not, and what is to be done instead.";
            proposal.needs(&self.note, CustodyRule::Form, None, wanted);
        }
        let Some(pass) = proposal.open_pass(&self.pass) else {
            return;
        };
        if pass.needs_consent {
            proposal.permitted_only(Permission::Sign);
        }
        // A word that nothing has followed yet may be changed.
        if let Some(reply) = &pass.reply {
            let is_same = reply.answer == self.answer;
            if is_same || !pass.left.is_empty() {
                proposal.refuse_answered(&reply.by, reply.at);
            }
        }
        let last = pass
            .reply
            .as_ref()
            .map_or(pass.at, |reply| reply.at.max(pass.at));
        if proposal.comes_before(last) {
            let last = last.in_words();
            let sentence = format!("It was passed on by {last}, and this would be earlier.");
            proposal.refuse(CustodyRule::I, None, sentence);
        }
    }

    fn apply(&self, case: &mut CaseState, stamp: &Stamp<'_>) {
        let mut passes = case.passes.iter_mut();
        if let Some(pass) = passes.find(|one| one.event == self.pass) {
            pass.reply = Some(PassReply {
                at: stamp.at,
                by: stamp.answering(),
                answer: self.answer,
                note: self.note.clone(),
            });
        }
    }

    fn describe(&self, _: Named<'_>) -> Sentence {
        let what = match self.answer {
            PassAnswer::Agreed => "The office says that the work may be passed on",
            PassAnswer::Objected => "The office says that the work is not to be passed on",
        };
        (what.to_owned(), vec![self.note.clone()])
    }

    fn sign(&self, _: OnLine<'_>) -> Option<Sign> {
        None
    }

    fn takes_room(&self) -> bool {
        false
    }

    fn about_events(&self) -> Vec<&EventId> {
        vec![&self.pass]
    }
}
