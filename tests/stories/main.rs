//! Stories of people at work, told through the pages of the whole application: what is refused outnumbers
//! what is accepted.

#![expect(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a story falls over where it is not true"
)]

#[path = "../common/mod.rs"]
mod common;
mod scene;

mod access;
mod bad_requests;
mod careless;
mod custody;
mod lab;
mod patients;
mod prescription;
mod record;
mod samples;
mod tags;
mod way_in;
