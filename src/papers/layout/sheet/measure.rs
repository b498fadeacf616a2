//! The grid of the sheet, its sizes of type and its lines.

use crate::domain::people::party::Paper;
use crate::papers::layout::style::Style;
use crate::papers::page::{Face, Grey, Stroke};

/// What differs between the papers.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Measure {
    pub page_width: f32,
    pub page_height: f32,
    pub left: f32,
    pub top: f32,
    pub width: f32,
    pub height: f32,
    /// From line to line.
    pub step: f32,
    /// Between bands.
    pub gap: f32,
    /// Height of a row that is written into by hand.
    pub row: f32,
    /// Whether letters between rules stand in the middle where lines are close: since the fifth sheet.
    pub centres: bool,
}

/// From line to line where the sheet would not have room otherwise: 1.13 of the letters, or 1.1 where that is too much.
const CLOSE: [f32; 2] = [3.4, 3.3];

/// Between columns.
pub const GUTTER: f32 = 3.0;

const fn style(size_pt: f32, face: Face) -> Style {
    Style {
        size_pt,
        face,
        grey: Grey::INK,
    }
}

pub const CASE: Style = style(23.0, Face::Bold);
pub const DUE: Style = style(21.5, Face::Bold);
pub const WHAT: Style = style(14.5, Face::Bold);
pub const LARGE: Style = style(14.0, Face::Bold);
/// For a large value that has no room on its line.
pub const LARGE_LONG: Style = style(11.0, Face::Bold);
pub const AVOID: Style = style(12.5, Face::Bold);
pub const AVOID_LONG: Style = style(9.0, Face::Bold);
pub const HEAD: Style = style(9.0, Face::Bold);
pub const TEXT: Style = style(8.5, Face::Regular);
pub const STRONG: Style = style(8.5, Face::Bold);
pub const SECOND: Style = style(8.0, Face::Regular);
pub const SECOND_STRONG: Style = style(8.0, Face::Bold);
/// Nothing on the sheet is smaller.
pub const LABEL: Style = style(7.5, Face::Regular);
pub const LABEL_STRONG: Style = style(7.5, Face::Bold);

/// Lines that begin a part, that part rows, that frame, and that frame what must not be missed.
pub fn part() -> Stroke {
    Stroke::solid(0.5, Grey::INK)
}
pub fn hair() -> Stroke {
    Stroke::solid(0.15, Grey::INK)
}
pub fn frame() -> Stroke {
    Stroke::solid(0.6, Grey::INK)
}
pub fn warning() -> Stroke {
    Stroke::solid(0.9, Grey::INK)
}

impl Measure {
    /// The measures of a sheet of this number: since the fourth the shorter paper is used up to the bands of a copy.
    pub fn of(paper: Paper, number: u32) -> Measure {
        let (page_width, page_height) = paper.size_mm();
        let (left, step, gap, row) = match paper {
            Paper::A4 => (12.0, 3.8, 1.6, 4.9),
            Paper::Letter => (15.0, 3.7, 1.2, 4.4),
        };
        let top = match (paper, number) {
            (Paper::Letter, 4..) => 10.2,
            _ => 12.0,
        };
        Measure {
            page_width,
            page_height,
            left,
            top,
            width: page_width - 2.0 * left,
            height: page_height - 2.0 * top,
            step,
            gap,
            row,
            centres: number >= 5,
        }
    }

    /// The same with closer lines, and then with lines as close as they can be read and rows as low as they can be
    /// written into.
    pub fn closer(self) -> [Measure; 2] {
        CLOSE.map(|step| Measure {
            step: self.step.min(step),
            row: self.row.min(step + 0.7),
            ..self
        })
    }

    /// The width of one of so many equal columns.
    pub fn column(&self, count: usize) -> f32 {
        let count = count.max(1) as f32;
        (self.width - GUTTER * (count - 1.0)) / count
    }
}
