//! The least that a prescription must say before it can be signed.
//!
//! Of the nine items that the published state texts share (laboratory, dentist, patient, date, each
//! piece, materials, signature, one patient per case, a copy for both) the pieces and their materials
//! stand here; the others come from the parties, the case and the signature around the prescription.
//! The day it is wanted and the tooth shade are asked for as well: surveys of laboratories name them as
//! what is missing most often. Whether it all fits together is the review's task.

use super::document::{Prescription, Reading};
use super::parts::{Course, PatternSource, ShadeSource, Stage};
use crate::domain::form::{FieldSpec, FilledField, SectionSpec};
use crate::domain::values::fault::Fault;
use crate::domain::values::tooth::Numbering;

/// What is missing, beside the field where it is to be filled in. Empty when it may be signed.
pub fn missing_for_signing(document: &Prescription) -> Vec<Fault> {
    let mut missing = Vec::new();
    // Only which fields are filled matters here, so any numbering will do.
    for (section, cells) in document.filled(Numbering::Iso3950) {
        missing.extend(missing_fields(section, &cells));
    }
    if document.order.pieces.is_empty() {
        missing.push(Fault::new(
            "pieces.0.stage",
            "List at least one piece: its arch, its stage and its materials.",
        ));
    }
    missing.extend(missing_shade(document));
    missing
}

impl Reading {
    /// Adds what is missing before it can be signed. A field that cannot be read is not called missing too.
    pub fn ask_for_signing(&mut self) {
        for missing in missing_for_signing(&self.document) {
            if !self.faults.iter().any(|fault| fault.key == missing.key) {
                self.faults.push(missing);
            }
        }
    }
}

/// Required fields of the section itself, and of every row that is there.
fn missing_fields(section: &'static SectionSpec, cells: &[FilledField]) -> Vec<Fault> {
    let filled = |field: &FieldSpec, row| {
        cells
            .iter()
            .any(|cell| cell.spec.key == field.key && cell.row == row)
    };
    let mut missing = Vec::new();
    let mut ask = |field: &FieldSpec, row| {
        if field.required_for_signing && !filled(field, row) {
            missing.push(Fault::new(
                field.at(row),
                format!("Fill in “{}” before signing.", field.label),
            ));
        }
    };
    section.fields.iter().for_each(|field| ask(field, None));
    for group in section.groups {
        let in_group =
            |cell: &&FilledField| group.fields.iter().any(|field| field.key == cell.spec.key);
        let last = cells
            .iter()
            .filter(in_group)
            .filter_map(|cell| cell.row)
            .max();
        for row in 0..last.map_or(0, |last| last + 1) {
            group.fields.iter().for_each(|field| ask(field, Some(row)));
        }
    }
    missing
}

/// Whether teeth of a shade are set or made for a piece of this stage: rims, trays, relines and repairs go without, and
/// so do teeth that stand in the wax already, whose shade was asked for with the set-up. The review asks by the same.
fn wants_shade(document: &Prescription, stage: Stage) -> bool {
    use Course as C;
    let written = document.order.course;
    match stage {
        Stage::SetUp | Stage::Duplicate => true,
        Stage::TryIn => written != Some(C::Reset),
        Stage::Process => match written {
            Some(C::Finish) => false,
            Some(C::Copy | C::DigitalCopy | C::Immediate | C::Single | C::Everything) => true,
            _ => document.pattern.source != Some(PatternSource::TryIn),
        },
        _ => false,
    }
}

fn missing_shade(document: &Prescription) -> Option<Fault> {
    let mut stages = document.order.pieces.iter().filter_map(|piece| piece.stage);
    let wanted = stages.any(|stage| wants_shade(document, stage));
    let shade = &document.shade;
    let given = match shade.source {
        Some(ShadeSource::Pattern) => true,
        Some(ShadeSource::Measured) => {
            shade.lightness.is_some() && shade.a.is_some() && shade.b.is_some()
        }
        Some(ShadeSource::Tab) | None => shade.tab.is_some(),
    };
    (wanted && !given).then(|| {
        let message = match shade.source {
            Some(ShadeSource::Measured) => "Give L*, a* and b*, or another source of the shade.",
            _ => "Name the tab of the tooth shade, or choose “as on the pattern”.",
        };
        let key = if shade.source == Some(ShadeSource::Measured) {
            "shade.lightness"
        } else {
            "shade.tab"
        };
        Fault::new(key, message)
    })
}
