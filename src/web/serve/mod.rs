//! Listening: who may be connected at once and for how long, with which certificate.

mod answer;
mod crowd;
mod descriptors;
mod listen;
mod no_date;
mod watched;

pub use crowd::{Caps, Guest};
pub use descriptors::raise_descriptors;
pub use listen::{Listening, Tls, serve};
