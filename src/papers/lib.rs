//! The papers, as a crate of their own, which keep their place in the tree: `crate::papers::…`.

pub use vestibule_domain::domain;
pub use vestibule_record::record;

#[path = "mod.rs"]
pub mod papers;
