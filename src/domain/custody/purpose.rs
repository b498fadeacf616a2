//! What a handoff is for: a word of a short list, so that it can be counted, sorted and checked, with
//! whatever there is to add in words of one's own beside it.
//!
//! A custody record names the purpose of each transfer (CNSSI 4009-2015, chain of custody). Which purposes
//! there are between an office and a laboratory: common practice, no source.

use crate::domain::form::choice_field;
use crate::domain::people::party::Side;
use crate::domain::values::words_of;
use serde::{Deserialize, Serialize};

words_of! {
    /// Why things go to the other side.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
    #[serde(rename_all = "snake_case")]
    pub enum Purpose {
        Make = "for fabrication",
        Duplicate = "a duplicate is to be made",
        AfterTrial = "back after a try-in, to go on with",
        Change = "for alteration",
        Repair = "to be repaired",
        Remount = "to be remounted",
        Record = "for records at the chair",
        Trial = "for a try-in",
        Finished = "finished, to be fitted",
        GoingBack = "returned, no longer needed",
        Stray = "sent in error, returned",
        Other = "other (describe)",
    }
}

choice_field!(Purpose);

words_of! {
    /// What work was made by that leaves the lab, where the telephone said otherwise than the signed text.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
    #[serde(rename_all = "snake_case")]
    pub enum MadeBy {
        Text = "made as the prescription says",
        Telephone = "made as was said on the telephone",
    }
}

choice_field!(MadeBy);

impl Purpose {
    /// What a side may hand things over for, in the order of a case's course.
    pub fn of(from: Side) -> &'static [Purpose] {
        match from {
            Side::Office => &[
                Purpose::Make,
                Purpose::Duplicate,
                Purpose::AfterTrial,
                Purpose::Change,
                Purpose::Repair,
                Purpose::Remount,
                Purpose::GoingBack,
                Purpose::Stray,
                Purpose::Other,
            ],
            Side::Lab => &[
                Purpose::Record,
                Purpose::Trial,
                Purpose::Finished,
                Purpose::GoingBack,
                Purpose::Stray,
                Purpose::Other,
            ],
        }
    }

    /// Whether what the office sends so is to be worked on.
    pub fn is_for_work(self) -> bool {
        !self.is_return() && self != Purpose::Other
    }

    /// Whether things only go back to where they came from.
    pub fn is_return(self) -> bool {
        matches!(self, Purpose::GoingBack | Purpose::Stray)
    }

    /// Whether the word alone says nothing.
    pub fn needs_words(self) -> bool {
        self == Purpose::Other
    }
}

/// The purpose as it is read: the word of the list, and what was added. An entry from before there was a list
/// has its own words only.
pub fn purpose_words(purpose: Option<Purpose>, remark: &str) -> String {
    match purpose.filter(|purpose| !purpose.needs_words()) {
        None => remark.to_owned(),
        Some(purpose) if remark.is_empty() => purpose.shown().to_owned(),
        Some(purpose) => format!("{}: {remark}", purpose.shown()),
    }
}
