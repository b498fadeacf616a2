//! The record itself: how far it has come, who keeps it, alarms, and the proofs to take away. The page works
//! without scripts; `static/witness.js` compares and cosigns by itself.

mod page;
mod proofs;
mod qr;
mod views;
mod witness;

pub use page::{clear_alarms, growth, page, trust_clock};
pub use proofs::{bundle, checkpoint, entry, proof};
pub use witness::{alarm, cosign};
