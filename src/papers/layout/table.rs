//! Tables whose rows run over pages, with their headings repeated.

use super::flow::Flow;
use super::row::{Cell, RowStyle, TICK_INDENT_MM, height_mm, place};
use super::style::{HISTORY, HISTORY_HEAD, LABEL, STRONG, Style, VALUE};
use crate::papers::content::Table;
use crate::papers::page::{Grey, Stroke};
use crate::papers::typeface::legible;

/// White space between columns.
const GUTTER_MM: f32 = 4.0;
/// Widest share of a word that a column is asked to keep whole.
const WORD_MM: f32 = 40.0;

fn of_headings() -> RowStyle {
    RowStyle {
        pad_mm: 0.6,
        ..RowStyle::default()
    }
}

/// Type of a table's cells and the white space about a row.
#[derive(Debug, Clone, Copy)]
struct Sizes {
    value: Style,
    /// Of the first column, which names the row.
    strong: Style,
    pad_mm: f32,
    /// White space between columns.
    gutter_mm: f32,
    /// From line to line, as a share of what the style asks.
    lead: f32,
    /// Whether a row goes on over the next page only where a page holds no more than it.
    is_whole: bool,
}

const PLAIN: Sizes = Sizes {
    value: VALUE,
    strong: STRONG,
    pad_mm: 1.0,
    gutter_mm: GUTTER_MM,
    lead: 1.0,
    is_whole: false,
};

const CLOSE: Sizes = Sizes {
    value: HISTORY,
    strong: HISTORY_HEAD,
    pad_mm: 0.3,
    gutter_mm: 2.5,
    lead: 0.9,
    is_whole: true,
};

/// Sets a table over the whole measure. `above` is repeated on each further page, before the headings.
pub fn place_table(flow: &mut Flow, table: &Table, above: &dyn Fn(&mut Flow)) {
    place_in(flow, table, PLAIN, above);
}

/// The same in small type with little white space, for lists that are to stay on few pages.
pub fn place_close_table(flow: &mut Flow, table: &Table) {
    place_in(flow, table, CLOSE, &|_| {});
}

/// What has to be on one page where the next table begins, if a page holds it; of a single row with what follows it.
pub fn last_table_start_mm(flow: &Flow, table: &Table, tail_mm: f32) -> f32 {
    let tail = if table.rows.len() > 1 { 0.0 } else { tail_mm };
    start_in(flow, table, CLOSE) + tail
}

/// A close table where `tail_mm` of room is left on the page of the last row for what follows it.
pub fn place_last_table(flow: &mut Flow, table: &Table, tail_mm: f32) {
    let (Some(last), Some(before)) = (
        table.rows.last(),
        table.rows.len().checked_sub(1).filter(|rows| *rows > 0),
    ) else {
        flow.reserve(last_table_start_mm(flow, table, tail_mm));
        return place_close_table(flow, table);
    };
    let places = places_in(flow, table, CLOSE);
    let head = head_cells(table, &places);
    let upper = Table {
        rows: table.rows.iter().take(before).cloned().collect(),
        ..table.clone()
    };
    place_placed(flow, &upper, (CLOSE, &places), &|_| {});
    let last = row_cells(last, &places, CLOSE);
    let needs = height_mm(&last, of_row(table, CLOSE));
    if flow.reserve(needs + tail_mm) || turns_for(flow, needs, &head) {
        headings(flow, head.clone());
    }
    place(flow, last, of_row(table, CLOSE), &|flow| {
        headings(flow, head.clone());
    });
}

/// The same for a few rows that belong together: they stand on one page, if one holds them.
pub fn place_whole_table(flow: &mut Flow, table: &Table) {
    let places = places_in(flow, table, CLOSE);
    let head = head_cells(table, &places);
    let row = |row: &Vec<String>| {
        let cells = row_cells(row, &places, CLOSE);
        height_mm(&cells, of_row(table, CLOSE))
    };
    let rows: f32 = table.rows.iter().map(row).sum();
    flow.reserve(height_mm(&head, of_headings()) + rows);
    place_close_table(flow, table);
}

fn place_in(flow: &mut Flow, table: &Table, sizes: Sizes, above: &dyn Fn(&mut Flow)) {
    let places = places_in(flow, table, sizes);
    place_placed(flow, table, (sizes, &places), above);
}

/// The same in columns that are measured already.
fn place_placed(
    flow: &mut Flow,
    table: &Table,
    (sizes, places): (Sizes, &[(f32, f32)]),
    above: &dyn Fn(&mut Flow),
) {
    if places.is_empty() {
        return;
    }
    // Headings never stand alone at the foot of a page.
    if flow.reserve(start_placed(table, sizes, places)) {
        above(flow);
    }
    let named = table.headings.iter().any(|heading| !heading.is_empty());
    let head = head_cells(table, places);
    // Headings that would fill a good part of each page are printed once only.
    let repeated = named && height_mm(&head, RowStyle::default()) < flow.full_height() / 5.0;
    let again = |flow: &mut Flow| {
        above(flow);
        if repeated {
            headings(flow, head.clone());
        }
    };
    if named {
        headings(flow, head.clone());
    }
    for row in &table.rows {
        let cells = row_cells(row, places, sizes);
        let row = of_row(table, sizes);
        if sizes.is_whole && turns_for(flow, height_mm(&cells, row), &head) {
            again(flow);
        }
        place(flow, cells, row, &again);
    }
}

/// Begins a new page for a row of this height that has no room here, and has it below the headings of the next.
fn turns_for(flow: &mut Flow, row_mm: f32, head: &[Cell]) -> bool {
    let has_room_there = row_mm + height_mm(head, of_headings()) <= flow.full_height();
    has_room_there && flow.reserve(row_mm)
}

/// Height of a table's headings with its first row: what has to be on one page, if it fits there.
pub fn start_mm(flow: &Flow, table: &Table) -> f32 {
    start_in(flow, table, PLAIN)
}

fn start_in(flow: &Flow, table: &Table, sizes: Sizes) -> f32 {
    start_placed(table, sizes, &places_in(flow, table, sizes))
}

fn start_placed(table: &Table, sizes: Sizes, places: &[(f32, f32)]) -> f32 {
    let head = head_cells(table, places);
    let first = table.rows.first().map_or(0.0, |row| {
        let cells = row_cells(row, places, sizes);
        height_mm(&cells, of_row(table, sizes))
    });
    height_mm(&head, of_headings()) + first
}

fn of_row(table: &Table, sizes: Sizes) -> RowStyle {
    RowStyle {
        pad_mm: sizes.pad_mm,
        rule: true,
        tick: table.tick,
        ..RowStyle::default()
    }
}

/// Left edge and width of each column, where the table stands now.
fn places_in(flow: &Flow, table: &Table, sizes: Sizes) -> Vec<(f32, f32)> {
    let columns = table.rows.iter().map(Vec::len).max().unwrap_or(0);
    let columns = columns.max(table.headings.len());
    if columns == 0 {
        return Vec::new();
    }
    let indent = if table.tick { TICK_INDENT_MM } else { 0.0 };
    places(
        (table, sizes),
        columns,
        flow.left() + indent,
        flow.measure() - indent,
    )
}

fn headings(flow: &mut Flow, cells: Vec<Cell>) {
    place(flow, cells, of_headings(), &|_| {});
    flow.rule(Stroke::solid(0.25, Grey::INK));
}

/// The first column names the row and is set in its own style.
fn row_cells(texts: &[String], places: &[(f32, f32)], sizes: Sizes) -> Vec<Cell> {
    cells(texts, places, (sizes.strong, sizes.value), sizes.lead)
}

/// The names of the columns.
fn head_cells(table: &Table, places: &[(f32, f32)]) -> Vec<Cell> {
    cells(&table.headings, places, (LABEL, LABEL), 1.0)
}

fn cells(
    texts: &[String],
    places: &[(f32, f32)],
    (first, other): (Style, Style),
    lead: f32,
) -> Vec<Cell> {
    let cells = texts.iter().zip(places).enumerate();
    let cells = cells.map(|(at, (text, (x, width)))| {
        let style = if at == 0 { first } else { other };
        Cell::new(*x, *width).lead(lead).add(text, style)
    });
    cells.collect()
}

/// Left edge and width of each column: the width that its widest text asks for, as far as the measure goes round.
fn places(
    (table, sizes): (&Table, Sizes),
    columns: usize,
    left: f32,
    measure: f32,
) -> Vec<(f32, f32)> {
    let widest = sizes.strong;
    let gutter = sizes.gutter_mm.min(measure / (columns as f32 * 4.0));
    let space = measure - gutter * (columns as f32 - 1.0);
    let fair = space / columns as f32;
    let asked: Vec<(f32, f32)> = (0..columns)
        .map(|column| asked((table, widest), column, fair))
        .collect();
    let most: f32 = asked.iter().map(|(_, most)| most).sum();
    let level = level(&asked, space);
    // Room beyond what is asked for is given out evenly, so that the table fills the measure.
    let spare = ((space - most) / columns as f32).max(0.0);
    let mut x = left;
    asked
        .into_iter()
        .map(|(least, most)| {
            let place = (x, most.min(level).max(least) + spare);
            x += place.1 + gutter;
            place
        })
        .collect()
}

/// The width up to which every column gets what it asks for; only wider ones are narrowed to it. Found by halving, to
/// a hundredth of a millimetre and on the safe side.
fn level(asked: &[(f32, f32)], space: f32) -> f32 {
    let (mut low, mut high) = (0.0, space);
    while high - low > 0.01 {
        let level = (low + high) / 2.0;
        let used: f32 = asked
            .iter()
            .map(|(least, most)| most.min(level).max(*least))
            .sum();
        if used <= space {
            low = level;
        } else {
            high = level;
        }
    }
    low
}

/// Least and most width that a column asks for: its longest word, and its longest text. The least never exceeds a
/// fair share, so that all columns find room.
fn asked((table, widest): (&Table, Style), column: usize, fair: f32) -> (f32, f32) {
    let heading = table.headings.get(column).map(|text| (text, LABEL));
    let rows = table.rows.iter().filter_map(|row| row.get(column));
    let (mut least, mut most) = (0.0_f32, 0.0_f32);
    for (text, style) in rows.map(|text| (text, widest)).chain(heading) {
        let shown = legible(text);
        for word in shown.split_whitespace() {
            least = least.max(style.width_mm(word).min(WORD_MM));
        }
        for line in shown.split('\n') {
            most = most.max(style.width_mm(line));
        }
    }
    // A hair more than the text, so that rounding does not break it.
    let least = (least + 0.1).min(fair);
    (least, (most + 0.1).max(least))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::people::party::Paper;

    fn widths(rows: &[&[&str]]) -> Vec<f32> {
        let table = Table {
            rows: rows
                .iter()
                .map(|row| row.iter().map(|text| text.to_string()).collect())
                .collect(),
            ..Table::default()
        };
        let columns = rows.iter().map(|row| row.len()).max().unwrap();
        places((&table, PLAIN), columns, 0.0, 170.0)
            .into_iter()
            .map(|(_, width)| width)
            .collect()
    }

    #[test]
    fn a_long_text_does_not_narrow_a_short_column() {
        let wide = "copied from the provisional ".repeat(20);
        let found = widths(&[&["Upper complete denture", &wide, "yes"]]);
        assert!(found[0] >= STRONG.width_mm("Upper complete denture"));
        assert!(found[1] > found[0] && found[0] > found[2]);
    }

    #[test]
    fn columns_fill_the_measure_and_no_more() {
        for rows in [
            vec!["a", "b"],
            vec!["a"; 9],
            vec!["a long text of many words over the line".repeat(9).leak(); 3],
        ] {
            let found = widths(&[&rows]);
            let all = found.iter().sum::<f32>() + GUTTER_MM * (found.len() as f32 - 1.0);
            assert!((169.0..=170.01).contains(&all), "{all}");
        }
    }

    #[test]
    fn headings_that_fill_a_page_are_printed_once() {
        let mut flow = Flow::new(Paper::A4);
        let heading = "heading ".repeat(2000);
        let table = Table {
            headings: vec![heading],
            rows: vec![vec!["row ".repeat(2000)]],
            tick: false,
        };
        place_table(&mut flow, &table, &|_| {});
        assert!((5..12).contains(&flow.pages()), "{}", flow.pages());
    }
}
