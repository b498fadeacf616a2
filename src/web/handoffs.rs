//! Handoffs: handing over, the carrier's pick-up, receiving, and taking back.

mod arrived;
mod handoff_page;
mod receipt_form;
mod receive;
mod release;
mod release_rows;

pub use arrived::arrived;
pub use receive::{pick_it_up, receive, receive_form, take_it_back};
pub use release::{release, release_form};
