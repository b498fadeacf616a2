//! The note that travels in each parcel of a handoff: what lies in it, its seal, and lines to sign on paper.
//!
//! Whoever opens the parcel without an account reads and signs here; the entry is copied from it later.
//! There is nothing personal on it.

use super::content::Table;
use super::layout::blanks::{blank_line, place_handoff_blank};
use super::layout::flow::Flow;
use super::layout::frame::Frame;
use super::layout::qr::QrBox;
use super::layout::record::place_record;
use super::layout::row::{Cell, Look, place};
use super::layout::style::{BIG, LABEL, STRONG, TITLE, VALUE};
use super::layout::table::place_table;
use super::page::Page;
use super::record_mark::RecordMark;
use crate::domain::people::party::Paper;

/// Everything that the notes of one handoff say.
#[derive(Debug, Clone, PartialEq)]
pub struct ParcelNote {
    pub paper: Paper,
    pub case_number: String,
    /// Name and address of each house.
    pub from: String,
    pub to: String,
    pub carrier: String,
    pub purpose: String,
    /// By whom and when it was released, with the offset.
    pub released: String,
    pub parcels: Vec<NoteParcel>,
    /// The case's address for the QR code.
    pub qr_address: Option<String>,
    /// The record that ends with the release.
    pub record: Option<RecordMark>,
}

/// One parcel.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct NoteParcel {
    /// "Seal 4711", "no seal"
    pub seal: String,
    pub packing: String,
    pub rows: Vec<NoteRow>,
}

/// One item in a parcel.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct NoteRow {
    pub tag: String,
    pub title: String,
    pub pieces: String,
    pub condition: String,
    /// Agent, dilution, minutes, rinsed or not, and when; or that it needs none.
    pub disinfection: String,
}

/// What holds for every parcel that is opened.
pub const CAUTIONS: [&str; 4] = [
    "Treat everything as contaminated until its disinfection is certain. What came without a mark of it is disinfected and recorded before any work.",
    "Read the seal before you break it. Another number, a broken seal, a missing, damaged or surplus piece: stop, note it below, and tell the sender. Work on it waits for the sender's signed statement.",
    "Count the pieces before you compare them with this note.",
    "This note stays with the items. What is signed here is entered later with the time it was signed at.",
];

/// The pages: each parcel begins a new one.
pub fn lay_out(note: &ParcelNote) -> Vec<Page> {
    let mut flow = Flow::new(note.paper);
    let count = note.parcels.len();
    for (number, one) in (1..).zip(&note.parcels) {
        if number > 1 {
            flow.new_page();
        }
        head(&mut flow, note, number, count);
        contents(&mut flow, one);
        cautions(&mut flow);
        place_handoff_blank(&mut flow, "Handed over");
        pick_up_line(&mut flow);
        place_handoff_blank(&mut flow, "Received");
        // Each parcel travels by itself, so each note says where the record stood.
        if let Some(record) = &note.record {
            place_record(&mut flow, record, "The record with this release");
        }
    }
    let frame = Frame {
        width_mm: flow.width_mm,
        height_mm: flow.height_mm,
        head_left: "Note for the parcel".to_owned(),
        head_right: format!("Case {}", note.case_number),
        foot_left: note.released.clone(),
        draft: false,
    };
    flow.finish(|number, count| frame.marks(number, count))
}

/// For the carrier's hand at the door; whoever packed enters it later from here.
fn pick_up_line(flow: &mut Flow) {
    blank_line(
        flow,
        &[
            ("Picked up: name or initials", 0.5),
            ("Parcels", 0.15),
            ("Day, time", 0.35),
        ],
    );
}

fn head(flow: &mut Flow, note: &ParcelNote, number: usize, count: usize) {
    let code = note.qr_address.as_deref().and_then(QrBox::encode);
    let side = code.as_ref().map_or(0.0, |code| code.side_mm);
    let (top, page) = (flow.y, flow.pages());
    if let Some(code) = &code {
        flow.push(code.mark(flow.right() - side, top));
    }
    let width = flow.measure() - side;
    let title = Cell::new(flow.left(), width)
        .add(&format!("Parcel {number} of {count}"), TITLE)
        .space(1.0)
        .add("Case", LABEL)
        .add(&note.case_number, BIG);
    place(flow, vec![title], Look::default(), &|_| {});
    let way = [
        ("Carrier", &note.carrier),
        ("What it goes there for", &note.purpose),
    ];
    side_by_side(flow, way, width);
    if flow.pages() == page {
        flow.y = flow.y.max(top + side);
    }
    flow.gap(3.0);
    let measure = flow.measure();
    side_by_side(flow, [("From", &note.from), ("To", &note.to)], measure);
    flow.gap(3.0);
}

/// Two labelled texts, each with half of the width.
fn side_by_side(flow: &mut Flow, texts: [(&str, &String); 2], width: f32) {
    let half = width / 2.0;
    let cells = texts
        .into_iter()
        .zip([0.0, half])
        .map(|((label, text), x)| {
            Cell::new(flow.left() + x, half - 4.0)
                .add(label, LABEL)
                .add(text, VALUE)
        });
    let cells = cells.collect();
    place(flow, cells, Look::default(), &|_| {});
}

fn contents(flow: &mut Flow, one: &NoteParcel) {
    let words = Cell::new(flow.left(), flow.measure())
        .add(&one.seal, STRONG)
        .add_some(&one.packing, VALUE);
    place(flow, vec![words], Look::default(), &|_| {});
    flow.gap(2.0);
    let table = Table {
        headings: ["Tag", "Item", "Pieces", "Condition", "Disinfection"]
            .map(String::from)
            .to_vec(),
        rows: one
            .rows
            .iter()
            .map(|row| {
                vec![
                    row.tag.clone(),
                    row.title.clone(),
                    row.pieces.clone(),
                    row.condition.clone(),
                    row.disinfection.clone(),
                ]
            })
            .collect(),
        tick: true,
    };
    place_table(flow, &table, &|_| {});
    flow.gap(3.0);
}

fn cautions(flow: &mut Flow) {
    let look = Look {
        pad_mm: 0.9,
        bar: true,
        ..Look::default()
    };
    for words in CAUTIONS {
        let cell = Cell::new(flow.left() + 5.0, flow.measure() - 5.0).add(words, VALUE);
        place(flow, vec![cell], look, &|_| {});
    }
    flow.gap(2.0);
}
