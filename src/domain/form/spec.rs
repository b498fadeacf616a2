//! What a form, a slip and a reader need to know of a field: one entry each.

use crate::domain::values::figures;
use std::borrow::Cow;
use std::collections::BTreeMap;

/// Form key to text as typed. A draft stores this: nothing typed is lost, even what cannot be read.
pub type Raw = BTreeMap<String, String>;

/// Rows that one list may hold; more belong in an enclosed document, and a slip of that length is not
/// read at the bench.
pub const MOST_ROWS: usize = 40;

/// How a field is typed, and between which limits. Limits of measured numbers are in hundredths.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// One line, at most so many characters.
    Text {
        max: usize,
    },
    /// Several lines.
    LongText {
        max: usize,
    },
    Mm {
        min: i64,
        max: i64,
    },
    Degrees {
        min: i64,
        max: i64,
    },
    /// A decimal number without unit, such as a colour coordinate.
    Number {
        min: i64,
        max: i64,
    },
    Whole {
        min: i64,
        max: i64,
        unit: &'static str,
    },
    Date,
    Time,
    YesNo,
    /// Stored word and words shown.
    Choice(&'static [(&'static str, &'static str)]),
    Tooth,
    /// The tag of an item.
    Tag,
    /// The SHA-256 of a file.
    Hash,
    /// A box that is ticked or not.
    Tick,
    /// One line that may name somebody or be a product: a carrier, a maker, a disinfectant.
    Name {
        max: usize,
    },
    /// Several lines that say where somebody is to be found.
    Address {
        max: usize,
    },
    /// A list with its heading, pasted or from a file: taken as it stands, blanks and line ends too.
    Csv {
        bytes: usize,
    },
    /// The code of a patient.
    PatientCode,
    /// An earlier entry of the case.
    Entry,
    /// One of a list that is made when the form is shown: the labs, the profiles of law.
    Listed,
    /// A password: never shown again. `new` is one that is to be remembered.
    Secret {
        new: bool,
    },
    /// What the page itself sends along, such as the version that it shows.
    Hidden,
}

impl Kind {
    /// The unit printed behind the value; empty where there is none.
    pub const fn unit(&self) -> &'static str {
        match self {
            Kind::Mm { .. } => "mm",
            Kind::Degrees { .. } => "°",
            Kind::Whole { unit, .. } => unit,
            _ => "",
        }
    }

    /// What was typed, as this kind reads it: a number, a day, a time or a code in ASCII figures, whatever keyboard
    /// typed it; words, names, passwords and lists as they stand. The one place through which every form reads.
    pub fn as_read<'a>(&self, typed: &'a str) -> Cow<'a, str> {
        match self {
            Kind::Mm { .. }
            | Kind::Degrees { .. }
            | Kind::Number { .. }
            | Kind::Whole { .. }
            | Kind::Date
            | Kind::Time
            | Kind::Tooth
            | Kind::Tag
            | Kind::Hash
            | Kind::PatientCode => figures::plain(typed),
            Kind::Text { .. }
            | Kind::LongText { .. }
            | Kind::YesNo
            | Kind::Choice(_)
            | Kind::Tick
            | Kind::Name { .. }
            | Kind::Address { .. }
            | Kind::Csv { .. }
            | Kind::Entry
            | Kind::Listed
            | Kind::Secret { .. }
            | Kind::Hidden => typed.into(),
        }
    }
}

/// Shorthands for the lists of fields, with limits in whole units.
pub const fn text(max: usize) -> Kind {
    Kind::Text { max }
}
pub const fn long(max: usize) -> Kind {
    Kind::LongText { max }
}
pub const fn mm(min: i64, max: i64) -> Kind {
    Kind::Mm {
        min: min * 100,
        max: max * 100,
    }
}
pub const fn degrees(min: i64, max: i64) -> Kind {
    Kind::Degrees {
        min: min * 100,
        max: max * 100,
    }
}
pub const fn number(min: i64, max: i64) -> Kind {
    Kind::Number {
        min: min * 100,
        max: max * 100,
    }
}
pub const fn whole(min: i64, max: i64, unit: &'static str) -> Kind {
    Kind::Whole { min, max, unit }
}

/// One line that may name somebody.
pub const fn name(max: usize) -> Kind {
    Kind::Name { max }
}

/// A password, asked for.
pub const PASSWORD: Kind = Kind::Secret { new: false };
/// A password, chosen.
pub const NEW_PASSWORD: Kind = Kind::Secret { new: true };

/// One field.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct FieldSpec {
    /// The form key: `vertical.rest_mm`; in a list `changes.#.mm`, where `#` stands for the row.
    pub key: &'static str,
    pub label: &'static str,
    /// One sentence of help; may be empty.
    pub hint: &'static str,
    pub kind: Kind,
    pub required_for_signing: bool,
    /// What is said where a command needs it and nothing is typed; empty where it may stay empty.
    pub needed: &'static str,
}

impl FieldSpec {
    /// Whether people write words of their own into it.
    pub fn is_free_text(&self) -> bool {
        matches!(self.kind, Kind::Text { .. } | Kind::LongText { .. })
    }

    /// The form key in the given row; the key itself where the field is in no list.
    pub fn at(&self, row: Option<usize>) -> String {
        self.key_at(row).into_owned()
    }

    /// The same where it is only looked up.
    pub(super) fn key_at(&self, row: Option<usize>) -> Cow<'static, str> {
        match row {
            Some(row) => self.key.replacen('#', &row.to_string(), 1).into(),
            None => self.key.into(),
        }
    }
}

/// A list of rows within a section.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct GroupSpec {
    /// The first part of its keys: `changes`.
    pub key: &'static str,
    pub title: &'static str,
    pub intro: &'static str,
    pub fields: &'static [FieldSpec],
}

/// One section of the form and of the slip.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SectionSpec {
    pub key: &'static str,
    pub title: &'static str,
    pub intro: &'static str,
    pub fields: &'static [FieldSpec],
    pub groups: &'static [GroupSpec],
}
