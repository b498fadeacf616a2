//! Under what an event stands: its id, its times, and who answers for it.

use crate::domain::people::party::Actor;
use crate::domain::values::ids::EventId;
use crate::domain::values::moment::Moment;

/// An event without what it says.
#[derive(Debug, Clone, Copy)]
pub struct Stamp<'a> {
    pub id: &'a EventId,
    /// When it happened.
    pub at: Moment,
    pub by: &'a Actor,
    /// The printed name on the paper that a late entry was copied from.
    pub paper: Option<&'a str>,
}

impl Stamp<'_> {
    /// Who answers for what was done: the person, or the name on the paper it was copied from.
    pub fn answering(&self) -> String {
        format!("{}, {}", self.name(), self.by.party_name)
    }

    /// The same without the house.
    pub fn name(&self) -> &str {
        self.paper.unwrap_or(&self.by.name)
    }
}
