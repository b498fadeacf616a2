//! The prescription as a whole: what is typed comes back, nothing is lost, every field is everywhere.

mod changed_since;
mod fields;
mod sections;
mod stored;
mod words;

use super::*;
use crate::domain::form::*;
use crate::domain::values::tooth::Numbering;

/// Reads a form that has no fault.
fn read_whole(raw: &Raw) -> Prescription {
    let reading = read(raw, Numbering::Iso3950);
    assert_eq!(reading.faults, [], "a readable form has no faults");
    reading.document
}

/// A form of one field.
fn one(key: &str, text: &str) -> Raw {
    Raw::from([(key.to_owned(), text.to_owned())])
}

/// What differs between two prescriptions, in words.
fn differences(
    before: &Prescription,
    after: &Prescription,
    numbering: Numbering,
) -> Vec<Difference> {
    compare(&before.printed(numbering), &after.printed(numbering), true)
}
