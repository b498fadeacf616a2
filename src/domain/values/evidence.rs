//! Where a number comes from, and how far it can be trusted.
//!
//! Computed values are hints. Each one travels with its source, so that screen and slip can say who
//! measured it, or that nobody did: common practice is called that, and geometry is no evidence about
//! mouths.

use std::fmt;
use std::ops::RangeInclusive;

/// How a statement is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Footing {
    /// The number stands in the named publication.
    Published,
    /// Quoted from memory of the named text; not looked up.
    FromMemory,
    /// Widely done, with no publication behind it.
    CommonPractice,
    /// Follows from the input by geometry or arithmetic.
    Computed,
}

/// A source, printed beside the number.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Source {
    pub name: &'static str,
    pub footing: Footing,
}

impl Source {
    pub const fn published(name: &'static str) -> Source {
        Source {
            name,
            footing: Footing::Published,
        }
    }
    pub const fn from_memory(name: &'static str) -> Source {
        Source {
            name,
            footing: Footing::FromMemory,
        }
    }
    pub const COMMON_PRACTICE: Source = Source {
        name: "",
        footing: Footing::CommonPractice,
    };
    /// True by the meaning of the words.
    pub const DEFINITION: Source = Source {
        name: "definition",
        footing: Footing::Computed,
    };
}

impl fmt::Display for Source {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.footing {
            Footing::Published | Footing::Computed => f.write_str(self.name),
            Footing::FromMemory => write!(f, "{}, from memory", self.name),
            Footing::CommonPractice => f.write_str("common practice, no source"),
        }
    }
}

/// A plain sentence and what stands behind it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Statement {
    pub sentence: String,
    pub source: Source,
}

impl Statement {
    pub fn new(sentence: impl Into<String>, source: Source) -> Statement {
        Statement {
            sentence: sentence.into(),
            source,
        }
    }
}

/// The value, if it is a number within the range (`unit` is that of all three).
///
/// # Errors
/// A sentence for the person who typed it, for a value that is no number, infinite or out of range.
pub fn within(
    what: &str,
    value: f64,
    range: RangeInclusive<f64>,
    unit: &str,
) -> Result<f64, String> {
    if !value.is_finite() {
        return Err(format!("{what} is not a number."));
    }
    if range.contains(&value) {
        return Ok(value);
    }
    let (least, most) = (range.start(), range.end());
    Err(format!(
        "{what} of {value} {unit} cannot be right: {least} to {most} {unit} is accepted. Check number and unit."
    ))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_source_says_how_it_is_known() {
        assert_eq!(Source::published("Hanau 1930").to_string(), "Hanau 1930");
        assert_eq!(
            Source::from_memory("Silverman").to_string(),
            "Silverman, from memory"
        );
        assert_eq!(
            Source::COMMON_PRACTICE.to_string(),
            "common practice, no source"
        );
    }

    #[test]
    fn what_is_no_number_is_refused_in_words() {
        for value in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
            assert_eq!(
                within("The opening", value, 0.0..=20.0, "mm"),
                Err("The opening is not a number.".into())
            );
        }
    }

    proptest! {
        #[test]
        fn only_values_within_the_range_pass(value in proptest::num::f64::ANY) {
            let passed = within("It", value, -1.0..=1.0, "mm").is_ok();
            prop_assert_eq!(passed, (-1.0..=1.0).contains(&value));
        }
    }
}
