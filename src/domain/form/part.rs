//! One list of fields makes the typed struct, its catalogue entry, its reader and its printer.
//!
//! `part!` is given a section (or the row of a list) with its fields: type, kind, label, hint. From
//! that it writes the struct for canonical JSON and its [`FormPart`]. A field added to the list is at
//! once in the form, in the reader, on the slip, in the differences and in the signed text.

use super::field_type::FieldType;
use super::spec::{FieldSpec, GroupSpec, MOST_ROWS, Raw};
use crate::domain::values::fault::Fault;
use crate::domain::values::tooth::Numbering;
use std::collections::BTreeSet;
use std::ops::Bound;

/// A section, or the row of a list.
pub trait FormPart: Sized {
    const TITLE: &'static str;
    const INTRO: &'static str;
    const FIELDS: &'static [FieldSpec];
    const GROUPS: &'static [GroupSpec];
    fn read(reader: &mut Reader<'_>, row: Option<usize>) -> Self;
    fn cells(&self, row: Option<usize>, numbering: Numbering, cells: &mut Vec<FilledField>);
}

/// A filled field on its way to paper, form or comparison.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FilledField {
    pub spec: &'static FieldSpec,
    pub row: Option<usize>,
    pub raw: String,
    pub shown: String,
}

impl FilledField {
    pub fn key(&self) -> String {
        self.spec.at(self.row)
    }
}

/// Reads typed fields, and collects what is wrong instead of stopping at it.
pub struct Reader<'a> {
    raw: &'a Raw,
    numbering: Numbering,
    pub faults: Vec<Fault>,
}

impl<'a> Reader<'a> {
    pub fn new(raw: &'a Raw, numbering: Numbering) -> Reader<'a> {
        Reader {
            raw,
            numbering,
            faults: Vec::new(),
        }
    }

    /// The value of one field: `None` where nothing was typed or where it cannot be read.
    pub fn field<T: FieldType>(
        &mut self,
        spec: Option<&'static FieldSpec>,
        row: Option<usize>,
    ) -> Option<T> {
        let spec = spec?;
        let key = spec.key_at(row);
        let text = self.raw.get(key.as_ref());
        let text = text.filter(|text| !text.trim().is_empty())?;
        match T::parse(&spec.kind.as_read(text), spec, self.numbering) {
            Ok(value) => Some(value),
            Err(message) => {
                self.faults.push(Fault::new(key.into_owned(), message));
                None
            }
        }
    }

    /// The rows of a list, found from the keys. Rows of which nothing can be read vanish.
    pub fn rows<R: FormPart + Default + PartialEq>(&mut self, group: &str) -> Vec<R> {
        let numbers = row_numbers(self.raw, group);
        if numbers.len() > MOST_ROWS {
            let found = numbers.len();
            let message = format!(
                "This list takes {MOST_ROWS} rows, and {found} are filled. Put the rest into an enclosed document."
            );
            self.faults.push(Fault::new(group, message));
        }
        let rows = numbers
            .into_iter()
            .take(MOST_ROWS)
            .map(|row| R::read(self, Some(row)));
        let empty = R::default();
        rows.filter(|row| *row != empty).collect()
    }
}

/// The numbers of the rows in which something was typed, in order.
pub fn row_numbers(raw: &Raw, group: &str) -> BTreeSet<usize> {
    let first = format!("{group}.");
    raw.range::<str, _>((Bound::Included(first.as_str()), Bound::Unbounded))
        .take_while(|(key, _)| key.starts_with(&first))
        .filter(|(_, text)| !text.trim().is_empty())
        .filter_map(|(key, _)| split_row_key(key))
        .map(|(_, row, _)| row)
        .collect()
}

/// `changes.3.mm` as list, row and field. A number with leading zeros or a sign is no row: one row
/// has one spelling.
pub fn split_row_key(key: &str) -> Option<(&str, usize, &str)> {
    let (group, rest) = key.split_once('.')?;
    let (row, field) = rest.split_once('.')?;
    let is_one_spelling = row == "0" || row.starts_with(|first: char| matches!(first, '1'..='9'));
    let number = row.parse().ok().filter(|_| is_one_spelling)?;
    Some((group, number, field))
}

/// What an absent part of the document looks like: it is not written, so that a field added later
/// leaves the canonical text of older documents as it is.
pub fn is_default<T: Default + PartialEq>(value: &T) -> bool {
    *value == T::default()
}

macro_rules! part {
    (
        $(#[$doc:meta])*
        $name:ident at $prefix:literal, $title:literal, $intro:literal;
        $($field:ident: $type:ty = $kind:expr, $label:literal, $hint:expr $(, $required:ident)?;)*
        $([$group:ident: $row:ty])*
    ) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Default, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
        #[serde(deny_unknown_fields)]
        pub struct $name {
            $(
                #[doc = $label]
                #[serde(default, skip_serializing_if = "Option::is_none")]
                pub $field: Option<$type>,
            )*
            $(
                #[serde(default, skip_serializing_if = "Vec::is_empty")]
                pub $group: Vec<$row>,
            )*
        }

        impl $crate::domain::form::FormPart for $name {
            const TITLE: &'static str = $title;
            const INTRO: &'static str = $intro;
            const FIELDS: &'static [$crate::domain::form::FieldSpec] = &[
                $($crate::domain::form::FieldSpec {
                    key: concat!($prefix, ".", stringify!($field)),
                    label: $label,
                    hint: $hint,
                    kind: $kind,
                    required_for_signing: $crate::domain::form::required!($($required)?),
                    needed: "",
                },)*
            ];
            const GROUPS: &'static [$crate::domain::form::GroupSpec] = &[
                $($crate::domain::form::GroupSpec {
                    key: stringify!($group),
                    title: <$row as $crate::domain::form::FormPart>::TITLE,
                    intro: <$row as $crate::domain::form::FormPart>::INTRO,
                    fields: <$row as $crate::domain::form::FormPart>::FIELDS,
                },)*
            ];

            fn read(
                reader: &mut $crate::domain::form::Reader<'_>,
                row: Option<usize>,
            ) -> Self {
                // Fields are read in the order of the list, each with its own entry.
                let mut specs = Self::FIELDS.iter();
                $(let $field = reader.field(specs.next(), row);)*
                $(let $group = reader.rows::<$row>(stringify!($group));)*
                $name { $($field,)* $($group,)* }
            }

            fn cells(
                &self,
                row: Option<usize>,
                numbering: $crate::domain::values::tooth::Numbering,
                cells: &mut Vec<$crate::domain::form::FilledField>,
            ) {
                use $crate::domain::form::FieldType as _;
                let mut specs = Self::FIELDS.iter();
                $(
                    if let (Some(spec), Some(value)) = (specs.next(), &self.$field) {
                        cells.push($crate::domain::form::FilledField {
                            spec,
                            row,
                            raw: value.raw(numbering),
                            shown: value.show(spec, numbering),
                        });
                    }
                )*
                $(
                    for (number, part) in self.$group.iter().enumerate() {
                        $crate::domain::form::FormPart::cells(part, Some(number), numbering, cells);
                    }
                )*
            }
        }
    };
}

/// `required` in a field's entry.
macro_rules! required {
    () => {
        false
    };
    (required) => {
        true
    };
}

pub(crate) use part;
pub(crate) use required;
