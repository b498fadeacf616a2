//! The rules of the trade as values and functions: same input, same answer.
//!
//! Nothing in here reads a clock, draws a random number or knows a database. Whoever calls it brings
//! the moment, the identity and the stored facts along.

pub mod ids;
pub mod moment;
pub mod party;
