//! The lab ends what it has passed on: by mistake, or because it is done here after all.

use super::kind::{Constants, ErasablePlace, EventKind, Named, Sentence};
use super::sample::SAMPLE_TEXT;
use crate::domain::custody::case_state::CaseState;
use crate::domain::custody::passed::{PassEnd, PassedWork};
use crate::domain::custody::proposal::{CustodyRule, ProposedEvent};
use crate::domain::custody::sign::{OnLine, Sign};
use crate::domain::custody::stamp::Stamp;
use crate::domain::people::party::Side;
use crate::domain::values::ids::{EventId, Tag};
use serde::{Deserialize, Serialize};

/// Passed on no more.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PassEnded {
    /// The entry that passes it on.
    pub pass: EventId,
    pub reason: String,
}

impl PassEnded {
    /// The end of this authorisation.
    pub fn sample(pass: &PassedWork) -> PassEnded {
        PassEnded {
            pass: pass.event.clone(),
            reason: SAMPLE_TEXT.to_owned(),
        }
    }
}

impl Constants for PassEnded {
    const WORD: &'static str = "pass_ended";
    const MISTAKEN: Option<&'static str> = None;
    const OPEN: &'static [&'static str] = &["pass"];
    const ERASABLE: &'static [ErasablePlace] = &[("/what/reason", "reason")];
}

impl EventKind for PassEnded {
    fn tags(&self) -> Vec<&Tag> {
        Vec::new()
    }

    fn check(&self, proposal: &mut ProposedEvent<'_>) {
        proposal.side_only(
            Side::Lab,
            "The lab that has passed the work on ends it; the office can say no to it.",
        );
        let wanted = "Say why it is passed on no more.";
        proposal.needs(&self.reason, CustodyRule::Form, None, wanted);
        let Some(pass) = proposal.open_pass(&self.pass) else {
            return;
        };
        let away: Vec<&Tag> = pass.away(proposal.case).collect();
        for tag in away {
            let place = proposal.state(tag).map(|state| state.holder.place());
            let sentence = format!(
                "{} is {}: have it back first.",
                proposal.named(tag),
                place.unwrap_or_default()
            );
            proposal.refuse(CustodyRule::A, Some(tag), sentence);
        }
        proposal.refuse_before_passed(pass.at);
    }

    fn apply(&self, case: &mut CaseState, stamp: &Stamp<'_>) {
        let mut passes = case.passes.iter_mut();
        if let Some(pass) = passes.find(|one| one.event == self.pass) {
            pass.ended = Some((stamp.at, PassEnd::Ended));
        }
    }

    fn describe(&self, _: Named<'_>) -> Sentence {
        let what = "Passed on no more".to_owned();
        (what, vec![format!("Why: {}", self.reason)])
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
