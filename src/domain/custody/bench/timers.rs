//! Timers of the bench: what is timed at which step, how long is left, and what a run came to. How long something takes
//! is typed from the maker's sheet, and never proposed by the program itself.

use super::steps::BenchStep;
use crate::domain::form::{FieldSpec, Slot};
use crate::domain::values::arch::Arch;
use crate::domain::values::measure::Minutes;
use crate::domain::values::moment::Moment;
use crate::domain::values::words_of;
use serde::{Deserialize, Serialize};

words_of! {
    /// What is timed.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
    #[serde(rename_all = "snake_case")]
    pub enum BenchTimer {
        Mix = "mix",
        Set = "set",
        Pot = "pressure pot",
        Cure = "cure",
    }
}

use BenchStep as S;
use BenchTimer as T;

/// What is timed at each step. Common practice, no source.
const TIMED: &[(BenchTimer, &[BenchStep])] = &[
    (
        T::Mix,
        &[
            S::CastPoured,
            S::Matrix,
            S::TrayMade,
            S::Mounted,
            S::Flasked,
            S::Cured,
            S::Duplicated,
            S::Relined,
            S::Repaired,
            S::Remounted,
        ],
    ),
    (
        T::Set,
        &[
            S::CastPoured,
            S::Matrix,
            S::Mounted,
            S::Flasked,
            S::Duplicated,
            S::Relined,
            S::Repaired,
            S::Remounted,
        ],
    ),
    (T::Pot, &[S::Duplicated, S::Relined, S::Repaired]),
    (
        T::Cure,
        &[
            S::TrayMade,
            S::RimsMade,
            S::Cured,
            S::Milled,
            S::Duplicated,
            S::Relined,
            S::Repaired,
        ],
    ),
];

/// Seconds of a timer at most: two days.
const SECONDS_MOST: u32 = 2 * 24 * 60 * 60;

/// What is timed at a step, in the order in which it is done.
pub fn timers_of(step: BenchStep) -> impl Iterator<Item = BenchTimer> {
    let rows = TIMED.iter().filter(move |(_, steps)| steps.contains(&step));
    rows.map(|(timer, _)| *timer)
}

/// What is timed, as a button at its step says it: for the minutes that are typed, or for as long as last time.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct TimerButton {
    pub timer: BenchTimer,
    /// As long as last time.
    pub seconds: Option<u32>,
}

impl TimerButton {
    /// What is sent: `cure`, or `cure/5400`.
    pub fn word(self) -> String {
        let timer = self.timer.word();
        match self.seconds {
            None => timer.to_owned(),
            Some(seconds) => format!("{timer}/{seconds}"),
        }
    }

    /// Reads what is sent; of a time that none can be set to, only what is timed.
    pub fn from_word(text: &str) -> Option<TimerButton> {
        let (timer, seconds) = text.split_once('/').unwrap_or((text, ""));
        let seconds = seconds.parse::<u32>().ok();
        Some(TimerButton {
            timer: BenchTimer::from_word(timer)?,
            seconds: seconds.filter(|seconds| (1..=SECONDS_MOST).contains(seconds)),
        })
    }
}

/// Whoever sends nonsense has touched no button.
impl Slot for Option<TimerButton> {
    fn read(typed: &str, _: &FieldSpec) -> Result<Option<TimerButton>, String> {
        Ok(TimerButton::from_word(typed))
    }
}

/// Typed minutes as seconds: 0.75 is three quarters of one. None where no timer can be set to them.
pub fn seconds_of(minutes: Minutes) -> Option<u32> {
    let seconds = minutes.hundredths().saturating_mul(60) / 100;
    u32::try_from(seconds)
        .ok()
        .filter(|seconds| (1..=SECONDS_MOST).contains(seconds))
}

/// A run of a timer, in the entry of its step.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TimedRun {
    pub timer: BenchTimer,
    /// What was typed, in seconds.
    pub asked_s: u32,
    /// From the start to the stop, in seconds.
    pub took_s: u32,
    pub began: Moment,
    /// The one it was of, in an entry of both.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub arch: Option<Arch>,
}

impl TimedRun {
    /// "Cure 545 min, of 540 min"; "Cure, lower: 545 min, of 540 min" beside the upper's.
    fn words(&self, which: Option<usize>) -> String {
        let mut name = crate::domain::values::words::capitalised(self.timer.shown());
        let arch = self.arch.map(|arch| arch.shown().to_owned());
        let of: Vec<String> = arch.into_iter().chain(which.map(nth)).collect();
        if !of.is_empty() {
            name = format!("{name}, {}:", of.join(", "));
        }
        format!("{name} {}, of {}", span(self.took_s), span(self.asked_s))
    }

    fn is_alike(&self, other: &TimedRun) -> bool {
        (self.timer, self.arch) == (other.timer, other.arch)
    }
}

/// What timers came to, in the order in which they were started: two of one kind are told apart by their arch, or
/// counted.
pub fn timed_words(timed: &[TimedRun]) -> Vec<String> {
    let words = timed.iter().enumerate().map(|(place, run)| {
        let alike = || timed.iter().filter(|one| run.is_alike(one));
        let before = timed.iter().take(place).filter(|one| run.is_alike(one));
        run.words((alike().count() > 1).then(|| before.count()))
    });
    words.collect()
}

/// Which of several of one kind a timer is, counted from zero.
pub fn nth(place: usize) -> String {
    match place {
        0 => "first".to_owned(),
        1 => "second".to_owned(),
        2 => "third".to_owned(),
        place => format!("{}th", place + 1),
    }
}

/// "9 min", "9:30 min" below a quarter of an hour, whole minutes from there on.
pub fn span(seconds: u32) -> String {
    let (minutes, rest) = (seconds / 60, seconds % 60);
    match (minutes, rest) {
        (0, rest) => format!("{rest} s"),
        (minutes, 0) => format!("{minutes} min"),
        (..15, rest) => format!("{minutes}:{rest:02} min"),
        (minutes, _) => format!("{minutes} min"),
    }
}

/// How a timer stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TimerState {
    /// Seconds that are left.
    Runs(u32),
    /// Its time is over, by so many seconds.
    Rings(u32),
    /// It was stopped after so many seconds.
    Stopped(u32),
}

/// How a timer of so many seconds stands at a moment, by the server's clock alone. A clock that was set back lets none
/// have run for less than nothing.
pub fn timer_state(seconds: u32, began_ms: i64, stopped_ms: i64, now_ms: i64) -> TimerState {
    let ran = |until: i64| {
        let ran = until.saturating_sub(began_ms).max(0) / 1_000;
        u32::try_from(ran).unwrap_or(u32::MAX)
    };
    if stopped_ms > 0 {
        return TimerState::Stopped(ran(stopped_ms));
    }
    let ran = ran(now_ms);
    match seconds.checked_sub(ran) {
        Some(left @ 1..) => TimerState::Runs(left),
        _ => TimerState::Rings(ran - seconds),
    }
}

impl TimerState {
    /// "12 min left"
    pub fn words(self) -> String {
        match self {
            TimerState::Runs(left) if left >= 60 => format!("{} min left", left.div_ceil(60)),
            TimerState::Runs(left) => format!("{left} s left"),
            TimerState::Rings(over) if over < 60 => "Time is up".to_owned(),
            TimerState::Rings(over) => format!("Time is up, {} min ago", over / 60),
            TimerState::Stopped(took) => format!("Stopped after {}", span(took)),
        }
    }

    /// How long it has run, of so many seconds.
    pub fn ran(self, seconds: u32) -> u32 {
        match self {
            TimerState::Runs(left) => seconds.saturating_sub(left),
            TimerState::Rings(over) => seconds.saturating_add(over),
            TimerState::Stopped(took) => took,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn each_timer_has_its_steps_and_each_step_its_timers_in_order() {
        let rows: Vec<BenchTimer> = TIMED.iter().map(|(timer, _)| *timer).collect();
        assert_eq!(rows, BenchTimer::ALL);
        let of = |step| timers_of(step).collect::<Vec<_>>();
        assert_eq!(of(S::Relined), [T::Mix, T::Set, T::Pot, T::Cure]);
        assert_eq!(of(S::Flasked), [T::Mix, T::Set]);
        assert_eq!(of(S::Cured), [T::Mix, T::Cure]);
        assert_eq!(of(S::SetUp), []);
    }

    #[test]
    fn a_button_says_what_is_timed_and_for_how_long_it_was_last_time() {
        for (sent, read) in [
            ("cure", Some((T::Cure, None))),
            ("cure/5400", Some((T::Cure, Some(5_400)))),
            ("mix/0", Some((T::Mix, None))),
            ("mix/172801", Some((T::Mix, None))),
            ("mix/soon", Some((T::Mix, None))),
            ("boil/60", None),
            ("", None),
        ] {
            let button = TimerButton::from_word(sent);
            assert_eq!(button.map(|one| (one.timer, one.seconds)), read, "{sent}");
            let again = button.and_then(|one| TimerButton::from_word(&one.word()));
            assert_eq!(again, button, "{sent}");
        }
    }

    #[test]
    fn minutes_are_typed_and_nothing_else_is_taken() {
        for (typed, seconds) in [
            ("0.75", Some(45)),
            ("540", Some(32_400)),
            ("2880", Some(SECONDS_MOST)),
            ("0.02", Some(1)),
            ("0.01", None),
            ("0", None),
            ("-3", None),
            ("2881", None),
        ] {
            let read = seconds_of(Minutes::parse(typed).unwrap());
            assert_eq!(read, seconds, "{typed}");
        }
    }

    #[test]
    fn how_a_timer_stands_is_said_in_words() {
        let at = |now: i64| timer_state(600, 1_000, 0, 1_000 + now * 1_000).words();
        for (after, words) in [
            (0, "10 min left"),
            (1, "10 min left"),
            (540, "1 min left"),
            (541, "59 s left"),
            (599, "1 s left"),
            (600, "Time is up"),
            (659, "Time is up"),
            (660, "Time is up, 1 min ago"),
            (4_200, "Time is up, 60 min ago"),
            // The clock was set back.
            (-500, "10 min left"),
        ] {
            assert_eq!(at(after), words, "{after}");
        }
        let stopped = timer_state(600, 1_000, 571_000, 9_999_000);
        assert_eq!(stopped.words(), "Stopped after 9:30 min");
    }

    #[test]
    fn a_run_is_told_with_what_was_asked() {
        let run = TimedRun {
            timer: T::Pot,
            asked_s: 600,
            took_s: 1_260,
            began: Moment::new(0, 0),
            arch: None,
        };
        let lower = TimedRun {
            arch: Some(Arch::Lower),
            ..run.clone()
        };
        let mix = TimedRun {
            timer: T::Mix,
            ..run.clone()
        };
        let words = |timed: &[&TimedRun]| {
            let timed: Vec<TimedRun> = timed.iter().map(|one| (*one).clone()).collect();
            timed_words(&timed)
        };
        let one = "Pressure pot 21 min, of 10 min";
        let of_lower = "Pressure pot, lower: 21 min, of 10 min";
        assert_eq!(words(&[&run]), [one]);
        assert_eq!(
            words(&[&run, &lower, &mix]),
            [one, of_lower, "Mix 21 min, of 10 min"]
        );
        // Two of one kind for one arch are counted: nobody could tell which was which.
        let first = "Pressure pot, lower, first: 21 min, of 10 min";
        let second = "Pressure pot, lower, second: 21 min, of 10 min";
        assert_eq!(words(&[&lower, &run, &lower]), [first, one, second]);
        let fourth = "Pressure pot, 4th: 21 min, of 10 min";
        assert_eq!(
            words(&[&run, &run, &run, &run]).pop().as_deref(),
            Some(fourth)
        );
        for (seconds, words) in [(0, "0 s"), (59, "59 s"), (90, "1:30 min"), (905, "15 min")] {
            assert_eq!(span(seconds), words);
        }
    }

    proptest! {
        #[test]
        fn what_ran_and_what_is_left_come_to_what_was_typed(
            seconds in 1..=SECONDS_MOST, began in 0i64..2_000_000_000_000, after in 0i64..400_000,
        ) {
            let state = timer_state(seconds, began, 0, began + after * 1_000);
            prop_assert_eq!(i64::from(state.ran(seconds)), after);
            let rings = matches!(state, TimerState::Rings(_));
            prop_assert_eq!(rings, after >= i64::from(seconds));
            // Stopped then, it stays so whatever the clock says later.
            let stop = began + after * 1_000;
            prop_assume!(stop > 0);
            let stopped = timer_state(seconds, began, stop, stop + 77_000);
            prop_assert_eq!(stopped, timer_state(seconds, began, stop, 0));
            prop_assert_eq!(i64::from(stopped.ran(seconds)), after);
        }
    }
}
