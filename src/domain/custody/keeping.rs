//! Papers of a case that its houses keep beyond their time.

use crate::domain::people::party::Side;
use crate::domain::values::moment::Moment;

/// Which houses keep the papers of a case longer, each by a word of its own.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct KeepingHouses {
    office: Option<KeptSince>,
    lab: Option<KeptSince>,
}

impl KeepingHouses {
    /// What this house has said.
    pub fn of(&self, side: Side) -> Option<&KeptSince> {
        match side {
            Side::Office => self.office.as_ref(),
            Side::Lab => self.lab.as_ref(),
        }
    }

    /// Enters what this house says.
    pub fn say(&mut self, side: Side, kept: Option<KeptSince>) {
        match side {
            Side::Office => self.office = kept,
            Side::Lab => self.lab = kept,
        }
    }

    /// Every word that stands.
    pub fn all(&self) -> impl Iterator<Item = &KeptSince> {
        self.office.iter().chain(&self.lab)
    }

    /// All of them in words; none where no house keeps them longer.
    pub fn words(&self) -> Option<String> {
        let all: Vec<String> = self.all().map(KeptSince::words).collect();
        (!all.is_empty()).then(|| all.join(" And "))
    }
}

/// Since when, by whose word and why the papers of a case are kept longer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KeptSince {
    pub since: Moment,
    pub by: String,
    pub reason: String,
}

impl KeptSince {
    /// "since Mon 2 Mar 2026 …, by Dora, Northgate Dental: a complaint is open."
    pub fn words(&self) -> String {
        let reason = self.reason.trim_end_matches('.');
        format!("since {}, by {}: {reason}.", self.since.in_words(), self.by)
    }
}
