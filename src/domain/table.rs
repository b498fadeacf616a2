//! Lists that a party loads as CSV: strict, with the number of the line in every complaint.
//!
//! A list is a heading and rows of as many cells. Cells may be quoted from their first character on; spaces around them go; numbers
//! have decimal points. What is not clear is refused as a whole, because a list with a silent hole in it
//! is worse than none.

use csv::{ReaderBuilder, StringRecord, Trim};

/// One row under its heading.
pub struct Row {
    heading: StringRecord,
    cells: StringRecord,
    line: u64,
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
            .ok_or_else(|| self.fault(&format!("there is no column {column}")))
    }

    /// The cell as a number.
    ///
    /// # Errors
    /// A sentence where it is empty, no number or not finite.
    pub fn number(&self, column: &str) -> Result<f64, String> {
        let text = self.text(column)?;
        let plain = text
            .bytes()
            .all(|byte| byte.is_ascii_digit() || b"+-.".contains(&byte));
        text.parse::<f64>()
            .ok()
            .filter(|value| plain && value.is_finite())
            .ok_or_else(|| {
                self.fault(&format!(
                    "{column} is {text:?}, and a number with a decimal point is wanted"
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

/// The rows of a list whose heading is exactly `columns`, in that order.
///
/// # Errors
/// A sentence for a wrong heading, a row of another length, broken quotes, or more than `most` rows.
pub fn rows(text: &str, columns: &[&str], most: usize) -> Result<Vec<Row>, String> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let text = text.replace("\r\n", "\n").replace('\r', "\n");
    let mut lines = Lines::of(&text);
    let mut reader = ReaderBuilder::new()
        .trim(Trim::All)
        .flexible(true)
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
        let line = lines.at(cells.position().map_or(0, csv::Position::byte));
        let row = Row {
            heading: heading.clone(),
            line,
            cells,
        };
        let found = row.cells.len();
        if found != columns.len() {
            let wanted = columns.len();
            return Err(row.fault(&format!("{found} cells, and the heading has {wanted}")));
        }
        if rows.len() == most {
            return Err(row.fault(&format!("the list has more than {most} rows")));
        }
        rows.push(row);
    }
    Ok(rows)
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

/// One line with quotes where they are needed.
pub fn line<T: AsRef<str>>(cells: impl IntoIterator<Item = T>) -> String {
    let quoted: Vec<String> = cells.into_iter().map(|cell| quote(cell.as_ref())).collect();
    format!("{}\n", quoted.join(","))
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

    #[test]
    fn cells_are_read_by_their_heading() {
        let rows = rows(
            "\u{feff}code, width\n\"A, 1\", 8.5 \r\nB,\n",
            &["code", "width"],
            9,
        )
        .expect("rows");
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
            let rows = rows(text, &["n"], 9).expect(text);
            let why = rows[rows.len() - 1].number("n").expect_err(text);
            assert!(why.starts_with(line), "{text:?}: {why}");
        }
    }

    #[test]
    fn numbers_have_one_spelling() {
        let heading = ["n"];
        for wrong in ["1e3", "NaN", "inf", "\"1,5\"", "0x1", "1 000", "--1", "."] {
            let rows = rows(&format!("n\n{wrong}\n"), &heading, 9).expect("rows");
            assert!(rows[0].number("n").is_err(), "{wrong}");
        }
    }

    #[test]
    fn a_list_that_is_too_long_is_refused() {
        assert!(rows("n\n1\n2\n", &["n"], 1).is_err());
    }

    proptest! {
        #[test]
        fn what_is_written_reads_back(cells in proptest::collection::vec("[a-z,\"\n.]{1,8}", 2)) {
            let cells: Vec<String> = cells.iter().map(|cell| cell.trim().to_owned()).collect();
            prop_assume!(cells.iter().all(|cell| !cell.is_empty()));
            let text = line(["a", "b"]) + &line(&cells);
            let rows = rows(&text, &["a", "b"], 9).expect("rows");
            prop_assert_eq!(rows[0].text("a"), Ok(cells[0].as_str()));
            prop_assert_eq!(rows[0].text("b"), Ok(cells[1].as_str()));
        }
    }
}
