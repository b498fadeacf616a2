//! Who takes part, and what may be known of a patient.

pub mod access; // who may do what
pub mod account; // accounts and passwords
pub mod bench_code; // the short code of the bench
pub mod card_facts; // what a signed text says of the patient
pub mod party; // offices, labs, roles
pub mod patient; // what the lab must know of a patient, without who it is
pub mod privacy; // what in a text points at a person
