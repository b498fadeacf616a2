//! Papers of a case that its office keeps beyond their time.

use crate::domain::values::moment::Moment;

/// Since when, by whose word and why the papers of a case are kept longer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KeptSince {
    pub since: Moment,
    pub by: String,
    pub reason: String,
}

impl KeptSince {
    /// "Since 2 Mar 2026, by Dora, Northgate Dental: a complaint is open."
    pub fn words(&self) -> String {
        let reason = self.reason.trim_end_matches('.');
        format!("since {}, by {}: {reason}.", self.since, self.by)
    }
}
