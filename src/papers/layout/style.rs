//! Sizes of type of every paper but the sheet, which has its own: nothing is smaller than 8 pt, and the numbers that matter
//! stand well above the rest.

use crate::papers::page::{Face, Grey};
use crate::papers::typeface::{self, MM_PER_PT};

/// Size, weight and lightness of a run of text.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Style {
    pub size_pt: f32,
    pub face: Face,
    pub grey: Grey,
}

const fn style(size_pt: f32, face: Face, grey: Grey) -> Style {
    Style {
        size_pt,
        face,
        grey,
    }
}

pub const LABEL: Style = style(9.0, Face::Regular, Grey::SOFT);
pub const VALUE: Style = style(11.0, Face::Regular, Grey::INK);
/// For lists that are to stay on one page.
pub const SMALL: Style = style(9.0, Face::Regular, Grey::INK);
/// For a history, which is looked things up in: still half a point above the smallest letters of the sheet.
pub const HISTORY: Style = style(8.0, Face::Regular, Grey::INK);
pub const HISTORY_HEAD: Style = style(8.0, Face::Bold, Grey::INK);
/// For the size and root of the record where they are set close.
pub const HISTORY_STRONG: Style = style(8.5, Face::Bold, Grey::INK);
pub const ROW: Style = style(10.0, Face::Regular, Grey::INK);
pub const ROW_STRONG: Style = style(10.0, Face::Bold, Grey::INK);
pub const STRONG: Style = style(11.0, Face::Bold, Grey::INK);
pub const HEADING: Style = style(12.5, Face::Bold, Grey::INK);
pub const TITLE: Style = style(17.0, Face::Bold, Grey::INK);
pub const NUMBER: Style = style(16.0, Face::Bold, Grey::INK);
pub const BIG: Style = style(22.0, Face::Bold, Grey::INK);
/// For a large value that would not stand on one line.
pub const BIG_LONG: Style = style(18.0, Face::Bold, Grey::INK);
pub const UNIT: Style = style(12.0, Face::Regular, Grey::INK);
pub const RUNNING: Style = style(8.5, Face::Regular, Grey::INK);
pub const RUNNING_STRONG: Style = style(8.5, Face::Bold, Grey::INK);
/// Long codes (hashes, roots), which are compared rather than read.
pub const CODE: Style = style(8.5, Face::Regular, Grey::INK);

impl Style {
    /// From one line's top to the next one's; 1.32 em keeps accents of capital letters apart.
    pub fn line_mm(self) -> f32 {
        self.size_pt * MM_PER_PT * 1.32
    }

    /// From a line's top to its baseline.
    pub fn baseline_mm(self) -> f32 {
        self.size_pt * MM_PER_PT * 1.03
    }

    pub fn width_mm(self, text: &str) -> f32 {
        typeface::width_mm(text, self.face, self.size_pt)
    }

    /// The width that any case number, patient code or tag has room in: the widest letter of its alphabet nine times.
    pub fn code_mm(self) -> f32 {
        self.width_mm("WWW-WWW-WWW") + 0.1
    }
}
