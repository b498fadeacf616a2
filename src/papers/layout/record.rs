//! The block that every paper ends with: where the record stood, as a QR code with the same in letters beside it.
//!
//! It is no page by itself: where it has no room it is set close, without the sentence on its use, and whatever stands
//! before it goes along to the next page.

use super::flow::Flow;
use super::qr::QrBox;
use super::row::{Cell, RowStyle, height_mm, place};
use super::style::{CODE, HISTORY_STRONG, LABEL, STRONG, VALUE};
use crate::papers::record_mark::RecordMark;

const GUTTER_MM: f32 = 4.0;
/// White space above the block, and where it is set close.
const GAP_MM: f32 = 5.0;
const CLOSE_GAP_MM: f32 = 2.0;

/// Of which moment a paper tells that is drawn again each time.
pub const WHEN_PRINTED: &str = "The record when this was printed";

/// Of which moment a paper tells that holds a case's entries.
pub const WITH_ENTRIES: &str = "The record with these entries";

/// How the block is set.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum BlockSize {
    /// With the sentence that says what it is for.
    Whole,
    /// For papers that are thrown away soon, and for the end of a full page.
    Close,
}

impl BlockSize {
    /// White space above the block.
    fn gap_mm(self) -> f32 {
        match self {
            BlockSize::Whole => GAP_MM,
            BlockSize::Close => CLOSE_GAP_MM,
        }
    }

    /// Room with the white space above it.
    fn height_mm(self, flow: &Flow, mark: &RecordMark, when: &str) -> f32 {
        let side = QrBox::encode(&mark.code()).map_or(0.0, |code| code.side_mm);
        let beside = if side > 0.0 { side + GUTTER_MM } else { 0.0 };
        let cell = self.words(Cell::new(0.0, flow.measure() - beside), mark, when);
        self.gap_mm() + height_mm(&[cell], RowStyle::default()).max(side)
    }

    fn words(self, cell: Cell, mark: &RecordMark, when: &str) -> Cell {
        // A long word breaks where a reader can tell that nothing is missing.
        let key = mark.key.replacen('+', "+\n", 1);
        let letters = in_two_lines(&mark.letters());
        match self {
            BlockSize::Whole => cell
                .add(when, LABEL)
                .add(&letters, STRONG)
                .add(&format!("Size and root. Key {}:", mark.key_id), VALUE)
                .add(&key, CODE)
                .add(
                    "With this paper anybody can find out whether the record was rewritten later: type size and root on the \
                     page Record.",
                    LABEL,
                ),
            BlockSize::Close => cell
                .add(when, LABEL)
                .add(&letters, HISTORY_STRONG)
                .add(&format!("Key {}: {key}", mark.key_id), CODE),
        }
    }

    /// Sets the block in one piece.
    fn place(self, flow: &mut Flow, mark: &RecordMark, when: &str) {
        flow.gap(self.gap_mm());
        let code = QrBox::encode(&mark.code());
        let side = code.as_ref().map_or(0.0, |code| code.side_mm);
        let beside = if code.is_some() {
            side + GUTTER_MM
        } else {
            0.0
        };
        let (x, width) = (flow.left() + beside, flow.measure() - beside);
        let cell = self.words(Cell::new(x, width), mark, when);
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
}

/// Sets the whole block in one piece. `when` says of which moment it tells.
pub fn place_record(flow: &mut Flow, mark: &RecordMark, when: &str) {
    BlockSize::Whole.place(flow, mark, when);
}

/// The least room that the block takes at the end of a paper, with the white space above it: what stands before it is not
/// parted from so much.
pub fn least_record_mm(flow: &Flow, mark: &RecordMark, when: &str) -> f32 {
    BlockSize::Close.height_mm(flow, mark, when)
}

/// Sets the block close.
pub fn place_close_record(flow: &mut Flow, mark: &RecordMark, when: &str) {
    BlockSize::Close.place(flow, mark, when);
}

/// Sets the block at the end of a paper: close, where it has no room otherwise.
pub fn end_with_record(flow: &mut Flow, mark: &RecordMark, when: &str) {
    let setting = match BlockSize::Whole.height_mm(flow, mark, when) > flow.room() {
        true => BlockSize::Close,
        false => BlockSize::Whole,
    };
    setting.place(flow, mark, when);
}

/// Eight groups of eight digits, four to a line, as they are easiest to compare.
fn in_two_lines(letters: &str) -> String {
    let groups: Vec<&str> = letters.split(' ').collect();
    let lines: Vec<String> = groups.chunks(4).map(|line| line.join(" ")).collect();
    lines.join("\n")
}
