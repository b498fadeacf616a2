//! From words to placed marks: a small setter of lines, rows, tables and drawings over as many pages as it takes.
//!
//! Everything flows. A row that does not fit goes on over the next page, cell by cell; a word too long for its line
//! is broken. The running head alone shortens what it repeats, since page 1 has it in full.

pub mod blanks;
pub mod drawing;
pub mod flow;
pub mod frame;
pub mod grid;
pub mod qr;
pub mod record;
pub mod ribbon;
pub mod row;
pub mod sheet;
pub mod slip;
pub mod style;
pub mod table;
pub mod wrap;

pub use sheet::{lay_out_places, lay_out_sheet};
pub use slip::lay_out;
