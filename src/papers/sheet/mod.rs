//! The words of the sheet: one prescription on the front and the back of one paper.
//!
//! Every filled field is taken out of one pool and put where a technician looks for it; what no band names is
//! printed all the same, as a compact line with the name that its form gives it. So a field that is added later
//! can stand in a poor place, and never be missing.

mod along;
mod back;
mod bench;
mod boxes;
mod content;
mod fields;
mod front;
mod moved;
mod second_lab;
mod sheet_of;
mod strip;
mod tables;
#[cfg(test)]
mod tests;
mod words;

pub use content::{
    BoxRow, ChangeEntry, Due, DueDay, Entry, Hands, House, List, OnDay, Sheet, SignedWords,
    StripCell, Top,
};
pub use second_lab::{SecondLabSheet, sheet_for_second_lab};
pub use sheet_of::{SheetOf, qr_address, sheet};
pub use words::{Run, Words};
