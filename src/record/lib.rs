//! The record, as a crate of its own, which keeps its place in the tree: `crate::record::…`.

pub use vestibule_domain::domain;

#[path = "mod.rs"]
pub mod record;
