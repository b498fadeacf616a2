//! Profiles of local law: what each wants on a prescription, and which of them the two sides have chosen.

mod chosen;
mod text;

pub use chosen::{CaseLaw, Chosen, Profiles, cited, names};
pub use text::*;
