//! The events: what was done, to which things, by whom, when.

use super::purpose::Purpose;
use crate::domain::people::party::{Actor, Side};
use crate::domain::values::ids::{CaseNumber, Tag};
use crate::domain::values::moment::Moment;
use crate::domain::values::words_of;
use serde::{Deserialize, Serialize};

/// One fact. Stored once as canonical JSON and never changed, but for a free text that is erased.
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
    /// The printed name on the paper that a late entry was copied from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub paper: Option<String>,
    pub what: What,
}

impl Event {
    /// Whether it was written down after it had happened.
    pub fn is_late(&self) -> bool {
        self.entered_at.unix_ms > self.at.unix_ms
    }
}

/// Signed by a dentist with the password: why a rule does not hold this once.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Exception {
    pub name: String,
    pub licence: String,
    pub reason: String,
}

/// A signature by password: the printed name, and what it says by being there.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Signed {
    pub name: String,
    /// Empty for whoever has none.
    pub licence: String,
    pub meaning: String,
}

/// One item as it was sent.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Sent {
    pub tag: Tag,
    pub condition: String,
    /// The number of its parcel, from 1; 0 where the release tells of no parcels.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub parcel: u32,
    /// Pieces counted out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pieces: Option<u32>,
}

impl Sent {
    /// The number of its parcel, from 1.
    pub fn parcel(&self) -> u32 {
        self.parcel.max(1)
    }
}

/// A box of a release.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Parcel {
    /// Empty for a box without a seal.
    pub seal: String,
    pub moist_bag: bool,
    pub hard_box: bool,
    pub note: String,
}

/// A box as it was found on receipt.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ParcelFound {
    pub parcel: u32,
    /// Stored under a name of its own: the seal of a box that is sent is a number.
    #[serde(rename = "came")]
    pub seal: SealFound,
    /// The number that was read on the seal.
    pub number: String,
}

words_of! {
    /// How a box and its seal came.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
    #[serde(rename_all = "snake_case")]
    pub enum SealFound {
        Intact = "seal intact",
        Broken = "seal broken",
        None = "no seal on it",
        /// The box itself is not here yet; what is in it stays on the way.
        NotHere = "this box is not here yet",
    }
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
    /// Pieces counted in.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pieces: Option<u32>,
}

/// How an item came to be.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Made {
    /// What it was made from, on or over: the items of this case that it comes down from.
    pub from: Vec<Tag>,
    pub how: String,
    pub material: String,
    pub lot: String,
    /// Minutes under pressure in the pot.
    pub pot_minutes: Option<u32>,
    /// Whoever made it, where that is not whoever entered it.
    pub maker: String,
}

/// How a spare is kept.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Spare {
    /// What stands on it, such as the letters "spare" and the day.
    pub mark: String,
    pub place: String,
    /// Who keeps it: the patient, a carer; never a name.
    pub keeper: String,
    pub in_water: bool,
}

words_of! {
    /// What is the matter with something that came.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
    #[serde(rename_all = "snake_case")]
    pub enum Trouble {
        SealBroken = "the seal was broken",
        OtherSeal = "another seal than the one that was sent",
        NoSeal = "no seal, though one was sent",
        Missing = "missing from the box",
        Damaged = "arrived damaged",
        NotAsDescribed = "not as described",
        WrongCount = "another number of pieces",
        Unannounced = "something that was not announced",
    }
}

words_of! {
    /// What became of an item in the end.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
    #[serde(rename_all = "snake_case")]
    pub enum Disposition {
        Worn = "in the patient's mouth",
        Spare = "with the patient as the spare",
        GivenBack = "given back to the patient",
        KeptBack = "kept back at the office with consent",
        AtOffice = "kept at the office",
        AtLab = "kept at the lab",
        ReturnedToLender = "with its lender",
        UsedUp = "used up",
        Destroyed = "destroyed",
        WrittenOff = "written off as lost",
    }
}

words_of! {
    /// Why a text is taken out: a word of a list, so that the reason cannot say again what was erased.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
    #[serde(rename_all = "snake_case")]
    pub enum EraseReason {
        NamesPatient = "it names the patient or makes the patient known",
        NamesOther = "it names or describes somebody else",
        Asked = "the person it is about has asked for it",
        Unrelated = "it has nothing to do with this case",
    }
}

/// A text that was taken out of an earlier entry.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ErasedText {
    /// The entry's id.
    pub event: String,
    /// Where in the entry it stood: a JSON pointer (RFC 6901).
    pub place: String,
}

/// An item and what became of it, when its case was closed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Disposed {
    pub tag: Tag,
    pub disposition: Disposition,
}

fn is_zero(number: &u32) -> bool {
    *number == 0
}
fn is_no(flag: &bool) -> bool {
    !flag
}

words_of! {
    /// What the receiver found.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
    #[serde(rename_all = "snake_case")]
    pub enum Outcome {
        Sound = "sound",
        Damaged = "damaged",
        Missing = "missing from the box",
        NotAsDescribed = "not as described",
    }
}

/// What happened.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "snake_case", deny_unknown_fields)]
pub enum What {
    /// The item exists from now on for this case; `worn`: it is in the patient's mouth.
    Registered {
        tag: Tag,
        place: Side,
        worn: bool,
        note: String,
        /// Pieces that it consists of, where that is not one.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        pieces: Option<u32>,
        #[serde(default, skip_serializing_if = "Option::is_none")]
        made: Option<Made>,
        /// The day, `2026-03-02`, on which a borrowed thing is due back with its lender.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        due_back: Option<String>,
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
        from: Side,
        to: Side,
        carrier: String,
        tracking: String,
        /// What it is for, by the list; none in an entry from before there was one.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        purpose_code: Option<Purpose>,
        /// The same in words, or what there is to add.
        purpose: String,
        /// The seal of a release that tells of no parcels.
        seal: String,
        exception: Option<Exception>,
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        parcels: Vec<Parcel>,
    },
    Received {
        handoff: String,
        place: Side,
        items: Vec<Found>,
        unannounced: String,
        /// The boxes as they came; none where the receipt tells of no boxes.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        parcels: Vec<ParcelFound>,
        /// The code on a thing that came along and was not announced.
        #[serde(default, skip_serializing_if = "String::is_empty")]
        foreign: String,
    },
    /// Taken back: it never left the house, so nobody can receive it.
    Voided {
        handoff: String,
        items: Vec<Tag>,
        reason: String,
        signed: Signed,
    },
    /// The statement that ends a hold, by the side that had to answer.
    Settled {
        hold: String,
        trouble: Trouble,
        #[serde(default, skip_serializing_if = "Option::is_none")]
        tag: Option<Tag>,
        reason: String,
        done: String,
        signed: Signed,
        /// The missing thing was never packed: it is with the side that had sent it.
        #[serde(default, skip_serializing_if = "std::ops::Not::not")]
        not_packed: bool,
    },
    /// Put somewhere inside the house that has it: bench, oven, shelf.
    Moved {
        tag: Tag,
        /// Stored under a name of its own: `to` is a side wherever else it stands.
        #[serde(rename = "spot")]
        to: String,
    },
    /// One chair step: what was worn comes out, and this goes in.
    Fitted {
        tag: Tag,
        instead_of: Option<Tag>,
        /// It had come from the lab, and was not disinfected again before: stated by whoever enters it.
        #[serde(default, skip_serializing_if = "is_no")]
        uncleaned: bool,
    },
    /// Taken out and nothing put in.
    TakenOut {
        tag: Tag,
        exception: Option<Exception>,
    },
    /// Handed to the patient to keep, not to wear now: the spare.
    Given {
        tag: Tag,
        #[serde(default, skip_serializing_if = "Option::is_none")]
        spare: Option<Spare>,
    },
    /// The patient's own parts, counted and back in the patient's hands.
    GivenBack {
        tag: Tag,
        pieces: u32,
    },
    BroughtBack {
        tag: Tag,
    },
    UsedUp {
        tag: Tag,
        into: String,
        /// The item of this case that it went into.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        into_item: Option<Tag>,
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
        /// The patient's, for what is the patient's own.
        #[serde(default, skip_serializing_if = "is_no")]
        consent: bool,
    },
    /// Missing from the box and given up, by the side that had handed it over.
    WrittenOff {
        tag: Tag,
        how: String,
        #[serde(default, skip_serializing_if = "Option::is_none")]
        signed: Option<Signed>,
    },
    /// The end of the case, with what became of each item.
    Closed {
        items: Vec<Disposed>,
        note: String,
        signed: Signed,
    },
    /// A closed case goes on.
    Reopened {
        reason: String,
    },
    Corrected {
        event: String,
        note: String,
    },
    /// Free texts of earlier entries were taken out for good. That they were there stays.
    Erased {
        texts: Vec<ErasedText>,
        why: EraseReason,
        signed: Signed,
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
            What::GivenBack { .. } => "given_back",
            What::Voided { .. } => "voided",
            What::Settled { .. } => "settled",
            What::Moved { .. } => "moved",
            What::Closed { .. } => "closed",
            What::Reopened { .. } => "reopened",
            What::BroughtBack { .. } => "brought_back",
            What::UsedUp { .. } => "used_up",
            What::Withheld { .. } => "withheld",
            What::Destroyed { .. } => "destroyed",
            What::WrittenOff { .. } => "written_off",
            What::Corrected { .. } => "corrected",
            What::Erased { .. } => "erased",
        }
    }

    /// Every item that it touches: whose place, state or history it changes.
    pub fn tags(&self) -> Vec<&Tag> {
        match self {
            What::Released { items, .. } => items.iter().map(|sent| &sent.tag).collect(),
            What::Received { items, .. } => items.iter().map(|found| &found.tag).collect(),
            What::Voided { items, .. } => items.iter().collect(),
            What::Fitted {
                tag, instead_of, ..
            } => std::iter::once(tag).chain(instead_of).collect(),
            What::Registered { tag, .. }
            | What::Disinfected { tag, .. }
            | What::TakenOut { tag, .. }
            | What::Given { tag, .. }
            | What::GivenBack { tag, .. }
            | What::Moved { tag, .. }
            | What::BroughtBack { tag }
            | What::UsedUp { tag, .. }
            | What::Withheld { tag, .. }
            | What::Destroyed { tag, .. }
            | What::WrittenOff { tag, .. } => vec![tag],
            What::Corrected { .. }
            | What::Erased { .. }
            | What::Settled { .. }
            | What::Closed { .. }
            | What::Reopened { .. } => Vec::new(),
        }
    }

    /// Whether it tells of this item, be it touched by it or not.
    pub fn tells_of(&self, asked: &Tag) -> bool {
        match self {
            What::Settled { tag, .. } => tag.as_ref() == Some(asked),
            What::Closed { items, .. } => items.iter().any(|one| one.tag == *asked),
            What::Registered {
                tag,
                made: Some(made),
                ..
            } => tag == asked || made.from.contains(asked),
            What::UsedUp { tag, into_item, .. } => {
                tag == asked || into_item.as_ref() == Some(asked)
            }
            other => other.tags().contains(&asked),
        }
    }
}
