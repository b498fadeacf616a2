//! What is stuck on the outside of each parcel: whither, whence, which of how many, and how many things are in it.
//! Nothing of the case stands there.

use super::layout::flow::Flow;
use super::layout::frame::PageFrame;
use super::layout::qr::QrBox;
use super::layout::record::place_close_record;
use super::layout::row::{Cell, RowStyle, place};
use super::layout::style::{BIG_LONG, LABEL, STRONG, TITLE, VALUE};
use super::page::Page;
use super::record_mark::RecordMark;
use crate::domain::people::party::Paper;

/// Everything that the outsides of one handoff say.
#[derive(Debug, Clone, PartialEq)]
pub struct OutsideLabel {
    pub paper: Paper,
    /// Name and address of each house.
    pub from: String,
    pub to: String,
    pub carrier: String,
    /// How many things lie in each parcel.
    pub pieces: Vec<usize>,
    /// The handoff's address for the QR code.
    pub qr_address: String,
    /// The record that ends with the release.
    pub record: Option<RecordMark>,
}

/// What whoever carries it has to know.
const HANDLING: &str = "Dental work and records: keep dry and cool, and do not press. Hand over unopened, to the address above only.";

/// A page for each parcel; its upper half is cut out and stuck on.
pub fn lay_out(label: &OutsideLabel) -> Vec<Page> {
    let mut flow = Flow::new(label.paper);
    let count = label.pieces.len();
    for (number, things) in (1..).zip(&label.pieces) {
        if number > 1 {
            flow.new_page();
        }
        one(&mut flow, label, (number, count), *things);
    }
    let frame = PageFrame {
        width_mm: flow.width_mm,
        height_mm: flow.height_mm,
        head_left: "For the outside of the parcel".to_owned(),
        head_right: String::new(),
        foot_left: String::new(),
        draft: false,
    };
    flow.finish(|number, count| frame.marks(number, count))
}

fn one(flow: &mut Flow, label: &OutsideLabel, (number, count): (usize, usize), things: usize) {
    let code = QrBox::encode(&label.qr_address);
    let side = code.as_ref().map_or(0.0, |code| code.side_mm);
    let top = flow.y;
    if let Some(code) = &code {
        flow.push(code.mark(flow.right() - side, top));
    }
    let width = flow.measure() - side - 4.0;
    let things = match things {
        1 => "1 item in it".to_owned(),
        many => format!("{many} items in it"),
    };
    let words = Cell::new(flow.left(), width)
        .add(&format!("Parcel {number} of {count}, {things}"), TITLE)
        .space(3.0)
        .add("To", LABEL)
        .add(&label.to, BIG_LONG)
        .space(4.0)
        .add("From", LABEL)
        .add(&label.from, VALUE)
        .space(3.0)
        .add(&format!("Carrier: {}", label.carrier), VALUE)
        .space(3.0)
        .add(HANDLING, STRONG);
    place(flow, vec![words], RowStyle::default(), &|_| {});
    flow.y = flow.y.max(top + side);
    flow.gap(6.0);
    if let Some(record) = &label.record {
        place_close_record(flow, record, "The record with this release");
    }
}
