//! What of a part that goes along is said on the sheet of a second laboratory: what belongs to the things that go with it and
//! to the work that is done there. What the first laboratory makes itself is told as what the work is for, and not ordered.
//!
//! The tables are common practice, no source.

use super::content::{BoxRow, Entry, List};
use super::words::{Words, day_of_year};
use crate::domain::custody::item::{Item, ItemKind};
use crate::domain::custody::{PassedWork, SecondLabWork};
use crate::domain::prescription::Strengthening;
use crate::domain::prescription::revision::Document;
use crate::domain::second_lab::tells_of_harm;

/// Whether the fitting surface of the patient lies on it, with the material in which it was taken.
fn bears_the_surface(kind: ItemKind) -> bool {
    match kind {
        ItemKind::Impression
        | ItemKind::Provisional
        | ItemKind::Duplicate
        | ItemKind::FinalDenture
        | ItemKind::OldDenture
        | ItemKind::Rims => true,
        ItemKind::BiteRecord
        | ItemKind::FacebowRecord
        | ItemKind::ProtrusiveRecord
        | ItemKind::TryIn
        | ItemKind::Cast
        | ItemKind::RemountCast
        | ItemKind::LabIndex
        | ItemKind::ClearTemplate
        | ItemKind::ShadeTab
        | ItemKind::TeethCard
        | ItemKind::ImplantParts
        | ItemKind::Photograph
        | ItemKind::Scan
        | ItemKind::Other => false,
    }
}

/// Whether casts go into a flask there.
fn flasks(work: SecondLabWork) -> bool {
    matches!(
        work,
        SecondLabWork::Processing
            | SecondLabWork::Relining
            | SecondLabWork::Copying
            | SecondLabWork::Whole
    )
}

/// Whether a strengthening is made there, though the prescription asks for none: the two laboratories clear that up first.
pub fn is_against_the_prescription(document: &Document, work: SecondLabWork) -> bool {
    let asked = document.prescription.base.strengthening;
    work == SecondLabWork::Framework && asked == Some(Strengthening::None)
}

/// The part with nothing in it that belongs to other things or to other work.
pub fn own_words(document: &Document, work: SecondLabWork, items: &[&Item]) -> Document {
    let mut own = document.clone();
    let rx = &mut own.prescription;
    // How the office is asked is a matter of the first laboratory.
    rx.remarks.ask_by = None;
    if !items.iter().any(|item| bears_the_surface(item.kind)) {
        let surface = &mut rx.impression;
        surface.source = None;
        surface.material = None;
        (surface.placed_on, surface.placed_at) = (None, None);
        (surface.removed_on, surface.removed_at) = (None, None);
        surface.keeps_hours = None;
        surface.keep_surface = None;
        surface.bead_and_box = None;
        surface.land_mm = None;
        surface.border_roll_mm = None;
        let pour = surface.pour_by.take();
        surface.pour_by = pour.filter(|text| tells_of_harm(text.as_str()));
    }
    if !flasks(work) {
        rx.impression.cast_keep = None;
    }
    if is_against_the_prescription(document, work) {
        rx.base.strengthening = None;
    }
    if work != SecondLabWork::Whole {
        rx.order.kind = None;
        for piece in &mut rx.order.pieces {
            piece.stage = None;
        }
    }
    own
}

/// What is made at the first laboratory, in one line for each piece.
pub fn made_for(pieces: &List) -> Vec<Entry> {
    let line = |entry: &Entry| {
        let Entry::Piece([arch, _, piece, materials]) = entry else {
            return None;
        };
        let mut words = arch.clone();
        words.join(" ", piece.clone());
        words.join("; ", materials.clone());
        let made = Words::plain(" (made at the first laboratory)");
        (!words.is_empty()).then(|| {
            words.join("", made);
            Entry::fact("For", words)
        })
    };
    pieces.entries.iter().filter_map(line).collect()
}

/// The work that comes back from there.
pub fn work_of(pass: &PassedWork) -> Entry {
    Entry::Parcel(BoxRow {
        name: Words::strong("The work ordered here"),
        arch: Words::plain(pass.arches.shown()),
        back: Words::strong(format!("by {}", day_of_year(pass.wanted))),
        comes_back: true,
        ..BoxRow::default()
    })
}

/// What is written down in lots there; of the whole work what the sheet of the first laboratory asks.
pub fn lots_of(work: SecondLabWork, of_the_whole: Vec<&'static str>) -> Vec<&'static str> {
    match work {
        SecondLabWork::Tray => vec!["Tray material"],
        SecondLabWork::Rims => vec!["Base material", "Wax"],
        SecondLabWork::Mounting => vec!["Mounting plaster"],
        SecondLabWork::SetUp => vec!["Teeth", "Wax"],
        SecondLabWork::Framework => vec!["Metal or fiber", "Other material"],
        SecondLabWork::Processing | SecondLabWork::Relining => {
            vec!["Base resin", "Separator", "Stone"]
        }
        SecondLabWork::FromFiles => vec!["Disc or resin", "Bonding"],
        SecondLabWork::Finishing => vec!["Material"],
        SecondLabWork::Repairing => vec!["Resin", "Teeth", "Stone"],
        SecondLabWork::Remounting => vec!["Mounting plaster"],
        SecondLabWork::Copying => vec!["Base resin", "Teeth", "Separator", "Stone"],
        SecondLabWork::Whole => of_the_whole,
    }
}
