//! The two arches. Each has its own dentures with their own fates.

use crate::domain::values::words_of;
use serde::{Deserialize, Serialize};

words_of! {
    /// Upper or lower.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
    #[serde(rename_all = "snake_case")]
    pub enum Arch {
        Upper = "upper",
        Lower = "lower",
    }
}

words_of! {
    /// Which jaws are treated.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
    #[serde(rename_all = "snake_case")]
    pub enum Arches {
        Both = "upper and lower",
        Upper = "upper",
        Lower = "lower",
    }
}

impl From<Arch> for Arches {
    fn from(arch: Arch) -> Arches {
        match arch {
            Arch::Upper => Arches::Upper,
            Arch::Lower => Arches::Lower,
        }
    }
}

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
