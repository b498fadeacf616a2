//! Taken out of the mouth, and nothing put in.

use super::kind::{Constants, ErasablePlace, EventKind, Named, Sentence};
use super::phrases;
use super::sample::SampleContext;
use crate::domain::custody::case_state::CaseState;
use crate::domain::custody::proposal::{CustodyRule, ProposedEvent};
use crate::domain::custody::sign::{OnLine, Sign};
use crate::domain::custody::signature::Exception;
use crate::domain::custody::stamp::Stamp;
use crate::domain::custody::state::{Holder, State};
use crate::domain::custody::worn::Turn;
use crate::domain::people::party::Side;
use crate::domain::values::ids::Tag;
use serde::{Deserialize, Serialize};

/// Taken out and nothing put in.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TakenOut {
    pub tag: Tag,
    pub exception: Option<Exception>,
}

impl Constants for TakenOut {
    const WORD: &'static str = "taken_out";
    const MISTAKEN: Option<&'static str> = Some("taken out of the mouth");
    const OPEN: &'static [&'static str] = &["tag"];
    const ERASABLE: &'static [ErasablePlace] =
        &[("/what/exception/reason", "reason of the exception")];
}

impl EventKind for TakenOut {
    fn tags(&self) -> Vec<&Tag> {
        vec![&self.tag]
    }

    fn check(&self, proposal: &mut ProposedEvent<'_>) {
        proposal.office_only();
        if !proposal.state(&self.tag).is_some_and(|state| state.worn) {
            let sentence = format!("{} is not in the mouth.", proposal.named(&self.tag));
            proposal.refuse(CustodyRule::Form, Some(&self.tag), sentence);
        }
        self.never_toothless(proposal);
    }

    fn apply(&self, case: &mut CaseState, stamp: &Stamp<'_>) {
        case.change(&self.tag, State::take_out);
        case.turns.push(Turn::Out(self.tag.clone(), stamp.at));
    }

    fn describe(&self, named: Named<'_>) -> Sentence {
        (
            format!("{} taken out, nothing put in", named(&self.tag)),
            vec![phrases::exception(self.exception.as_ref())],
        )
    }

    fn sign(&self, _: OnLine<'_>) -> Option<Sign> {
        Some(Sign::TakenOut)
    }

    fn wanted_holder(&self, _: Side) -> Option<Holder> {
        Some(Holder::Patient)
    }

    fn turns(&self) -> bool {
        true
    }

    fn is_about_days(&self) -> bool {
        true
    }
}

impl TakenOut {
    /// With an exception, by whoever may sign one.
    pub fn sample(on: &SampleContext<'_>, tag: &Tag) -> TakenOut {
        TakenOut {
            tag: tag.clone(),
            exception: on.exception(),
        }
    }

    /// b: a wearable set in each treated arch at every moment, or an exception signed by the dentist.
    fn never_toothless(&self, proposal: &mut ProposedEvent<'_>) {
        let arch = proposal.arch(&self.tag);
        let Some(arch) = arch.filter(|arch| proposal.scope.is_treated(*arch)) else {
            return;
        };
        match &self.exception {
            None => proposal.refuse(
                CustodyRule::B,
                Some(&self.tag),
                format!(
                    "The patient would have no teeth in the {} arch. Fit something in the same step, or let the dentist \
                     sign an exception with its reason.",
                    arch.shown()
                ),
            ),
            Some(exception) => {
                proposal.exception_is_signed(CustodyRule::B, &self.tag, &exception.reason);
            }
        }
    }
}
