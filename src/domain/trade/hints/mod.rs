//! What follows from the numbers written so far: hints beside the form, each with its source.
//!
//! Only filled fields are used, and nothing is written back: the dentist decides. A value that
//! the rules refuse becomes a sentence instead of a number. Where a quantity was not measured, a named
//! average stands in for it, and the note says so.

mod days;
mod duplicate;
mod jaws;
mod list;
mod moulds;
mod shades;
mod teeth;
#[cfg(test)]
mod tests;

use super::lists::Lists;
use crate::domain::prescription::Prescription;
use crate::domain::values::measure::tenths;
use std::fmt;
use time::Date;

/// One number, or where none can be given, the reason.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Number {
    /// Key of the section it stands beside.
    pub section: &'static str,
    pub label: String,
    /// Empty where nothing could be calculated; the note says why.
    pub value: String,
    pub unit: &'static str,
    /// What is usual; empty where nothing is known to be.
    pub range: String,
    /// A plain sentence, with what is doubtful.
    pub note: String,
    pub source: String,
}

impl Number {
    fn new(
        section: &'static str,
        label: impl Into<String>,
        value: impl Into<String>,
        unit: &'static str,
    ) -> Number {
        Number {
            section,
            label: label.into(),
            value: value.into(),
            unit,
            range: String::new(),
            note: String::new(),
            source: String::new(),
        }
    }

    /// Nothing can be calculated, and why.
    fn none(section: &'static str, label: impl Into<String>, why: impl Into<String>) -> Number {
        Number::new(section, label, "", "").note(why)
    }

    fn range(mut self, range: impl Into<String>) -> Number {
        self.range = range.into();
        self
    }

    /// Adds a sentence.
    fn note(mut self, note: impl Into<String>) -> Number {
        self.note = format!("{} {}", self.note, note.into()).trim().to_owned();
        self
    }

    /// Adds a source, once.
    fn source(mut self, source: impl fmt::Display) -> Number {
        let source = source.to_string();
        if self.source.is_empty() {
            self.source = source;
        } else if !self.source.contains(&source) {
            self.source = format!("{}; {source}", self.source);
        }
        self
    }
}

/// A number where it can be calculated, else its reason.
fn or_why(section: &'static str, label: &str, computed: Result<Number, String>) -> Number {
    computed.unwrap_or_else(|why| Number::none(section, label, why))
}

/// `1.1 to 1.5`, or one number where both ends are shown alike.
fn span(values: &[f64]) -> String {
    let least = tenths(values.iter().copied().fold(f64::INFINITY, f64::min));
    let most = tenths(values.iter().copied().fold(f64::NEG_INFINITY, f64::max));
    match (values, least == most) {
        ([], _) => String::new(),
        (_, true) => least,
        (_, false) => format!("{least} to {most}"),
    }
}

/// Every number that the filled fields give, section by section in the order of the form. `today` stands
/// in where no day of sending is written; `lists` are those of the case's lab and office.
pub fn compute(document: &Prescription, today: Date, lists: &Lists) -> Vec<Number> {
    let mut numbers = Vec::new();
    list::add(document, &mut numbers);
    duplicate::add(document, &mut numbers);
    jaws::add(document, &mut numbers);
    teeth::add(document, &mut numbers);
    if let Some(moulds) = &lists.moulds {
        moulds::add(document, moulds, &mut numbers);
    }
    shades::add(document, lists, &mut numbers);
    days::add(document, today, lists, &mut numbers);
    numbers
}
