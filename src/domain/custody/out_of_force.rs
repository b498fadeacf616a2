//! Why nobody works from a copy of a revision any more: a newer one is in force, or the work stands still.

use super::standstill::{Halt, Standstill};
use crate::domain::values::moment::{Moment, whole_day};

/// What stands against working from a revision. The same standing gives the same words: no clock is asked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OutOfForce {
    /// The revision in force, where that is a newer one, and when it was signed.
    pub newer: Option<(i64, Moment)>,
    /// How the work of its case stands still, and since when.
    pub halt: Option<(Halt, Moment)>,
}

impl OutOfForce {
    /// What stands against the revision of this number; none where it is in force and the work goes on.
    pub fn of(
        number: i64,
        newest: (i64, Moment),
        standstill: Option<&Standstill>,
    ) -> Option<OutOfForce> {
        let newer = Some(newest).filter(|(newest, _)| *newest > number);
        let halt = standstill.map(|one| (one.halt, one.since));
        (newer.is_some() || halt.is_some()).then_some(OutOfForce { newer, halt })
    }

    /// The one word that matters most, for large letters and for the name of a file.
    pub fn word(&self) -> &'static str {
        match (self.halt, &self.newer) {
            (Some((Halt::Cancelled, _)), _) => "cancelled",
            (_, Some(_)) => "superseded",
            (Some((halt, _)), None) => halt.shown(),
            (None, None) => "",
        }
    }

    /// "Superseded by revision 3, signed Thu 10 Dec 2026."
    pub fn newer_words(&self) -> Option<String> {
        let (number, at) = self.newer?;
        let day = whole_day(at.date());
        Some(format!("Superseded by revision {number}, signed {day}."))
    }

    /// "Work cancelled on Fri 11 Dec 2026."
    pub fn halt_words(&self) -> Option<String> {
        let (halt, since) = self.halt?;
        let day = whole_day(since.date());
        Some(format!("Work {} on {day}.", halt.shown()))
    }

    /// All of it.
    pub fn why(&self) -> String {
        let why = [self.halt_words(), self.newer_words()];
        let why: Vec<String> = why.into_iter().flatten().collect();
        why.join(" ")
    }

    /// All of it, and what follows, as it stands on a copy.
    pub fn words(&self) -> String {
        format!("{} Do not work from this copy.", self.why())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 2026-12-10 09:00 UTC, a Thursday by the calendar of any almanac.
    const SIGNED: Moment = Moment {
        unix_ms: 1_796_893_200_000,
        offset_min: 0,
    };

    fn standing(halt: Halt) -> Standstill {
        Standstill {
            halt,
            event: "e".into(),
            since: Moment::new(SIGNED.unix_ms + 86_400_000, 0),
            by: "Ada Sample, Sample Office".to_owned(),
            reason: "the bite is another one".to_owned(),
            heeded: None,
            items: Vec::new(),
        }
    }

    #[test]
    fn a_copy_says_what_stands_against_it_and_the_newest_in_force_nothing() {
        let of = |number, halt: Option<Halt>| {
            let halt = halt.map(standing);
            OutOfForce::of(number, (3, SIGNED), halt.as_ref())
        };
        assert_eq!(of(3, None), None);
        let table = [
            (
                1,
                None,
                "superseded",
                "Superseded by revision 3, signed Thu 10 Dec 2026.",
            ),
            (
                3,
                Some(Halt::Stopped),
                "stopped",
                "Work stopped on Fri 11 Dec 2026.",
            ),
            (
                3,
                Some(Halt::Paused),
                "paused",
                "Work paused on Fri 11 Dec 2026.",
            ),
            (
                3,
                Some(Halt::Cancelled),
                "cancelled",
                "Work cancelled on Fri 11 Dec 2026.",
            ),
            (
                2,
                Some(Halt::Cancelled),
                "cancelled",
                "Work cancelled on Fri 11 Dec 2026. Superseded by revision 3, signed Thu 10 Dec 2026.",
            ),
            (
                2,
                Some(Halt::Stopped),
                "superseded",
                "Work stopped on Fri 11 Dec 2026. Superseded by revision 3, signed Thu 10 Dec 2026.",
            ),
        ];
        for (number, halt, word, words) in table {
            let out = of(number, halt).unwrap();
            assert_eq!(out.word(), word);
            assert_eq!(out.words(), format!("{words} Do not work from this copy."));
        }
    }
}
