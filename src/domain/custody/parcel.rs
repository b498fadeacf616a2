//! What travels: items as they were sent and as they were found, and the parcels around them.

use crate::domain::form::choice_field;
use crate::domain::values::ids::Tag;
use crate::domain::values::words_of;
use serde::{Deserialize, Serialize};

/// One item as it was sent.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Sent {
    pub tag: Tag,
    pub condition: String,
    /// Damaged before, or not as described, and set right since.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub set_right: bool,
    /// The number of its parcel, from 1; 0 where the release tells of no parcels.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub parcel: u32,
    /// Pieces counted out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pieces: Option<u32>,
}

impl Sent {
    /// A thing of which nothing is said.
    pub fn of(tag: Tag) -> Sent {
        Sent {
            tag,
            condition: String::new(),
            set_right: false,
            parcel: 0,
            pieces: None,
        }
    }

    /// The same where something has to be said: "sound".
    pub fn condition_shown(&self) -> String {
        match self.condition_words() {
            words if words.is_empty() => "sound".to_owned(),
            words => words,
        }
    }

    /// How it leaves, in words; empty where nothing is the matter with it.
    pub fn condition_words(&self) -> String {
        match (self.set_right, self.condition.is_empty()) {
            (true, true) => "set right, sound again".to_owned(),
            (true, false) => format!("set right, sound again: {}", self.condition),
            _ => self.condition.clone(),
        }
    }

    /// The number of its parcel, from 1.
    pub fn parcel(&self) -> u32 {
        self.parcel.max(1)
    }
}

/// A parcel of a release.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Parcel {
    /// Empty for a parcel without a seal.
    pub seal: String,
    pub moist_bag: bool,
    pub hard_box: bool,
    pub note: String,
}

/// A parcel as it was found on receipt.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ParcelFound {
    pub parcel: u32,
    /// Stored under a name of its own: the seal of a parcel that is sent is a number.
    #[serde(rename = "came")]
    pub seal: SealFound,
    /// The number that was read on the seal.
    pub number: String,
}

words_of! {
    /// How a parcel and its seal came.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
    #[serde(rename_all = "snake_case")]
    pub enum SealFound {
        Intact = "seal intact",
        Broken = "seal broken",
        None = "no seal on it",
        /// The parcel itself is not here yet; what is in it stays on the way.
        NotHere = "this parcel is not here yet",
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

impl Found {
    /// What was found of the item of this tag.
    pub fn of<'a>(found: &'a [Found], tag: &Tag) -> Option<&'a Found> {
        found.iter().find(|one| one.tag == *tag)
    }

    /// What was found of a thing that was sent so: what had a flaw and came with it is as described, and not sound.
    pub fn words(&self, sent: &Sent) -> String {
        let sent = sent.condition.as_str();
        let words = match (self.outcome, sent) {
            (Outcome::Sound, "" | "sound") => self.outcome.shown().to_owned(),
            (Outcome::Sound, flaw) => format!("as described: {flaw}"),
            (outcome, _) => outcome.shown().to_owned(),
        };
        match self.note.as_str() {
            "" => words,
            note => format!("{words} ({note})"),
        }
    }
}

words_of! {
    /// What the receiver found.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
    #[serde(rename_all = "snake_case")]
    pub enum Outcome {
        Sound = "sound",
        Damaged = "damaged",
        Missing = "missing from the parcel",
        NotAsDescribed = "not as described",
    }
}

impl Found {
    /// It is there, marked, and nothing is the matter with it.
    pub fn sound(tag: Tag) -> Found {
        Found {
            tag,
            outcome: Outcome::Sound,
            marked_disinfected: true,
            note: String::new(),
            pieces: None,
        }
    }
}

choice_field!(SealFound);
choice_field!(Outcome);

impl Parcel {
    /// "Parcel 1: seal 4711, moist in a sealed bag"
    pub fn words(&self, number: u32) -> String {
        let mut words = vec![match self.seal.as_str() {
            "" => "no seal".to_owned(),
            seal => format!("seal {seal}"),
        }];
        if self.moist_bag {
            words.push("moist in a sealed bag".to_owned());
        }
        if self.hard_box {
            words.push("in a hard box".to_owned());
        }
        if !self.note.is_empty() {
            words.push(self.note.clone());
        }
        format!("Parcel {number}: {}", words.join(", "))
    }
}

impl ParcelFound {
    /// A parcel that came, and of whose seal nobody said anything.
    pub fn without_a_word(parcel: u32) -> ParcelFound {
        ParcelFound {
            parcel,
            seal: SealFound::None,
            number: String::new(),
        }
    }

    /// "Parcel 1: seal intact, read as 4711"
    pub fn words(&self) -> String {
        let read = match self.number.trim() {
            "" => String::new(),
            _ => format!(", read as {}", self.number),
        };
        format!("Parcel {}: {}{read}", self.parcel, self.seal.shown())
    }
}

/// "1 parcel", "2 parcels"
pub fn parcels_counted(count: u32) -> String {
    match count {
        1 => "1 parcel".to_owned(),
        many => format!("{many} parcels"),
    }
}

/// The parcels of a release; one that tells of none is one parcel with the seal named beside it.
pub fn parcels_of(parcels: &[Parcel], seal: &str) -> Vec<Parcel> {
    if parcels.is_empty() {
        vec![Parcel {
            seal: seal.to_owned(),
            ..Parcel::default()
        }]
    } else {
        parcels.to_vec()
    }
}

fn is_zero(number: &u32) -> bool {
    *number == 0
}
