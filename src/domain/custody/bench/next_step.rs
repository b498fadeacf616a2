//! The step that comes next, as a list of the bench tells it: a reset by what the prescription says of it.

use super::steps::BenchStep;
use crate::domain::prescription::Prescription;
use crate::domain::trade::moved::by_fields;
use crate::domain::values::words_of;

words_of! {
    /// What a try-in is reset by.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
    pub enum ResetBy {
        #[default]
        Listed = "Reset the teeth as listed",
        /// No tooth is to move of its own: it is set to where another height puts it.
        Height = "Reset to the new height",
        Both = "Reset to the new height, and the teeth as listed",
        Unlisted = "Reset the teeth: the prescription lists no change",
    }
}

impl ResetBy {
    /// By the rows of the change list, and by what fields of their own move.
    pub fn of(rx: &Prescription) -> ResetBy {
        let is_bare = rx.pattern.changes.is_empty() && by_fields(rx).is_empty();
        match (rx.approval.refuses_height(), is_bare) {
            (false, false) => ResetBy::Listed,
            (true, true) => ResetBy::Height,
            (true, false) => ResetBy::Both,
            (false, true) => ResetBy::Unlisted,
        }
    }
}

impl BenchStep {
    /// The step as it is to be done, where a reset goes by this.
    pub const fn to_do_by(self, reset: ResetBy) -> &'static str {
        match self {
            BenchStep::Reset => reset.shown(),
            other => other.to_do(),
        }
    }
}

/// A step with what it is done by.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct NextStep {
    pub step: BenchStep,
    /// Of a reset; as it is by itself of all others.
    reset: ResetBy,
}

/// What stands between both words where they are stored.
const BY: char = ':';

impl NextStep {
    pub fn new(step: BenchStep, reset: ResetBy) -> NextStep {
        let reset = match step {
            BenchStep::Reset => reset,
            _ => ResetBy::default(),
        };
        NextStep { step, reset }
    }

    pub const fn to_do(self) -> &'static str {
        self.step.to_do_by(self.reset)
    }

    /// As it is stored: `cured`, `reset:height`.
    pub fn word(self) -> String {
        match self.reset {
            ResetBy::Listed => self.step.word().to_owned(),
            other => format!("{}{BY}{}", self.step.word(), other.word()),
        }
    }

    /// Reads the stored words.
    pub fn from_word(text: &str) -> Option<NextStep> {
        let (step, reset) = match text.split_once(BY) {
            Some((step, reset)) => (step, ResetBy::from_word(reset)?),
            None => (text, ResetBy::default()),
        };
        let read = NextStep::new(BenchStep::from_word(step)?, reset);
        (read.word() == text).then_some(read)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::form::YesNo;
    use crate::domain::prescription::{Change, PatternRule};
    use crate::domain::values::measure::Mm;

    #[test]
    fn a_list_says_what_a_reset_goes_by() {
        for (refused, changes, said) in [
            (false, 1, "Reset the teeth as listed"),
            (true, 0, "Reset to the new height"),
            (true, 2, "Reset to the new height, and the teeth as listed"),
            (
                false,
                0,
                "Reset the teeth: the prescription lists no change",
            ),
        ] {
            let mut rx = Prescription::default();
            rx.approval.height = Some(if refused { YesNo::No } else { YesNo::Yes });
            rx.pattern.changes = vec![Change::default(); changes];
            let next = NextStep::new(BenchStep::Reset, ResetBy::of(&rx));
            assert_eq!(next.to_do(), said);
            let other = NextStep::new(BenchStep::Mounted, ResetBy::of(&rx));
            assert_eq!(other.to_do(), BenchStep::Mounted.to_do());
        }
    }

    #[test]
    fn what_a_field_of_its_own_moves_is_a_change_that_a_reset_goes_by() {
        let mut rx = Prescription::default();
        rx.pattern.rule = Some(PatternRule::WithChanges);
        rx.anterior.midline_offset_mm = Some(Mm::from_hundredths(100));
        for (height, reset) in [(YesNo::Yes, ResetBy::Listed), (YesNo::No, ResetBy::Both)] {
            rx.approval.height = Some(height);
            assert_eq!(ResetBy::of(&rx), reset);
        }
        rx.anterior.midline_offset_mm = Some(Mm::from_hundredths(0));
        assert_eq!(ResetBy::of(&rx), ResetBy::Height);
    }

    #[test]
    fn what_is_stored_is_read_again_and_nothing_else() {
        for step in BenchStep::ALL {
            for reset in ResetBy::ALL {
                let next = NextStep::new(*step, *reset);
                assert_eq!(NextStep::from_word(&next.word()), Some(next));
            }
            // As earlier versions stored it.
            assert_eq!(
                NextStep::from_word(step.word()),
                Some(NextStep::new(*step, ResetBy::Listed))
            );
        }
        for other in [
            "",
            "reset:",
            "reset:listed",
            "cured:height",
            "no_step",
            "reset:height:both",
        ] {
            assert_eq!(NextStep::from_word(other), None, "{other}");
        }
    }
}
