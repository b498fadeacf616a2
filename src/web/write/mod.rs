//! Writing a prescription: one long form in the order of the visit, saved while one types.

mod autosave;
mod fields;
mod page;
mod posted;
mod review;
mod save;

pub use autosave::autosave;
pub use fields::{rows_of, view_of};
pub use page::form;
pub use save::{choose_conflict, discard, save};
