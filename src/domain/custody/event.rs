//! The events: what was done, to which things, by whom, when.

use crate::domain::ids::{CaseNumber, Tag};
use crate::domain::moment::Moment;
use crate::domain::party::{Actor, PartyKind, words_of};
use serde::{Deserialize, Serialize};

/// One fact. Stored once as canonical JSON and never changed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Event {
    pub id: String,
    pub case: CaseNumber,
    /// When it happened.
    pub at: Moment,
    /// When it was written down; later than `at` for an entry from paper.
    pub entered_at: Moment,
    pub by: Actor,
    pub what: What,
}

/// Signed by a dentist with the password: why a rule does not hold this once.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Exception {
    pub name: String,
    pub licence: String,
    pub reason: String,
}

/// One item as it was sent.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Sent {
    pub tag: Tag,
    pub condition: String,
}

/// One item as it was found on receipt.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Found {
    pub tag: Tag,
    pub outcome: Outcome,
    /// Whether it came with a mark of its disinfection.
    pub marked_disinfected: bool,
    pub note: String,
}

/// What the receiver found.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Outcome {
    Sound,
    Damaged,
    Missing,
    NotAsDescribed,
}
words_of!(Outcome {
    Sound = "sound", "sound";
    Damaged = "damaged", "damaged";
    Missing = "missing", "missing from the box";
    NotAsDescribed = "not_as_described", "not as described";
});

/// What happened.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "snake_case", deny_unknown_fields)]
pub enum What {
    /// The item exists from now on for this case; `worn`: it is in the patient's mouth.
    Registered {
        tag: Tag,
        place: PartyKind,
        worn: bool,
        note: String,
    },
    Disinfected {
        tag: Tag,
        agent: String,
        dilution: String,
        minutes: u32,
        rinsed: bool,
    },
    Released {
        handoff: String,
        items: Vec<Sent>,
        from: PartyKind,
        to: PartyKind,
        carrier: String,
        tracking: String,
        purpose: String,
        seal: String,
        exception: Option<Exception>,
    },
    Received {
        handoff: String,
        place: PartyKind,
        items: Vec<Found>,
        unannounced: String,
    },
    /// One chair step: what was worn comes out, and this goes in.
    Fitted {
        tag: Tag,
        instead_of: Option<Tag>,
    },
    /// Taken out and nothing put in.
    TakenOut {
        tag: Tag,
        exception: Option<Exception>,
    },
    /// Handed to the patient to keep, not to wear now: the spare.
    Given {
        tag: Tag,
    },
    BroughtBack {
        tag: Tag,
    },
    UsedUp {
        tag: Tag,
        into: String,
    },
    /// The old denture stays out of the patient's hands.
    Withheld {
        tag: Tag,
        consent: bool,
        kept: String,
    },
    Destroyed {
        tag: Tag,
        how: String,
    },
    /// Missing from the box and given up, by the side that had handed it over.
    WrittenOff {
        tag: Tag,
        how: String,
    },
    Corrected {
        event: String,
        note: String,
    },
}

impl What {
    /// The stored word of the kind.
    pub fn word(&self) -> &'static str {
        match self {
            What::Registered { .. } => "registered",
            What::Disinfected { .. } => "disinfected",
            What::Released { .. } => "released",
            What::Received { .. } => "received",
            What::Fitted { .. } => "fitted",
            What::TakenOut { .. } => "taken_out",
            What::Given { .. } => "given",
            What::BroughtBack { .. } => "brought_back",
            What::UsedUp { .. } => "used_up",
            What::Withheld { .. } => "withheld",
            What::Destroyed { .. } => "destroyed",
            What::WrittenOff { .. } => "written_off",
            What::Corrected { .. } => "corrected",
        }
    }

    /// Every item that it touches.
    pub fn tags(&self) -> Vec<&Tag> {
        match self {
            What::Released { items, .. } => items.iter().map(|sent| &sent.tag).collect(),
            What::Received { items, .. } => items.iter().map(|found| &found.tag).collect(),
            What::Fitted { tag, instead_of } => std::iter::once(tag).chain(instead_of).collect(),
            What::Registered { tag, .. }
            | What::Disinfected { tag, .. }
            | What::TakenOut { tag, .. }
            | What::Given { tag }
            | What::BroughtBack { tag }
            | What::UsedUp { tag, .. }
            | What::Withheld { tag, .. }
            | What::Destroyed { tag, .. }
            | What::WrittenOff { tag, .. } => vec![tag],
            What::Corrected { .. } => Vec::new(),
        }
    }
}
