//! Each section of the prescription in one plain sentence, and the words that a line of fields is made of.

mod phrases;
pub mod say; // how the fields of one line are said
mod sentence;
pub mod short; // chosen words in short
#[cfg(test)]
mod tests;

pub use sentence::{NOTHING_YET, pattern_is_files, said_of, sentences};
