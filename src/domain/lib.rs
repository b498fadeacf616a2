//! The rules, as a crate of their own. They keep their place in the tree, so that a path reads the same here as in the
//! rooms that build on them: `crate::domain::…`.

#[path = "mod.rs"]
pub mod domain;
