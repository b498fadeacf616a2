//! The lab's bench: which steps a piece of work asks, what was done at the bench, and what is next.

mod asked_about;
mod assigning; // pan and technician
mod carried;
mod entries;
mod flasking;
mod instructions;
mod left_out;
mod measures;
mod mounting;
mod next_step;
mod progress;
mod scan_words;
mod steps;
mod timers;

pub use asked_about::asked_about;
pub use assigning::{can_be_given, can_stand_in};
pub use carried::{ByRevision, CarriedWord, Unsaid};
pub use entries::{Assignment, BenchEntry, PAN_MOST, UsedLot, avoided_words};
pub use flasking::cast_photographed;
pub use instructions::{Instruction, instructions};
pub use left_out::left_out;
pub use measures::{
    BenchMeasure, MeasuredValue, is_measured_in, measures_of, prescribed, prescribed_numbers,
};
pub use mounting::{MountedPart, Mounting};
pub use next_step::{NextStep, ResetBy};
pub use progress::{BenchLine, BenchProgress, BenchRound, progress};
pub use scan_words::{ScanWord, USED_MOST};
pub use steps::{BenchPiece, BenchStep};
pub use timers::{
    BenchTimer, TimedRun, TimerButton, TimerState, nth, seconds_of, span, timed_words, timer_state,
    timers_of,
};
