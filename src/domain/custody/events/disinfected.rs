//! An item was disinfected.
//!
//! That the entry names agent and time, and travels with the item in both directions, follows the CDC guidelines
//! for dental health-care settings (MMWR 52, RR-17, 2003).

use super::kind::{Constants, Kind, Named, Sentence};
use super::phrases::prefixed;
use crate::domain::custody::case_state::CaseState;
use crate::domain::custody::proposal::{Proposal, Rule};
use crate::domain::custody::sign::{OnLine, Sign};
use crate::domain::custody::stamp::Stamp;
use crate::domain::values::ids::Tag;
use serde::{Deserialize, Serialize};

/// An item was disinfected.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Disinfected {
    pub tag: Tag,
    pub agent: String,
    pub dilution: String,
    pub minutes: u32,
    pub rinsed: bool,
}

impl Constants for Disinfected {
    const WORD: &'static str = "disinfected";
    const OPEN: &'static [&'static str] = &["tag"];
}

impl Kind for Disinfected {
    fn tags(&self) -> Vec<&Tag> {
        vec![&self.tag]
    }

    fn check(&self, proposal: &mut Proposal<'_>) {
        if self.agent.trim().is_empty() || self.minutes == 0 {
            proposal.refuse(
                Rule::H,
                Some(&self.tag),
                "A disinfection entry names the agent and the minutes it worked: the next hands rely on both.",
            );
        }
    }

    fn apply(&self, case: &mut CaseState, _: &Stamp<'_>) {
        case.change(&self.tag, |state| {
            state.disinfected = true;
            state.held_for_disinfection = false;
            state.uncleaned = false;
        });
    }

    fn describe(&self, named: Named<'_>) -> Sentence {
        let rinsed = if self.rinsed { "rinsed" } else { "not rinsed" };
        let detail = format!(
            "{}{}, {} min, {rinsed}",
            self.agent,
            prefixed(", ", &self.dilution),
            self.minutes
        );
        (format!("{} disinfected", named(&self.tag)), vec![detail])
    }

    fn sign(&self, _: OnLine<'_>) -> Option<Sign> {
        Some(Sign::Disinfected)
    }

    fn may_precede_disinfection(&self) -> bool {
        true
    }
}
