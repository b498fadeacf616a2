//! Items: the physical things that travel, each with its own tag.

use crate::domain::form::choice_field;
use crate::domain::values::arch::Arch;
use crate::domain::values::ids::{CaseNumber, Tag};
use crate::domain::values::words_of;
use serde::{Deserialize, Serialize};

words_of! {
    /// What a thing is. Common practice, no source: the list of what goes between an office and a lab for
    /// complete dentures.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
    #[serde(rename_all = "snake_case")]
    pub enum ItemKind {
        Provisional = "Provisional denture",
        Duplicate = "Duplicate denture",
        FinalDenture = "Final denture",
        OldDenture = "Old denture",
        BiteRecord = "Bite record",
        FacebowRecord = "Facebow record",
        ProtrusiveRecord = "Protrusive record",
        Impression = "Impression",
        Rims = "Record base with rim",
        TryIn = "Wax try-in",
        Cast = "Master cast",
        RemountCast = "Remount cast",
        LabIndex = "Index of the tooth positions",
        ClearTemplate = "Clear surgical template",
        ShadeTab = "Shade tab",
        TeethCard = "Set of teeth on its card",
        ImplantParts = "Implant parts",
        Photograph = "Photograph",
        Scan = "Scan file",
        Other = "Other item",
    }
}

choice_field!(ItemKind);

impl ItemKind {
    /// "Provisional denture, upper"
    pub fn title(self, arch: Option<Arch>) -> String {
        match arch {
            Some(arch) => format!("{}, {}", self.shown(), arch.shown()),
            None => self.shown().to_owned(),
        }
    }

    /// The kind that a title of a signed text names, of any arch; none where more stands in it, such as the name of a set.
    pub fn of_title(title: &str) -> Option<ItemKind> {
        let arches = [None, Some(Arch::Upper), Some(Arch::Lower)];
        let is_it = |kind: &&ItemKind| arches.iter().any(|arch| kind.title(*arch) == title);
        ItemKind::ALL.iter().find(is_it).copied()
    }

    /// Whether a patient may wear it. An old denture is a denture, and never again to be worn.
    pub fn is_wearable(self) -> bool {
        matches!(
            self,
            ItemKind::Provisional | ItemKind::Duplicate | ItemKind::FinalDenture
        )
    }

    /// Whether it belongs in a mouth at all, to be worn now or before.
    pub fn is_denture(self) -> bool {
        self.is_wearable() || self == ItemKind::OldDenture
    }

    /// Whether it is the patient's property, whoever holds it.
    pub fn is_the_patients_own(self) -> bool {
        matches!(self, ItemKind::OldDenture | ItemKind::ImplantParts)
    }

    /// Whether it is a record or a form that a lab makes its work from, and no denture. Common practice, no source.
    pub fn is_worked_from(self) -> bool {
        matches!(
            self,
            ItemKind::BiteRecord
                | ItemKind::FacebowRecord
                | ItemKind::ProtrusiveRecord
                | ItemKind::Impression
                | ItemKind::Cast
        )
    }

    /// Whether the work of an arch is made from it, or done to it: not a duplicate, which is the spare, and no old
    /// denture. Common practice, no source.
    pub fn is_pattern_mostly(self) -> bool {
        matches!(
            self,
            ItemKind::Provisional
                | ItemKind::FinalDenture
                | ItemKind::Impression
                | ItemKind::Cast
                | ItemKind::Rims
                | ItemKind::TryIn
        )
    }

    /// Whether it is what a lab is asked to make: worn or tried in the end.
    pub fn is_made_for_the_mouth(self) -> bool {
        matches!(
            self,
            ItemKind::Duplicate | ItemKind::FinalDenture | ItemKind::Rims | ItemKind::TryIn
        )
    }

    /// Whether it is offered first where things are sent. An old denture is for nobody's mouth and seldom a
    /// pattern.
    pub fn travels_mostly(self) -> bool {
        self != ItemKind::OldDenture
    }

    /// Whether it is nothing any more that anybody waits for: an impression is spent once it is poured, and of a file the
    /// office has its own copy.
    pub fn is_spent_at_the_lab(self) -> bool {
        use ItemKind::{Impression, Photograph, Scan};
        matches!(self, Impression | Photograph | Scan)
    }

    /// What its label warns of. Common practice, no source.
    pub fn warning(self) -> Option<&'static str> {
        (self == ItemKind::OldDenture).then_some("Never the pattern. Not to be worn again.")
    }

    /// Whether it makes no sense without saying upper or lower.
    pub fn needs_arch(self) -> bool {
        self.is_denture()
            || matches!(
                self,
                ItemKind::Impression
                    | ItemKind::Rims
                    | ItemKind::TryIn
                    | ItemKind::Cast
                    | ItemKind::LabIndex
                    | ItemKind::ClearTemplate
            )
    }

    /// Whether it touches mouths, or things from mouths, so that it is disinfected before it changes
    /// hands. A photograph, a file and teeth sealed on their card do not.
    pub fn needs_disinfection(self) -> bool {
        !matches!(
            self,
            ItemKind::Photograph | ItemKind::Scan | ItemKind::TeethCard
        )
    }

    /// What it tells the lab. Common practice, no source.
    pub fn carries(self) -> &'static str {
        match self {
            ItemKind::Provisional => {
                "Tissue surface and borders as the mouth formed them, tooth positions, vertical dimension, midline, lip \
                 support, plane and centric contacts. It does not carry the hinge axis, the condylar path or the final shade."
            }
            ItemKind::Duplicate => {
                "A coarse copy of teeth and vertical dimension, of the day it was made. It is worn while the provisional is \
                 away, and is never the pattern for the final."
            }
            ItemKind::FinalDenture => "The finished work.",
            ItemKind::OldDenture => {
                "The old midline, tooth size and the patient's memory of them. Nothing for the tissue: worn again, it \
                 presses the healed tissue down."
            }
            ItemKind::BiteRecord => {
                "The jaw relation at the stated vertical dimension, with its seating keys. Not the axis."
            }
            ItemKind::FacebowRecord => {
                "The upper jaw's position to the hinge axis and the plane. Not the bite."
            }
            ItemKind::ProtrusiveRecord => {
                "The condylar angle. Without it the lab sets average values."
            }
            ItemKind::Impression => "The tissue surface and the borders.",
            ItemKind::Rims => {
                "Vertical dimension, plane, lip support, midline and smile line, marked in wax."
            }
            ItemKind::TryIn => {
                "The proposed teeth, for mouth and mirror. Not the fit of the final base."
            }
            ItemKind::Cast => "The tissue surface with its borders, in gypsum.",
            ItemKind::RemountCast => {
                "The mounting, for a remount at insertion without a new facebow record."
            }
            ItemKind::LabIndex => "The exact positions of the pattern's teeth.",
            ItemKind::ClearTemplate => {
                "The fitting surface of an immediate denture: it shows at surgery where the denture would press."
            }
            ItemKind::ShadeTab => {
                "The tooth color as chosen, under the light noted on the prescription."
            }
            ItemKind::TeethCard => "Exactly this mould, shade and lot.",
            ItemKind::ImplantParts => {
                "The connection to the implants. Small, costly, and the patient's own: count them."
            }
            ItemKind::Photograph => {
                "Face and smile lines. A face is recognizable: show the mouth only."
            }
            ItemKind::Scan => {
                "The form of what was scanned, in the unit that stands with it. Not the shade, and in most formats no color."
            }
            ItemKind::Other => "What its note says.",
        }
    }

    /// How to pack and keep it. Common practice, no source; the material's maker decides.
    pub fn handling(self) -> &'static str {
        match self {
            ItemKind::Provisional
            | ItemKind::Duplicate
            | ItemKind::FinalDenture
            | ItemKind::OldDenture => {
                "Moist in a sealed bag, in a hard box, nothing pressing on the tissue side. Not hot, not dry."
            }
            ItemKind::BiteRecord | ItemKind::ProtrusiveRecord => {
                "In a rigid box, never pressed between dentures unless it is keyed. Wax changes within the hour."
            }
            ItemKind::FacebowRecord => {
                "All screws marked and tight, boxed. The fork goes back to be sterilized."
            }
            ItemKind::Impression => {
                "Poured at once where its material asks for it; moist, in a sealed bag."
            }
            ItemKind::Rims | ItemKind::TryIn => "Wax: cool and still, never in a warm car.",
            ItemKind::Cast | ItemKind::RemountCast | ItemKind::LabIndex => {
                "Dry and padded, with the case number on its base. Kept for a remount."
            }
            ItemKind::ClearTemplate => {
                "Moist in a sealed bag, in a hard box. Disinfected once more before surgery, as its maker allows."
            }
            ItemKind::ShadeTab => {
                "Disinfected like all else. If it is borrowed, note when it is due back."
            }
            ItemKind::TeethCard => "In its packing until it is used, for mould and lot.",
            ItemKind::ImplantParts => "Counted out and counted in, in a closed small container.",
            ItemKind::Photograph => "Without the eyes, without data hidden in the file.",
            ItemKind::Scan => {
                "Sent as a file, without the name of a person in its name or inside. What was scanned may stay where it is."
            }
            ItemKind::Other => "As its note says.",
        }
    }
}

/// One physical thing.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Item {
    pub tag: Tag,
    pub case: CaseNumber,
    pub kind: ItemKind,
    pub arch: Option<Arch>,
    /// Free words: material, maker, marks. Never about the person.
    pub note: String,
    pub pieces: u32,
    /// Lent by the party that registered it, and due back.
    pub borrowed: bool,
}

impl Item {
    /// The item of this tag among these.
    pub fn of<'a>(items: &'a [Item], tag: &Tag) -> Option<&'a Item> {
        items.iter().find(|item| item.tag == *tag)
    }

    /// "Provisional denture, upper"
    pub fn title(&self) -> String {
        self.kind.title(self.arch)
    }
}
/// What a prescription leaves with the lab: patterns or records that do not come back.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct StaysAtLab {
    pub pattern: bool,
    pub records: bool,
}

impl StaysAtLab {
    /// Whether things of this kind are left there.
    pub fn has(self, kind: ItemKind) -> bool {
        match kind {
            ItemKind::Provisional => self.pattern,
            ItemKind::BiteRecord | ItemKind::FacebowRecord | ItemKind::ProtrusiveRecord => {
                self.records
            }
            _ => false,
        }
    }

    /// What one of two texts leaves there.
    #[must_use]
    pub fn or(self, other: StaysAtLab) -> StaysAtLab {
        StaysAtLab {
            pattern: self.pattern || other.pattern,
            records: self.records || other.records,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_kind_is_found_by_its_title_and_by_nothing_more() {
        for kind in ItemKind::ALL.iter().copied() {
            for arch in [None, Some(Arch::Upper), Some(Arch::Lower)] {
                assert_eq!(ItemKind::of_title(&kind.title(arch)), Some(kind));
            }
        }
        for other in ["", "Duplicate", "Duplicate denture, upper, second set"] {
            assert_eq!(ItemKind::of_title(other), None, "{other}");
        }
    }
}
