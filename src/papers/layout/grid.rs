//! Where the labels of a sheet lie, in hundredths of a millimetre, so that sizes add up exactly.
//!
//! A grid is rows and columns between margins, with gaps between the labels; the size of a label follows.
//! An offset moves all labels for a printer that draws in the paper a little aside.

use crate::domain::people::party::Paper;
use crate::domain::values::measure::show_hundredths;

/// Hundredths of a millimetre.
pub type Hundredths = i64;

/// A label smaller than this holds no code of 20 mm.
const LEAST_LABEL: Hundredths = 2000;

/// Free strips at the edges of the sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Margins {
    pub left: Hundredths,
    pub right: Hundredths,
    pub top: Hundredths,
    pub bottom: Hundredths,
}

/// A sheet of labels, or a single label, which is a sheet of one without margins.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Grid {
    /// Width and height of the sheet.
    pub sheet: (Hundredths, Hundredths),
    pub columns: i64,
    pub rows: i64,
    pub margins: Margins,
    /// Between columns, and between rows.
    pub gaps: (Hundredths, Hundredths),
}

/// A rectangle on the sheet, in mm from its upper left corner.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GridCell {
    pub x: f32,
    pub y: f32,
    pub width: f32,
    pub height: f32,
}

/// Why labels cannot lie so; the words go beside the form.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum GridError {
    #[error(
        "Margins and gaps leave labels of {0} × {1} mm; each side needs 20 mm and more for the QR code."
    )]
    Small(String, String),
    #[error("So far moved, the labels would leave the sheet.")]
    Outside,
}

impl Grid {
    /// One label on a page of its own.
    pub fn single(width: Hundredths, height: Hundredths) -> Grid {
        let none = Margins {
            left: 0,
            right: 0,
            top: 0,
            bottom: 0,
        };
        Grid {
            sheet: (width, height),
            columns: 1,
            rows: 1,
            margins: none,
            gaps: (0, 0),
        }
    }

    /// How many labels a sheet has.
    pub fn count(&self) -> i64 {
        self.columns * self.rows
    }

    /// Width and height of a label: what margins and gaps leave, rounded down.
    pub fn label(&self) -> (Hundredths, Hundredths) {
        let share = |whole: Hundredths, edges: Hundredths, gap: Hundredths, count: i64| {
            (whole - edges - gap * (count - 1)) / count.max(1)
        };
        let Margins {
            left,
            right,
            top,
            bottom,
        } = self.margins;
        (
            share(self.sheet.0, left + right, self.gaps.0, self.columns),
            share(self.sheet.1, top + bottom, self.gaps.1, self.rows),
        )
    }

    /// The labels row by row, all moved by `offset` (to the right, and down).
    pub fn cells(&self, offset: (Hundredths, Hundredths)) -> Result<Vec<GridCell>, GridError> {
        let (width, height) = self.label();
        if width < LEAST_LABEL || height < LEAST_LABEL {
            return Err(GridError::Small(
                show_hundredths(width),
                show_hundredths(height),
            ));
        }
        let start = (self.margins.left + offset.0, self.margins.top + offset.1);
        let end = (
            start.0 + width * self.columns + self.gaps.0 * (self.columns - 1),
            start.1 + height * self.rows + self.gaps.1 * (self.rows - 1),
        );
        let is_inside =
            start.0 >= 0 && start.1 >= 0 && end.0 <= self.sheet.0 && end.1 <= self.sheet.1;
        if !is_inside {
            return Err(GridError::Outside);
        }
        let cell = |row: i64, column: i64| GridCell {
            x: mm(start.0 + column * (width + self.gaps.0)),
            y: mm(start.1 + row * (height + self.gaps.1)),
            width: mm(width),
            height: mm(height),
        };
        Ok((0..self.rows)
            .flat_map(|row| (0..self.columns).map(move |column| cell(row, column)))
            .collect())
    }
}

/// Hundredths as mm.
pub fn mm(hundredths: Hundredths) -> f32 {
    hundredths as f32 / 100.0
}

/// The sheet of a paper in hundredths of a millimetre.
pub fn sheet_of(paper: Paper) -> (Hundredths, Hundredths) {
    match paper {
        Paper::A4 => (21_000, 29_700),
        Paper::Letter => (21_590, 27_940),
    }
}

/// Grids that are often sold, named by their measures.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ReadyGrid {
    /// The word in an address.
    pub word: &'static str,
    pub shown: &'static str,
    pub paper: Paper,
    columns: i64,
    rows: i64,
    /// Left and right, and top and bottom.
    edges: (Hundredths, Hundredths),
    /// Between columns; rows touch each other.
    gap: Hundredths,
}

impl ReadyGrid {
    pub fn grid(&self) -> Grid {
        Grid {
            sheet: sheet_of(self.paper),
            columns: self.columns,
            rows: self.rows,
            margins: Margins {
                left: self.edges.0,
                right: self.edges.0,
                top: self.edges.1,
                bottom: self.edges.1,
            },
            gaps: (self.gap, 0),
        }
    }

    pub fn from_word(word: &str) -> Option<&'static ReadyGrid> {
        READY.iter().find(|ready| ready.word == word)
    }
}

/// Measures from memory: the common sheets of each paper with labels high enough for the code. The most
/// usual sheet of Letter, 3 × 10 labels of one inch in height, is too low for it.
pub const READY: [ReadyGrid; 5] = [
    ReadyGrid {
        word: "a4_3x7",
        shown: "A4: 3 across, 7 down, labels of 63.5 × 38.1 mm",
        paper: Paper::A4,
        columns: 3,
        rows: 7,
        edges: (721, 1515),
        gap: 254,
    },
    ReadyGrid {
        word: "a4_2x7",
        shown: "A4: 2 across, 7 down, labels of 99.1 × 38.1 mm",
        paper: Paper::A4,
        columns: 2,
        rows: 7,
        edges: (463, 1515),
        gap: 254,
    },
    ReadyGrid {
        word: "a4_2x4",
        shown: "A4: 2 across, 4 down, labels of 99.1 × 67.7 mm",
        paper: Paper::A4,
        columns: 2,
        rows: 4,
        edges: (463, 1310),
        gap: 254,
    },
    ReadyGrid {
        word: "letter_2x7",
        shown: "Letter: 2 across, 7 down, labels of 101.6 × 33.9 mm (4 × 1⅓ in)",
        paper: Paper::Letter,
        columns: 2,
        rows: 7,
        edges: (397, 2117),
        gap: 476,
    },
    ReadyGrid {
        word: "letter_2x5",
        shown: "Letter: 2 across, 5 down, labels of 101.6 × 50.8 mm (4 × 2 in)",
        paper: Paper::Letter,
        columns: 2,
        rows: 5,
        edges: (397, 1270),
        gap: 476,
    },
];

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn the_ready_grids_have_the_labels_they_are_named_by() {
        for (word, label) in [
            ("a4_3x7", (6350, 3810)),
            ("a4_2x7", (9910, 3810)),
            ("a4_2x4", (9910, 6770)),
            ("letter_2x7", (10160, 3386)),
            ("letter_2x5", (10160, 5080)),
        ] {
            let ready = ReadyGrid::from_word(word).unwrap();
            assert_eq!(ready.grid().label(), label, "{word}");
            let cells = ready.grid().cells((0, 0)).unwrap();
            assert_eq!(cells.len() as i64, ready.columns * ready.rows);
        }
        assert!(ReadyGrid::from_word("a4_9x9").is_none());
    }

    #[test]
    fn an_offset_moves_every_label_alike_and_none_off_the_sheet() {
        let grid = READY[0].grid();
        let (plain, moved) = (grid.cells((0, 0)).unwrap(), grid.cells((30, -120)).unwrap());
        for (before, after) in plain.iter().zip(&moved) {
            assert!((after.x - before.x - 0.3).abs() < 1e-4);
            assert!((after.y - before.y + 1.2).abs() < 1e-4);
        }
        assert_eq!(grid.cells((-722, 0)), Err(GridError::Outside));
        assert_eq!(
            Grid::single(6000, 3000).cells((1, 0)),
            Err(GridError::Outside)
        );
        assert!(matches!(
            Grid::single(6000, 1999).cells((0, 0)),
            Err(GridError::Small(..))
        ));
    }

    proptest! {
        #[test]
        fn labels_lie_on_the_sheet_and_never_on_each_other(
            (columns, rows) in (1_i64..6, 1_i64..12),
            edges in prop::array::uniform4(0_i64..2500),
            gaps in (0_i64..800, 0_i64..800),
            offset in (-500_i64..500, -500_i64..500),
        ) {
            let [left, right, top, bottom] = edges;
            let grid = Grid {
                sheet: sheet_of(Paper::A4),
                columns,
                rows,
                margins: Margins { left, right, top, bottom },
                gaps,
            };
            let Ok(cells) = grid.cells(offset) else { return Ok(()) };
            prop_assert_eq!(cells.len() as i64, columns * rows);
            // A thousandth of a millimetre is what the coordinates of a mark may be rounded by.
            let slack = 1e-3;
            for (place, a) in cells.iter().enumerate() {
                prop_assert!(a.x >= 0.0 && a.y >= 0.0);
                prop_assert!(a.x + a.width <= 210.0 + slack && a.y + a.height <= 297.0 + slack);
                for b in &cells[place + 1..] {
                    let apart = a.x + a.width <= b.x + slack || a.y + a.height <= b.y + slack;
                    prop_assert!(apart, "{:?} {:?}", a, b);
                }
            }
        }
    }
}
