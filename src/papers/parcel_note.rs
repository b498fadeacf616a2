//! The note that travels in each parcel of a handoff: what lies in it, its seal, and lines to sign on paper.
//!
//! Whoever opens the parcel without an account reads and signs here; the entry is copied from it later.
//! There is nothing personal on it.

use super::layout::blanks::{BLANK_LINE_MM, blank_line};
use super::layout::flow::Flow;
use super::layout::frame::PageFrame;
use super::layout::qr::QrBox;
use super::layout::record::end_with_record;
use super::layout::row::{Cell, RowStyle, TICK_INDENT_MM, height_mm, place};
use super::layout::style::{BIG, LABEL, NUMBER, ROW, ROW_STRONG, SMALL, Style, TITLE};
use super::page::{Grey, Page, Stroke};
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
pub const CAUTIONS: [&str; 3] = [
    "Treat everything as contaminated until its disinfection is certain. Disinfect and record anything that is not \
     listed as disinfected before working on it.",
    "Read the seal before you break it. Another number, a broken seal, a missing, damaged or extra item: stop, write it \
     beside the item and tell the sender. Work on it waits for the sender's signed statement.",
    "Count the pieces before you compare them with this note. It stays with the items; enter these signatures later with \
     the time shown here.",
];

/// What each of the two codes is for.
const CASE_CODE: &str = "Opens the case";
const RECORD_CODE: &str = "For checking the record: as it stood with this release";

/// How its items are set.
#[derive(Debug, Clone, Copy, PartialEq)]
struct RowSizes {
    style: Style,
    pad_mm: f32,
    /// Shares of item, pieces and condition in what the tag leaves.
    shares: [f32; 3],
}

const ROOMY: RowSizes = RowSizes {
    style: ROW,
    pad_mm: 0.55,
    shares: [0.37, 0.09, 0.54],
};
/// Where long names would cost a second page.
const CLOSE: RowSizes = RowSizes {
    style: SMALL,
    pad_mm: 0.3,
    shares: [0.46, 0.08, 0.46],
};

/// The pages: each parcel begins a new one, and has no second where closer rows do without.
pub fn lay_out(note: &ParcelNote) -> Vec<Page> {
    let roomy = pages(note, ROOMY);
    if roomy.len() <= note.parcels.len() {
        return roomy;
    }
    let close = pages(note, CLOSE);
    match close.len() < roomy.len() {
        true => close,
        false => roomy,
    }
}

fn pages(note: &ParcelNote, sizes: RowSizes) -> Vec<Page> {
    let mut flow = Flow::new(note.paper);
    let count = note.parcels.len();
    for (number, one) in (1..).zip(&note.parcels) {
        if number > 1 {
            flow.new_page();
        }
        head(&mut flow, note, number, count);
        contents(&mut flow, one, sizes);
        cautions(&mut flow);
        hands(&mut flow);
        // Each parcel travels by itself, so each note says where the record stood.
        if let Some(record) = &note.record {
            end_with_record(&mut flow, record, RECORD_CODE);
        }
    }
    let frame = PageFrame {
        width_mm: flow.width_mm,
        height_mm: flow.height_mm,
        head_left: "Note for the parcel".to_owned(),
        head_right: format!("Case {}", note.case_number),
        foot_left: note.released.clone(),
        draft: false,
    };
    flow.finish(|number, count| frame.marks(number, count))
}

/// Lines for the three hands that a parcel goes through; whoever packed enters the carrier's later from here.
fn hands(flow: &mut Flow) {
    flow.gap(1.0);
    flow.reserve(3.0 * BLANK_LINE_MM);
    let of_a_house = |words| [(words, 0.42), ("Signature", 0.28), ("Date, time", 0.3)];
    blank_line(flow, &of_a_house("Handed over: name"));
    blank_line(
        flow,
        &[
            ("Picked up: name or initials", 0.55),
            ("Parcels", 0.15),
            ("Date, time", 0.3),
        ],
    );
    blank_line(flow, &of_a_house("Received: name"));
}

fn head(flow: &mut Flow, note: &ParcelNote, number: usize, count: usize) {
    let code = note.qr_address.as_deref().and_then(QrBox::encode);
    let side = code.as_ref().map_or(0.0, |code| code.side_mm);
    let (top, page) = (flow.y, flow.pages());
    let mut bottom = top + side;
    if let Some(code) = &code {
        let left = flow.right() - side;
        flow.push(code.mark(left, top));
        let indent = (side - LABEL.width_mm(CASE_CODE)) / 2.0;
        flow.text(left + indent.max(0.0), bottom - 1.2, LABEL, CASE_CODE);
        bottom += LABEL.line_mm() - 1.2;
    }
    let width = flow.measure() - side;
    let title = Cell::new(flow.left(), width)
        .add(&format!("Parcel {number} of {count}"), TITLE)
        .add(&note.case_number, BIG)
        .beside("case", LABEL);
    place(flow, vec![title], RowStyle::default(), &|_| {});
    let way = [("Carrier", &note.carrier), ("Reason", &note.purpose)];
    side_by_side(flow, way, side);
    if flow.pages() == page {
        flow.y = flow.y.max(bottom);
    }
    flow.gap(1.5);
    side_by_side(flow, [("From", &note.from), ("To", &note.to)], 0.0);
    flow.gap(2.0);
}

/// Two labelled texts, each from where its half of the measure begins; the second leaves `taken` mm free on its right.
fn side_by_side(flow: &mut Flow, texts: [(&str, &String); 2], taken: f32) {
    let half = flow.measure() / 2.0;
    let cells = texts
        .into_iter()
        .zip([(0.0, half), (half, half - taken)])
        .map(|((label, text), (x, width))| {
            Cell::new(flow.left() + x, width - 4.0)
                .add(label, LABEL)
                .add(text, ROW)
        });
    let cells = cells.collect();
    place(flow, cells, RowStyle::default(), &|_| {});
}

fn contents(flow: &mut Flow, one: &NoteParcel, sizes: RowSizes) {
    let words = Cell::new(flow.left(), flow.measure())
        .add(&one.seal, NUMBER)
        .beside(&one.packing, ROW);
    place(flow, vec![words], RowStyle::default(), &|_| {});
    flow.gap(1.0);
    headings(flow, sizes);
    // Said once for all that was treated alike, so that a thing is a line.
    let mut said: Vec<&str> = Vec::new();
    for row in &one.rows {
        if said.contains(&row.disinfection.as_str()) {
            continue;
        }
        said.push(&row.disinfection);
        let alike = one.rows.iter();
        let alike = alike.filter(|other| other.disinfection == row.disinfection);
        group(flow, &row.disinfection, alike.collect(), sizes);
    }
    flow.gap(2.0);
}

/// White space between columns.
const GUTTER_MM: f32 = 2.5;

/// Left edge and width of tag, item, pieces and condition.
fn columns(flow: &Flow, sizes: RowSizes) -> [(f32, f32); 4] {
    let (left, measure) = (
        flow.left() + TICK_INDENT_MM,
        flow.measure() - TICK_INDENT_MM,
    );
    let mut x = left;
    // No tag is broken.
    let tag = ROW_STRONG.code_mm() + GUTTER_MM;
    let rest = measure - tag;
    let [item, pieces, condition] = sizes.shares.map(|share| rest * share);
    [tag, item, pieces, condition].map(|width| {
        let column = (x, width - GUTTER_MM);
        x += width;
        column
    })
}

fn headings(flow: &mut Flow, sizes: RowSizes) {
    let words = ["Tag", "Item", "Pieces", "Condition"];
    let cells = columns(flow, sizes).into_iter().zip(words);
    let cells = cells.map(|((x, width), words)| Cell::new(x, width).add(words, LABEL));
    place(flow, cells.collect(), RowStyle::default(), &|_| {});
    flow.rule(Stroke::solid(0.25, Grey::INK));
}

fn group(flow: &mut Flow, disinfection: &str, rows: Vec<&NoteRow>, sizes: RowSizes) {
    let again = |flow: &mut Flow| headings(flow, sizes);
    let row_style = RowStyle {
        pad_mm: sizes.pad_mm,
        rule: true,
        ..RowStyle::default()
    };
    let title = format!("Disinfection: {disinfection}");
    let title = Cell::new(flow.left(), flow.measure()).add(&title, ROW_STRONG);
    // A title never stands alone at the foot of a page.
    if flow.reserve(height_mm(std::slice::from_ref(&title), row_style) + 2.0 * ROW.line_mm() + 2.0)
    {
        headings(flow, sizes);
    }
    place(flow, vec![title], row_style, &again);
    for row in rows {
        let [tag, item, pieces, condition] = columns(flow, sizes);
        let cells = vec![
            Cell::new(tag.0, tag.1).add(&row.tag, ROW_STRONG),
            Cell::new(item.0, item.1).add(&row.title, sizes.style),
            Cell::new(pieces.0, pieces.1).add(&row.pieces, sizes.style),
            Cell::new(condition.0, condition.1).add(&row.condition, sizes.style),
        ];
        place(
            flow,
            cells,
            RowStyle {
                tick: true,
                ..row_style
            },
            &again,
        );
    }
}

fn cautions(flow: &mut Flow) {
    let row_style = RowStyle {
        pad_mm: 0.25,
        bar: true,
        ..RowStyle::default()
    };
    for words in CAUTIONS {
        let cell = Cell::new(flow.left() + 5.0, flow.measure() - 5.0).add(words, SMALL);
        place(flow, vec![cell], row_style, &|_| {});
    }
    flow.gap(1.0);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::papers::page::Mark;

    #[test]
    fn carrier_and_reason_stand_above_the_two_houses_and_each_code_says_what_it_is_for() {
        let note = ParcelNote {
            paper: Paper::Letter,
            case_number: "CGN-9EY-7Y3".to_owned(),
            from: "Office on the Quay\n3 Quay Street".to_owned(),
            to: "Kiln Laboratory\n2 Forge Lane".to_owned(),
            carrier: "Parcel bicycle, reference run 4".to_owned(),
            purpose: "final upper and lower".to_owned(),
            released: "Released by anna".to_owned(),
            parcels: vec![NoteParcel::default()],
            qr_address: Some("HTTPS://VESTIBULE.OFFICE.EXAMPLE/H/1".to_owned()),
            record: Some(crate::papers::samples::record()),
        };
        let pages = lay_out(&note);
        assert_eq!(pages.len(), 1);
        let at = |wanted: &str| {
            let found = pages[0].marks.iter().find_map(|mark| match mark {
                Mark::Text {
                    x, baseline, text, ..
                } if text == wanted => Some((*x, *baseline)),
                _ => None,
            });
            found.unwrap_or_else(|| panic!("{wanted} is not printed"))
        };
        assert_eq!(at("Carrier").0, at("From").0);
        assert_eq!(at("Reason").0, at("To").0);
        assert!(at(CASE_CODE).1 < at("From").1 && at(RECORD_CODE).1 > at("From").1);
        assert!(at("Date, time").1 > 0.0);
        let days = pages[0].marks.iter();
        let is_day = |mark: &&Mark| matches!(mark, Mark::Text { text, .. } if text == "Day, time");
        assert_eq!(days.filter(is_day).count(), 0);
    }
}
