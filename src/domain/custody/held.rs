//! Why work on a case waits, as kept for lists: a reason in numbers and words of code, and how many more
//! there are. The sentence is made where it is shown.

use super::item::{Item, ItemKind};
use super::state::Holder;
use crate::domain::people::party::Side;
use crate::domain::values::arch::Arch;
use std::fmt;

/// What a list calls an item: what it is, and of which arch.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ItemName {
    pub kind: ItemKind,
    pub arch: Option<Arch>,
}

impl From<&Item> for ItemName {
    fn from(item: &Item) -> ItemName {
        ItemName {
            kind: item.kind,
            arch: item.arch,
        }
    }
}

impl ItemName {
    /// Of an item that nobody knows.
    pub const UNKNOWN: ItemName = ItemName {
        kind: ItemKind::Other,
        arch: None,
    };

    fn word(self) -> String {
        match self.arch {
            Some(arch) => format!("{}:{}", self.kind.word(), arch.word()),
            None => self.kind.word().to_owned(),
        }
    }

    fn from_word(word: &str) -> Option<ItemName> {
        let (kind, arch) = match word.split_once(':') {
            Some((kind, arch)) => (kind, Some(Arch::from_word(arch)?)),
            None => (word, None),
        };
        let kind = ItemKind::from_word(kind)?;
        Some(ItemName { kind, arch })
    }
}

/// "Provisional denture, upper"
impl fmt::Display for ItemName {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.kind.title(self.arch))
    }
}

/// Two numbers of pieces that are not the same.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Miscount {
    /// As sent, and as found on receipt.
    In { sent: u32, found: u32 },
    /// As they were counted before, and as counted out.
    Out { before: u32, now: u32 },
}

/// "4 pieces sent, 3 found"
impl fmt::Display for Miscount {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Miscount::In { sent, found } => write!(f, "{sent} pieces sent, {found} found"),
            Miscount::Out { before, now } => {
                write!(f, "{before} pieces before, {now} counted out")
            }
        }
    }
}

/// One reason why work waits.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum HoldReason {
    Missing(ItemName),
    Damaged(ItemName),
    /// It happened in the house of this side.
    DamagedAt(ItemName, Side),
    NotAsDescribed(ItemName),
    Miscounted(ItemName, Miscount),
    /// It came without a mark of disinfection.
    Unmarked(ItemName),
    /// The number of the parcel.
    SealBroken(u32),
    OtherSeal(u32),
    NoSeal(u32),
    Unannounced,
    /// The lab's work waits for the answer of this side.
    Unanswered(Side),
    /// The lab's work waits for a revision with which the office answered.
    RevisionPromised,
}

impl HoldReason {
    /// The stored words: what it is about, what is the matter, and the two counts.
    fn word(self) -> String {
        match self {
            HoldReason::Missing(item) => format!("{} missing", item.word()),
            HoldReason::Damaged(item) => format!("{} damaged", item.word()),
            HoldReason::DamagedAt(item, side) => {
                format!("{} damaged_at {}", item.word(), side.word())
            }
            HoldReason::NotAsDescribed(item) => format!("{} not_as_described", item.word()),
            HoldReason::Miscounted(item, Miscount::In { sent, found }) => {
                format!("{} counted_in {sent} {found}", item.word())
            }
            HoldReason::Miscounted(item, Miscount::Out { before, now }) => {
                format!("{} counted_out {before} {now}", item.word())
            }
            HoldReason::Unmarked(item) => format!("{} unmarked", item.word()),
            HoldReason::SealBroken(parcel) => format!("box:{parcel} seal_broken"),
            HoldReason::OtherSeal(parcel) => format!("box:{parcel} other_seal"),
            HoldReason::NoSeal(parcel) => format!("box:{parcel} no_seal"),
            HoldReason::Unannounced => "unannounced".to_owned(),
            HoldReason::Unanswered(side) => format!("unanswered {}", side.word()),
            HoldReason::RevisionPromised => "revision_promised".to_owned(),
        }
    }

    fn from_words(words: &[&str]) -> Option<HoldReason> {
        let parcel = |word: &str| word.strip_prefix("box:")?.parse().ok();
        let counts = |one: &str, other: &str| Some((one.parse().ok()?, other.parse().ok()?));
        Some(match words {
            ["unannounced"] => HoldReason::Unannounced,
            ["revision_promised"] => HoldReason::RevisionPromised,
            ["unanswered", side] => HoldReason::Unanswered(Side::from_word(side)?),
            [about, "seal_broken"] => HoldReason::SealBroken(parcel(about)?),
            [about, "other_seal"] => HoldReason::OtherSeal(parcel(about)?),
            [about, "no_seal"] => HoldReason::NoSeal(parcel(about)?),
            [about, "missing"] => HoldReason::Missing(ItemName::from_word(about)?),
            [about, "damaged"] => HoldReason::Damaged(ItemName::from_word(about)?),
            [about, "damaged_at", side] => {
                HoldReason::DamagedAt(ItemName::from_word(about)?, Side::from_word(side)?)
            }
            [about, "not_as_described"] => HoldReason::NotAsDescribed(ItemName::from_word(about)?),
            [about, "unmarked"] => HoldReason::Unmarked(ItemName::from_word(about)?),
            [about, "counted_in", sent, found] => {
                let (sent, found) = counts(sent, found)?;
                let miscount = Miscount::In { sent, found };
                HoldReason::Miscounted(ItemName::from_word(about)?, miscount)
            }
            [about, "counted_out", before, now] => {
                let (before, now) = counts(before, now)?;
                let miscount = Miscount::Out { before, now };
                HoldReason::Miscounted(ItemName::from_word(about)?, miscount)
            }
            _ => return None,
        })
    }
}

/// "Bite record was missing from the parcel", to be read inside a sentence.
impl fmt::Display for HoldReason {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            HoldReason::Missing(item) => write!(f, "{item} was missing from the parcel"),
            HoldReason::Damaged(item) => write!(f, "{item} arrived damaged"),
            HoldReason::DamagedAt(item, side) => {
                write!(f, "{item} was damaged {}", Holder::of(*side).place())
            }
            HoldReason::NotAsDescribed(item) => write!(f, "{item} is not as described"),
            HoldReason::Miscounted(item, miscount) => write!(f, "{item}: {miscount}"),
            HoldReason::Unmarked(item) => write!(f, "{item} came without a mark of disinfection"),
            HoldReason::SealBroken(parcel) => write!(f, "The seal of parcel {parcel} was broken"),
            HoldReason::OtherSeal(parcel) => write!(f, "Parcel {parcel} came with another seal"),
            HoldReason::NoSeal(parcel) => write!(f, "Parcel {parcel} came without its seal"),
            HoldReason::Unannounced => f.write_str("An unlisted item was in the parcel"),
            HoldReason::Unanswered(Side::Office) => {
                f.write_str("A question waits for the answer of the office")
            }
            HoldReason::Unanswered(Side::Lab) => {
                f.write_str("A question waits for the answer of the lab")
            }
            HoldReason::RevisionPromised => {
                f.write_str("A revision is promised, and the work waits for it")
            }
        }
    }
}

/// Why a case is on hold: every reason, and how many more an earlier version counted without naming them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Held {
    pub reasons: Vec<HoldReason>,
    pub more: usize,
}

impl Held {
    /// The stored words: `bite_record missing;box:2 seal_broken`; those of earlier versions end with ` +1`.
    pub fn word(&self) -> String {
        let words: Vec<String> = self.reasons.iter().map(|one| one.word()).collect();
        match self.more {
            0 => words.join(";"),
            more => format!("{} +{more}", words.join(";")),
        }
    }

    /// Reads the stored words.
    pub fn from_word(text: &str) -> Option<Held> {
        let (text, more) = match text.rsplit_once(" +") {
            Some((text, more)) => (text, more.parse().ok()?),
            None => (text, 0),
        };
        let reason = |words: &str| {
            let words: Vec<&str> = words.split(' ').collect();
            HoldReason::from_words(&words)
        };
        let reasons: Option<Vec<HoldReason>> = text.split(';').map(reason).collect();
        Some(Held {
            reasons: reasons?,
            more,
        })
    }
}

/// "Bite record was missing from the parcel; The seal of parcel 2 was broken"
impl fmt::Display for Held {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let words: Vec<String> = self.reasons.iter().map(HoldReason::to_string).collect();
        match self.more {
            0 => f.write_str(&words.join("; ")),
            more => write!(f, "{}, and {more} more", words.join("; ")),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_reason_is_read_as_it_was_stored() {
        let one = ItemName {
            kind: ItemKind::Provisional,
            arch: Some(Arch::Upper),
        };
        let other = ItemName {
            kind: ItemKind::BiteRecord,
            arch: None,
        };
        let table = [
            (HoldReason::Missing(one), 0, "provisional:upper missing"),
            (HoldReason::Damaged(other), 2, "bite_record damaged +2"),
            (
                HoldReason::DamagedAt(one, Side::Lab),
                0,
                "provisional:upper damaged_at lab",
            ),
            (
                HoldReason::NotAsDescribed(one),
                0,
                "provisional:upper not_as_described",
            ),
            (
                HoldReason::Miscounted(other, Miscount::In { sent: 4, found: 3 }),
                0,
                "bite_record counted_in 4 3",
            ),
            (
                HoldReason::Miscounted(other, Miscount::Out { before: 4, now: 5 }),
                1,
                "bite_record counted_out 4 5 +1",
            ),
            (HoldReason::Unmarked(one), 0, "provisional:upper unmarked"),
            (HoldReason::SealBroken(2), 0, "box:2 seal_broken"),
            (HoldReason::OtherSeal(1), 11, "box:1 other_seal +11"),
            (HoldReason::NoSeal(3), 0, "box:3 no_seal"),
            (HoldReason::Unannounced, 1, "unannounced +1"),
            (HoldReason::Unanswered(Side::Office), 0, "unanswered office"),
            (HoldReason::RevisionPromised, 0, "revision_promised"),
        ];
        for (first, more, word) in table {
            let reasons = vec![first];
            let held = Held { reasons, more };
            assert_eq!(held.word(), word);
            assert_eq!(Held::from_word(word), Some(held));
        }
        let every: Vec<HoldReason> = table.iter().map(|(reason, _, _)| *reason).collect();
        let held = Held {
            reasons: every,
            more: 0,
        };
        assert_eq!(Held::from_word(&held.word()), Some(held));
        for wrong in ["", "x", "missing", "bite_record", "box:x no_seal", "+1"] {
            assert_eq!(Held::from_word(wrong), None, "{wrong:?}");
        }
    }
}
