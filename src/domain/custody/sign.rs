//! The signs on the lines of the ribbon: a letter in a shape, one for each kind of fact.

use crate::domain::values::ids::Tag;
use strum::VariantArray;

/// What stands at a point of a line: a letter in a shape.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, VariantArray)]
pub enum Sign {
    Registered,
    Made,
    Disinfected,
    Adjusted,
    Put,
    Resolved,
    Corrected,
    Withdrawn,
    Fitted,
    Given,
    TakenOut,
    GivenBack,
    KeptBack,
    Packed,
    TakenBack,
    Missing,
    Wrong,
    Unmarked,
    UsedUp,
    Destroyed,
    Lost,
}

/// The outline of a sign; each kind of fact has its own, so that no sign needs a colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SignShape {
    /// It exists from now on.
    Circle,
    /// Something was done to it.
    Diamond,
    /// It went to the patient or came from there, or stays where it is.
    Square,
    /// Something is the matter with it.
    Triangle,
    /// It exists no more; filled with ink.
    Disc,
}

impl Sign {
    /// Each of them.
    pub const ALL: &[Sign] = Sign::VARIANTS;

    pub fn shape(self) -> SignShape {
        match self {
            Sign::Registered | Sign::Made => SignShape::Circle,
            Sign::Disinfected
            | Sign::Adjusted
            | Sign::Put
            | Sign::Resolved
            | Sign::Corrected
            | Sign::Withdrawn => SignShape::Diamond,
            Sign::Fitted
            | Sign::Given
            | Sign::TakenOut
            | Sign::GivenBack
            | Sign::KeptBack
            | Sign::Packed
            | Sign::TakenBack => SignShape::Square,
            Sign::Missing | Sign::Wrong | Sign::Unmarked => SignShape::Triangle,
            Sign::UsedUp | Sign::Destroyed | Sign::Lost => SignShape::Disc,
        }
    }

    pub fn letter(self) -> char {
        match self {
            Sign::Registered => 'R',
            Sign::Made => 'M',
            Sign::Disinfected => 'D',
            Sign::Adjusted => 'A',
            Sign::Put => 'P',
            Sign::Resolved => 'S',
            Sign::Corrected => 'C',
            Sign::Withdrawn => 'Z',
            Sign::Fitted => 'F',
            Sign::Given => 'G',
            Sign::TakenOut => 'O',
            Sign::GivenBack => 'B',
            Sign::KeptBack => 'K',
            Sign::Packed => 'W',
            Sign::TakenBack => 'V',
            Sign::Missing => '?',
            Sign::Wrong => '!',
            Sign::Unmarked => 'H',
            Sign::UsedUp => 'U',
            Sign::Destroyed => 'X',
            Sign::Lost => 'L',
        }
    }

    pub fn shown(self) -> &'static str {
        match self {
            Sign::Registered => "registered",
            Sign::Made => "made here and registered",
            Sign::Disinfected => "disinfected",
            Sign::Adjusted => "adjusted at the chair",
            Sign::Put => "moved to another place",
            Sign::Resolved => "resolved by a signed statement",
            Sign::Corrected => "an entry corrected",
            Sign::Withdrawn => "an entry withdrawn as a mistake",
            Sign::Fitted => "fitted",
            Sign::Given => "given as the spare",
            Sign::TakenOut => "taken out",
            Sign::GivenBack => "given back to the patient",
            Sign::KeptBack => "kept back from the patient",
            Sign::Packed => "packed, waits for the carrier",
            Sign::TakenBack => "handoff taken back before it arrived",
            Sign::Missing => "missing from the parcel",
            Sign::Wrong => "found wrong",
            Sign::Unmarked => "held until it is disinfected",
            Sign::UsedUp => "used up",
            Sign::Destroyed => "destroyed",
            Sign::Lost => "written off as lost",
        }
    }
}

/// An event on one item's line: what a sign may depend on.
#[derive(Debug, Clone, Copy)]
pub struct OnLine<'a> {
    pub tag: &'a Tag,
    /// It is on hold from here on because it came without a mark of disinfection.
    pub is_unmarked: bool,
    /// Work on it waits from here on.
    pub is_held: bool,
}
