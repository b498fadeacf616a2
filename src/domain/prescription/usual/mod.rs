//! Usual values: what an office or a laboratory says once for all its work, as named sets with versions.

mod changes; // what a new version changed
mod holds; // which fields a set may hold, and why not the others
mod of_patient; // what the last case of the same patient says to this one
mod set; // a set, as it is typed and stored

pub use changes::{SetChange, changes, values_of};
pub use holds::{held_by, may_hold, usual_needs, why_not_usual};
pub use of_patient::{CARRIED, CaseBefore, Otherwise};
pub use set::{InUse, NAME_MOST, UsualSet};
