//! What a second laboratory sees of a prescription: the part that the work passed on to it needs, and nothing else.

mod harm;
mod part;
mod parts;

pub use harm::tells_of_harm;
pub use part::{Along, Between, PassedPart, part_of};
pub use parts::{ALWAYS, can_be_added, parts_needed};
