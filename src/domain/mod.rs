//! The rules of the trade as values and functions: same input, same answer.
//!
//! Nothing in here reads a clock, draws a random number or knows a database. Whoever calls it brings
//! the moment, the identity and the stored facts along. A room names only files that do not name it.

pub mod custody; // what happened to each item, and what may happen
pub mod fill; // what of a draft nobody has to type
pub mod form; // one engine for the fields of every form
pub mod law; // what a law wants on a prescription, and how long papers are kept
pub mod mesh; // scans as files, read and written again
pub mod people; // offices, labs, accounts, roles, patients by code
pub mod prescription; // what is ordered, as drafted and as signed
pub mod report; // how the work goes, by month
pub mod review; // what the lab would have to ask about
pub mod second_lab; // what goes along with work passed on
pub mod trade; // the formulas, each with its source
pub mod values; // codes, measures, moments, teeth
