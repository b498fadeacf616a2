//! Scans of a case as files: what each shows, how large it is in the mouth's measure, and by which hash its bytes are known.

use super::erased_text::ERASED;
use crate::domain::form::choice_field;
use crate::domain::mesh::MeshUnit;
use crate::domain::values::arch::Arch;
use crate::domain::values::ids::{EventId, PartyId, Tag};
use crate::domain::values::moment::Moment;
use crate::domain::values::words::capitalised;
use crate::domain::values::words_of;
use serde::{Deserialize, Serialize};

/// Scans that one case holds, those that were erased counted along: two arches and a bite, again at each stage and after
/// each remake, are some thirty.
pub const SCANS_MOST: usize = 60;
/// The longest side of what is scanned of a mouth, in thousandths of a millimetre: from a tooth to a cast with its base. A
/// jaw is some 40 to 100 mm. Common practice, no source: it is asked about, and nothing is refused by it.
const LONGEST_UM: std::ops::RangeInclusive<u64> = 15_000..=200_000;
/// What whoever sent a file of a strange size does about it.
pub const ADD_AGAIN: &str = "add it again in the unit it was scanned in.";

words_of! {
    /// What a scan shows. Common practice, no source.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
    #[serde(rename_all = "snake_case")]
    pub enum ScanOf {
        UpperJaw = "upper jaw",
        LowerJaw = "lower jaw",
        BothTogether = "both jaws together, the bite",
        UpperPattern = "upper pattern or denture",
        LowerPattern = "lower pattern or denture",
        Model = "cast or model",
        Other = "something else",
    }
}

choice_field!(ScanOf);

impl ScanOf {
    /// The arch that it shows, where it is one.
    pub fn arch(self) -> Option<Arch> {
        match self {
            ScanOf::UpperJaw | ScanOf::UpperPattern => Some(Arch::Upper),
            ScanOf::LowerJaw | ScanOf::LowerPattern => Some(Arch::Lower),
            ScanOf::BothTogether | ScanOf::Model | ScanOf::Other => None,
        }
    }
}

/// A scan as its entry tells of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FiledScan {
    /// The entry that adds it.
    pub event: EventId,
    pub at: Moment,
    /// Who added it, with the house.
    pub by: String,
    /// The house that added it.
    pub party: PartyId,
    /// When it was last said whether it is for the lab.
    pub marked: Moment,
    pub shows: ScanOf,
    pub item: Option<Tag>,
    /// The SHA-256 of its bytes, or [`ERASED`].
    pub hash: String,
    pub length: u64,
    pub is_stl: bool,
    pub triangles: u64,
    pub box_um: [u64; 3],
    pub unit: MeshUnit,
    pub caption: String,
    /// Whether the lab is to work with it.
    pub for_lab: bool,
}

impl FiledScan {
    /// Whether its bytes were taken out for good.
    pub fn is_erased(&self) -> bool {
        self.hash == ERASED
    }

    fn longest(&self) -> u64 {
        self.box_um.iter().copied().max().unwrap_or(0)
    }

    /// Whether it is hardly as large as something of a mouth.
    pub fn is_odd_size(&self) -> bool {
        !self.is_erased() && !LONGEST_UM.contains(&self.longest())
    }

    /// Its longest side beside that of a jaw, where it is hardly as large as something of a mouth.
    pub fn size_off(&self) -> Option<String> {
        let words = || {
            format!(
                "its longest side is {} mm, and a jaw is some 40 to 100 mm",
                tenths(self.longest())
            )
        };
        self.is_odd_size().then(words)
    }

    /// The same with what is to be done: whoever added it knows its unit, and the other house asks.
    pub fn size_asked(&self, reader: &PartyId) -> Option<String> {
        let what_to_do = match self.party == *reader {
            true => ADD_AGAIN,
            false => "ask in which unit it was scanned before anything is made to it.",
        };
        let off = self.size_off()?;
        Some(format!("{}: {what_to_do}", capitalised(&off)))
    }
}

/// Thousandths of a millimetre as millimetres with one place.
fn tenths(um: u64) -> String {
    let tenths = um.saturating_add(50) / 100;
    format!("{}.{}", tenths / 10, tenths % 10)
}

/// Width, depth and height as they are read.
pub fn box_words(box_um: [u64; 3]) -> String {
    let [width, depth, height] = box_um.map(tenths);
    format!("{width} × {depth} × {height} mm")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_size_is_read_in_tenths() {
        assert_eq!(box_words([64_949, 52_050, 0]), "64.9 × 52.1 × 0.0 mm");
        assert_eq!(tenths(u64::MAX), "18446744073709551.6");
    }
}
