//! The sections of the prescription, in files by what they are about.
//!
//! To add a field, add one line to its section. To add a choice, add one line to its list.

mod finish;
mod jaw;
mod order;
mod special;
mod stages;
mod teeth;
mod tissue;
mod transport;

pub use finish::*;
pub use jaw::*;
pub use order::*;
pub use special::*;
pub use stages::*;
pub use teeth::*;
pub use tissue::*;
pub use transport::*;
