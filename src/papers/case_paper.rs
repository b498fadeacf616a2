//! A paper about one case besides its prescription: numbered points, tables, lines to sign.
//!
//! What was done, which materials went into the work, and the statement for a custom-made device are such papers.

use super::layout::blanks::{BLANK_LINE_MM, blank_line};
use super::layout::flow::Flow;
use super::layout::frame::PageFrame;
use super::layout::record::{WITH_ENTRIES, end_with_record, least_record_mm};
use super::layout::row::{BOX_PAD_MM, Cell, RowStyle, height_mm, place};
use super::layout::style::{HEADING, LABEL, NUMBER, ROW, ROW_STRONG, SMALL, STRONG, TITLE, VALUE};
use super::page::{Grey, Page, Stroke};
use super::record_mark::RecordMark;
use crate::domain::people::party::Paper;

/// Everything that such a paper says.
#[derive(Debug, Clone, PartialEq)]
pub struct CasePaper {
    pub paper: Paper,
    pub title: String,
    pub case_number: String,
    /// Below the title, a line each.
    pub about: Vec<String>,
    /// What is to be heeded, in a box; empty where nothing is.
    pub caution: String,
    pub points: Vec<PaperPoint>,
    pub tables: Vec<Listing>,
    /// Under which words it is signed by hand; empty where nobody signs.
    pub signed_for: String,
    pub notes: Vec<String>,
    /// "As recorded up to …"
    pub as_of: String,
    /// The record up to the newest entry of the case.
    pub record: RecordMark,
}

/// A numbered point.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PaperPoint {
    pub label: String,
    pub words: Vec<String>,
    /// A line to write on follows.
    pub blank: bool,
}

/// A table under a heading.
#[derive(Debug, Clone, PartialEq)]
pub struct Listing {
    pub heading: String,
    /// Words and share of the width of each column; the first column is set in bold.
    pub columns: Vec<(&'static str, f32)>,
    pub rows: Vec<Vec<String>>,
    /// Said where there is no row.
    pub nothing: &'static str,
}

/// Width of a point's number, and of its label.
const NUMBER_MM: f32 = 10.0;
const LABEL_MM: f32 = 46.0;

/// Between the two columns of points.
const GUTTER_MM: f32 = 7.0;
/// Below each point of a column.
const APART_MM: f32 = 2.4;

/// How the points stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Arranged {
    /// One below the other, each with its label on the left.
    Rows,
    /// In two columns, each label above its words: what is said takes the room beside short points.
    Columns,
}

/// The paper's pages: points in rows where all of it stands on one page so, otherwise in columns where those take fewer
/// pages. The letters are the same.
pub fn lay_out(paper: &CasePaper) -> Vec<Page> {
    let rows = arranged(paper, Arranged::Rows);
    if rows.len() == 1 || paper.points.is_empty() {
        return rows;
    }
    let columns = arranged(paper, Arranged::Columns);
    match columns.len() < rows.len() {
        true => columns,
        false => rows,
    }
}

fn arranged(paper: &CasePaper, how: Arranged) -> Vec<Page> {
    let mut flow = Flow::new(paper.paper);
    let mut head = Cell::new(flow.left(), flow.measure()).add(&paper.title, TITLE);
    head = head.add(&format!("Case {}", paper.case_number), STRONG);
    for line in &paper.about {
        head = head.add_kept(line, VALUE);
    }
    place(&mut flow, vec![head], RowStyle::default(), &|_| {});
    caution(&mut flow, &paper.caution);
    match how {
        Arranged::Rows => {
            for (number, one) in (1..).zip(&paper.points) {
                point(&mut flow, number, one);
            }
        }
        Arranged::Columns => columns_of_points(&mut flow, &paper.points),
    }
    for one in &paper.tables {
        listing(&mut flow, one);
    }
    sign(&mut flow, &paper.signed_for);
    flow.gap(2.0);
    let record = least_record_mm(&flow, &paper.record, WITH_ENTRIES);
    notes(&mut flow, &paper.notes, record);
    end_with_record(&mut flow, &paper.record, WITH_ENTRIES);
    let frame = PageFrame {
        width_mm: flow.width_mm,
        height_mm: flow.height_mm,
        head_left: paper.title.clone(),
        head_right: format!("Case {}", paper.case_number),
        foot_left: paper.as_of.clone(),
        draft: false,
    };
    flow.finish(|number, count| frame.marks(number, count))
}

/// Notes in small type, one below the other; `record_mm` is left below the last of them, so that the mark of the record is no
/// page by itself.
pub(super) fn notes(flow: &mut Flow, notes: &[String], record_mm: f32) {
    for (number, note) in (1..).zip(notes) {
        let note = vec![Cell::new(flow.left(), flow.measure()).add(note, SMALL)];
        if number == notes.len() {
            flow.reserve(height_mm(&note, RowStyle::default()) + record_mm);
        }
        place(flow, note, RowStyle::default(), &|_| {});
    }
}

fn caution(flow: &mut Flow, words: &str) {
    if words.is_empty() {
        return;
    }
    flow.gap(2.5);
    let row_style = RowStyle {
        pad_mm: 1.8,
        boxed: true,
        bar: true,
        ..RowStyle::default()
    };
    let inside = flow.measure() - 2.0 * BOX_PAD_MM;
    let cell = Cell::new(flow.left() + BOX_PAD_MM, inside).add_kept(words, ROW_STRONG);
    place(flow, vec![cell], row_style, &|_| {});
    flow.gap(2.0);
}

fn point(flow: &mut Flow, number: usize, point: &PaperPoint) {
    let row_style = RowStyle {
        pad_mm: 0.6,
        rule: true,
        ..RowStyle::default()
    };
    let left = flow.left();
    let words = left + NUMBER_MM + LABEL_MM;
    let mut said = Cell::new(words, flow.right() - words);
    for line in &point.words {
        said = said.add_kept(line, ROW);
    }
    if point.blank {
        said = said.space(BLANK_LINE_MM - 5.0);
    }
    let cells = vec![
        Cell::new(left, NUMBER_MM).add(&number.to_string(), NUMBER),
        Cell::new(left + NUMBER_MM, LABEL_MM - 3.0).add(&point.label, ROW_STRONG),
        said,
    ];
    flow.reserve(height_mm(&cells, row_style));
    place(flow, cells, row_style, &|_| {});
}

/// A column of points from `x` on, numbered from `first`.
fn column(points: &[PaperPoint], first: usize, (x, width): (f32, f32)) -> Cell {
    let mut cell = Cell::new(x, width);
    for (number, one) in (first..).zip(points) {
        cell = cell.add(&format!("{number}  {}", one.label), ROW_STRONG);
        for line in &one.words {
            cell = cell.add_kept(line, ROW);
        }
        if one.blank {
            cell = cell.to_write_on(BLANK_LINE_MM - 3.0);
        }
        cell = cell.space(APART_MM);
    }
    cell
}

/// The points in two columns of about the same height, down the first and on in the second.
fn columns_of_points(flow: &mut Flow, points: &[PaperPoint]) {
    let width = (flow.measure() - GUTTER_MM) / 2.0;
    let (left, right) = (flow.left(), flow.right() - width);
    let pair = |count: usize| {
        let (before, after) = points.split_at(count);
        [
            column(before, 1, (left, width)),
            column(after, count + 1, (right, width)),
        ]
    };
    let height = |count: &usize| height_mm(&pair(*count), RowStyle::default());
    let counts = (1..=points.len()).min_by(|one, other| height(one).total_cmp(&height(other)));
    let cells = pair(counts.unwrap_or(points.len()));
    place(flow, cells.into(), RowStyle::default(), &|_| {});
}

fn columns(flow: &Flow, listing: &Listing) -> Vec<(f32, f32)> {
    let mut x = flow.left();
    let column = |(_, share): &(&str, f32)| {
        let width = flow.measure() * share;
        let column = (x, width - 2.5);
        x += width;
        column
    };
    listing.columns.iter().map(column).collect()
}

fn headings(flow: &mut Flow, listing: &Listing) {
    let columns = columns(flow, listing).into_iter().zip(&listing.columns);
    let cells = columns.map(|((x, width), (words, _))| Cell::new(x, width).add(words, LABEL));
    place(flow, cells.collect(), RowStyle::default(), &|_| {});
    flow.rule(Stroke::solid(0.25, Grey::INK));
}

fn listing(flow: &mut Flow, listing: &Listing) {
    let row_style = RowStyle {
        pad_mm: 0.7,
        rule: true,
        ..RowStyle::default()
    };
    let line = |flow: &Flow, row: &[String]| -> Vec<Cell> {
        let cells = columns(flow, listing).into_iter().zip(row).enumerate();
        let cells = cells.map(|(place, ((x, width), text))| {
            let style = if place == 0 { ROW_STRONG } else { ROW };
            Cell::new(x, width).add_kept(text, style)
        });
        cells.collect()
    };
    flow.gap(3.5);
    let first = listing.rows.first();
    let first = first.map_or(0.0, |row| height_mm(&line(flow, row), row_style));
    // A heading never stands alone at the foot of a page.
    flow.reserve(HEADING.line_mm() + LABEL.line_mm() + first + 2.0);
    let heading = Cell::new(flow.left(), flow.measure()).add(&listing.heading, HEADING);
    place(flow, vec![heading], RowStyle::default(), &|_| {});
    if listing.rows.is_empty() {
        let nothing = Cell::new(flow.left(), flow.measure()).add(listing.nothing, ROW);
        place(flow, vec![nothing], RowStyle::default(), &|_| {});
        return;
    }
    headings(flow, listing);
    for row in &listing.rows {
        let cells = line(flow, row);
        place(flow, cells, row_style, &|flow| headings(flow, listing));
    }
}

fn sign(flow: &mut Flow, words: &str) {
    if words.is_empty() {
        return;
    }
    flow.gap(3.0);
    flow.reserve(STRONG.line_mm() + 2.0 * BLANK_LINE_MM);
    let heading = Cell::new(flow.left(), flow.measure()).add(words, STRONG);
    place(flow, vec![heading], RowStyle::default(), &|_| {});
    blank_line(flow, &[("Name and function", 1.0)]);
    blank_line(flow, &[("Signature", 0.5), ("Place", 0.25), ("Date", 0.25)]);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::papers::page::Mark;

    fn texts(page: &Page) -> Vec<&str> {
        let texts = page.marks.iter().filter_map(|mark| match mark {
            Mark::Text { text, .. } => Some(text.as_str()),
            _ => None,
        });
        texts.collect()
    }

    fn paper(size: Paper, rows: usize) -> CasePaper {
        CasePaper {
            paper: size,
            title: "Materials and lots".to_owned(),
            case_number: "CGN-9EY-7Y3".to_owned(),
            about: vec!["Kiln Laboratory, for Northgate Dental".to_owned()],
            caution: String::new(),
            points: Vec::new(),
            tables: vec![Listing {
                heading: "Materials".to_owned(),
                columns: vec![("Material", 0.5), ("Lot", 0.5)],
                rows: (0..rows)
                    .map(|row| vec!["Stone".to_owned(), row.to_string()])
                    .collect(),
                nothing: "No material is entered.",
            }],
            signed_for: String::new(),
            notes: vec![
                "From the bench record.".to_owned(),
                "The last note.".to_owned(),
            ],
            as_of: String::new(),
            record: crate::papers::samples::record(),
        }
    }

    #[test]
    fn the_mark_of_the_record_is_no_page_by_itself() {
        for size in [Paper::A4, Paper::Letter] {
            for rows in 1..90 {
                let pages = lay_out(&paper(size, rows));
                let last = texts(pages.last().unwrap());
                assert!(
                    last.contains(&"The last note."),
                    "{size:?}, {rows}: {last:?}"
                );
            }
        }
    }

    #[test]
    fn what_firm_spaces_join_is_not_broken() {
        for filler in 0..60 {
            let mut paper = paper(Paper::A4, 1);
            let words = format!("{} telephone 555\u{A0}0187", "m".repeat(filler));
            paper.points.push(PaperPoint {
                label: "From the laboratory".to_owned(),
                words: vec![words],
                blank: false,
            });
            let pages = lay_out(&paper);
            let all: Vec<&str> = pages.iter().flat_map(texts).collect();
            assert!(all.iter().any(|text| text.contains("555 0187")), "{all:?}");
        }
    }
}
