//! A disinfection that is entered along with another action: before things leave, and before something goes
//! into the mouth.

use super::manage::Typed;
use super::record_event::{minutes, text};
use crate::domain::custody::What;
use crate::domain::custody::events::Disinfected;
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::Tag;

/// What was done, whatever it was done to.
pub(super) struct Disinfection {
    agent: String,
    dilution: String,
    minutes: u32,
    rinsed: bool,
}

impl Disinfection {
    /// Reads the boxes; none where nothing was typed. What is half filled in is a fault.
    pub(super) fn read(typed: &Typed, faults: &mut Vec<Fault>) -> Option<Disinfection> {
        let agent = text(typed, "agent", faults);
        let dilution = text(typed, "dilution", faults);
        let is_blank = |key: &str| typed.get(key).is_none_or(|text| text.trim().is_empty());
        if agent.is_empty() && dilution.is_empty() && is_blank("minutes") {
            return None;
        }
        if agent.is_empty() {
            faults.push(Fault::new("agent", "Name the agent."));
        }
        if dilution.is_empty() {
            let wanted = "Write the dilution, or “ready to use”.";
            faults.push(Fault::new("dilution", wanted));
        }
        Some(Disinfection {
            agent,
            dilution,
            minutes: minutes(typed, "minutes", faults),
            rinsed: typed.get("rinsed").is_some_and(|text| text == "yes"),
        })
    }

    /// The entry of it on one thing.
    pub(super) fn of(&self, tag: Tag) -> What {
        What::Disinfected(Disinfected {
            tag,
            agent: self.agent.clone(),
            dilution: self.dilution.clone(),
            minutes: self.minutes,
            rinsed: self.rinsed,
        })
    }
}
