//! Who takes part: offices and laboratories, and the people who work there.

use crate::domain::form::choice_field;
use crate::domain::values::ids::{AccountId, PartyId};
use crate::domain::values::tooth::Numbering;
use crate::domain::values::words_of;
use serde::{Deserialize, Serialize};

words_of! {
    /// The two kinds of house that hand things to each other.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
    #[serde(rename_all = "snake_case")]
    pub enum Side {
        Office = "dental office",
        Lab = "dental laboratory",
    }
}

choice_field!(Side);

impl Side {
    /// The house across.
    pub fn other(self) -> Side {
        match self {
            Side::Office => Side::Lab,
            Side::Lab => Side::Office,
        }
    }
}

words_of! {
    /// The sheet a party's printer holds.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
    #[serde(rename_all = "snake_case")]
    pub enum Paper {
        A4 = "A4",
        Letter = "Letter",
    }
}

choice_field!(Paper);

impl Paper {
    /// Width and height in mm: ISO 216 A4, and 8.5 by 11 inches.
    pub fn size_mm(self) -> (f32, f32) {
        match self {
            Paper::A4 => (210.0, 297.0),
            Paper::Letter => (215.9, 279.4),
        }
    }
}

words_of! {
    /// What a person may be here; one role per account.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
    #[serde(rename_all = "snake_case")]
    pub enum Role {
        /// Prescribes and signs.
        Dentist = "dentist",
        /// Prepares prescriptions, packs, hands over; never signs.
        Assistant = "assistant",
        /// Makes the work in the lab.
        Technician = "technician",
        /// Answers for the lab: receives, releases.
        LabManager = "lab manager",
        /// Keeps parties and people; sees no case.
        Administrator = "administrator",
    }
}

choice_field!(Role);

impl Role {
    /// The kind of house this role works in; `None` for the administrator, who belongs to the installation.
    pub fn works_in(self) -> Option<Side> {
        match self {
            Role::Dentist | Role::Assistant => Some(Side::Office),
            Role::Technician | Role::LabManager => Some(Side::Lab),
            Role::Administrator => None,
        }
    }
}

/// A person as printed beside what he or she did: who, as what, for which house.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Actor {
    pub account: AccountId,
    /// Printed name.
    pub name: String,
    pub role: Role,
    /// Party id; empty for an administrator.
    pub party: PartyId,
    pub party_name: String,
}

/// An office or a laboratory, with what a prescription must say of it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Party {
    pub id: PartyId,
    pub kind: Side,
    pub name: String,
    /// Several lines.
    pub address: String,
    /// Licence or registration number.
    pub licence: String,
    /// As it is to be printed; empty where none is given.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub telephone: String,
    /// IANA time zone name.
    pub zone: String,
    pub paper: Paper,
    pub numbering: Numbering,
    /// The key of the profile of local law that the party has chosen.
    pub profile: String,
    /// Counts changes of this row; a form that was read at an older version is stale.
    pub version: i64,
}

/// Words at the end of a house's name that only say what kind of house it is.
const KIND_WORDS: [&str; 14] = [
    "dental",
    "office",
    "laboratory",
    "lab",
    "dentistry",
    "practice",
    "clinic",
    "technology",
    "inc",
    "llc",
    "ltd",
    "gmbh",
    "and",
    "&",
];

/// A house's name as people say it, without the words at its end that only tell what it is: "Brickyard" for
/// "Brickyard Dental Laboratory". A name of nothing else stays whole.
pub fn short_name(name: &str) -> &str {
    let mut short = name.trim();
    while let Some((rest, last)) = short.rsplit_once(char::is_whitespace) {
        let bare = last.trim_matches(|c: char| !c.is_alphanumeric() && c != '&');
        if !bare.is_empty() && !KIND_WORDS.contains(&bare.to_lowercase().as_str()) {
            break;
        }
        short = rest.trim_end_matches(|c: char| c.is_whitespace() || c == ',');
    }
    let is_kind = KIND_WORDS.contains(&short.to_lowercase().as_str());
    if is_kind { name.trim() } else { short }
}

#[cfg(test)]
mod tests {
    use super::short_name;

    #[test]
    fn a_house_is_called_by_what_tells_it_from_others() {
        let table = [
            ("Brickyard Dental Laboratory", "Brickyard"),
            ("Harbour Street Dentistry", "Harbour Street"),
            ("Millbrook Dental Office", "Millbrook"),
            ("Weir Lane", "Weir Lane"),
            ("Kiln & Sons Dental Lab, Inc.", "Kiln & Sons"),
            ("Dental Laboratory", "Dental Laboratory"),
            ("Dentistry", "Dentistry"),
            ("", ""),
        ];
        for (name, short) in table {
            assert_eq!(short_name(name), short);
        }
    }
}
