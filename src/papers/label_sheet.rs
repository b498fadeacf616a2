//! Labels: a QR code, the tag in letters, and what the item is, on a grid of labels or one to a page.
//!
//! The code's modules are 20 mm wide or more, at error level Q, for a wet or scratched label. Beside every
//! sheet's labels, where a margin has room, and on the test page stands a line of 50 mm: a printer that
//! makes the page smaller is found out by a ruler before a sheet of labels is wasted. Beside it stand size and
//! root of the record, abbreviated; a page without such a margin has them on its labels, where they leave room.

use super::layout::grid::{Cell, Grid, GridError, mm};
use super::layout::qr::QrBox;
use super::layout::style::Style;
use super::layout::wrap::wrap;
use super::page::{Face, Grey, Mark, Page, Stroke};
use super::record_mark::RecordMark;
use super::typeface::legible;
use crate::domain::values::measure::tenths;

/// Width of the code's modules on a label.
pub const CODE_MM: f32 = 20.0;
/// The line to be measured.
pub const TEST_LINE_MM: f32 = 50.0;
/// A margin lower than this has no room for the line and its words.
const TEST_BAND_MM: f32 = 9.0;
/// From the line to be measured down to the baseline of the record's words.
const RECORD_BELOW_MM: f32 = 4.4;
/// Between the words and the edge of the label, where a printer or a knife strays.
const PAD_MM: f32 = 2.0;
/// Nothing on a label is smaller.
const LEAST_PT: f32 = 8.0;
/// From full size down, until the words fit.
const SCALES: [f32; 5] = [1.0, 0.9, 0.8, 0.7, 0.6];

/// What a label says.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Label {
    /// The tag as people read it.
    pub code: String,
    /// What the QR code holds, in capitals.
    pub address: String,
    /// "Provisional denture, upper"
    pub title: String,
    /// "First set", where it belongs to a set.
    pub set: Option<String>,
    /// What nobody must do with it, where there is such a thing.
    pub warning: Option<String>,
    /// The day of its registration.
    pub day: String,
    /// The case's number as people read it.
    pub case: String,
}

/// What stands on the pan of a case.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PanLabel {
    /// Empty where it has none yet.
    pub pan: String,
    /// The case's number as people read it.
    pub case: String,
    /// What the QR code holds, as on the sheet.
    pub address: String,
    /// "Due Fri 20 Mar 2026"; empty where no day is wanted.
    pub due: String,
    /// The office that it is for.
    pub house: String,
    /// "Revision 2"
    pub revision: String,
}

/// Words of a label with their size.
type LabelLine = (String, f32, Face);

impl Label {
    fn lines(&self) -> Vec<LabelLine> {
        let set_and_day = match &self.set {
            Some(set) => format!("{set} · {}", self.day),
            None => self.day.clone(),
        };
        let mut lines = vec![
            (self.code.clone(), 16.0, Face::Bold),
            (self.title.clone(), 12.0, Face::Bold),
        ];
        let warning = self.warning.iter();
        lines.extend(warning.map(|words| (words.clone(), 12.0, Face::Bold)));
        lines.push((set_and_day, 11.0, Face::Regular));
        lines.push((format!("Case {}", self.case), 10.0, Face::Regular));
        lines
    }
}

impl PanLabel {
    fn lines(&self) -> Vec<LabelLine> {
        let pan = match self.pan.as_str() {
            "" => String::new(),
            pan => format!("Pan {pan}"),
        };
        let mut lines = vec![
            (pan, 20.0, Face::Bold),
            (self.case.clone(), 16.0, Face::Bold),
            (self.due.clone(), 12.0, Face::Bold),
            (self.house.clone(), 11.0, Face::Regular),
            (self.revision.clone(), 11.0, Face::Regular),
        ];
        lines.retain(|(words, ..)| !words.is_empty());
        lines
    }
}

/// Where labels go.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Run {
    pub grid: Grid,
    /// To the right and down, in hundredths of a millimetre.
    pub offset: (i64, i64),
    /// The first label of the first sheet that is still there, counted from 1 row by row.
    pub start: i64,
}

/// Why labels cannot be printed so; the words go beside the form.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum LabelError {
    #[error(transparent)]
    Grid(#[from] GridError),
    #[error(
        "A label of {width} × {height} mm is too small: the QR code with its free border takes {code} mm each way, and \
         the words stand beside or below it."
    )]
    Small {
        width: String,
        height: String,
        code: String,
    },
    #[error("The address of this installation is too long for a QR code on a label.")]
    Address,
    #[error("The sheet has labels 1 to {0}.")]
    Start(i64),
}

/// The pages with these labels, in their order.
pub fn lay_out(
    labels: &[Label],
    run: &Run,
    record: Option<&RecordMark>,
) -> Result<Vec<Page>, LabelError> {
    let cells = run.grid.cells(run.offset)?;
    let used = usize::try_from(run.start - 1)
        .ok()
        .filter(|used| *used < cells.len())
        .ok_or(LabelError::Start(run.grid.count()))?;
    let record = record.map(RecordMark::short);
    let margin = margin_line(&bare(&run.grid), &cells, record.as_deref());
    let on_labels = record.as_deref().filter(|_| margin.is_empty());
    let mut pages = Vec::new();
    let mut rest = labels;
    let mut free = cells.get(used..).unwrap_or_default();
    while !rest.is_empty() {
        let (now, later) = rest.split_at(rest.len().min(free.len()));
        let mut page = bare(&run.grid);
        for (label, cell) in now.iter().zip(free) {
            let says = label.lines();
            let says = (label.address.as_str(), says.as_slice());
            page.marks.extend(label_marks(says, *cell, on_labels)?);
        }
        page.marks.extend(margin.iter().cloned());
        pages.push(page);
        (rest, free) = (later, &cells);
    }
    Ok(pages)
}

/// The page with the label of a pan, and nothing else on it.
pub fn lay_out_pan(label: &PanLabel, run: &Run) -> Result<Page, LabelError> {
    let cells = run.grid.cells(run.offset)?;
    let place = usize::try_from(run.start - 1).ok();
    let cell = place.and_then(|place| cells.get(place));
    let cell = cell.ok_or(LabelError::Start(run.grid.count()))?;
    let mut page = bare(&run.grid);
    let says = label.lines();
    page.marks = label_marks((&label.address, says.as_slice()), *cell, None)?;
    Ok(page)
}

/// Outlines with their numbers, to be held against a sheet of labels, and lines to be measured.
pub fn test_page(run: &Run, record: &RecordMark) -> Result<Page, LabelError> {
    let cells = run.grid.cells(run.offset)?;
    let mut page = bare(&run.grid);
    for (place, cell) in cells.iter().enumerate() {
        page.marks.push(outline(*cell));
        page.marks.push(number(place + 1, *cell));
    }
    if let Some(first) = cells.first() {
        let (x, y) = (first.x + 3.0, first.y + 3.0);
        if x + TEST_LINE_MM < page.width_mm {
            page.marks.extend(line_across(x, y, "50 mm"));
        }
        if y + TEST_LINE_MM < page.height_mm {
            page.marks.extend(line_down(x, y));
        }
    }
    page.marks
        .extend(margin_line(&page, &cells, Some(&record.short())));
    Ok(page)
}

fn bare(grid: &Grid) -> Page {
    Page {
        width_mm: mm(grid.sheet.0),
        height_mm: mm(grid.sheet.1),
        marks: Vec::new(),
    }
}

fn style(size_pt: f32, face: Face) -> Style {
    Style {
        size_pt,
        face,
        grey: Grey::INK,
    }
}

fn text(x: f32, baseline: f32, style: Style, words: impl Into<String>) -> Mark {
    Mark::Text {
        x,
        baseline,
        size_pt: style.size_pt,
        face: style.face,
        grey: style.grey,
        text: words.into(),
    }
}

/// The code and the words: side by side on a wide label, one above the other on a high one.
fn label_marks(
    (address, says): (&str, &[LabelLine]),
    cell: Cell,
    record: Option<&str>,
) -> Result<Vec<Mark>, LabelError> {
    let code = QrBox::for_label(address, CODE_MM).ok_or(LabelError::Address)?;
    let side = code.side_mm;
    let small = || LabelError::Small {
        width: tenths(f64::from(cell.width)),
        height: tenths(f64::from(cell.height)),
        code: tenths(f64::from(side)),
    };
    if side > cell.width || side > cell.height {
        return Err(small());
    }
    // The code's own free border is the distance to the edge.
    let beside = Cell {
        x: cell.x + side,
        y: cell.y + PAD_MM,
        width: cell.width - side - PAD_MM,
        height: cell.height - 2.0 * PAD_MM,
    };
    let below = Cell {
        x: cell.x + PAD_MM,
        y: cell.y + side,
        width: cell.width - 2.0 * PAD_MM,
        height: cell.height - side - PAD_MM,
    };
    if let Some(words) = words(says, beside, record) {
        let mut marks = vec![code.mark(cell.x, cell.y + (cell.height - side) / 2.0)];
        marks.extend(words);
        Ok(marks)
    } else {
        let words = words(says, below, record).ok_or_else(small)?;
        let mut marks = vec![code.mark(cell.x + (cell.width - side) / 2.0, cell.y)];
        marks.extend(words);
        Ok(marks)
    }
}

/// The words in the largest size in which all of them fit, in the middle of their room. The record's line
/// comes along where that makes nothing else smaller.
fn words(says: &[LabelLine], room: Cell, record: Option<&str>) -> Option<Vec<Mark>> {
    let lines = SCALES.into_iter().find_map(|scale| {
        let with_record = record.and_then(|record| lines(says, scale, room, Some(record)));
        with_record.or_else(|| lines(says, scale, room, None))
    })?;
    let height: f32 = lines.iter().map(|(_, style)| style.line_mm()).sum();
    let mut top = room.y + (room.height - height) / 2.0;
    let mut marks = Vec::new();
    for (words, style) in lines {
        marks.push(text(room.x, top + style.baseline_mm(), style, words));
        top += style.line_mm();
    }
    Some(marks)
}

fn lines(
    says: &[LabelLine],
    scale: f32,
    room: Cell,
    record: Option<&str>,
) -> Option<Vec<(String, Style)>> {
    let sized = |size_pt: f32, face| style((size_pt * scale).max(LEAST_PT), face);
    let mut lines = Vec::new();
    let record = record.map(|record| (record, style(LEAST_PT, Face::Regular)));
    let all = (says.iter()).map(|(words, size, face)| (words.as_str(), sized(*size, *face)));
    for (words, style) in all.chain(record) {
        let words = legible(words);
        let is_whole = |word: &str| style.width_mm(word) <= room.width;
        if !words.split(' ').all(is_whole) {
            return None;
        }
        lines.extend(
            wrap(&words, style, room.width)
                .into_iter()
                .map(|line| (line, style)),
        );
    }
    let height: f32 = lines.iter().map(|(_, style)| style.line_mm()).sum();
    (height <= room.height).then_some(lines)
}

fn outline(cell: Cell) -> Mark {
    let stroke = Stroke::thin(Grey::RULE);
    Mark::rect(
        (cell.x, cell.y),
        (cell.width, cell.height),
        Some(stroke),
        None,
    )
}

/// A label's number in the middle of its place.
fn number(number: usize, cell: Cell) -> Mark {
    let (words, style) = (number.to_string(), style(20.0, Face::Bold));
    let x = cell.x + (cell.width - style.width_mm(&words)) / 2.0;
    text(x, cell.y + cell.height / 2.0 + 3.0, style, words)
}

/// The line to be measured and the record's, in the free strip below the labels, or else above them.
fn margin_line(page: &Page, cells: &[Cell], record: Option<&str>) -> Vec<Mark> {
    let end = cells
        .iter()
        .map(|cell| cell.y + cell.height)
        .fold(0.0, f32::max);
    let start = cells
        .iter()
        .map(|cell| cell.y)
        .fold(page.height_mm, f32::min);
    let (above, below) = (start, page.height_mm - end);
    let y = match (below >= TEST_BAND_MM, above >= TEST_BAND_MM) {
        (true, _) => end + below / 2.0 - 2.0,
        (false, true) => above / 2.0 - 1.0,
        (false, false) => return Vec::new(),
    };
    // The words need as much again.
    if page.width_mm < 150.0 {
        return Vec::new();
    }
    let words = "50 mm: measure it. If it is not, print at 100 %, not fitted to the page.";
    let mut marks = line_across(12.0, y, words);
    let small = style(LEAST_PT, Face::Regular);
    marks.extend(record.map(|record| text(12.0, y + RECORD_BELOW_MM, small, record)));
    marks
}

fn stroke() -> Stroke {
    Stroke::solid(0.25, Grey::INK)
}

fn line_across(x: f32, y: f32, words: &str) -> Vec<Mark> {
    let end = x + TEST_LINE_MM;
    vec![
        Mark::line((x, y), (end, y), stroke()),
        Mark::line((x, y - 1.5), (x, y + 1.5), stroke()),
        Mark::line((end, y - 1.5), (end, y + 1.5), stroke()),
        text(end + 2.0, y + 1.0, style(LEAST_PT, Face::Regular), words),
    ]
}

fn line_down(x: f32, y: f32) -> Vec<Mark> {
    let end = y + TEST_LINE_MM;
    vec![
        Mark::line((x, y), (x, end), stroke()),
        Mark::line((x - 1.5, y), (x + 1.5, y), stroke()),
        Mark::line((x - 1.5, end), (x + 1.5, end), stroke()),
        text(x + 2.0, end, style(LEAST_PT, Face::Regular), "50 mm"),
    ]
}
