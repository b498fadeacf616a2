//! Work that stands still: stopped, paused or cancelled by the office, until it goes on.

use crate::domain::form::choice_field;
use crate::domain::values::ids::{EventId, Tag};
use crate::domain::values::moment::Moment;
use crate::domain::values::words_of;
use serde::{Deserialize, Serialize};

words_of! {
    /// How the work stands still.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
    pub enum Halt {
        Stopped = "stopped",
        Paused = "paused",
        Cancelled = "canceled",
    }
}

words_of! {
    /// What becomes of a thing at the lab when the work is cancelled.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
    #[serde(rename_all = "snake_case")]
    pub enum Fate {
        ComesBack = "comes back to the office",
        Stays = "stays with the lab",
        Scrapped = "is destroyed",
    }
}

choice_field!(Fate);

impl Fate {
    /// What can become of a thing: what is lent is never destroyed.
    pub fn open_to(is_lent: bool) -> impl Iterator<Item = Fate> {
        let all = Fate::ALL.iter().copied();
        all.filter(move |fate| !(is_lent && *fate == Fate::Scrapped))
    }
}

/// A thing and what becomes of it when the work is cancelled.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Fated {
    pub tag: Tag,
    pub fate: Fate,
    /// Whether the patient consents, where it is destroyed. None in an entry from before it was asked, and where
    /// nothing is destroyed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub consent: Option<bool>,
}

/// The standstill of a case, from the entry that began it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Standstill {
    pub halt: Halt,
    /// The entry that says so.
    pub event: EventId,
    pub since: Moment,
    /// Since when the work stands still at all: a pause may have become a stop.
    pub began: Moment,
    /// Who said so, with the house.
    pub by: String,
    pub reason: String,
    /// Who took notice of it for the lab, and when.
    pub heeded: Option<(String, Moment)>,
    /// What becomes of each thing, where the work is cancelled.
    pub items: Vec<Fated>,
}

impl Standstill {
    /// What was said of this thing when the work was cancelled.
    pub fn fate(&self, tag: &Tag) -> Option<Fate> {
        let said = self.items.iter().find(|one| one.tag == *tag)?;
        Some(said.fate)
    }

    /// "Stopped by Ada Sample, Sample Office, on Mon 2 Mar 2026 …"
    pub fn words(&self) -> String {
        let word = match self.halt {
            Halt::Stopped => "Stopped",
            Halt::Paused => "Paused",
            Halt::Cancelled => "Canceled",
        };
        format!("{word} by {} on {}", self.by, self.since.in_words())
    }
}
