//! The other house says that a telephone call was as written down.

use super::kind::{Constants, EventKind, Named, Sentence, WhenClosed};
use crate::domain::custody::case_state::CaseState;
use crate::domain::custody::proposal::{CustodyRule, ProposedEvent};
use crate::domain::custody::sign::{OnLine, Sign};
use crate::domain::custody::stamp::Stamp;
use crate::domain::values::ids::{EventId, Tag};
use serde::{Deserialize, Serialize};

/// It was so.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Confirmed {
    /// The entry with the call.
    pub event: EventId,
}

impl Constants for Confirmed {
    const WORD: &'static str = "confirmed";
    const OPEN: &'static [&'static str] = &["event"];
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
        let other = call.from.other();
        proposal.side_only(other, "The other house says whether it was so.");
        if let Some((who, at)) = &call.confirmed {
            let sentence = format!("{who} has confirmed it on {at}.");
            proposal.refuse(CustodyRule::F, None, sentence);
        }
        if proposal.at.unix_ms < call.at.unix_ms {
            let sentence = format!("The call is of {}, and this would be earlier.", call.at);
            proposal.refuse(CustodyRule::I, None, sentence);
        }
    }

    fn apply(&self, case: &mut CaseState, stamp: &Stamp<'_>) {
        let call = case.calls.iter_mut().find(|one| one.event == self.event);
        if let Some(call) = call {
            call.confirmed = Some((stamp.answering(), stamp.at));
        }
    }

    fn describe(&self, _: Named<'_>) -> Sentence {
        let what = "Telephone call confirmed: it was as written down";
        (what.to_owned(), Vec::new())
    }

    fn sign(&self, _: OnLine<'_>) -> Option<Sign> {
        None
    }

    fn when_closed(&self) -> WhenClosed {
        WhenClosed::Allowed
    }

    fn about_events(&self) -> Vec<&str> {
        vec![&self.event]
    }
}
