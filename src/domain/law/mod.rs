//! What a local law asks for, as data with source and date. Local law itself decides.

pub mod profile; // what a prescription must contain
pub mod retention; // how long papers are kept
