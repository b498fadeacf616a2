//! An item was disinfected.
//!
//! That the entry names agent and time, and travels with the item in both directions, follows the CDC guidelines
//! for dental health-care settings (MMWR 52, RR-17, 2003).

use super::action::{ItemAction, Subject};
use super::kind::{Constants, EventKind, Named, Sentence};
use super::phrases::prefixed;
use crate::domain::custody::case_state::CaseState;
use crate::domain::custody::proposal::{CustodyRule, ProposedEvent};
use crate::domain::custody::sign::{OnLine, Sign};
use crate::domain::custody::stamp::Stamp;
use crate::domain::form::{FieldSpec, Kind, Raw, command, name, whole};
use crate::domain::trade::disinfection::AGENT_MOST;
use crate::domain::values::fault::Fault;
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

command! {
    /// What the form asks for.
    DisinfectedForm;
    agent: String = name(AGENT_MOST), "Disinfectant", "Name on the bottle.", needed "Name the agent.";
    dilution: String = name(AGENT_MOST), "Dilution", "Such as 1:10, or “ready to use”.", needed "Write the dilution, or “ready to use”.";
    minutes: u32 = whole(1, 1440, "min"), "Contact time", "", needed "Whole minutes, from 1 to 1440.";
    rinsed: bool = Kind::Tick, "Rinsed afterwards", "";
}

impl DisinfectedForm {
    /// The entry of it on one item.
    pub fn of(&self, tag: Tag) -> Disinfected {
        Disinfected {
            tag,
            agent: self.agent.clone(),
            dilution: self.dilution.clone(),
            minutes: self.minutes,
            rinsed: self.rinsed,
        }
    }
}

impl ItemAction for Disinfected {
    const ACTION: &'static str = "disinfect";
    const LABEL: &'static str = "Record a disinfection";
    const HINT: &'static str = "As the agent's label and the item's maker allow.";
    const FIELDS: &'static [FieldSpec] = DisinfectedForm::FIELDS;

    fn typed(tag: &Tag, raw: &Raw, faults: &mut Vec<Fault>) -> Option<Disinfected> {
        Some(DisinfectedForm::read(raw, faults)?.of(tag.clone()))
    }

    fn example(about: &Subject<'_>) -> Disinfected {
        Disinfected {
            tag: about.tag.clone(),
            agent: "agent".to_owned(),
            dilution: String::new(),
            minutes: 1,
            rinsed: true,
        }
    }
}

impl Constants for Disinfected {
    const WORD: &'static str = "disinfected";
    const MISTAKEN: Option<&'static str> = Some("disinfected");
    const OPEN: &'static [&'static str] = &["tag"];
}

impl EventKind for Disinfected {
    fn tags(&self) -> Vec<&Tag> {
        vec![&self.tag]
    }

    fn check(&self, proposal: &mut ProposedEvent<'_>) {
        if self.agent.trim().is_empty() || self.minutes == 0 {
            proposal.refuse(
                CustodyRule::H,
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
