//! The store, as a crate of its own, which keeps its place in the tree: `crate::store::…`.

pub use vestibule_domain::domain;
pub use vestibule_record::record;

#[path = "../files.rs"]
pub mod files;
#[path = "mod.rs"]
pub mod store;
