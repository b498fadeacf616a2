//! A signed revision: the exact text that was shown, its hash, and who stands for it.

use super::document::Prescription;
use crate::domain::form::is_default;
use crate::domain::law::card::LawCard;
use crate::domain::law::retention;
use crate::domain::people::party::{Paper, Party};
use crate::domain::values::arch::{Arch, Arches};
use crate::domain::values::digest::sha256_hex;
use crate::domain::values::ids::{AccountId, CaseNumber, PatientCode};
use crate::domain::values::moment::Moment;
use crate::domain::values::tooth::Numbering;
use serde::{Deserialize, Serialize};

/// The words a dentist signs under. The meaning of a signature is part of what is signed
/// (as 21 CFR 11.50 (a) asks of electronic records; used as a yardstick, not as a claim).
pub const MEANING: &str =
    "I prescribe this work for this patient and take responsibility for its content.";

/// All points that labs look for.
const ALL_POINTS: u32 = 24;

/// A party as it was when the text was signed: a later change of address does not reach it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PartyCard {
    /// As it stands on letters.
    pub name: String,
    /// Several lines, as on letters.
    pub address: String,
    /// Number or registration, as the party writes it; empty where it has none.
    pub licence: String,
    /// Empty where the party gave none, and in texts signed before parties had one.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub telephone: String,
}

impl From<&Party> for PartyCard {
    fn from(party: &Party) -> PartyCard {
        PartyCard {
            name: party.name.clone(),
            address: party.address.clone(),
            licence: party.licence.clone(),
            telephone: party.telephone.clone(),
        }
    }
}

/// What one document says of the patient: nothing that names a person.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PatientCard {
    /// The pseudonym that both houses use.
    pub code: PatientCode,
    /// Label and words of each fact that the lab needs.
    pub facts: Vec<(String, String)>,
}

impl PatientCard {
    /// What tells this card from any other.
    pub fn fingerprint(&self) -> String {
        let words: Vec<&str> = (self.facts.iter())
            .flat_map(|(label, words)| [label.as_str(), words.as_str()])
            .collect();
        sha256_hex(format!("{}\0{}", self.code, words.join("\0")).as_bytes())
    }
}

/// An enclosed item by its tag, in words.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ItemCard {
    /// Nine characters without hyphens.
    pub tag: String,
    /// Kind and arch: "Provisional denture, upper".
    pub title: String,
    /// How many pieces it consists of.
    pub pieces: u32,
    /// Where it stays, of what does not go along; empty of what does, and in texts signed before this was kept.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub at: String,
}

/// A caution of the review that the dentist let stand, with the reason.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PassedCaution {
    /// The id of the finding, as the review gives it.
    pub id: String,
    /// As it was shown.
    pub sentence: String,
    /// As the dentist typed it.
    pub reason: String,
}

/// One of the review's criteria that was not met when it was signed, and why.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MissingPoint {
    /// Its place in the list of criteria, from 1.
    pub number: u32,
    /// As it stands in the list.
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
    /// From 1.
    pub revision: i64,
    /// The arches that are treated.
    pub arches: Arches,
    pub patient: PatientCard,
    pub office: PartyCard,
    pub lab: PartyCard,
    pub prescriber_name: String,
    pub prescriber_licence: String,
    /// When it was signed.
    pub issued: Moment,
    /// How teeth are counted in its words.
    pub numbering: Numbering,
    /// The paper that it is laid out for.
    pub paper: Paper,
    /// What the signature says; see [`MEANING`].
    pub meaning: String,
    /// The installation's address at that time: the slip's QR code leads there, and stays the same.
    pub address: String,
    /// Items of the case when it was signed, for the tags that the prescription names.
    pub items: Vec<ItemCard>,
    /// What the dentist was warned of and signed all the same, in words.
    pub warnings: Vec<String>,
    /// What the review asked and the dentist answered with a reason.
    #[serde(default)]
    pub passed: Vec<PassedCaution>,
    /// How many of the review's criteria are met, and of how many.
    #[serde(default)]
    pub met: u32,
    #[serde(default)]
    pub criteria: u32,
    /// The profiles of local law that it was checked against; texts signed before there was a choice have
    /// none, and stay byte for byte what they were.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub law: Vec<LawCard>,
    /// The criteria that are not met. Revisions signed before this was kept name none.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub missing: Vec<MissingPoint>,
    /// Which paper it was signed for; texts signed before there was the sheet have none, and keep the long slip
    /// that they had.
    #[serde(default, skip_serializing_if = "is_default")]
    pub sheet: u32,
    /// The typed fields.
    pub prescription: Prescription,
}

/// The sheet that this program prints what is signed today on. The code of the first does not name the revision; since
/// the third a number has its direction beside it, and the numbers of the picture stand in their own half; since the
/// fourth accepted queries are said once, lists give way by their weight, and things at rest say where they are; since
/// the fifth the labels are those of the form as it is now, the full text has the directions too, a row of a list that
/// only stands elsewhere is no change of it, and letters stand in the middle between rules; since the sixth the days are
/// drawn on a line, no lot of teeth is asked of work that takes none, another kind of work is no list of changed fields,
/// what is repaired, relined or extracted stands first among the large values, a guide alone is no shade, and the jaws on
/// top are those of what is ordered; since the seventh a value that is there no longer is told so, between two kinds of work
/// too, a try-in is finished or reset and not copied, and whatever fits with closed gaps is taken to fit; since the eighth a
/// midline, an edge, a lip and a height that fields move stand in the list of changes and are counted there, and ticks and
/// numbers stand clear of the words and lines beside them; since the ninth the words are spelled as the pages are, each
/// number that is prescribed and can be measured has its room at the bench, a thickness and a mounting that the lab has
/// kept stand with what they belong to, a long text that changed stands in its own line alone, and what comes first and
/// what is asked before give way as late as what is to be made.
pub const SHEET: u32 = 9;

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
    /// The jaws for which something is ordered; all that are treated where a piece does not say its own.
    pub fn ordered_arches(&self) -> Arches {
        let pieces = self.prescription.order.pieces.iter();
        let jaws: Option<Vec<Arch>> = pieces.map(|piece| piece.arch).collect();
        let jaws = jaws.and_then(|jaws| Arches::of(&jaws));
        jaws.unwrap_or(self.arches)
    }

    /// The canonical text, RFC 8785.
    pub fn canonical(&self) -> Result<String, DocumentError> {
        Ok(serde_json_canonicalizer::to_string(self)?)
    }

    /// Reads a stored text back; another schema than the present one is an error.
    pub fn from_canonical(text: &str) -> Result<Document, DocumentError> {
        let document: Document = serde_json::from_str(text)?;
        if document.schema != SCHEMA {
            return Err(DocumentError::Schema(document.schema));
        }
        Ok(document)
    }
}

impl Document {
    /// Local law in words, label and text: the profiles, a second laboratory, and until when both sides
    /// keep the text, counted from the day of signing. Nothing for a text signed before there was a choice.
    pub fn law_lines(&self, signed: time::Date) -> Vec<(&'static str, String)> {
        let mut lines: Vec<(&'static str, String)> = match self.law.as_slice() {
            [] => return Vec::new(),
            [office, lab] if office.key == lab.key => {
                vec![("Profile of office and laboratory", office.words())]
            }
            cards => cards.iter().map(LawCard::line).collect(),
        };
        let bound = self.law.iter().filter(|card| card.second_lab_authorization);
        if let Some(card) = bound.into_iter().next() {
            let words = format!("needs an authorization of its own ({})", card.name);
            lines.push(("Work passed to a second laboratory", words));
        }
        let titles = self.law.iter().filter_map(|card| card.title.clone());
        lines.extend(titles.take(1).map(|title| ("Title of the paper", title)));
        let kept = retention::kept(signed, &self.law);
        lines.push((
            "To be kept",
            kept.map_or_else(|why| why, |kept| kept.words()),
        ));
        lines
    }

    /// How many of the points that labs look for are said: `23 of 24`, or `17 of 17 that apply` where the
    /// kind of work needs fewer.
    pub fn score(&self) -> String {
        let (met, of) = (self.met, self.criteria);
        let part = if of < ALL_POINTS { " that apply" } else { "" };
        format!("{met} of {of}{part}")
    }

    /// The day in the dentist's hands, where one is given.
    pub fn due(&self) -> Option<time::Date> {
        Some(self.prescription.dates.wanted?.date())
    }
}

/// SHA-256 of the text's bytes, as 64 small hexadecimal digits.
pub fn document_hash(text: &str) -> String {
    sha256_hex(text.as_bytes())
}

/// Who signed, when, and under which words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Signature {
    /// Who signed.
    pub account: AccountId,
    /// The printed name.
    pub name: String,
    /// Empty for whoever has none.
    pub licence: String,
    /// What the signature says; see [`MEANING`].
    pub meaning: String,
    pub at: Moment,
}

/// A revision as stored.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Revision {
    pub case: CaseNumber,
    /// From 1; the highest is in force.
    pub number: i64,
    /// Canonical JSON of a [`Document`].
    pub document: String,
    /// SHA-256 of the document, 64 hexadecimal digits.
    pub hash: String,
    pub signature: Signature,
}

/// The lab's word that it works to this revision.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Acknowledgement {
    /// The number of the revision that the lab works to.
    pub revision: i64,
    pub account: AccountId,
    /// The printed name of whoever acknowledged.
    pub name: String,
    pub at: Moment,
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::review::sample;
    use time::macros::date;

    /// As it was signed before there were profiles.
    const WITHOUT_LAW: &str = concat!(
        r#"{"address":"http://vestibule.test","arches":"both","case":"C54FB5V87","criteria":24,"issued":"#,
        r#"{"offset_min":60,"unix_ms":1772442000000},"items":[],"lab":{"address":"a","licence":"l","name":"n"},"#,
        r#""meaning":"m","met":24,"numbering":"iso3950","office":{"address":"a","licence":"l","name":"n"},"#,
        r#""paper":"a4","passed":[],"patient":{"code":"P0000000X","facts":[]},"prescriber_licence":"d","#,
        r#""prescriber_name":"p","prescription":{"schema":1},"revision":1,"schema":1,"warnings":[]}"#
    );

    fn without_law() -> Document {
        let code = (0..32).find_map(|last| PatientCode::from_random([1, 1, 1, 1, 1, 1, last]));
        let text = WITHOUT_LAW.replace("P0000000X", code.expect("a code").as_str());
        let document = Document::from_canonical(&text).expect("a document");
        assert_eq!(document.canonical().expect("json"), text, "byte for byte");
        document
    }

    #[test]
    fn a_text_signed_before_there_were_profiles_stays_what_it_was() {
        let document = without_law();
        assert_eq!(document.law, []);
        assert_eq!(document.law_lines(date!(2026 - 03 - 02)), []);
    }

    #[test]
    fn the_profiles_are_in_the_text_with_source_and_date() {
        let signed = |office: &str, lab: &str| {
            let law = LawCard::of_case(&sample::law(office, lab));
            let text = Document {
                law,
                ..without_law()
            }
            .canonical()
            .expect("json");
            Document::from_canonical(&text).expect("own text")
        };
        let lines = signed("us-fl", "eu").law_lines(date!(2026 - 03 - 02));
        let labels: Vec<&str> = lines.iter().map(|(label, _)| *label).collect();
        assert_eq!(
            labels,
            [
                "Profile of the office",
                "Profile of the laboratory",
                "Work passed to a second laboratory",
                "Title of the paper",
                "To be kept"
            ]
        );
        assert!(
            lines[0]
                .1
                .starts_with("Florida [us-fl]: Fla. Admin. Code 64B5-17.006;")
        );
        assert!(lines[1].1.contains("MDCG 2021-3 (2021)"));
        // The title that the Florida text asks for (Fla. Admin. Code 64B5-17.006).
        assert!(lines[3].1.contains("Laboratory procedure prescription"));
        let same = signed("common", "common").law_lines(date!(2026 - 03 - 02));
        assert_eq!(same.len(), 2, "{same:?}");
        assert_eq!(same[0].0, "Profile of office and laboratory");
    }

    #[test]
    fn the_hash_is_sha_256() {
        // FIPS 180-4 example: SHA-256("abc").
        assert_eq!(
            document_hash("abc"),
            "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
        );
    }
}
