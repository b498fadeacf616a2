//! Handoffs: handing over, the carrier's pick-up, receiving, and taking back.

mod answer;
mod arrived;
mod handoff_page;
mod pick_up;
mod receipt_form;
mod receive;
mod release;
mod release_rows;
mod take_back;

pub use arrived::arrived;
pub use pick_up::pick_it_up;
pub use receive::{receive, receive_form};
pub use release::{release, release_form};
pub use take_back::take_it_back;
