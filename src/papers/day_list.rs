//! The day list: what a house has to do today, or in the next seven days, on paper beside the bench or the chair.

use super::layout::flow::Flow;
use super::layout::frame::PageFrame;
use super::layout::record::{WHEN_PRINTED, place_close_record};
use super::layout::row::{Cell, RowStyle, TICK_INDENT_MM, height_mm, place};
use super::layout::style::{HEADING, LABEL, ROW, ROW_STRONG, SMALL, STRONG, TITLE, VALUE};
use super::page::{Grey, Page, Stroke};
use super::record_mark::RecordMark;
use crate::domain::people::party::Paper;

/// Everything that a day list says.
#[derive(Debug, Clone, PartialEq)]
pub struct DayList {
    pub paper: Paper,
    /// "To do today, Sun 29 Nov 2026"
    pub title: String,
    pub house: String,
    /// When it was drawn, in words.
    pub as_of: String,
    pub groups: Vec<DayGroup>,
    /// Said below the last group, where not everything is on the list.
    pub more: String,
    /// The record as it stood when the list was made.
    pub record: RecordMark,
}

/// Lines of one kind of urgency.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct DayGroup {
    pub heading: String,
    pub rows: Vec<DayRow>,
}

/// One case.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct DayRow {
    /// The day with how far it is off, a line each.
    pub due: String,
    pub number: String,
    /// Pan and technician, in a lab.
    pub bench: String,
    pub to_do: String,
    pub house: String,
    pub work: String,
    pub things: String,
}

/// Said where nothing is to be done.
pub const NOTHING: &str = "Nothing waits here.";

/// The list's pages.
pub fn lay_out(list: &DayList) -> Vec<Page> {
    let mut flow = Flow::new(list.paper);
    let head = Cell::new(flow.left(), flow.measure())
        .add(&list.title, TITLE)
        .add(&list.house, STRONG)
        .add(&list.as_of, VALUE);
    place(&mut flow, vec![head], RowStyle::default(), &|_| {});
    for group in &list.groups {
        lines(&mut flow, group);
    }
    let rest = match list.groups.is_empty() && list.more.is_empty() {
        true => NOTHING,
        false => list.more.as_str(),
    };
    flow.gap(3.0);
    let rest = Cell::new(flow.left(), flow.measure()).add_some(rest, VALUE);
    place(&mut flow, vec![rest], RowStyle::default(), &|_| {});
    place_close_record(&mut flow, &list.record, WHEN_PRINTED);
    let frame = PageFrame {
        width_mm: flow.width_mm,
        height_mm: flow.height_mm,
        head_left: list.title.clone(),
        head_right: list.house.clone(),
        foot_left: list.as_of.clone(),
        draft: false,
    };
    flow.finish(|number, count| frame.marks(number, count))
}

/// White space between columns.
const GUTTER_MM: f32 = 2.0;

/// Left edge and width of each column, the same for every group.
fn columns(flow: &Flow) -> [(f32, f32); 6] {
    let (left, measure) = (
        flow.left() + TICK_INDENT_MM,
        flow.measure() - TICK_INDENT_MM,
    );
    let mut x = left;
    // No case number is broken.
    let number = ROW_STRONG.code_mm() + GUTTER_MM;
    let rest = measure - number;
    let shares = [0.15, 0.41, 0.15, 0.17, 0.12].map(|share| rest * share);
    let [due, to_do, house, work, things] = shares;
    [number, due, to_do, house, work, things].map(|width| {
        let column = (x, width - GUTTER_MM);
        x += width;
        column
    })
}

fn headings(flow: &mut Flow) {
    let words = [
        "Case",
        "Due",
        "What to do",
        "Office or lab",
        "Work",
        "Items",
    ];
    let cells = columns(flow).into_iter().zip(words);
    let cells = cells.map(|((x, width), words)| Cell::new(x, width).add(words, LABEL));
    place(flow, cells.collect(), RowStyle::default(), &|_| {});
    flow.rule(Stroke::solid(0.25, Grey::INK));
}

fn line(flow: &Flow, row: &DayRow) -> Vec<Cell> {
    let texts = [
        (&row.number, ROW_STRONG),
        (&row.due, SMALL),
        (&row.to_do, ROW),
        (&row.house, SMALL),
        (&row.work, SMALL),
        (&row.things, SMALL),
    ];
    let cells = columns(flow).into_iter().zip(texts);
    let cells = cells.map(|((x, width), (text, style))| Cell::new(x, width).add(text, style));
    let mut cells: Vec<Cell> = cells.collect();
    // Below what is to be done, where the lines are widest.
    if let Some(to_do) = cells.get_mut(2) {
        *to_do = to_do.clone().add_some(&row.bench, SMALL);
    }
    cells
}

fn lines(flow: &mut Flow, group: &DayGroup) {
    let row_style = RowStyle {
        pad_mm: 0.8,
        rule: true,
        tick: true,
        ..RowStyle::default()
    };
    flow.gap(3.5);
    let first = group
        .rows
        .first()
        .map_or(0.0, |row| height_mm(&line(flow, row), row_style));
    // A heading never stands alone at the foot of a page.
    flow.reserve(HEADING.line_mm() + LABEL.line_mm() + first + 2.0);
    let heading = Cell::new(flow.left(), flow.measure()).add(&group.heading, HEADING);
    place(flow, vec![heading], RowStyle::default(), &|_| {});
    headings(flow);
    for row in &group.rows {
        let cells = line(flow, row);
        place(flow, cells, row_style, &headings);
    }
}
