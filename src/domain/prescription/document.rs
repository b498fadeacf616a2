//! The prescription as a document: its sections, its reader, its canonical text.

use super::parts::*;
use crate::domain::form::{
    FieldSpec, FilledField, FormPart, Raw, Reader, SectionSpec, is_default, split_row_key,
};
use crate::domain::people::privacy::{self, Warning};
use crate::domain::values::fault::Fault;
use crate::domain::values::tooth::Numbering;
use serde::de::Error as _;
use serde::{Deserialize, Deserializer, Serialize};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::LazyLock;

/// The schema that this program writes. It grows when a field changes its meaning or goes; a new field
/// needs no new schema, because an empty field is not written.
pub const SCHEMA: u32 = 1;

/// The sections in the order of the visit: the struct, the catalogue and the walk through both.
macro_rules! document {
    ($($key:ident: $section:ident,)+) => {
        /// The whole prescription. Fields that are not filled are not written.
        #[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
        #[serde(deny_unknown_fields)]
        pub struct Prescription {
            #[serde(deserialize_with = "known_schema")]
            pub schema: u32,
            $(
                #[serde(default, skip_serializing_if = "is_default")]
                pub $key: $section,
            )+
        }

        impl Default for Prescription {
            fn default() -> Prescription {
                Prescription { schema: SCHEMA, $($key: $section::default(),)+ }
            }
        }

        static CATALOGUE: &[SectionSpec] = &[
            $(SectionSpec {
                key: stringify!($key),
                title: <$section as FormPart>::TITLE,
                intro: <$section as FormPart>::INTRO,
                fields: <$section as FormPart>::FIELDS,
                groups: <$section as FormPart>::GROUPS,
            },)+
        ];

        impl Prescription {
            pub(super) fn read_with(reader: &mut Reader<'_>) -> Prescription {
                Prescription { schema: SCHEMA, $($key: $section::read(reader, None),)+ }
            }

            /// Whether anything is filled in a section, by its key.
            pub fn is_filled(&self, section: &str) -> bool {
                match section {
                    $(stringify!($key) => !is_default(&self.$key),)+
                    _ => false,
                }
            }

            /// The keys of the sections that say otherwise than those of the text before, in the order of the catalogue.
            pub fn parts_otherwise(&self, before: &Prescription) -> Vec<&'static str> {
                let mut found = Vec::new();
                $(
                    if self.$key != before.$key {
                        found.push(stringify!($key));
                    }
                )+
                found
            }

            /// The filled fields, section by section in the order of the catalogue.
            pub fn filled(&self, numbering: Numbering) -> Vec<(&'static SectionSpec, Vec<FilledField>)> {
                let mut sections = CATALOGUE.iter();
                let mut filled = Vec::new();
                $(
                    let mut cells = Vec::new();
                    self.$key.cells(None, numbering, &mut cells);
                    filled.extend(sections.next().map(|section| (section, cells)));
                )+
                filled
            }
        }
    };
}

document! {
    order: Order,
    approval: Approval,
    reline: Reline,
    repair: Repair,
    remount: Remount,
    rims: Rims,
    opposing: OpposingJaw,
    cast_trim: CastTrim,
    pattern: Pattern,
    scan_set: ScanSet,
    duplicate: Duplicate,
    vertical: Vertical,
    jaw: JawRecord,
    facebow: Facebow,
    guidance: Guidance,
    plane: Plane,
    anterior: Anterior,
    posterior: Posterior,
    occlusion: Occlusion,
    shade: Shade,
    base_shade: BaseShade,
    seal: PosteriorSeal,
    borders: Borders,
    impression: Impression,
    base: BaseAndProcess,
    finish: Finish,
    marking: Marking,
    spare: SpareWanted,
    enclosures: Enclosures,
    back: ToComeBack,
    dates: Dates,
    law: LocalLaw,
    remarks: Remarks,
}

/// Every section with its fields and lists, in the order of the visit.
pub fn catalogue() -> &'static [SectionSpec] {
    CATALOGUE
}

/// Every field's entry: the sections' own and those of their lists.
pub fn all_fields() -> impl Iterator<Item = &'static FieldSpec> {
    CATALOGUE.iter().flat_map(|section| {
        let listed = section.groups.iter().flat_map(|group| group.fields);
        section.fields.iter().chain(listed)
    })
}

/// Entries by the parts of their key before and behind the row: a form of many keys is read without walking
/// the catalogue for each.
static BY_KEY: LazyLock<BTreeMap<(&'static str, &'static str), &'static FieldSpec>> =
    LazyLock::new(|| {
        let parts = |spec: &'static FieldSpec| spec.key.split_once(".#.").unwrap_or((spec.key, ""));
        all_fields().map(|spec| (parts(spec), spec)).collect()
    });

/// The first parts of the form's keys: those of its sections, and of their lists.
static FIRST_PARTS: LazyLock<BTreeSet<&'static str>> = LazyLock::new(|| {
    let with_lists = |section: &'static SectionSpec| {
        let lists = section.groups.iter().map(|group| group.key);
        std::iter::once(section.key).chain(lists)
    };
    CATALOGUE.iter().flat_map(with_lists).collect()
});

/// The entry for a form key such as `vertical.rest_mm` or `changes.3.mm`.
pub fn field_spec(key: &str) -> Option<&'static FieldSpec> {
    if key.contains('#') {
        return None;
    }
    match split_row_key(key) {
        Some((group, _, field)) => BY_KEY.get(&(group, field)).copied(),
        None => BY_KEY.get(&(key, "")).copied(),
    }
}

/// The entry of a line of the sheet, which says a row of a list as `changes.#.mm`.
pub fn line_spec(line: &str) -> Option<&'static FieldSpec> {
    all_fields().find(|spec| spec.key == line)
}

/// The key of a line of the sheet as it is kept with a question: of a list with its row, as in `changes.2.mm`.
pub fn line_key(line: &str) -> Option<String> {
    let of_row = split_row_key(line).and_then(|(_, row, _)| Some(field_spec(line)?.at(Some(row))));
    of_row.or_else(|| Some(line_spec(line)?.key.to_owned()))
}

/// What a line of the sheet is called: its field, with its row where the question was about one.
pub fn line_words(line: &str) -> Option<String> {
    let row = split_row_key(line).map(|(_, row, _)| row + 1);
    match (line_spec(line).or_else(|| field_spec(line))?, row) {
        (spec, Some(row)) => Some(format!("row {row}, {}", spec.label)),
        (spec, None) => Some(spec.label.to_owned()),
    }
}

/// Whether whoever fills this box in can write what he likes.
pub fn is_free_text(key: &str) -> bool {
    field_spec(key).is_some_and(FieldSpec::is_free_text)
}

/// The section that a form key is of, by its own first part or by that of one of its lists.
pub fn section_of(key: &str) -> Option<&'static SectionSpec> {
    let first = key.split('.').next().unwrap_or_default();
    let is_in = |section: &&SectionSpec| {
        section.key == first || section.groups.iter().any(|group| group.key == first)
    };
    CATALOGUE.iter().find(is_in)
}

/// Free text of the form that looks as if it pointed at a person, with its form key.
pub fn personal(raw: &Raw) -> Vec<(String, Warning)> {
    privacy::in_fields(raw, is_free_text)
}

/// What could be read of a typed form, and what could not.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reading {
    /// What could be read; what could not is left empty.
    pub document: Prescription,
    /// What could not, by the keys of the form.
    pub faults: Vec<Fault>,
}

/// Reads all that is readable. Keys whose first part is no section or list of the catalogue are not
/// this form's and are passed over; an unknown field of a known section is a fault, because its text
/// would not be in the signed document.
pub fn read(raw: &Raw, numbering: Numbering) -> Reading {
    let mut reader = Reader::new(raw, numbering);
    let document = Prescription::read_with(&mut reader);
    let mut faults = reader.faults;
    let unknown = raw
        .iter()
        .filter(|(key, text)| !text.trim().is_empty() && is_ours(key));
    faults.extend(unknown.filter(|(key, _)| field_spec(key).is_none()).map(|(key, _)| {
        Fault::new(key, "The form has no such field. Its text is kept, but it is not part of the prescription.")
    }));
    Reading { document, faults }
}

/// Whether a form key belongs to the prescription.
pub fn is_ours(key: &str) -> bool {
    let first = key.split_once('.').map(|(first, _)| first);
    first.is_some_and(|first| FIRST_PARTS.contains(first))
}

/// Reads the schema number, and refuses a document of another one before its fields are judged wrong.
fn known_schema<'de, D: Deserializer<'de>>(deserializer: D) -> Result<u32, D::Error> {
    match u32::deserialize(deserializer)? {
        SCHEMA => Ok(SCHEMA),
        other => Err(D::Error::custom(format!(
            "the prescription has schema {other}, and this version reads {SCHEMA}"
        ))),
    }
}

/// Why a stored prescription is not readable.
#[derive(Debug, thiserror::Error)]
pub enum PrescriptionError {
    #[error("the prescription is not of the form that this version reads: {0}")]
    Form(#[from] serde_json::Error),
    #[error("the prescription is not stored in its canonical form")]
    NotCanonical,
}

impl Prescription {
    /// Back to typed text, to start a new revision from a signed one.
    pub fn to_raw(&self, numbering: Numbering) -> Raw {
        let sections = self.filled(numbering).into_iter();
        sections
            .flat_map(|(_, cells)| cells)
            .map(|cell| (cell.key(), cell.raw))
            .collect()
    }

    /// The canonical text, RFC 8785.
    pub fn canonical(&self) -> Result<String, PrescriptionError> {
        Ok(serde_json_canonicalizer::to_string(self)?)
    }

    /// Reads the canonical text and no other spelling of it. Ranges and lengths are not checked again:
    /// a signed document stays readable when a limit is narrowed later.
    pub fn from_canonical(text: &str) -> Result<Prescription, PrescriptionError> {
        let document: Prescription = serde_json::from_str(text)?;
        if document.canonical()? != text {
            return Err(PrescriptionError::NotCanonical);
        }
        Ok(document)
    }
}
