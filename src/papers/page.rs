//! Pages of placed marks: plain data, in millimetres from the sheet's upper left corner.
//!
//! A mark says where ink goes and nothing about a file format. Tests look at marks; `pdf` writes them down.

use std::sync::Arc;

/// One sheet side.
#[derive(Debug, Clone, PartialEq)]
pub struct Page {
    pub width_mm: f32,
    pub height_mm: f32,
    /// In the order of painting, which is also the order of reading.
    pub marks: Vec<Mark>,
}

/// The two weights of the printed face.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Face {
    Regular,
    Bold,
}

/// Lightness from 0 (black ink) to 1 (bare paper). No colour: the slip must survive a black-and-white copy.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Grey(pub f32);

impl Grey {
    pub const INK: Grey = Grey(0.0);
    /// Labels and captions: still dark enough for a worn toner.
    pub const SOFT: Grey = Grey(0.3);
    /// Thin rules between lines.
    pub const RULE: Grey = Grey(0.6);
    /// Large grounds, light enough to read across.
    pub const PLASTER: Grey = Grey(0.93);
    pub const PAPER: Grey = Grey(1.0);
}

/// A point in mm, y downwards.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    pub x: f32,
    pub y: f32,
}

/// A part of a page and the field of the prescription that its words say, or the part of it that they belong to; of two
/// that lie over each other, the later one is what is touched. Nothing of it is printed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SheetPlace {
    pub corner: Point,
    /// How wide and how high.
    pub size: (f32, f32),
    pub about: &'static str,
    /// Its row, of a field of a list.
    pub row: Option<usize>,
}

impl SheetPlace {
    /// The form key of what it says: `vertical.rest_mm`, or `changes.2.mm` of a row.
    pub fn key(&self) -> String {
        match self.row {
            Some(row) => self.about.replacen('#', &row.to_string(), 1),
            None => self.about.to_owned(),
        }
    }
}

/// How an outline is drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stroke {
    pub width_mm: f32,
    pub grey: Grey,
    pub dashed: bool,
}

impl Stroke {
    pub fn thin(grey: Grey) -> Stroke {
        Stroke::solid(0.15, grey)
    }

    pub fn solid(width_mm: f32, grey: Grey) -> Stroke {
        Stroke {
            width_mm,
            grey,
            dashed: false,
        }
    }

    pub fn dashed(width_mm: f32, grey: Grey) -> Stroke {
        Stroke {
            width_mm,
            grey,
            dashed: true,
        }
    }
}

/// A JPEG in colours, with its size in pixels.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Photo {
    pub jpeg: Vec<u8>,
    pub width: u32,
    pub height: u32,
}

/// One thing on the sheet.
#[derive(Debug, Clone, PartialEq)]
pub enum Mark {
    /// A run of text on one baseline.
    Text {
        x: f32,
        baseline: f32,
        size_pt: f32,
        face: Face,
        grey: Grey,
        text: String,
    },
    /// A chain of straight lines; curves are given as many short ones.
    Path {
        points: Vec<Point>,
        closed: bool,
        stroke: Option<Stroke>,
        fill: Option<Grey>,
    },
    /// QR modules, row by row; `x` and `y` are the corner of the first module, outside of it lies the quiet zone.
    Qr {
        x: f32,
        y: f32,
        module_mm: f32,
        rows: Vec<Vec<bool>>,
    },
    /// A photograph, as it lies on the shelf.
    Photo {
        corner: Point,
        /// How wide and how high.
        size: (f32, f32),
        photo: Arc<Photo>,
    },
    /// Large outlined letters across the page, centred on the point and turned against the clock.
    Across {
        centre: Point,
        size_pt: f32,
        angle_deg: f32,
        text: String,
    },
}

impl Mark {
    /// A straight line.
    pub fn line(from: (f32, f32), to: (f32, f32), stroke: Stroke) -> Mark {
        Mark::Path {
            points: vec![
                Point {
                    x: from.0,
                    y: from.1,
                },
                Point { x: to.0, y: to.1 },
            ],
            closed: false,
            stroke: Some(stroke),
            fill: None,
        }
    }

    /// The large word on each page of what nobody has signed, from the lower left to the upper right; width and height of
    /// the page in mm.
    pub fn draft((width, height): (f32, f32)) -> Mark {
        Mark::Across {
            centre: Point {
                x: width / 2.0,
                y: height / 2.0,
            },
            size_pt: 170.0,
            angle_deg: 52.0,
            text: "DRAFT".to_owned(),
        }
    }

    /// A rectangle from its upper left corner.
    pub fn rect(
        corner: (f32, f32),
        size: (f32, f32),
        stroke: Option<Stroke>,
        fill: Option<Grey>,
    ) -> Mark {
        let ((x, y), (width, height)) = (corner, size);
        Mark::Path {
            points: vec![
                Point { x, y },
                Point { x: x + width, y },
                Point {
                    x: x + width,
                    y: y + height,
                },
                Point { x, y: y + height },
            ],
            closed: true,
            stroke,
            fill,
        }
    }
}

/// Start and length of each run of dark modules.
pub fn dark_runs(modules: &[bool]) -> Vec<(usize, usize)> {
    let mut runs: Vec<(usize, usize)> = Vec::new();
    for (at, _) in modules.iter().enumerate().filter(|(_, dark)| **dark) {
        match runs.last_mut() {
            Some((start, length)) if *start + *length == at => *length += 1,
            _ => runs.push((at, 1)),
        }
    }
    runs
}
