//! The card of the bench: on one page the words that a scanner reads in place of a touch. It tells of nobody's work, and
//! has no mark of the record: no code stands on it but its own.

use super::layout::flow::{Flow, text_mark};
use super::layout::frame::PageFrame;
use super::layout::qr::QrBox;
use super::layout::row::{Cell, RowStyle, place};
use super::layout::style::{ROW, ROW_STRONG, SMALL, STRONG, TITLE};
use super::layout::wrap::wrap;
use super::page::{Grey, Page, Stroke};
use crate::domain::custody::bench::ScanWord;
use crate::domain::people::party::Paper;

/// The head of the card.
pub const TITLE_WORDS: &str = "Bench card";

/// How it is used.
pub const USE_WORDS: &str = "Scan the pan or the sheet, then the codes below instead of touching the screen. Check what \
    the page shows, then scan “Done” to enter it. You are asked for your bench code as usual.";

/// Codes side by side.
const COLUMNS: usize = 8;
/// Width of a code's modules: read from a hand's breadth, and wide apart enough that no other is read.
const CODE_MM: f32 = 14.0;
/// The free border of the coarsest of them, which has 21 modules in a row (ISO/IEC 18004, version 1): all stand on one line.
const BORDER_MM: f32 = 4.0 * CODE_MM / 21.0;

/// Everything that a card says.
#[derive(Debug, Clone, PartialEq)]
pub struct BenchCard {
    pub paper: Paper,
    pub house: String,
}

/// The card's page.
pub fn lay_out(card: &BenchCard) -> Vec<Page> {
    let mut flow = Flow::new(card.paper);
    let head = Cell::new(flow.left(), flow.measure())
        .add(TITLE_WORDS, TITLE)
        .add_some(&card.house, STRONG)
        .add(USE_WORDS, ROW);
    place(&mut flow, vec![head], RowStyle::default(), &|_| {});
    for (heading, words) in ScanWord::groups() {
        flow.gap(1.6);
        flow.rule(Stroke::solid(0.25, Grey::INK));
        flow.gap(0.8);
        let head = Cell::new(flow.left(), flow.measure()).add(heading, ROW_STRONG);
        place(&mut flow, vec![head], RowStyle::default(), &|_| {});
        for row in words.chunks(COLUMNS) {
            codes(&mut flow, row);
        }
    }
    let frame = PageFrame {
        width_mm: flow.width_mm,
        height_mm: flow.height_mm,
        head_left: TITLE_WORDS.into(),
        head_right: card.house.clone(),
        foot_left: "For the scanner at the bench".into(),
        draft: false,
    };
    flow.finish(|number, count| frame.marks(number, count))
}

/// A row of codes, each with its words below it.
fn codes(flow: &mut Flow, words: &[ScanWord]) {
    let column = flow.measure() / COLUMNS as f32;
    let (left, top) = (flow.left(), flow.y);
    let mut bottom = top;
    for (place, word) in words.iter().enumerate() {
        let Some(code) = QrBox::for_label(&word.text(), CODE_MM) else {
            continue;
        };
        let x = left + column * place as f32;
        let (side, upper) = (code.bare_side(), top + BORDER_MM);
        flow.push(code.bare_mark(x + (column - side) / 2.0, upper));
        let mut below = upper + side.max(CODE_MM) + BORDER_MM - 1.2;
        for line in wrap(&word.shown(), SMALL, column - 1.0) {
            let indent = (column - SMALL.width_mm(&line)) / 2.0;
            flow.push(text_mark(x + indent, below, SMALL, &line));
            below += SMALL.line_mm() * 0.86;
        }
        bottom = bottom.max(below);
    }
    flow.y = bottom + 0.4;
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::papers::page::Mark;

    #[test]
    fn every_word_stands_on_the_one_page_within_its_margins() {
        for paper in [Paper::A4, Paper::Letter] {
            let pages = lay_out(&BenchCard {
                paper,
                house: "Kiln Laboratory".into(),
            });
            assert_eq!(pages.len(), 1, "{paper:?}");
            let marks = pages.iter().flat_map(|page| &page.marks);
            let placed = marks.filter_map(|mark| match mark {
                Mark::Qr {
                    y, module_mm, rows, ..
                } => Some((*y, module_mm * rows.len() as f32)),
                _ => None,
            });
            let placed: Vec<(f32, f32)> = placed.collect();
            let codes = placed.len();
            // Codes of one row begin on one line and are as large as each other, whatever they hold.
            for (at, (y, side)) in placed.iter().enumerate() {
                assert!((side - CODE_MM).abs() < 0.6, "{side}");
                for (other, _) in &placed[at + 1..] {
                    let apart = (y - other).abs();
                    assert!(!(0.01..10.0).contains(&apart), "{apart} mm apart");
                }
            }
            let words: usize = ScanWord::groups()
                .iter()
                .map(|(_, words)| words.len())
                .sum();
            assert_eq!(codes, words);
            for page in &pages {
                for mark in &page.marks {
                    if let Mark::Text {
                        x,
                        baseline,
                        size_pt,
                        ..
                    } = mark
                    {
                        assert!(*x > 5.0 && *x < page.width_mm - 5.0);
                        assert!(*baseline < page.height_mm - 5.0);
                        assert!(*size_pt >= 7.5);
                    }
                }
            }
        }
    }
}
