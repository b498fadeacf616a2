//! Vestibule: cases, lab prescriptions and custody between a dental office and a dental laboratory.
//!
//! The map, from the ground up. A room imports only from rooms above it in this list, never the other way.

pub mod domain; // pure rules: no clock, no chance, no database, no HTTP
pub mod papers; // words -> placed marks -> PDF, the same bytes every time
