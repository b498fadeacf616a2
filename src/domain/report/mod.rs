//! How the work goes, by month: what a house reads of its own cases, counted and measured.

pub mod case_track; // what of one case is counted
pub mod control; // a chart of single values and their moving ranges
pub mod month; // a month of the calendar
pub mod proportion; // a share and how far it can be trusted
pub mod spread; // the middle of some values, and how far they lie apart
pub mod tally; // a month of many cases
#[cfg(test)]
mod tests;
