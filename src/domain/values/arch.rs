//! The two arches. Each has its own dentures with their own fates.

use crate::domain::values::words_of;
use serde::{Deserialize, Serialize};

/// Upper or lower.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Arch {
    Upper,
    Lower,
}

words_of!(Arch { Upper = "upper", "upper"; Lower = "lower", "lower"; });

/// Which jaws are treated.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Arches {
    Both,
    Upper,
    Lower,
}
words_of!(Arches { Both = "both", "upper and lower"; Upper = "upper", "upper"; Lower = "lower", "lower"; });

impl Arches {
    /// Each jaw that is treated.
    pub fn treated(self) -> &'static [Arch] {
        match self {
            Arches::Both => &[Arch::Upper, Arch::Lower],
            Arches::Upper => &[Arch::Upper],
            Arches::Lower => &[Arch::Lower],
        }
    }
}
