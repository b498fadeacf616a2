//! Where the values of a draft come from: nobody types what is known already.

use super::draft::Fields;
use std::collections::BTreeMap;

/// The draft's key of the switch "as the pattern": yes or no. It is of the draft alone; what it answers is signed.
pub const AS_PATTERN: &str = "form.as_pattern";

/// Where a value comes from that the writer has not typed. Where several could say it, the first of this list does.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Origin {
    /// Items, entries, the patient's card.
    Record,
    /// The switch "as the pattern".
    Pattern,
    /// The kind of work.
    Course,
    /// The set that a course begins with.
    Start,
    /// Other fields.
    Computed,
}

impl Origin {
    /// As it stands small at the end of a line.
    pub fn shown(self) -> &'static str {
        match self {
            Origin::Record => "on record",
            Origin::Pattern => "as the pattern",
            Origin::Course => "kind of work",
            Origin::Start => "starting set",
            Origin::Computed => "worked out",
        }
    }

    /// How many values come from it: "31 as the pattern".
    pub fn counted(self, values: usize) -> String {
        let from = match self {
            Origin::Record => "from the record",
            Origin::Pattern => "as the pattern",
            Origin::Course => "from the kind of work",
            Origin::Start => "from the starting set",
            Origin::Computed => "worked out from other fields",
        };
        format!("{values} {from}")
    }
}

/// A draft with what it takes from elsewhere.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Filled {
    /// What was typed, over what comes from elsewhere.
    pub fields: Fields,
    /// Of each value that nobody typed, where it comes from.
    pub from: BTreeMap<String, Origin>,
}
