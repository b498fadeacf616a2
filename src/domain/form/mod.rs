//! One engine for the fields of every form: what a field is called, how it is read, shown and kept.
//!
//! A list of fields makes the typed struct, its reader, its printer and its entry in the catalogue.

mod choice;
mod command;
mod field_type;
mod part;
mod proof;
mod secret;
mod shown;
mod spec;
mod when;

pub use choice::{YesNo, chosen};
pub(crate) use choice::{choice_field, choice_reading, choices};
pub use command::{FieldSet, Form, Slot, command, key_of, one_or_none, rows_with, slot};
pub use field_type::{FieldType, LongText, Text, Whole, check_line, check_readable, is_unreadable};
pub use part::{FilledField, FormPart, Reader, is_default, row_numbers, split_row_key};
pub(crate) use part::{part, required};
pub use proof::Proof;
pub use secret::Secret;
pub use shown::ShownVersion;
pub use spec::*;
pub use when::{Clock, Day, moments};
