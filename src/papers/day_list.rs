//! The day list: what a house has to do today, or in the next seven days, on paper beside the bench or the chair.

use super::content::Table;
use super::layout::flow::Flow;
use super::layout::frame::Frame;
use super::layout::record::{WHEN_PRINTED, place_record};
use super::layout::row::{Cell, Look, place};
use super::layout::style::{HEADING, STRONG, TITLE, VALUE};
use super::layout::table::{place_table, start_mm};
use super::page::Page;
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
    pub to_do: String,
    pub house: String,
    pub work: String,
    pub things: String,
}

/// Said where nothing is to be done.
pub const NOTHING: &str = "Nothing waits for this house.";

/// The list's pages.
pub fn lay_out(list: &DayList) -> Vec<Page> {
    let mut flow = Flow::new(list.paper);
    let head = Cell::new(flow.left(), flow.measure())
        .add(&list.title, TITLE)
        .add(&list.house, STRONG)
        .add(&list.as_of, VALUE);
    place(&mut flow, vec![head], Look::default(), &|_| {});
    for group in &list.groups {
        lines(&mut flow, group);
    }
    let rest = match list.groups.is_empty() {
        true => NOTHING,
        false => list.more.as_str(),
    };
    flow.gap(3.0);
    let rest = Cell::new(flow.left(), flow.measure()).add_some(rest, VALUE);
    place(&mut flow, vec![rest], Look::default(), &|_| {});
    place_record(&mut flow, &list.record, WHEN_PRINTED);
    let frame = Frame {
        width_mm: flow.width_mm,
        height_mm: flow.height_mm,
        head_left: list.title.clone(),
        head_right: list.house.clone(),
        foot_left: list.as_of.clone(),
        draft: false,
    };
    flow.finish(|number, count| frame.marks(number, count))
}

fn lines(flow: &mut Flow, group: &DayGroup) {
    let rows = group.rows.iter().map(|row| {
        [
            &row.number,
            &row.due,
            &row.to_do,
            &row.house,
            &row.work,
            &row.things,
        ]
        .map(String::clone)
        .to_vec()
    });
    let table = Table {
        headings: ["Case", "Due", "What to do", "House", "Work", "Things"]
            .map(String::from)
            .to_vec(),
        rows: rows.collect(),
        tick: true,
    };
    flow.gap(5.0);
    flow.reserve(HEADING.line_mm() + 1.0 + start_mm(flow, &table));
    let heading = Cell::new(flow.left(), flow.measure()).add(&group.heading, HEADING);
    place(flow, vec![heading], Look::default(), &|_| {});
    flow.gap(1.0);
    place_table(flow, &table, &|_| {});
}
