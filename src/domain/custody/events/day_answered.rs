//! The office says whether the day that the lab has named will do.

use super::kind::{Constants, ErasablePlace, EventKind, Named, Sentence};
use crate::domain::custody::case_state::CaseState;
use crate::domain::custody::promise::{DatePromise, DayAnswer, PromiseAnswer};
use crate::domain::custody::proposal::{CustodyRule, ProposedEvent};
use crate::domain::custody::sign::{OnLine, Sign};
use crate::domain::custody::stamp::Stamp;
use crate::domain::people::party::Side;
use crate::domain::values::ids::{EventId, Tag};
use serde::{Deserialize, Serialize};

/// The office's word on a promised day.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DayAnswered {
    /// The entry that named the day.
    pub promise: EventId,
    pub answer: DayAnswer,
    /// What the office would need instead, where the day will not do.
    pub note: String,
}

impl DayAnswered {
    /// The day is accepted.
    pub fn sample(promise: &DatePromise) -> DayAnswered {
        DayAnswered {
            promise: promise.event.clone(),
            answer: DayAnswer::Accepted,
            note: String::new(),
        }
    }
}

impl Constants for DayAnswered {
    const WORD: &'static str = "day_answered";
    const MISTAKEN: Option<&'static str> = None;
    const OPEN: &'static [&'static str] = &["promise", "answer"];
    const ERASABLE: &'static [ErasablePlace] = &[("/what/note", "what was said to the day")];
}

impl EventKind for DayAnswered {
    fn tags(&self) -> Vec<&Tag> {
        Vec::new()
    }

    fn check(&self, proposal: &mut ProposedEvent<'_>) {
        proposal.side_only(
            Side::Office,
            "The office says whether a promised day will do.",
        );
        if self.answer == DayAnswer::NotAccepted {
            let wanted = "Say which day you need, or what else is to be done.";
            proposal.needs(&self.note, CustodyRule::Form, None, wanted);
        }
        if proposal.case.is_cancelled() {
            let sentence = "The work is canceled: no day is agreed on any more.";
            proposal.refuse(CustodyRule::K, None, sentence);
        }
        let named = proposal.case.promise.as_ref();
        let Some(promise) = named.filter(|one| one.event == self.promise) else {
            let sentence = match named {
                Some(_) => "The lab has named another day since: look at the case again.",
                None => "The lab has named no day.",
            };
            proposal.refuse(CustodyRule::J, None, sentence);
            return;
        };
        if let Some(answer) = &promise.answer {
            proposal.refuse_answered(&answer.by, answer.at);
        }
        if proposal.at.unix_ms < promise.at.unix_ms {
            let sentence = format!(
                "The day was named on {}, and this would be earlier.",
                promise.at.in_words()
            );
            proposal.refuse(CustodyRule::I, None, sentence);
        }
    }

    fn apply(&self, case: &mut CaseState, stamp: &Stamp<'_>) {
        let named = case.promise.as_mut();
        if let Some(promise) = named.filter(|one| one.event == self.promise) {
            if self.answer == DayAnswer::Accepted {
                case.agreed = Some((promise.revision, promise.day));
            }
            promise.answer = Some(PromiseAnswer {
                at: stamp.at,
                by: stamp.answering(),
                answer: self.answer,
                note: self.note.clone(),
            });
        }
    }

    fn describe(&self, _: Named<'_>) -> Sentence {
        let what = format!("To the promised day: {}", self.answer.shown());
        (what, vec![self.note.clone()])
    }

    fn sign(&self, _: OnLine<'_>) -> Option<Sign> {
        None
    }

    fn about_events(&self) -> Vec<&EventId> {
        vec![&self.promise]
    }

    fn is_about_days(&self) -> bool {
        true
    }

    fn note(&self) -> &'static str {
        "day answered"
    }
}
