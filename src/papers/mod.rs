//! Papers: words in, pages of placed marks, a PDF file out.
//!
//! `content` holds everything a slip says and nothing of how it looks. `layout` turns it into pages of marks placed
//! in millimetres, which are plain data and can be looked at by a test. `pdf` alone knows the file format, with
//! `operators`, which writes what a page draws.
//! Nothing here reads a clock or draws a random number: the same words give the same file, byte for byte.

pub mod bench_card;
pub mod case_paper;
pub mod content;
pub mod copy_mark;
pub mod custody_sheet;
pub mod day_list;
pub mod key_sheet;
pub mod label_sheet;
pub mod layout;
pub mod operators;
pub mod outside_label;
pub mod page;
pub mod parcel_note;
pub mod pdf;
pub mod picture_paper;
pub mod record_mark;
pub mod samples;
pub mod sheet;
pub mod sheet_samples;
pub mod slip_of;
pub mod spare_card;
pub mod svg;
pub mod typeface;

pub use copy_mark::{marked, marked_in_vain};
pub use layout::{lay_out, lay_out_places, lay_out_sheet};
pub use page::{Mark, Page};
pub use pdf::{LANGUAGE, Meta, PaperError, write};
