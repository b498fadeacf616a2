//! The key sheet: the one paper that joins a patient code to a name, written by hand and kept by the office alone.

use super::layout::flow::Flow;
use super::layout::frame::PageFrame;
use super::layout::record::{WHEN_PRINTED, least_record_mm, place_close_record};
use super::layout::row::{Cell, RowStyle, place};
use super::layout::style::{LABEL, NUMBER, STRONG, TITLE, VALUE};
use super::page::{Grey, Mark, Page, Stroke};
use super::record_mark::RecordMark;
use crate::domain::people::party::Paper;

/// The head of the sheet.
pub const TITLE_WORDS: &str = "Key sheet: keep apart from all case papers";

/// What must be known by whoever holds the sheet.
pub const CAUTION_WORDS: &str = "Whoever has this sheet can tell whose work a case is. Keep it under lock in the \
    office, away from slips and boxes. Never send it to the laboratory, never photograph it, never put it into a \
    computer. When a sheet is replaced, destroy the old one.";

/// Height of a row: room for a name written by hand, and the lowest that still has it, where that saves a page.
const ROW_MM: f32 = 14.0;
const LOW_ROW_MM: f32 = 11.5;
/// Shares of the measure for code, name and birth date.
const SHARES: [f32; 3] = [0.30, 0.45, 0.25];

/// Everything a key sheet says.
#[derive(Debug, Clone, PartialEq)]
pub struct KeySheet {
    pub paper: Paper,
    pub office: String,
    /// The codes to print, one for each row.
    pub codes: Vec<String>,
    /// What is said of codes that are not among them; empty for most.
    pub missing: String,
    /// Rows without a code below the others, at most: as many as the last page has room for.
    pub blank_rows: usize,
    /// The record as it stood when the sheet was made.
    pub record: RecordMark,
}

/// The sheet's pages.
pub fn lay_out(sheet: &KeySheet) -> Vec<Page> {
    let mut flow = Flow::new(sheet.paper);
    let measure = flow.measure();
    let head = Cell::new(flow.left(), measure)
        .add(TITLE_WORDS, TITLE)
        .add_some(&sheet.office, STRONG);
    place(&mut flow, vec![head], RowStyle::default(), &|_| {});
    flow.gap(3.0);
    let row_style = RowStyle {
        pad_mm: 0.9,
        bar: true,
        ..RowStyle::default()
    };
    let caution = Cell::new(flow.left() + 5.0, measure - 5.0)
        .add(CAUTION_WORDS, VALUE)
        .add_some(&sheet.missing, STRONG);
    place(&mut flow, vec![caution], row_style, &|_| {});
    flow.gap(4.0);
    headings(&mut flow);
    let record = least_record_mm(&flow, &sheet.record, WHEN_PRINTED);
    // The mark of the record alone is no page.
    let fits =
        |row_mm: &f32| sheet.codes.iter().map(|_| row_mm).sum::<f32>() + record <= flow.room();
    let row_mm = [ROW_MM, LOW_ROW_MM]
        .into_iter()
        .find(fits)
        .unwrap_or(ROW_MM);
    for code in &sheet.codes {
        row(&mut flow, code, row_mm);
    }
    // Rows to write on fill the page up, and begin none.
    for _ in 0..sheet.blank_rows {
        if flow.room() < row_mm + record {
            break;
        }
        row(&mut flow, "", row_mm);
    }
    place_close_record(&mut flow, &sheet.record, WHEN_PRINTED);
    let frame = PageFrame {
        width_mm: flow.width_mm,
        height_mm: flow.height_mm,
        head_left: TITLE_WORDS.into(),
        head_right: sheet.office.clone(),
        foot_left: "Never to the laboratory, never into a box".into(),
        draft: false,
    };
    flow.finish(|number, count| frame.marks(number, count))
}

/// Left edge and width of each column.
fn columns(flow: &Flow) -> [(f32, f32); 3] {
    let mut x = flow.left();
    SHARES.map(|share| {
        let width = flow.measure() * share;
        let column = (x, (width - 4.0).max(0.0));
        x += width;
        column
    })
}

fn headings(flow: &mut Flow) {
    let cells = columns(flow)
        .into_iter()
        .zip(["Patient code", "Name, by hand", "Birth date, by hand"])
        .map(|((x, width), words)| Cell::new(x, width).add(words, LABEL))
        .collect();
    place(flow, cells, RowStyle::default(), &|_| {});
    flow.rule(Stroke::solid(0.3, Grey::INK));
}

/// A code and lines to write on; without a code, a line for that too.
fn row(flow: &mut Flow, code: &str, row_mm: f32) {
    if flow.room() < row_mm {
        flow.new_page();
        headings(flow);
    }
    let line = flow.y + row_mm - 3.0;
    let [code_column, name, birth] = columns(flow);
    let written = if code.is_empty() {
        vec![code_column, name, birth]
    } else {
        vec![name, birth]
    };
    for (x, width) in written {
        flow.push(Mark::line(
            (x, line),
            (x + width, line),
            Stroke::thin(Grey::INK),
        ));
    }
    let top = flow.y;
    if !code.is_empty() {
        let drop = (row_mm - 3.0 - NUMBER.baseline_mm()).max(0.0);
        let cell = Cell::new(code_column.0, code_column.1)
            .space(drop)
            .add(code, NUMBER);
        place(flow, vec![cell], RowStyle::default(), &|flow| {
            headings(flow)
        });
    }
    flow.y = flow.y.max((top + row_mm).min(flow.bottom()));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_long_list_of_codes_runs_over_pages_and_loses_none() {
        let codes: Vec<String> = (0..45).map(|n| format!("K7M4-{n:03}")).collect();
        let pages = lay_out(&KeySheet {
            paper: Paper::Letter,
            office: "Office".into(),
            codes: codes.clone(),
            missing: String::new(),
            blank_rows: 5,
            record: crate::papers::samples::record(),
        });
        assert!(pages.len() > 2);
        let printed: Vec<&str> = pages
            .iter()
            .flat_map(|page| &page.marks)
            .filter_map(|mark| match mark {
                Mark::Text { text, .. } => Some(text.as_str()),
                _ => None,
            })
            .collect();
        assert!(codes.iter().all(|code| printed.contains(&code.as_str())));
    }

    #[test]
    fn rows_give_way_before_the_mark_of_the_record_would_be_a_page_by_itself() {
        for (count, wanted) in [(6, 1), (12, 1)] {
            let pages = lay_out(&KeySheet {
                paper: Paper::Letter,
                office: "Office".into(),
                codes: (0..count).map(|n| format!("K7M4-{n:03}")).collect(),
                missing: String::new(),
                blank_rows: 0,
                record: crate::papers::samples::record(),
            });
            assert_eq!(pages.len(), wanted, "{count} codes");
        }
    }
}
