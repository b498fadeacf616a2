//! The prescription: what the dentist orders, as typed fields in the order of the visit.
//!
//! Every field is one entry in `parts/`; form, reader, slip, differences and signed text all come from
//! that entry. Nothing here knows who the patient is, who signs or what day it is: those stand around
//! the prescription in the signed document.

mod avoided; // materials that are to be avoided
mod cautions;
mod changed_since; // what a reader of the next revision has to know
pub mod course; // what each kind of work asks
mod differences;
mod document;
pub mod draft; // two people in one draft
pub mod earlier_words; // the labels of texts signed before
pub(in crate::domain) mod parts;
mod print;
pub mod revision; // the signed text
#[cfg(any(test, feature = "samples"))]
#[expect(
    clippy::expect_used,
    clippy::indexing_slicing,
    reason = "made up for tests"
)]
pub mod samples;
pub mod sections; // the walk over the signed text
pub mod sentences; // each section in one sentence
mod signing;
pub mod sources; // where a value comes from
#[cfg(test)]
mod tests;
#[cfg(test)]
mod textbook_list;
pub mod usual; // what a house says once for all its work

pub use avoided::Avoided;
pub use cautions::cautions;
pub use changed_since::KIND_OF_WORK;
pub use differences::{Difference, compare};
pub use document::*;
pub use parts::*;
pub use print::{
    HEIGHT, HEIGHT_ORDER, LargeValue, PrintedLine, PrintedSection, PrintedTable, WANTED,
};
pub use signing::missing_for_signing;
