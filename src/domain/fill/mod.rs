//! What of a draft nobody has to type: each value with where it comes from.
//!
//! The first that says something wins: what is typed, the record, the pattern, the kind of work, what was signed for
//! the patient before, the usual values of the office and those of the lab, the set that a course begins with, what
//! follows from other fields. Nothing of it is stored: a value that somebody wants otherwise
//! is typed over it, and one that is wanted empty is kept as a blank.

mod chairside; // what was done at the chair, as the change list sees it
mod disinfection; // an entry, read into its row
mod filling; // all layers, one after the other
mod jaws; // which of the treated jaws the work is for
mod kept; // what of a save is stored
mod known; // what is known beside the draft
mod layers; // values found so far, and where
mod record; // items and entries
mod register; // what is registered at once
mod stage; // the next kind of work in a signed case
#[cfg(test)]
mod tests;
mod things; // which thing goes along in which course
mod usual; // what the houses say once for all, and the case before
mod work; // the kind of work, the pattern, the starting set
mod worked_out; // what follows from other fields

pub use disinfection::last_disinfection;
pub use filling::{fill, proposals};
pub use kept::kept;
pub use known::{Beforehand, OnRecord};
pub use layers::Proposals;
pub use record::without_overtaken;
pub use register::{SetRow, made_set, set_to_register};
pub use stage::{COURSE, SignedFields, comes_again, course_in, next_round, turn_to_stage};
pub use usual::otherwise;
