//! Runs of words: plain or strong, the same as in the revision before or changed.

use crate::domain::values::moment::Moment;
pub use crate::papers::typeface::FIRM;
use crate::papers::typeface::legible;
use time::Date;

/// Words of one weight.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Run {
    pub text: String,
    pub strong: bool,
    /// Not so in the revision before: underlined, with a bar in the margin.
    pub changed: bool,
    /// The key of the field that it says; empty for words of the sheet itself.
    pub about: &'static str,
    /// The row, of a field of a list.
    pub row: Option<usize>,
}

/// Words that are set as one text.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Words {
    pub runs: Vec<Run>,
}

impl Words {
    pub fn plain(text: impl Into<String>) -> Words {
        Words::default().and(text)
    }

    pub fn strong(text: impl Into<String>) -> Words {
        Words::default().and_strong(text)
    }

    /// The words with these behind them.
    pub fn and(mut self, text: impl Into<String>) -> Words {
        self.push(Run {
            text: text.into(),
            ..Run::default()
        });
        self
    }

    /// The words with these behind them, in bold.
    pub fn and_strong(mut self, text: impl Into<String>) -> Words {
        self.push(Run {
            text: text.into(),
            strong: true,
            ..Run::default()
        });
        self
    }

    pub fn push(&mut self, run: Run) {
        if !run.text.is_empty() {
            self.runs.push(run);
        }
    }

    /// Puts other words behind these, with something between the two.
    pub fn join(&mut self, between: &str, other: Words) {
        if other.is_empty() {
            return;
        }
        if !self.is_empty() {
            self.push(Run {
                text: between.to_owned(),
                ..Run::default()
            });
        }
        self.runs.extend(other.runs);
    }

    /// The same words, all of them marked as changed or not.
    pub fn marked(mut self, changed: bool) -> Words {
        self.runs.iter_mut().for_each(|run| run.changed = changed);
        self
    }

    /// The same words, which say this field where they say none yet: it prints nothing, and can be touched.
    pub fn about(mut self, key: &'static str, row: Option<usize>) -> Words {
        for run in self.runs.iter_mut().filter(|run| run.about.is_empty()) {
            (run.about, run.row) = (key, row);
        }
        self
    }

    /// The first field that they say, with its row; of words of the sheet itself an empty key.
    pub fn first_about(&self) -> (&'static str, Option<usize>) {
        let said = self.runs.iter().find(|run| !run.about.is_empty());
        said.map_or(("", None), |run| (run.about, run.row))
    }

    /// Leaves out the year of dates in it: another date beside them has it.
    pub fn without_year(&mut self, year: i32) {
        let year = format!("{FIRM}{year}");
        for run in &mut self.runs {
            run.text = run.text.replace(&year, "");
        }
    }

    pub fn is_empty(&self) -> bool {
        self.runs.is_empty()
    }

    /// The text alone.
    pub fn text(&self) -> String {
        self.runs.iter().map(|run| run.text.as_str()).collect()
    }
}

/// A typed text as it is printed in a line: each of its own line ends is a raised dot.
pub fn in_line(text: &str) -> String {
    let shown = legible(text);
    let lines = shown.lines().map(str::trim).filter(|line| !line.is_empty());
    lines.collect::<Vec<_>>().join(" · ")
}

/// `Thu 12 Nov 2026`, in one piece.
pub fn day(date: Date) -> String {
    format!("{}{FIRM}{}", day_of_year(date), date.year())
}

/// `Thu 12 Nov`, in one piece.
pub fn day_of_year(date: Date) -> String {
    let (weekday, month) = (date.weekday().to_string(), date.month().to_string());
    let short = |name: &str| name.chars().take(3).collect::<String>();
    format!(
        "{}{FIRM}{}{FIRM}{}",
        short(&weekday),
        date.day(),
        short(&month)
    )
}

/// `Thu 12 Nov 2026 14:05 +01:00`
pub fn moment(at: Moment) -> String {
    let whole = at.to_string();
    let rest = whole.strip_prefix(&at.day()).unwrap_or_default();
    let rest = rest.trim().replace(' ', &FIRM.to_string());
    format!("{} {rest}", day(at.date()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use time::macros::date;

    #[test]
    fn a_day_has_its_weekday_and_stays_on_one_line() {
        // 12 November 2026 is a Thursday (computed here and on paper with the doomsday rule).
        assert_eq!(
            day(date!(2026 - 11 - 12)).replace(FIRM, " "),
            "Thu 12 Nov 2026"
        );
        assert!(!day(date!(2026 - 11 - 12)).contains(' '));
    }

    #[test]
    fn a_moment_keeps_its_offset() {
        let shown = moment(Moment::new(1_772_442_000_000, 60)).replace(FIRM, " ");
        assert_eq!(shown, "Mon 2 Mar 2026 10:00 +01:00");
    }

    #[test]
    fn typed_lines_stay_apart() {
        assert_eq!(in_line("one\n\n two \r\nthree"), "one · two · three");
    }
}
