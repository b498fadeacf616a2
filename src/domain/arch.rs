//! The two arches. Each has its own dentures with their own fates.

use super::party::words_of;
use serde::{Deserialize, Serialize};

/// Upper or lower.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Arch {
    Upper,
    Lower,
}

words_of!(Arch { Upper = "upper", "upper"; Lower = "lower", "lower"; });
