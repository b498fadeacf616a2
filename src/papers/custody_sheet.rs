//! The custody sheet: a case's history on paper. The ribbon on top, below it every item with its handoffs and
//! its end, then one row for each event.

use super::content::Table;
use super::layout::flow::Flow;
use super::layout::frame::Frame;
use super::layout::record::{WHEN_PRINTED, place_record};
use super::layout::ribbon::place_ribbon;
use super::layout::row::{Cell, Look, place};
use super::layout::style::{HEADING, NUMBER, ROW, TITLE, VALUE};
use super::layout::table::place_close_table;
use super::page::Page;
use super::record_mark::RecordMark;
use crate::domain::custody::ribbon::Ribbon;
use crate::domain::people::party::Paper;

/// Everything a custody sheet says.
#[derive(Debug, Clone, PartialEq)]
pub struct CustodySheet {
    pub paper: Paper,
    pub title: String,
    pub case_number: String,
    pub patient_code: String,
    /// Up to which moment the sheet tells, in words.
    pub as_of: String,
    /// Drawn over every item that is ever seen in it.
    pub ribbon: Option<Ribbon>,
    /// In the order of the ribbon's lines, with the same numbers.
    pub items: Vec<ItemRow>,
    /// What each arch wore, from when to when.
    pub worn: Vec<WornRow>,
    pub events: Vec<CustodyRow>,
    /// The record as it stood when the sheet was made; none of its events came later.
    pub record: RecordMark,
}

/// One item in words.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct ItemRow {
    pub number: usize,
    pub tag: String,
    pub title: String,
    /// A word for it that fits into a drawing.
    pub kind: String,
    /// How often it changed hands, and through how many.
    pub handlers: String,
    /// How it left and how it arrived, a line for each handoff.
    pub conditions: String,
    /// What became of it, or where it is and that this is not its end.
    pub end: String,
}

/// One stretch of time in one arch.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct WornRow {
    pub arch: String,
    pub from: String,
    pub to: String,
    pub worn: String,
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
        // Details stand behind what they belong to: a column of their own would cost a line for each.
        let details = self.details.replace('\n', ". ");
        let what = match details.is_empty() {
            true => self.what.clone(),
            false => format!("{}: {details}", self.what),
        };
        vec![self.when.clone(), format!("{what}. {}", self.by)]
    }
}

/// The sheet's pages.
pub fn lay_out(sheet: &CustodySheet) -> Vec<Page> {
    let mut flow = Flow::new(sheet.paper);
    let head = Cell::new(flow.left(), flow.measure())
        .add(&sheet.title, TITLE)
        .add(&format!("Case {}", sheet.case_number), NUMBER)
        .add(&format!("Patient code {}", sheet.patient_code), ROW)
        .add_some(&sheet.as_of, ROW);
    place(&mut flow, vec![head], Look::default(), &|_| {});
    if let Some(ribbon) = &sheet.ribbon {
        let kinds: Vec<String> = sheet.items.iter().map(|item| item.kind.clone()).collect();
        place_ribbon(&mut flow, ribbon, &kinds);
    }
    items(&mut flow, &sheet.items);
    worn(&mut flow, &sheet.worn);
    title(&mut flow, "Every entry");
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

/// A title that does not stand alone at the foot of a page.
fn title(flow: &mut Flow, words: &str) {
    flow.gap(3.0);
    flow.reserve(HEADING.line_mm() + 4.0 * VALUE.line_mm());
    let cell = Cell::new(flow.left(), flow.measure()).add(words, HEADING);
    place(flow, vec![cell], Look::default(), &|_| {});
    flow.gap(1.0);
}

fn items(flow: &mut Flow, items: &[ItemRow]) {
    if items.is_empty() {
        return;
    }
    title(flow, "Items");
    let row = |item: &ItemRow| {
        vec![
            item.number.to_string(),
            format!("{} {}", item.title, item.tag),
            item.handlers.clone(),
            item.conditions.clone(),
            item.end.clone(),
        ]
    };
    let headings = ["No.", "Item", "Handoffs", "Left and arrived", "In the end"];
    let table = Table {
        headings: headings.map(String::from).to_vec(),
        rows: items.iter().map(row).collect(),
        tick: false,
    };
    place_close_table(flow, &table);
}

fn worn(flow: &mut Flow, worn: &[WornRow]) {
    if worn.is_empty() {
        return;
    }
    title(flow, "In the mouth");
    let row = |one: &WornRow| [&one.arch, &one.from, &one.to, &one.worn].map(String::clone);
    let table = Table {
        headings: ["Arch", "From", "To", "Worn"].map(String::from).to_vec(),
        rows: worn.iter().map(|one| row(one).to_vec()).collect(),
        tick: false,
    };
    place_close_table(flow, &table);
}

fn events(flow: &mut Flow, events: &[CustodyRow]) {
    if events.is_empty() {
        let cell =
            Cell::new(flow.left(), flow.measure()).add("Nothing has been recorded yet.", VALUE);
        return place(flow, vec![cell], Look::default(), &|_| {});
    }
    let table = Table {
        headings: ["When", "What happened, and by whom"]
            .map(String::from)
            .to_vec(),
        rows: events.iter().map(CustodyRow::cells).collect(),
        tick: false,
    };
    place_close_table(flow, &table);
}
