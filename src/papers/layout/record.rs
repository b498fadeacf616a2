//! The block that every paper ends with: where the record stood, as a QR code with the same in letters beside it.

use super::flow::Flow;
use super::qr::QrBox;
use super::row::{Cell, RowStyle, height_mm, place};
use super::style::{CODE, LABEL, STRONG, VALUE};
use crate::papers::record_mark::RecordMark;

const GUTTER_MM: f32 = 4.0;
/// White space above the block.
const GAP_MM: f32 = 5.0;

/// Of which moment a paper tells that is drawn again each time.
pub const WHEN_PRINTED: &str = "The record when this was printed";

/// How much room the block takes, with the white space above it.
pub fn record_height_mm(flow: &Flow, mark: &RecordMark, when: &str) -> f32 {
    let side = QrBox::encode(&mark.code()).map_or(0.0, |code| code.side_mm);
    let beside = if side > 0.0 { side + GUTTER_MM } else { 0.0 };
    let cell = words(Cell::new(0.0, flow.measure() - beside), mark, when);
    GAP_MM + height_mm(&[cell], RowStyle::default()).max(side)
}

/// Sets the block in one piece. `when` says of which moment it tells.
pub fn place_record(flow: &mut Flow, mark: &RecordMark, when: &str) {
    flow.gap(GAP_MM);
    let code = QrBox::encode(&mark.code());
    let side = code.as_ref().map_or(0.0, |code| code.side_mm);
    let beside = if code.is_some() {
        side + GUTTER_MM
    } else {
        0.0
    };
    let (x, width) = (flow.left() + beside, flow.measure() - beside);
    let cell = words(Cell::new(x, width), mark, when);
    flow.reserve(height_mm(std::slice::from_ref(&cell), RowStyle::default()).max(side));
    let (page, bottom) = (flow.pages(), flow.y + side);
    if let Some(code) = &code {
        flow.push(code.mark(flow.left(), flow.y));
    }
    place(flow, vec![cell], RowStyle::default(), &|_| {});
    if flow.pages() == page {
        flow.y = flow.y.max(bottom);
    }
}

fn words(cell: Cell, mark: &RecordMark, when: &str) -> Cell {
    cell.add(when, LABEL)
        .add(&in_two_lines(&mark.letters()), STRONG)
        .add(&format!("Size and root. Key {}:", mark.key_id), VALUE)
        // A long word breaks where a reader can tell that nothing is missing.
        .add(&mark.key.replacen('+', "+\n", 1), CODE)
        .add(
            "With this paper anybody can find out whether the record was rewritten later: type size and root on the \
             page Record.",
            LABEL,
        )
}

/// Eight groups of eight digits, four to a line, as they are easiest to compare.
fn in_two_lines(letters: &str) -> String {
    let groups: Vec<&str> = letters.split(' ').collect();
    let lines: Vec<String> = groups.chunks(4).map(|line| line.join(" ")).collect();
    lines.join("\n")
}
