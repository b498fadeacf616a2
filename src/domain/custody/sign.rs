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

    /// Its outline, its letter, and what it stands for: a line for each.
    fn row(self) -> (SignShape, char, &'static str) {
        use SignShape::{Circle, Diamond, Disc, Square, Triangle};
        match self {
            Sign::Registered => (Circle, 'R', "registered"),
            Sign::Made => (Circle, 'M', "made here and registered"),
            Sign::Disinfected => (Diamond, 'D', "disinfected"),
            Sign::Adjusted => (Diamond, 'A', "adjusted at the chair"),
            Sign::Put => (Diamond, 'P', "moved to another place"),
            Sign::Resolved => (Diamond, 'S', "resolved by a signed statement"),
            Sign::Corrected => (Diamond, 'C', "an entry corrected"),
            Sign::Withdrawn => (Diamond, 'Z', "an entry withdrawn as a mistake"),
            Sign::Fitted => (Square, 'F', "fitted"),
            Sign::Given => (Square, 'G', "given as the spare"),
            Sign::TakenOut => (Square, 'O', "taken out"),
            Sign::GivenBack => (Square, 'B', "given back to the patient"),
            Sign::KeptBack => (Square, 'K', "kept back from the patient"),
            Sign::Packed => (Square, 'W', "packed, waits for the carrier"),
            Sign::TakenBack => (Square, 'V', "handoff taken back before it arrived"),
            Sign::Missing => (Triangle, '?', "missing from the parcel"),
            Sign::Wrong => (Triangle, '!', "found wrong"),
            Sign::Unmarked => (Triangle, 'H', "held until it is disinfected"),
            Sign::UsedUp => (Disc, 'U', "used up"),
            Sign::Destroyed => (Disc, 'X', "destroyed"),
            Sign::Lost => (Disc, 'L', "written off as lost"),
        }
    }

    pub fn shape(self) -> SignShape {
        self.row().0
    }

    pub fn letter(self) -> char {
        self.row().1
    }

    pub fn shown(self) -> &'static str {
        self.row().2
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
