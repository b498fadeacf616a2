//! The custody sheet: a case's handoff history on paper, one row for each event.

use super::content::Table;
use super::layout::flow::Flow;
use super::layout::frame::Frame;
use super::layout::record::{WHEN_PRINTED, place_record};
use super::layout::row::{Cell, Look, place};
use super::layout::style::{BIG, LABEL, TITLE, VALUE};
use super::layout::table::place_table;
use super::page::Page;
use super::record_mark::RecordMark;
use crate::domain::party::Paper;

/// Everything a custody sheet says.
#[derive(Debug, Clone, PartialEq)]
pub struct CustodySheet {
    pub paper: Paper,
    pub title: String,
    pub case_number: String,
    pub patient_code: String,
    /// Up to which moment the sheet tells, in words.
    pub as_of: String,
    pub events: Vec<CustodyRow>,
    /// The record as it stood when the sheet was made; none of its events came later.
    pub record: RecordMark,
}

/// One event in words.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct CustodyRow {
    /// Local time with its offset.
    pub when: String,
    /// What was done with which items.
    pub what: String,
    pub by: String,
    /// Conditions, agents, reasons: one to a line.
    pub details: String,
}

impl CustodyRow {
    fn cells(&self) -> Vec<String> {
        [&self.when, &self.what, &self.by, &self.details]
            .map(String::clone)
            .to_vec()
    }
}

/// The sheet's pages.
pub fn lay_out(sheet: &CustodySheet) -> Vec<Page> {
    let mut flow = Flow::new(sheet.paper);
    let head = Cell::new(flow.left(), flow.measure())
        .add(&sheet.title, TITLE)
        .space(2.0)
        .add("Case", LABEL)
        .add(&sheet.case_number, BIG)
        .add("Patient code", LABEL)
        .add(&sheet.patient_code, VALUE)
        .add_some(&sheet.as_of, VALUE);
    place(&mut flow, vec![head], Look::default(), &|_| {});
    flow.gap(5.0);
    events(&mut flow, &sheet.events);
    place_record(&mut flow, &sheet.record, WHEN_PRINTED);
    let frame = Frame {
        width_mm: flow.width_mm,
        height_mm: flow.height_mm,
        head_left: sheet.title.clone(),
        head_right: format!("Case {}", sheet.case_number),
        foot_left: format!("Patient code {}", sheet.patient_code),
        draft: false,
    };
    flow.finish(|number, count| frame.marks(number, count))
}

fn events(flow: &mut Flow, events: &[CustodyRow]) {
    if events.is_empty() {
        let cell =
            Cell::new(flow.left(), flow.measure()).add("Nothing has been recorded yet.", VALUE);
        return place(flow, vec![cell], Look::default(), &|_| {});
    }
    let table = Table {
        headings: ["When", "What", "By", "Condition"]
            .map(String::from)
            .to_vec(),
        rows: events.iter().map(CustodyRow::cells).collect(),
        tick: false,
    };
    place_table(flow, &table, &|_| {});
}
