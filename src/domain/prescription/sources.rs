//! Where the values of a draft come from: nobody types what is known already.

use super::draft::Fields;
use std::borrow::Cow;
use std::collections::BTreeMap;

/// The draft's key of the switch "as the pattern": yes or no. It is of the draft alone; what it answers is signed.
pub const AS_PATTERN: &str = "form.as_pattern";

/// The draft's keys of the sets of usual values that it goes by: the office's own, and what the lab does unless told.
/// They are of the draft alone, and hold it to the versions that it was begun with.
pub const USUAL: &str = "form.usual";
/// The set of the lab, by the same rule.
pub const USUAL_OF_LAB: &str = "form.usual_lab";

/// Whether a key is one of the draft alone, which its form may send.
pub fn is_of_the_draft(key: &str) -> bool {
    [AS_PATTERN, USUAL, USUAL_OF_LAB].contains(&key)
}

/// Where a value comes from that the writer has not typed. Where several could say it, the first of this list does.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Origin {
    /// Items, entries, the patient's card.
    Record,
    /// The switch "as the pattern".
    Pattern,
    /// The kind of work.
    Course,
    /// What was signed for the same patient before.
    Before,
    /// The office's named set of usual values, in this version.
    Usual(i64),
    /// What the lab does unless told, in this version.
    UsualOfLab(i64),
    /// The set that a course begins with.
    Start,
    /// Other fields.
    Computed,
}

impl Origin {
    /// As it stands small at the end of a line.
    pub fn shown(self) -> Cow<'static, str> {
        Cow::Borrowed(match self {
            Origin::Record => "on record",
            Origin::Pattern => "as the pattern",
            Origin::Course => "kind of work",
            Origin::Before => "case before",
            Origin::Usual(version) => return format!("usual of version {version}").into(),
            Origin::UsualOfLab(version) => {
                return format!("usual at the lab, version {version}").into();
            }
            Origin::Start => "starting set",
            Origin::Computed => "worked out",
        })
    }

    /// The same without its version: where several sources stand beside each other.
    pub fn short(self) -> Cow<'static, str> {
        match self {
            Origin::Usual(_) | Origin::UsualOfLab(_) => Cow::Borrowed("usual"),
            other => other.shown(),
        }
    }

    /// How many values come from it: "31 as the pattern", "6 from your usual values (version 1)".
    pub fn counted(self, values: usize) -> String {
        let from = match self {
            Origin::Usual(version) => {
                return format!("{values} from your usual values (version {version})");
            }
            Origin::UsualOfLab(version) => {
                return format!("{values} from the lab’s usual values (version {version})");
            }
            Origin::Pattern => "as the pattern",
            Origin::Record => "from the record",
            Origin::Course => "from the kind of work",
            Origin::Before => "from the case before",
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
