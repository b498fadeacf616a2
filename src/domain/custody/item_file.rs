//! What a file is known by that stands in place of a thing.

use crate::domain::prescription::{FileFormat, FileUnits};
use crate::domain::values::digest::FileHash;
use serde::{Deserialize, Serialize};

/// A file by its name, its format, its unit and its fingerprint.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FileFacts {
    /// As exported; never with the name of a person.
    pub name: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub format: Option<FileFormat>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub units: Option<FileUnits>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sha256: Option<FileHash>,
}

impl FileFacts {
    /// "upper.stl, STL, millimeters, SHA-256 ba78…"
    pub fn words(&self) -> String {
        let hash = self
            .sha256
            .as_ref()
            .map(|hash| format!("SHA-256 {}", hash.as_str()));
        let known = [
            Some(self.name.clone()).filter(|name| !name.is_empty()),
            self.format.map(|format| format.shown().to_owned()),
            self.units.map(|units| units.shown().to_owned()),
            hash,
        ];
        known.into_iter().flatten().collect::<Vec<_>>().join(", ")
    }
}
