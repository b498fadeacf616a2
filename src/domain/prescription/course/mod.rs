//! What each kind of work asks of its form, as data: the place of each section, the fields that stand open,
//! the values it begins with.
//!
//! The tables are common practice, no source. A writer can open every section in every course.

mod asked;
mod places;
mod starting_set;

pub use asked::asks;
pub use places::{SectionPlace, place};
pub use starting_set::starting_set;
