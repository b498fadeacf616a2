//! Plain values that all other rooms speak of.

pub mod arch; // upper and lower
pub mod digest; // SHA-256 as text
pub mod evidence; // where a number comes from
pub mod fault; // a message beside a field
pub mod figures; // decimal figures of every script, as ASCII
pub mod icalendar; // days as a file for calendars
pub mod ids; // codes with check characters
pub mod measure; // millimetres and degrees, exact
pub mod moment; // a moment with its offset
pub mod spelled; // words that were spelled otherwise once
pub mod table; // lists that parties load as CSV
pub mod tooth; // tooth numbers and their names
pub mod words;

pub use words::words_of;
