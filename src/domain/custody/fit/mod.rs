//! What comes back against what was asked: the prescribed values that can be looked at on finished work, how far off
//! each may be, and what both houses have found.

mod entries;
mod lines;
mod values;

pub use entries::{
    FitEntry, FitFound, FitVerdict, READINGS_MOST, fit_counts, found_otherwise, newest_fit,
    newest_found,
};
pub use lines::{FitLine, fit_lines};
pub use values::{FitPart, FitValue};
