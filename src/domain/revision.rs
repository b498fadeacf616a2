//! A signed revision: the exact text that was shown, its hash, and who stands for it.

use super::case::Arches;
use super::digest::sha256_hex;
use super::ids::{CaseNumber, PatientCode};
use super::moment::Moment;
use super::party::{Numbering, Paper, Party};
use super::prescription::Prescription;
use serde::{Deserialize, Serialize};

/// The words a dentist signs under. The meaning of a signature is part of what is signed
/// (as 21 CFR 11.50 (a) asks of electronic records; used as a yardstick, not as a claim).
pub const MEANING: &str =
    "I prescribe this work for this patient and take responsibility for its content.";

/// A party as it was when the text was signed: a later change of address does not reach it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PartyCard {
    pub name: String,
    pub address: String,
    pub licence: String,
}

impl From<&Party> for PartyCard {
    fn from(party: &Party) -> PartyCard {
        PartyCard {
            name: party.name.clone(),
            address: party.address.clone(),
            licence: party.licence.clone(),
        }
    }
}

/// What one document says of the patient: nothing that names a person.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PatientCard {
    pub code: PatientCode,
    /// Label and words of each fact that the lab needs.
    pub facts: Vec<(String, String)>,
}

/// An enclosed item by its tag, in words.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ItemCard {
    pub tag: String,
    pub title: String,
    pub pieces: u32,
}

/// A caution of the review that the dentist let stand, with the reason.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PassedCaution {
    pub id: String,
    pub sentence: String,
    pub reason: String,
}

/// One of the review's criteria that was not met when it was signed, and why.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MissingPoint {
    pub number: u32,
    pub name: String,
    /// The dentist's reasons to let it stand; empty where none was typed.
    pub reason: String,
}

/// The whole signed text. Stored as canonical JSON (RFC 8785) and never serialised again.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Document {
    /// Grows when fields change their meaning; readers refuse what they do not know.
    pub schema: u32,
    pub case: CaseNumber,
    pub revision: i64,
    pub arches: Arches,
    pub patient: PatientCard,
    pub office: PartyCard,
    pub lab: PartyCard,
    pub prescriber_name: String,
    pub prescriber_licence: String,
    pub issued: Moment,
    pub numbering: Numbering,
    pub paper: Paper,
    pub meaning: String,
    /// The installation's address at that time: the slip's QR code leads there, and stays the same.
    pub address: String,
    /// Items of the case when it was signed, for the tags that the prescription names.
    pub items: Vec<ItemCard>,
    /// What the dentist was warned of and signed all the same, in words.
    pub warnings: Vec<String>,
    /// What the review asked and the dentist answered with a reason.
    pub passed: Vec<PassedCaution>,
    /// How many of the review's criteria are met, and of how many.
    pub met: u32,
    pub criteria: u32,
    /// The criteria that are not met. Revisions signed before this was kept name none.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub missing: Vec<MissingPoint>,
    pub prescription: Prescription,
}

/// The schema that this program writes.
pub const SCHEMA: u32 = 1;

/// Why a stored document is not readable.
#[derive(Debug, thiserror::Error)]
pub enum DocumentError {
    #[error("the document is not of the form that this version reads: {0}")]
    Form(#[from] serde_json::Error),
    #[error("the document has schema {0}, and this version reads {SCHEMA}")]
    Schema(u32),
}

impl Document {
    /// The canonical text, RFC 8785.
    pub fn canonical(&self) -> Result<String, DocumentError> {
        Ok(serde_json_canonicalizer::to_string(self)?)
    }

    pub fn from_canonical(text: &str) -> Result<Document, DocumentError> {
        let document: Document = serde_json::from_str(text)?;
        if document.schema != SCHEMA {
            return Err(DocumentError::Schema(document.schema));
        }
        Ok(document)
    }
}

impl Document {
    /// How many of the points that labs look for are said: `23 of 24`.
    pub fn score(&self) -> String {
        format!("{} of {}", self.met, self.criteria)
    }

    /// The day in the dentist's hands, `2026-03-02`; empty where none is given.
    pub fn due(&self) -> String {
        self.prescription
            .dates
            .wanted
            .map(String::from)
            .unwrap_or_default()
    }
}

/// SHA-256 of the text's bytes, as 64 small hexadecimal digits.
pub fn document_hash(text: &str) -> String {
    sha256_hex(text.as_bytes())
}

/// Who signed, when, and under which words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Signature {
    pub account: String,
    pub name: String,
    pub licence: String,
    pub meaning: String,
    pub at: Moment,
}

/// A revision as stored.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Revision {
    pub case: CaseNumber,
    pub number: i64,
    pub document: String,
    pub hash: String,
    pub signature: Signature,
}

/// The lab's word that it works to this revision.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Acknowledgement {
    pub revision: i64,
    pub account: String,
    pub name: String,
    pub at: Moment,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_hash_is_sha_256() {
        // FIPS 180-4 example: SHA-256("abc").
        assert_eq!(
            document_hash("abc"),
            "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
        );
    }
}
