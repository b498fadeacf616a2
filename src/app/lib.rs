//! What people do, as a crate of its own, which keeps its place in the tree: `crate::app::…`.

pub use vestibule_domain::domain;
pub use vestibule_papers::papers;
pub use vestibule_record::record;
pub use vestibule_store::store;

#[path = "mod.rs"]
pub mod app;
#[path = "../clock.rs"]
pub mod clock;
