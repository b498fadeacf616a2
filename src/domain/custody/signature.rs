//! Signatures by password: under a statement, and under an exception from a rule.

use serde::{Deserialize, Serialize};

/// Signed by a dentist with the password: why a rule does not hold this once.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Exception {
    pub name: String,
    pub licence: String,
    pub reason: String,
}

/// A signature by password: the printed name, and what it says by being there.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Signed {
    pub name: String,
    /// Empty for whoever has none.
    pub licence: String,
    pub meaning: String,
}
