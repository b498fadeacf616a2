//! The lab's bench: which steps a piece of work asks, what was done at the bench, and what is next.

mod carried;
mod entries;
mod flasking;
mod measures;
mod mounting;
mod progress;
mod scan_words;
mod steps;
mod timers;

pub use carried::{ByRevision, CarriedWord, Unsaid};
pub use entries::{Assignment, BenchEntry, PAN_MOST, UsedLot, avoided_words, check_pan};
pub use flasking::cast_photographed;
pub use measures::{BenchMeasure, MeasuredValue, measures_of, prescribed, prescribed_numbers};
pub use mounting::Mounting;
pub use progress::{BenchLine, BenchProgress, BenchRound, progress};
pub use scan_words::{ScanWord, USED_MOST};
pub use steps::{BenchPiece, BenchStep};
pub use timers::{
    BenchTimer, SECONDS_MOST, TimedRun, TimerState, nth, seconds_of, span, timed_words,
    timer_state, timers_of,
};
