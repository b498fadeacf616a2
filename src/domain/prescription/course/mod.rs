//! What each kind of work asks of its form, as data: the place of each section, the fields that stand open,
//! the values it begins with.
//!
//! The tables are common practice, no source. A writer can open every section in every course.

mod as_pattern;
mod asked;
mod by_course;
mod marks;
mod places;
mod starting_set;

pub use as_pattern::as_pattern;
pub use asked::{
    Caller, asks, asks_now, asks_of, called_by, follows_from_asked, is_half_said, is_of_row,
};
pub use by_course::{PieceOf, by_course, piece_of};
pub use places::{SectionPlace, place};
pub use starting_set::{Needs, needs, starting_set};
