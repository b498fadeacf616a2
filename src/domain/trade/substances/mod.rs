//! What the materials of the trade hold, and what a text names of them.
//!
//! Generic materials only: what a product holds stands in its maker's safety sheet, and even there not every
//! acrylate is named. Finding nothing here proves nothing.

mod excepted;
mod kept_from;
mod material;
mod naming;
mod negated;
mod reading;
mod substance;
#[cfg(test)]
mod tests;
mod warned;
mod words;

pub use excepted::without_exceptions;
pub use kept_from::{KeptFrom, holding_said, is_asked_about, is_white, metal_beyond};
pub use material::{Family, Holding, MaterialEntry, MaterialKind, TABLE, entry};
pub use negated::{denied_in, names_word};
pub use reading::{MaterialsNamed, mentions, not_to_be_used, read, read_prose};
pub use substance::{Excluded, Substance};
pub use warned::{Warned, warned_of};
pub use words::phrases;
