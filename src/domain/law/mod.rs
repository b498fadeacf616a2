//! What a local law asks for, as data with source and date. Local law itself decides.

pub mod card; // what a signed text keeps of it
pub mod profile; // what a prescription must contain
pub mod retention; // how long papers are kept
