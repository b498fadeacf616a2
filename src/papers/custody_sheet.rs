//! The custody sheet: a case's history on paper. The ribbon on top, below it every item with its handoffs and
//! its end, then the entries, day by day.

use super::content::Table;
use super::layout::flow::Flow;
use super::layout::frame::PageFrame;
use super::layout::record::{WHEN_PRINTED, end_with_record, least_record_mm};
use super::layout::ribbon::place_ribbon;
use super::layout::row::{Cell, RowStyle, height_mm, place};
use super::layout::style::{HISTORY, NUMBER, ROW, TITLE, VALUE};
use super::layout::table::{
    last_table_start_mm, place_close_table, place_last_table, place_whole_table,
};
use super::page::Page;
use super::record_mark::RecordMark;
use crate::domain::custody::ribbon::Ribbon;
use crate::domain::people::party::Paper;

/// Entries in one row of the table, and letters of several: a row stands on one page.
const IN_ROW: usize = 8;
const LETTERS_IN_ROW: usize = 2_000;

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
    /// Whether it is drawn also where it costs a page.
    pub ribbon_always: bool,
    /// In the order of the ribbon's lines, with the same numbers.
    pub items: Vec<ItemRow>,
    /// What each arch wore, from when to when.
    pub worn: Vec<WornRow>,
    /// Everybody who made an entry, with role and house: below, names stand alone.
    pub people: String,
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

/// One event in words, or several of one kind that one person made on one day.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct CustodyRow {
    /// The local day, with the offset of its clock.
    pub day: String,
    pub clock: String,
    /// What was done with which items.
    pub what: String,
    pub by: String,
    /// Conditions, agents, reasons: one to a line.
    pub details: String,
}

impl CustodyRow {
    fn line(&self) -> String {
        let details: Vec<String> = (self.details.lines())
            .filter(|line| !line.trim().is_empty())
            .map(ended)
            .collect();
        let what = match details.is_empty() {
            true => ended(&self.what),
            false => format!("{}: {}", self.what, details.join(" ")),
        };
        format!("{} {what} {}", self.clock, self.by)
    }
}

/// Words with one stop at their end: a question or an exclamation has its own.
fn ended(words: &str) -> String {
    let words = words.trim_end().trim_end_matches('.');
    match words.trim_end_matches(['”', ')']).ends_with(['?', '!']) {
        true => words.to_owned(),
        false => format!("{words}."),
    }
}

/// The sheet's pages. The ribbon tells at a glance what the tables tell in words: it is left out where it alone would
/// cost a page, and nobody has asked for it.
pub fn lay_out(sheet: &CustodySheet) -> Vec<Page> {
    let without = pages(sheet, None);
    let Some(ribbon) = &sheet.ribbon else {
        return without;
    };
    let with = pages(sheet, Some(ribbon));
    if sheet.ribbon_always || with.len() <= without.len() {
        with
    } else {
        without
    }
}

fn pages(sheet: &CustodySheet, ribbon: Option<&Ribbon>) -> Vec<Page> {
    let mut flow = Flow::new(sheet.paper);
    let half = flow.measure() / 2.0;
    let left = Cell::new(flow.left(), half)
        .add(&sheet.title, TITLE)
        .add_some(&sheet.as_of, ROW);
    let right = Cell::new(flow.left() + half, half)
        .add(&format!("Case {}", sheet.case_number), NUMBER)
        .add(&format!("Patient code {}", sheet.patient_code), ROW);
    place(&mut flow, vec![left, right], RowStyle::default(), &|_| {});
    if let Some(ribbon) = ribbon {
        let kinds: Vec<String> = sheet.items.iter().map(|item| item.kind.clone()).collect();
        place_ribbon(&mut flow, ribbon, &kinds);
    }
    items(&mut flow, &sheet.items);
    worn(&mut flow, &sheet.worn);
    let record = least_record_mm(&flow, &sheet.record, WHEN_PRINTED);
    events(&mut flow, sheet, record);
    end_with_record(&mut flow, &sheet.record, WHEN_PRINTED);
    let frame = PageFrame {
        width_mm: flow.width_mm,
        height_mm: flow.height_mm,
        head_left: sheet.title.clone(),
        head_right: format!("Case {}", sheet.case_number),
        foot_left: format!("Patient code {}", sheet.patient_code),
        draft: false,
    };
    flow.finish(|number, count| frame.marks(number, count))
}

/// What the entries are read by; it does not stand alone at the foot of a page, but with so much of what follows.
fn every_entry(flow: &mut Flow, people: &str, start_mm: f32) {
    const GAP_MM: f32 = 1.0;
    flow.gap(1.5);
    let words = match people {
        "" => "Every entry.".to_owned(),
        people => format!("Every entry. Numbers are those of the items above. By: {people}"),
    };
    let cell = Cell::new(flow.left(), flow.measure()).add(&words, HISTORY);
    let high = height_mm(std::slice::from_ref(&cell), RowStyle::default());
    // A hair more, so that rounding does not part them.
    let whole = high + GAP_MM + start_mm + 0.1;
    let least = HISTORY.line_mm() + 4.0 * VALUE.line_mm();
    flow.reserve(if whole <= flow.full_height() {
        whole.max(least)
    } else {
        least
    });
    place(flow, vec![cell], RowStyle::default(), &|_| {});
    flow.gap(GAP_MM);
}

fn items(flow: &mut Flow, items: &[ItemRow]) {
    if items.is_empty() {
        return;
    }
    // Its own heads name it: a title above them would cost an ordinary case a second page on Letter.
    flow.gap(1.5);
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
    flow.gap(1.5);
    let mut arches: Vec<(String, Vec<String>)> = Vec::new();
    let mut before: Option<&WornRow> = None;
    for one in worn {
        // What begins where the one before it ended is said by the order of the two.
        let follows = |last: &WornRow| (&last.arch, &last.to) == (&one.arch, &one.from);
        let from = match before.is_some_and(follows) {
            true => "then",
            false => one.from.as_str(),
        };
        let line = match (from, one.to.as_str()) {
            ("before", "still") => one.worn.clone(),
            ("before" | "then", to) if to != "still" => format!("{} until {to}", one.worn),
            (from, "still") => format!("{} since {from}", one.worn),
            (from, to) => format!("{} from {from} to {to}", one.worn),
        };
        before = Some(one);
        match arches.last_mut() {
            Some((arch, lines)) if *arch == one.arch => lines.push(line),
            _ => arches.push((one.arch.clone(), vec![line])),
        }
    }
    let row = |(arch, lines): (String, Vec<String>)| vec![arch, lines.join("; ")];
    let table = Table {
        headings: ["Arch", "In the mouth"].map(String::from).to_vec(),
        rows: arches.into_iter().map(row).collect(),
        tick: false,
    };
    place_whole_table(flow, &table);
}

/// The entries; `record_mm` is left below the last of them.
fn events(flow: &mut Flow, sheet: &CustodySheet, record_mm: f32) {
    if sheet.events.is_empty() {
        every_entry(flow, &sheet.people, 0.0);
        let cell =
            Cell::new(flow.left(), flow.measure()).add("Nothing has been recorded yet.", VALUE);
        return place(flow, vec![cell], RowStyle::default(), &|_| {});
    }
    let table = day_by_day(&sheet.events);
    let start_mm = last_table_start_mm(flow, &table, record_mm);
    every_entry(flow, &sheet.people, start_mm);
    place_last_table(flow, &table, record_mm);
}

/// The lines of a day below each other.
fn day_by_day(events: &[CustodyRow]) -> Table {
    let mut days: Vec<(String, Vec<String>)> = Vec::new();
    let letters = |lines: &[String]| lines.iter().map(|line| line.chars().count()).sum::<usize>();
    for event in events {
        let line = event.line();
        let has_room = |lines: &[String]| {
            let all = letters(lines) + letters(std::slice::from_ref(&line));
            lines.len() < IN_ROW && all <= LETTERS_IN_ROW
        };
        match days.last_mut() {
            Some((day, lines)) if *day == event.day && has_room(lines.as_slice()) => {
                lines.push(line)
            }
            _ => days.push((event.day.clone(), vec![line])),
        }
    }
    // A day with more lines than a row holds goes on in the next: its date heads one group.
    for at in (1..days.len()).rev() {
        let before = days.get(at - 1).map(|(day, _)| day.clone());
        if let Some((day, _)) = days
            .get_mut(at)
            .filter(|(day, _)| Some(day) == before.as_ref())
        {
            day.push_str("\ncontinued");
        }
    }
    let row = |(day, lines): (String, Vec<String>)| vec![day, lines.join("\n")];
    Table {
        headings: ["When", "What happened, and by whom"]
            .map(String::from)
            .to_vec(),
        rows: days.into_iter().map(row).collect(),
        tick: false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::papers::page::Mark;
    use crate::papers::samples::custody;

    fn texts(page: &Page) -> impl Iterator<Item = &str> {
        page.marks.iter().filter_map(|mark| match mark {
            Mark::Text { text, .. } => Some(text.as_str()),
            _ => None,
        })
    }

    #[test]
    fn the_mark_of_the_record_is_no_page_by_itself() {
        for paper in [Paper::A4, Paper::Letter] {
            for count in 1..140 {
                let sheet = CustodySheet {
                    paper,
                    ..custody(count)
                };
                let pages = lay_out(&sheet);
                let last = pages.last().unwrap();
                let has_entries = texts(last).any(|text| text.contains("provisional upper"));
                assert!(has_entries, "{paper:?}, {count} entries");
                let codes = last.marks.iter();
                let codes = codes.filter(|mark| matches!(mark, Mark::Qr { .. })).count();
                assert_eq!(codes, 1, "{paper:?}, {count} entries");
            }
        }
    }

    #[test]
    fn a_line_has_one_stop_at_the_end_of_each_sentence() {
        for (details, line) in [
            ("", "08:00 The second lab asks. Lars"),
            (
                "It ends there.",
                "08:00 The second lab asks: It ends there. Lars",
            ),
            (
                "Does it end there, or at the seal?",
                "08:00 The second lab asks: Does it end there, or at the seal? Lars",
            ),
            (
                "“There?”\nor at the seal",
                "08:00 The second lab asks: “There?” or at the seal. Lars",
            ),
        ] {
            let row = CustodyRow {
                clock: "08:00".to_owned(),
                what: "The second lab asks".to_owned(),
                by: "Lars".to_owned(),
                details: details.to_owned(),
                ..CustodyRow::default()
            };
            assert_eq!(row.line(), line);
        }
    }

    #[test]
    fn a_date_heads_one_group_of_entries() {
        let mut sheet = custody(20);
        for event in &mut sheet.events {
            "2026-03-02 +01:00".clone_into(&mut event.day);
        }
        let pages = lay_out(&sheet);
        let all: Vec<&str> = pages.iter().flat_map(texts).collect();
        let continued = all.iter().filter(|text| **text == "continued").count();
        // Twenty entries of one day are three rows of at most eight.
        assert_eq!(continued, 2);
        let lines = all.iter().filter(|text| text.contains("provisional upper"));
        assert_eq!(lines.count(), 20);
    }
}
