//! Vestibule: cases, lab prescriptions and custody between a dental office and a dental laboratory.
//!
//! The map, from the ground up. A room imports only from rooms above it in this list, never the other way.

pub mod cli; // what may stand on the command line
pub mod keyring; // the record's key on the disk
pub mod program; // does what the command line asks: opens, serves, checks, copies
pub mod web; // HTTP: routes, pages, errors

// Crates of their own, built beside the large dependencies and each other.
pub use vestibule_app::{app, clock}; // what people do: one file, one action, one transaction; time, chance and identity
pub use vestibule_domain::domain; // pure rules: no clock, no chance, no database, no HTTP
pub use vestibule_papers::papers; // words -> placed marks -> PDF
pub use vestibule_record::record; // the tree that neither side can rewrite, and its proofs; as pure as domain
pub use vestibule_store::{files, store}; // the only room that names sqlx; files that have to be ordinary ones, and still in place
