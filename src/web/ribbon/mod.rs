//! The ribbon on the case page: the geometry of `domain/custody/ribbon.rs` as a picture, and the same in a
//! table.
//!
//! One step of the geometry is one pixel. The names of the lanes are a picture of their own, so that they
//! stay in view while the ribbon is scrolled below them.

mod bars;
mod heights;
mod lines;
mod table;
mod times;
mod view;

pub use view::RibbonView;
