//! Writing a prescription: one sheet of lines in the order of the visit, each opened in place, saved while one types.

mod autosave;
mod chart;
mod fields;
mod fitted;
mod jump;
mod lines;
mod page;
mod posted;
mod review;
mod rows;
mod save;
mod settled;
mod thinned;
mod weight;

pub use autosave::autosave;
pub use fields::{rows_of, view_of};
pub use jump::card_field;
pub use lines::{name_of as section_name, section_choices};
pub use page::{DRAWINGS, form};
pub use save::{choose_conflict, discard, save};
