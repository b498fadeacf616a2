//! Signed texts of invented values around any prescription, for tests and for looking at their sheets.

use super::samples::record;
use super::sheet::{Sheet, SheetOf, sheet};
use crate::domain::people::party::Paper;
use crate::domain::prescription::Prescription;
use crate::domain::prescription::revision::*;
use crate::domain::review::sample;
use crate::domain::values::arch::Arches;
use crate::domain::values::ids::{CaseNumber, PatientCode};
use crate::domain::values::moment::Moment;
use crate::domain::values::tooth::Numbering;

/// The code of a number; not every one is issued.
fn code<T>(make: impl Fn([u8; 7]) -> Option<T>) -> Option<T> {
    (0..32).find_map(|last| make([4, 7, 1, 9, 12, 3, last]))
}

/// What is there in the sample of the review, as it is registered, and where it stays that does not go along.
const THINGS: [(&str, &str, &str); 9] = [
    ("provisional_upper", "Provisional denture, upper", ""),
    ("provisional_lower", "Provisional denture, lower", ""),
    ("duplicate_upper", "Duplicate, upper", "in the mouth"),
    ("duplicate_lower", "Duplicate, lower", "in the mouth"),
    ("bite", "Bite record", ""),
    ("facebow", "Facebow record", ""),
    ("tab", "Shade tab", ""),
    ("old_upper", "Old denture, upper", "kept back at the office"),
    ("cast_lower", "Cast, lower", ""),
];

/// A first revision around a prescription; none where no code is issued for its number.
pub fn document(prescription: Prescription) -> Option<Document> {
    let card = |name: &str, address: &str, licence: &str, telephone: &str| PartyCard {
        name: name.to_owned(),
        address: address.to_owned(),
        licence: licence.to_owned(),
        telephone: telephone.to_owned(),
    };
    let fact = |label: &str, words: &str| (label.to_owned(), words.to_owned());
    let item = |(thing, title, at): (&str, &str, &str)| ItemCard {
        tag: sample::tag_text(thing),
        title: title.to_owned(),
        pieces: 1,
        at: at.to_owned(),
    };
    Some(Document {
        schema: SCHEMA,
        case: code(CaseNumber::from_random)?,
        revision: 1,
        arches: Arches::Both,
        patient: PatientCard {
            code: code(PatientCode::from_random)?,
            facts: vec![
                fact("Age band", "60 to 69"),
                fact("Materials to be avoided", "asked: none known"),
            ],
        },
        office: card(
            "Office on the Quay",
            "3 Quay Street\n40210 Port Anselm",
            "OFF-8831",
            "555 0142",
        ),
        lab: card(
            "Plaster Lane Laboratory",
            "17 Plaster Lane\n40210 Port Anselm",
            "LAB-5520",
            "555 0187",
        ),
        prescriber_name: "Dr. Mara Lindqvist".to_owned(),
        prescriber_licence: "D-10442".to_owned(),
        issued: Moment::new(1_772_442_000_000, 60),
        numbering: Numbering::Iso3950,
        paper: Paper::A4,
        meaning: MEANING.to_owned(),
        address: "https://lab.example".to_owned(),
        items: THINGS.into_iter().map(item).collect(),
        warnings: Vec::new(),
        passed: Vec::new(),
        met: 24,
        criteria: 24,
        law: Vec::new(),
        missing: Vec::new(),
        sheet: SHEET,
        prescription,
    })
}

/// Who signed it, a while after it was written.
pub fn signature() -> Signature {
    Signature {
        account: "a".into(),
        name: "Dr. Mara Lindqvist".to_owned(),
        licence: "D-10442".to_owned(),
        meaning: MEANING.to_owned(),
        at: Moment::new(1_772_442_300_000, 60),
    }
}

/// The sheet of a signed text.
pub fn signed(document: &Document, before: Option<&Document>, paper: Paper) -> Sheet {
    sheet(&SheetOf {
        document,
        before,
        signature: Some(&signature()),
        paper,
        record: Some(&record()),
    })
}

/// The same text as a draft.
pub fn draft(document: &Document, paper: Paper) -> Sheet {
    sheet(&SheetOf {
        document,
        before: None,
        signature: None,
        paper,
        record: None,
    })
}
