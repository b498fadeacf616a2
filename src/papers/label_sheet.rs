//! Labels: a QR code, the tag in letters, and what the item is, on a grid of labels or one to a page.
//!
//! The code's modules are 20 mm wide or more, at error level Q, for a wet or scratched label. Beside every
//! sheet's labels, where a margin has room, and on the test page stands a line of 50 mm: a printer that
//! makes the page smaller is found out by a ruler before a sheet of labels is wasted. Beside it stand size and
//! root of the record, abbreviated; a page without such a margin has them on its labels, where they leave room.

use super::layout::grid::{Grid, GridCell, GridError, mm};
use super::layout::qr::QrBox;
use super::layout::style::Style;
use super::layout::wrap::wrap;
use super::page::{Face, Grey, Mark, Page, Stroke};
use super::record_mark::RecordMark;
use super::typeface::{FIRM, legible};
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

/// Between two parts of a line, which stand below each other where the line is too narrow for both.
const PARTED: &str = " · ";

/// Words of a label with their size.
type LabelLine = (String, f32, Face);

impl Label {
    fn lines(&self) -> Vec<LabelLine> {
        let set_and_day = match &self.set {
            Some(set) => format!("{set}{PARTED}{}", self.day),
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
        // The day stays in one piece where a smaller size has room for it.
        let due = match self.due.split_once(' ') {
            Some((word, day)) => format!("{word} {}", day.replace(' ', &FIRM.to_string())),
            None => self.due.clone(),
        };
        let mut lines = vec![
            (pan, 20.0, Face::Bold),
            (self.case.clone(), 16.0, Face::Bold),
            (due, 12.0, Face::Bold),
            (self.house.clone(), 11.0, Face::Regular),
            (self.revision.clone(), 11.0, Face::Regular),
        ];
        lines.retain(|(words, ..)| !words.is_empty());
        lines
    }
}

/// Where labels go.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LabelRun {
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
    run: &LabelRun,
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
pub fn lay_out_pan(label: &PanLabel, run: &LabelRun) -> Result<Page, LabelError> {
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
pub fn test_page(run: &LabelRun, record: &RecordMark) -> Result<Page, LabelError> {
    let cells = run.grid.cells(run.offset)?;
    let mut page = bare(&run.grid);
    for (place, cell) in cells.iter().enumerate() {
        page.marks.push(outline(*cell));
        page.marks.push(number(place + 1, *cell));
    }
    if let Some(first) = cells.first() {
        let (x, y) = (first.x + 3.0, first.y + 3.0);
        if x + TEST_LINE_MM < page.width_mm {
            page.marks.extend(measured_across(x, y));
            // Beside the line it would run over the edge of a label that is little wider than it.
            page.marks.push(text(x + 2.0, y + 4.0, small(), "50 mm"));
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
    cell: GridCell,
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
    let beside = GridCell {
        x: cell.x + side,
        y: cell.y + PAD_MM,
        width: cell.width - side - PAD_MM,
        height: cell.height - 2.0 * PAD_MM,
    };
    let below = GridCell {
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
fn words(says: &[LabelLine], room: GridCell, record: Option<&str>) -> Option<Vec<Mark>> {
    let whole = |is_firm: bool| {
        SCALES.into_iter().find_map(|scale| {
            let set = |record| lines(says, (scale, is_firm), room, record);
            let with_record = record.and_then(|record| set(Some(record)));
            with_record.or_else(|| set(None))
        })
    };
    let lines = whole(true).or_else(|| whole(false))?;
    let height: f32 = lines.iter().map(|(_, style)| style.line_mm()).sum();
    let mut top = room.y + (room.height - height) / 2.0;
    let mut marks = Vec::new();
    for (words, style) in lines {
        marks.push(text(room.x, top + style.baseline_mm(), style, words));
        top += style.line_mm();
    }
    Some(marks)
}

/// The lines at a scale; a firm space is a letter where `is_firm`, and a common space otherwise.
fn lines(
    says: &[LabelLine],
    (scale, is_firm): (f32, bool),
    room: GridCell,
    record: Option<&str>,
) -> Option<Vec<(String, Style)>> {
    let sized = |size_pt: f32, face| style((size_pt * scale).max(LEAST_PT), face);
    let mut lines = Vec::new();
    let record = record.map(|record| (record, style(LEAST_PT, Face::Regular)));
    let all = (says.iter()).map(|(words, size, face)| (words.as_str(), sized(*size, *face)));
    for (words, style) in all.chain(record) {
        let parts = words.split(FIRM).map(legible);
        let between = if is_firm { FIRM } else { ' ' };
        let words = parts.collect::<Vec<_>>().join(&between.to_string());
        let is_whole = |word: &str| style.width_mm(word) <= room.width;
        if !words.split(' ').all(is_whole) {
            return None;
        }
        let words = match is_whole(&words) {
            true => words,
            false => words.replacen(PARTED, "\n", 1),
        };
        let set = wrap(&words, style, room.width).into_iter();
        lines.extend(set.map(|line| (line.replace(FIRM, " "), style)));
    }
    let height: f32 = lines.iter().map(|(_, style)| style.line_mm()).sum();
    (height <= room.height).then_some(lines)
}

fn outline(cell: GridCell) -> Mark {
    let stroke = Stroke::thin(Grey::RULE);
    Mark::rect(
        (cell.x, cell.y),
        (cell.width, cell.height),
        Some(stroke),
        None,
    )
}

/// A label's number in the middle of its place.
fn number(number: usize, cell: GridCell) -> Mark {
    let (words, style) = (number.to_string(), style(20.0, Face::Bold));
    let x = cell.x + (cell.width - style.width_mm(&words)) / 2.0;
    text(x, cell.y + cell.height / 2.0 + 3.0, style, words)
}

/// The line to be measured and the record's, in the free strip below the labels, or else above them.
fn margin_line(page: &Page, cells: &[GridCell], record: Option<&str>) -> Vec<Mark> {
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
    marks.extend(record.map(|record| text(12.0, y + RECORD_BELOW_MM, small(), record)));
    marks
}

fn stroke() -> Stroke {
    Stroke::solid(0.25, Grey::INK)
}

fn small() -> Style {
    style(LEAST_PT, Face::Regular)
}

fn measured_across(x: f32, y: f32) -> Vec<Mark> {
    let end = x + TEST_LINE_MM;
    vec![
        Mark::line((x, y), (end, y), stroke()),
        Mark::line((x, y - 1.5), (x, y + 1.5), stroke()),
        Mark::line((end, y - 1.5), (end, y + 1.5), stroke()),
    ]
}

fn line_across(x: f32, y: f32, words: &str) -> Vec<Mark> {
    let mut marks = measured_across(x, y);
    marks.push(text(x + TEST_LINE_MM + 2.0, y + 1.0, small(), words));
    marks
}

fn line_down(x: f32, y: f32) -> Vec<Mark> {
    let end = y + TEST_LINE_MM;
    vec![
        Mark::line((x, y), (x, end), stroke()),
        Mark::line((x - 1.5, y), (x + 1.5, y), stroke()),
        Mark::line((x - 1.5, end), (x + 1.5, end), stroke()),
        text(x + 2.0, end, small(), "50 mm"),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::papers::layout::grid::READY;

    fn run(grid: Grid) -> LabelRun {
        LabelRun {
            grid,
            offset: (0, 0),
            start: 1,
        }
    }

    fn texts(page: &Page) -> Vec<(&str, f32)> {
        let texts = page.marks.iter().filter_map(|mark| match mark {
            Mark::Text {
                text,
                x,
                size_pt,
                face,
                ..
            } => {
                let end = x + style(*size_pt, *face).width_mm(text);
                Some((text.as_str(), end))
            }
            _ => None,
        });
        texts.collect()
    }

    #[test]
    fn the_day_of_a_pan_is_not_broken_on_any_label_that_is_offered() {
        let label = PanLabel {
            pan: "27".to_owned(),
            case: "C12-345-67X".to_owned(),
            address: "HTTPS://VESTIBULE.OFFICE.EXAMPLE/C/C1234567X/2".to_owned(),
            due: "Due Thu 10 Dec 2026".to_owned(),
            house: "Office on the Quay".to_owned(),
            revision: "Revision 2".to_owned(),
        };
        for ready in READY.iter() {
            let page = lay_out_pan(&label, &run(ready.grid())).unwrap();
            let whole = texts(&page)
                .iter()
                .any(|(text, _)| text.ends_with("Thu 10 Dec 2026"));
            assert!(whole, "{}: {:?}", ready.word, texts(&page));
        }
        // Where no size has room for it in one piece it is printed all the same.
        let narrow = (40..65).filter_map(|width| {
            let grid = Grid::single(width * 100, 5000);
            lay_out_pan(&label, &run(grid)).ok()
        });
        let is_broken = |page: &Page| {
            let mut texts = texts(page).into_iter();
            !texts.any(|(text, _)| text.contains("Thu 10 Dec 2026"))
        };
        assert!(narrow.filter(is_broken).count() > 0);
    }

    #[test]
    fn set_and_day_stand_in_one_line_or_below_each_other() {
        let label = Label {
            code: "T4K-7M9-003".to_owned(),
            address: "HTTPS://VESTIBULE.OFFICE.EXAMPLE/I/T4K7M9003".to_owned(),
            title: "Provisional denture, upper".to_owned(),
            set: Some("Second set".to_owned()),
            warning: None,
            day: "2026-11-07".to_owned(),
            case: "C12-345-67X".to_owned(),
        };
        let mut parted = 0;
        for ready in READY.iter() {
            let pages = lay_out(std::slice::from_ref(&label), &run(ready.grid()), None).unwrap();
            let texts: Vec<&str> = pages.iter().flat_map(texts).map(|(text, _)| text).collect();
            let is_whole = texts.contains(&"Second set · 2026-11-07");
            let is_parted = texts.contains(&"Second set") && texts.contains(&"2026-11-07");
            assert!(is_whole || is_parted, "{}: {texts:?}", ready.word);
            parted += usize::from(is_parted);
        }
        let narrow = lay_out(&[label], &run(Grid::single(3600, 5500)), None).unwrap();
        let ends = narrow.iter().flat_map(texts).map(|(text, _)| text);
        assert!(
            !ends.into_iter().any(|text| text.ends_with('·')),
            "{parted}"
        );
    }

    #[test]
    fn what_names_the_measured_line_stays_on_its_label() {
        for ready in READY.iter() {
            let grid = ready.grid();
            let cells = grid.cells((0, 0)).unwrap();
            let page = test_page(&run(grid), &crate::papers::samples::record()).unwrap();
            let first = cells[0];
            let named = texts(&page).into_iter();
            let named: Vec<f32> = named
                .filter(|(text, _)| *text == "50 mm")
                .map(|(_, end)| end)
                .collect();
            assert!(!named.is_empty(), "{}", ready.word);
            for end in named {
                assert!(end < first.x + first.width, "{}: {end}", ready.word);
            }
        }
    }
}
