//! Lists that a party loads as CSV: strict, with the number of the line in every complaint.
//!
//! A list is a heading and rows of as many cells, separated by commas, or by semicolons or tabs as the
//! heading is. Cells may be quoted from their first character on; spaces around them go. Numbers have
//! decimal points, or decimal commas where commas separate nothing. What is not clear is refused as a
//! whole, because a list with a silent hole in it is worse than none.
//!
//! A spreadsheet takes a cell that begins with `=`, `+`, `-` or `@` for a formula, and passes over a tab or a line
//! end before it. Such a cell that is no number goes out with an apostrophe before it (OWASP ASVS 5.0, V1.2.10),
//! which comes off on the way in.

use crate::domain::form::check_readable;
use crate::domain::values::figures::plain;
use csv::{ReaderBuilder, StringRecord, Trim};

/// Complaints that one list gets; the rest is counted.
pub const MOST_COMPLAINTS: usize = 100;

/// One row under its heading.
pub struct Row {
    heading: StringRecord,
    cells: StringRecord,
    line: u64,
    comma_is_decimal: bool,
}

impl Row {
    /// A complaint about this row.
    pub fn fault(&self, why: &str) -> String {
        format!("Line {}: {}.", self.line, why.trim_end_matches('.'))
    }

    /// The cell under a heading.
    ///
    /// # Errors
    /// A sentence where there is no such column.
    pub fn text(&self, column: &str) -> Result<&str, String> {
        let place = self.heading.iter().position(|name| name == column);
        place
            .and_then(|place| self.cells.get(place))
            .map(unguarded)
            .ok_or_else(|| self.fault(&format!("there is no column {column}")))
    }

    /// The cell as the code of `what`, such as `the mould`: one line of at most `most` characters.
    ///
    /// # Errors
    /// A sentence where it is empty, too long, or holds what cannot be read on paper.
    pub fn code(&self, column: &str, what: &str, most: usize) -> Result<String, String> {
        let text = self.text(column)?;
        if text.is_empty() {
            return Err(self.fault(&format!("{what} has no code")));
        }
        let length = text.chars().count();
        if length > most {
            return Err(self.fault(&format!(
                "the code has {length} characters, and a prescription has room for {most}"
            )));
        }
        if text.contains('\n') {
            return Err(self.fault("the code holds a line break"));
        }
        check_readable(text).map_err(|why| self.fault(&why))?;
        Ok(text.to_owned())
    }

    /// The cell as a number.
    ///
    /// # Errors
    /// A sentence where it is empty, no number or not finite.
    pub fn number(&self, column: &str) -> Result<f64, String> {
        let text = self.text(column)?;
        let figures = plain(text);
        let has_decimal_comma = self.comma_is_decimal && !figures.contains('.');
        let spelt = if has_decimal_comma {
            figures.replacen(',', ".", 1)
        } else {
            figures.into_owned()
        };
        spelt
            .parse::<f64>()
            .ok()
            .filter(|value| is_plain(&spelt) && value.is_finite())
            .ok_or_else(|| {
                self.fault(&format!(
                    "{column} is {}, and a number such as 8.5 is wanted",
                    quoted(text)
                ))
            })
    }

    /// The cell as a number, `None` where it is empty.
    ///
    /// # Errors
    /// As [`Row::number`].
    pub fn optional_number(&self, column: &str) -> Result<Option<f64>, String> {
        if self.text(column)?.is_empty() {
            return Ok(None);
        }
        self.number(column).map(Some)
    }
}

/// A cell in a complaint.
pub fn quoted(cell: &str) -> String {
    match cell {
        "" => "empty".to_owned(),
        cell => format!("“{cell}”"),
    }
}

/// Written with digits, sign and point only.
fn is_plain(text: &str) -> bool {
    let mut bytes = text.bytes();
    bytes.all(|byte| byte.is_ascii_digit() || b"+-.".contains(&byte))
}

/// Reads a list whose heading is exactly `columns`, in that order; `entry` reads one row.
///
/// # Errors
/// A sentence for a wrong heading; else one for each line that is not clear, in the order of the lines,
/// and at the end how many more there are. No list is taken in part.
pub fn read<T>(
    text: &str,
    columns: &[&str],
    most: usize,
    mut entry: impl FnMut(&Row) -> Result<T, String>,
) -> Result<Vec<T>, Vec<String>> {
    let mut entries = Vec::new();
    let mut complaints = Vec::new();
    for row in rows(text, columns, most).map_err(|why| vec![why])? {
        match row.and_then(|row| entry(&row)) {
            Ok(entry) => entries.push(entry),
            Err(why) => complaints.push(why),
        }
    }
    if complaints.is_empty() {
        return Ok(entries);
    }
    let more = complaints.len().saturating_sub(MOST_COMPLAINTS);
    if more > 0 {
        complaints.truncate(MOST_COMPLAINTS);
        complaints.push(format!("And {more} more lines that are not clear."));
    }
    Err(complaints)
}

/// The rows of a list, each with the complaint about its shape where there is one. Rows whose cells are
/// all empty, as spreadsheets leave them below a table, are passed over.
fn rows(text: &str, columns: &[&str], most: usize) -> Result<Vec<Result<Row, String>>, String> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let text = text.replace("\r\n", "\n").replace('\r', "\n");
    let separator = separator(&text);
    let mut lines = Lines::of(&text);
    let mut reader = ReaderBuilder::new()
        .trim(Trim::All)
        .flexible(true)
        .delimiter(separator)
        .from_reader(text.as_bytes());
    let heading = reader
        .headers()
        .map_err(|_| "The heading cannot be read.".to_owned())?
        .clone();
    if !heading.iter().eq(columns.iter().copied()) {
        return Err(format!("The heading must be: {}.", columns.join(",")));
    }
    let mut rows = Vec::new();
    for record in reader.into_records() {
        let cells = record.map_err(|why| format!("The list cannot be read: {why}."))?;
        if cells.iter().all(str::is_empty) {
            continue;
        }
        let row = Row {
            heading: heading.clone(),
            line: lines.at(cells.position().map_or(0, csv::Position::byte)),
            cells,
            comma_is_decimal: separator != b',',
        };
        if rows.len() == most {
            return Err(row.fault(&format!("the list has more than {most} rows")));
        }
        rows.push(shaped(row, columns.len()));
    }
    Ok(rows)
}

/// The row, if it has as many cells as the heading.
fn shaped(row: Row, wanted: usize) -> Result<Row, String> {
    let found = row.cells.len();
    if found == wanted {
        return Ok(row);
    }
    let advice = if found > wanted && !row.comma_is_decimal {
        "; where numbers have decimal commas, separate the cells with semicolons"
    } else {
        ""
    };
    Err(row.fault(&format!(
        "{found} cells, and the heading has {wanted}{advice}"
    )))
}

/// What separates the cells of the heading, the first line that is not blank.
fn separator(text: &str) -> u8 {
    let heading = text.lines().find(|line| !line.trim().is_empty());
    let has = |sign: char| heading.is_some_and(|line| line.contains(sign));
    match (has(';'), has('\t')) {
        (true, _) => b';',
        (false, true) => b'\t',
        (false, false) => b',',
    }
}

/// Lines of a text by place. The reader's own count does not see empty lines before a record.
struct Lines<'a> {
    text: &'a [u8],
    line: u64,
    seen: usize,
}

impl<'a> Lines<'a> {
    fn of(text: &'a str) -> Lines<'a> {
        Lines {
            text: text.as_bytes(),
            line: 1,
            seen: 0,
        }
    }

    /// The line of the record that starts at a byte or after the line ends there. Places grow from call
    /// to call, so that a long list is walked once.
    fn at(&mut self, byte: u64) -> u64 {
        let start = usize::try_from(byte).unwrap_or(usize::MAX);
        while let Some(byte) = self.text.get(self.seen) {
            if self.seen >= start && *byte != b'\n' {
                break;
            }
            self.line += u64::from(*byte == b'\n');
            self.seen += 1;
        }
        self.line
    }
}

/// Signs with which a formula begins.
const OF_FORMULAS: [char; 7] = ['=', '+', '-', '@', '\t', '\r', '\n'];

/// The cell as a spreadsheet may read it: no formula.
fn guarded(cell: &str) -> String {
    let is_number = is_plain(cell) && cell.parse::<f64>().is_ok();
    if cell.starts_with(OF_FORMULAS) && !is_number {
        format!("'{cell}")
    } else {
        cell.to_owned()
    }
}

/// The cell as it was before [`guarded`].
fn unguarded(cell: &str) -> &str {
    match cell.strip_prefix('\'') {
        Some(rest) if rest.starts_with(OF_FORMULAS) => rest,
        _ => cell,
    }
}

/// One line with quotes and guards where they are needed.
pub fn line<T: AsRef<str>>(cells: impl IntoIterator<Item = T>) -> String {
    let quoted: Vec<String> = cells
        .into_iter()
        .map(|cell| quote(&guarded(cell.as_ref())))
        .collect();
    format!("{}\n", quoted.join(","))
}

/// A whole file of lines as RFC 4180 has them, a heading first.
pub fn file(heading: &[&str], rows: &[Vec<String>]) -> String {
    let with_end = |line: String| format!("{}\r\n", line.trim_end_matches('\n'));
    let heading = std::iter::once(line(heading));
    let lines = heading.chain(rows.iter().map(line)).map(with_end);
    lines.collect()
}

fn quote(cell: &str) -> String {
    if cell.contains([',', '"', '\n', '\r']) {
        format!("\"{}\"", cell.replace('"', "\"\""))
    } else {
        cell.to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// The rows of a list in good shape.
    fn good(text: &str, columns: &[&str]) -> Vec<Row> {
        let rows = rows(text, columns, 9).expect(text);
        rows.into_iter().map(|row| row.expect(text)).collect()
    }

    #[test]
    fn cells_are_read_by_their_heading() {
        let text = "\u{feff}code, width\n\"A, 1\", 8.5 \r\nB,\n";
        let rows = good(text, &["code", "width"]);
        assert_eq!(rows[0].text("code"), Ok("A, 1"));
        assert_eq!(rows[0].number("width"), Ok(8.5));
        assert_eq!(rows[1].optional_number("width"), Ok(None));
        assert!(
            rows[1]
                .number("width")
                .expect_err("empty")
                .starts_with("Line 3")
        );
        assert!(rows[0].text("length").is_err());
    }

    #[test]
    fn complaints_name_the_line_as_an_editor_counts_it() {
        for (text, line) in [
            ("n\nx\n", "Line 2:"),
            ("n\r\n1\r\nx\r\n", "Line 3:"),
            ("n\n\n\nx", "Line 4:"),
            ("n\n\"1\n\"\nx", "Line 4:"),
        ] {
            let rows = good(text, &["n"]);
            let why = rows[rows.len() - 1].number("n").expect_err(text);
            assert!(why.starts_with(line), "{text:?}: {why}");
        }
    }

    #[test]
    fn numbers_have_one_spelling() {
        let heading = ["n"];
        for wrong in ["1e3", "NaN", "inf", "\"1,5\"", "0x1", "1 000", "--1", "."] {
            let rows = good(&format!("n\n{wrong}\n"), &heading);
            assert!(rows[0].number("n").is_err(), "{wrong}");
        }
    }

    #[test]
    fn a_decimal_comma_is_read_where_commas_separate_nothing() {
        for (text, number) in [
            ("a;n\nx;8,5\n", Ok(8.5)),
            ("a;n\nx;8.5\n", Ok(8.5)),
            ("a\tn\nx\t-8,5\n", Ok(-8.5)),
            ("a,n\nx,8.5\n", Ok(8.5)),
            ("a,n\nx,٨٫٥\n", Ok(8.5)),
            ("a;n\nx;８，５\n", Ok(8.5)),
            ("a;n\nx;1.008,5\n", Err(())),
            ("a;n\nx;1,008,5\n", Err(())),
        ] {
            let rows = good(text, &["a", "n"]);
            assert_eq!(rows[0].number("n").map_err(|_| ()), number, "{text:?}");
        }
        let torn = rows("a,n\nx,8,5\n", &["a", "n"], 9).expect("rows");
        let why = torn[0].as_ref().map(|_| ()).expect_err("three cells");
        assert!(
            why.contains("3 cells") && why.contains("semicolons"),
            "{why}"
        );
    }

    #[test]
    fn every_line_that_is_not_clear_is_named_and_nothing_is_taken() {
        let number = |row: &Row| row.number("n");
        let why = read("n\n1\nx\n2\n1,2\n\ny\n", &["n"], 9, number).expect_err("faults");
        let lines: Vec<&str> = why
            .iter()
            .map(|one| one.split(':').next().unwrap_or_default())
            .collect();
        assert_eq!(lines, ["Line 3", "Line 5", "Line 7"]);
        let long = format!("n\n{}", "x\n".repeat(250));
        let why = read(&long, &["n"], 999, number).expect_err("faults");
        assert_eq!(why.len(), MOST_COMPLAINTS + 1);
        assert_eq!(
            why[MOST_COMPLAINTS],
            "And 150 more lines that are not clear."
        );
    }

    #[test]
    fn a_list_that_is_too_long_is_refused() {
        assert!(rows("n\n1\n2\n", &["n"], 1).is_err());
        assert!(rows("n\n1\n\n", &["n"], 1).is_ok());
    }

    #[test]
    fn empty_rows_below_a_table_are_passed_over() {
        assert_eq!(good("a,b\n1,2\n,\n , \n", &["a", "b"]).len(), 1);
    }

    #[test]
    fn a_code_is_one_line_that_can_be_read() {
        for (cell, said) in [
            ("", "no code"),
            ("abcdef", "6 characters"),
            ("\"a\nb\"", "line break"),
            ("a\u{7}", "control character"),
            ("a\u{202e}b", "invisible character"),
        ] {
            let rows = good(&format!("c,n\n{cell},1\n"), &["c", "n"]);
            let why = rows[0].code("c", "the mould", 5).expect_err(cell);
            assert!(why.contains(said), "{cell:?}: {why}");
        }
        assert_eq!(
            good("c\nabcde\n", &["c"])[0].code("c", "it", 5),
            Ok("abcde".to_owned())
        );
    }

    #[test]
    fn a_cell_that_a_spreadsheet_would_take_for_a_formula_goes_out_guarded() {
        for (cell, written) in [
            ("=1+2", "'=1+2"),
            ("+x", "'+x"),
            ("-a1", "'-a1"),
            ("@b", "'@b"),
            ("-1.5", "-1.5"),
            ("+2", "+2"),
            ("-", "'-"),
            ("-inf", "'-inf"),
            ("x=1", "x=1"),
            ("=\"a,b\"", "\"'=\"\"a,b\"\"\""),
        ] {
            assert_eq!(line([cell]), format!("{written}\n"), "{cell}");
            let back = good(&format!("c\n{}", line([cell])), &["c"]);
            assert_eq!(back[0].text("c"), Ok(cell));
        }
    }

    proptest! {
        #[test]
        fn what_is_written_reads_back(cells in proptest::collection::vec("[a-z,;=+@\"\n.-]{1,8}", 2)) {
            let cells: Vec<String> = cells.iter().map(|cell| cell.trim().to_owned()).collect();
            prop_assume!(cells.iter().all(|cell| !cell.is_empty()));
            let text = line(["a", "b"]) + &line(&cells);
            let rows = good(&text, &["a", "b"]);
            prop_assert_eq!(rows[0].text("a"), Ok(cells[0].as_str()));
            prop_assert_eq!(rows[0].text("b"), Ok(cells[1].as_str()));
        }
    }
}
