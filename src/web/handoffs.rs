//! Handoffs: handing over, receiving, and taking back.

mod receive;
mod release;

pub use receive::{receive, receive_form, take_it_back};
pub use release::{release, release_form};
