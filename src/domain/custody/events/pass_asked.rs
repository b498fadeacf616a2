//! The second laboratory asks the first one about what was passed on to it.

use super::kind::{Constants, ErasablePlace, EventKind, Named, Sentence};
use super::sample::SAMPLE_TEXT;
use crate::domain::custody::case_state::CaseState;
use crate::domain::custody::passed::{PassQuestion, PassedWork};
use crate::domain::custody::proposal::{CustodyRule, ProposedEvent};
use crate::domain::custody::sign::{OnLine, Sign};
use crate::domain::custody::stamp::Stamp;
use crate::domain::values::ids::{EventId, Tag};
use serde::{Deserialize, Serialize};

/// A question of the second laboratory.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PassAsked {
    /// The entry that passes the work on.
    pub pass: EventId,
    pub text: String,
}

impl PassAsked {
    /// A question about work passed on.
    pub fn sample(pass: &PassedWork) -> PassAsked {
        PassAsked {
            pass: pass.event.clone(),
            text: SAMPLE_TEXT.to_owned(),
        }
    }
}

impl Constants for PassAsked {
    const WORD: &'static str = "pass_asked";
    const MISTAKEN: Option<&'static str> = None;
    const OPEN: &'static [&'static str] = &["pass"];
    const ERASABLE: &'static [ErasablePlace] = &[("/what/text", "question")];
}

impl EventKind for PassAsked {
    fn tags(&self) -> Vec<&Tag> {
        Vec::new()
    }

    fn check(&self, proposal: &mut ProposedEvent<'_>) {
        let wanted = "Write what you want to know.";
        proposal.needs(&self.text, CustodyRule::Form, None, wanted);
        let Some(pass) = proposal.open_pass(&self.pass) else {
            return;
        };
        if !pass.is_for(proposal.by) {
            let sentence = "The laboratory that the work is passed on to asks about it.";
            proposal.refuse(CustodyRule::Right, None, sentence);
        }
        proposal.refuse_before_passed(pass.at);
    }

    fn apply(&self, case: &mut CaseState, stamp: &Stamp<'_>) {
        let mut passes = case.passes.iter_mut();
        if let Some(pass) = passes.find(|one| one.event == self.pass) {
            pass.questions.push(PassQuestion {
                event: stamp.id.clone(),
                at: stamp.at,
                by: stamp.answering(),
                text: self.text.clone(),
                reply: None,
            });
            pass.new_answers = 0;
        }
    }

    fn describe(&self, _: Named<'_>) -> Sentence {
        let what = "The second lab asks about what was passed on to it";
        (what.to_owned(), vec![self.text.clone()])
    }

    fn sign(&self, _: OnLine<'_>) -> Option<Sign> {
        None
    }

    fn takes_room(&self) -> bool {
        false
    }

    fn is_of_second_lab(&self, case: &CaseState) -> Option<EventId> {
        case.pass(&self.pass).map(|one| one.event.clone())
    }

    fn about_events(&self) -> Vec<&EventId> {
        vec![&self.pass]
    }

    fn is_of_the_bench(&self) -> bool {
        true
    }
}
