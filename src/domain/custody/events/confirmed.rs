//! Whether a telephone call was as written down: the other house says so, or whoever wrote it takes it back.

use super::kind::{Constants, ErasablePlace, EventKind, Named, Sentence};
use super::phrases;
use super::sample::SAMPLE_TEXT;
use crate::domain::custody::case_state::CaseState;
use crate::domain::custody::proposal::{CustodyRule, ProposedEvent};
use crate::domain::custody::questions::{CallVerdict, PhoneCall};
use crate::domain::custody::sign::{OnLine, Sign};
use crate::domain::custody::stamp::Stamp;
use crate::domain::people::party::Side;
use crate::domain::values::ids::{EventId, Tag};
use serde::{Deserialize, Serialize};

/// It was so, or it was not.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Confirmed {
    /// The entry with the call.
    pub event: EventId,
    pub is_so: bool,
    /// How it was, where it was not so.
    pub note: String,
    /// Whether it is otherwise than the prescription in force says, by the word of whoever confirms.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub changes: bool,
    /// Whether the office says of a call that was confirmed that no revision is needed for it; the note says why.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub none_needed: bool,
}

impl Confirmed {
    /// That a call was as it is written down, or was not.
    pub fn sample(call: &PhoneCall, is_so: bool) -> Confirmed {
        Confirmed {
            event: call.event.clone(),
            is_so,
            note: String::new(),
            changes: false,
            none_needed: false,
        }
    }

    /// That no revision is needed for a call.
    pub fn sample_of_none(call: &PhoneCall) -> Confirmed {
        Confirmed {
            none_needed: true,
            note: SAMPLE_TEXT.to_owned(),
            ..Confirmed::sample(call, true)
        }
    }

    fn check_none_needed(&self, proposal: &mut ProposedEvent<'_>, call: &PhoneCall) {
        let sentence = "The office says whether a revision is needed.";
        proposal.side_only(Side::Office, sentence);
        let wanted = "Say why no revision is needed.";
        proposal.needs(&self.note, CustodyRule::Form, None, wanted);
        if !call.is_to_be_written() || !self.is_so {
            let sentence = "No revision is waited for because of this call.";
            proposal.refuse(CustodyRule::F, None, sentence);
        }
    }
}

impl Constants for Confirmed {
    const WORD: &'static str = "confirmed";
    const MISTAKEN: Option<&'static str> = None;
    const OPEN: &'static [&'static str] = &["event"];
    const ERASABLE: &'static [ErasablePlace] = &[("/what/note", "how it was")];
}

impl EventKind for Confirmed {
    fn tags(&self) -> Vec<&Tag> {
        Vec::new()
    }

    fn check(&self, proposal: &mut ProposedEvent<'_>) {
        let Some(call) = proposal.case.call(&self.event) else {
            proposal.refuse(CustodyRule::J, None, "There is no such call.");
            return;
        };
        if self.none_needed {
            self.check_none_needed(proposal, call);
            return;
        }
        // Its own house takes it back; it does not confirm it.
        if proposal.side == call.from && self.is_so {
            let sentence = "The other side says whether it was so.";
            proposal.refuse(CustodyRule::Right, None, sentence);
        }
        if proposal.side != call.from && !self.is_so {
            let wanted = "Say how it was instead.";
            proposal.needs(&self.note, CustodyRule::Form, None, wanted);
        }
        if let Some(verdict) = &call.verdict {
            let sentence = format!(
                "{} has said on {} whether it was so.",
                verdict.by,
                verdict.at.in_words()
            );
            proposal.refuse(CustodyRule::F, None, sentence);
        }
        if proposal.at.unix_ms < call.at.unix_ms {
            let sentence = format!(
                "The call is of {}, and this would be earlier.",
                call.at.in_words()
            );
            proposal.refuse(CustodyRule::I, None, sentence);
        }
    }

    fn apply(&self, case: &mut CaseState, stamp: &Stamp<'_>) {
        let call = case.calls.iter_mut().find(|one| one.event == self.event);
        if let Some(call) = call {
            let said = CallVerdict {
                at: stamp.at,
                by: stamp.answering(),
                is_so: self.is_so,
                note: self.note.clone(),
            };
            match self.none_needed {
                true => call.unwritten = Some(said),
                false => call.verdict = Some(said),
            }
            call.changes |= self.changes && self.is_so;
        }
        if !self.is_so {
            case.open_again(&self.event);
        }
    }

    fn describe(&self, _: Named<'_>) -> Sentence {
        let what = match (self.is_so, self.note.is_empty()) {
            _ if self.none_needed => "Telephone call: no revision is needed for it",
            (true, _) => "Telephone call confirmed: it was as written down",
            (false, true) => "Telephone call taken back",
            (false, false) => "Telephone call: it was not as written down",
        };
        let changes = self
            .changes
            .then(|| phrases::OTHERWISE_THAN_SIGNED.to_owned());
        let details = changes.into_iter().chain([self.note.clone()]);
        (what.to_owned(), details.collect())
    }

    fn sign(&self, _: OnLine<'_>) -> Option<Sign> {
        None
    }

    fn about_events(&self) -> Vec<&EventId> {
        vec![&self.event]
    }
}
