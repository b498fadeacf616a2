//! Handoffs: handing over, receiving, and taking back.

mod handoff_page;
mod receipt_form;
mod receive;
mod release;
mod take_back;

pub use receive::{receive, receive_form};
pub use release::{release, release_form};
pub use take_back::take_it_back;
