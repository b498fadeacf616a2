//! The usual values of one's own house: its sets, one of them with its versions and its form; and what the lab of a
//! case does unless told.

mod page;
mod set_form;
mod sets;

pub use page::{change, of_lab, set};
pub use sets::{make, new, sets};
