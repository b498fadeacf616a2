//! The rules of the trade as values and functions: same input, same answer.
//!
//! Nothing in here reads a clock, draws a random number or knows a database. Whoever calls it brings
//! the moment, the identity and the stored facts along.

pub mod arch; // upper and lower
pub mod fault; // a message beside a field
pub mod ids;
pub mod measure; // millimetres and degrees, exact
pub mod moment;
pub mod party;
pub mod prescription; // what is ordered
pub mod tooth; // tooth numbers and their names
