//! The lab's bench: which steps a piece of work asks, what was done at the bench, and what is next.

mod entries;
mod measures;
mod progress;
mod steps;

pub use entries::{Assignment, BenchEntry, PAN_MOST, UsedLot, check_pan};
pub use measures::{BenchMeasure, MeasuredValue, measures_of, prescribed};
pub use progress::{BenchLine, BenchProgress, progress};
pub use steps::{BenchPiece, BenchStep};
