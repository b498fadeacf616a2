//! The sheet: two pages for an ordinary prescription, in millimetres.
//!
//! The front is read from the top: may I touch it, when is it due, what is to be made, what comes first, which
//! numbers matter, and then the rest. Where texts are long the room for pencil gives first, then rows and gaps close
//! up, then large values wrap, then the arches are drawn at 85 %; what still has no room goes on on a further page,
//! and the list that it belongs to says so. Letters never become smaller, and nothing is left out.

mod back;
mod band;
mod bench;
mod days;
mod draw;
mod entry;
mod front;
mod measure;
mod pages;
mod rich;
#[cfg(test)]
mod tests;
mod top;

pub use pages::{lay_out_places, lay_out_sheet};
