//! Why nobody works from a copy of a revision any more: a newer one is in force, the work stands still, what was passed on
//! by it is over, or the patient's card says of substances what the revision does not.

use super::card_since::CardSince;
use super::passed::{PassEnd, PassedWork};
use super::standstill::{Halt, Standstill};
use crate::domain::values::moment::{Moment, whole_day};

const CARD_CHANGED: &str =
    "What is to be avoided has changed on the patient’s card since this was signed.";
const ASK: &str = "Ask the office before you go on.";

/// What stands against working from a revision. The same standing gives the same words: no clock is asked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OutOfForce {
    /// The revision in force, where that is a newer one, and when it was signed.
    pub newer: Option<(i64, Moment)>,
    /// How the work of its case stands still, and since when.
    pub halt: Option<(Halt, Moment)>,
    /// When and how the work was over that a second laboratory had it for; then nothing else is said.
    pub over: Option<(Moment, PassEnd)>,
    /// What is to be avoided by the card, where nothing else stands against working from it.
    pub card: Option<CardSince>,
}

impl OutOfForce {
    /// What stands against the revision of this number; none where it is in force and the work goes on.
    pub fn of(
        number: i64,
        newest: (i64, Moment),
        standstill: Option<&Standstill>,
        card: Option<&CardSince>,
    ) -> Option<OutOfForce> {
        let newer = Some(newest).filter(|(newest, _)| *newest > number);
        let halt = standstill.map(|one| (one.halt, one.since));
        let is_out = newer.is_some() || halt.is_some();
        let card = card.filter(|_| !is_out).cloned();
        (is_out || card.is_some()).then_some(OutOfForce {
            newer,
            halt,
            over: None,
            card,
        })
    }

    /// That the work stands still, and nothing else.
    pub fn by_halt(halt: &Standstill) -> OutOfForce {
        OutOfForce {
            newer: None,
            halt: Some((halt.halt, halt.since)),
            over: None,
            card: None,
        }
    }

    /// The one word that matters most, for large letters and for the name of a file.
    pub fn word(&self) -> &'static str {
        if self.over.is_some() {
            return "ended";
        }
        match (self.halt, &self.newer) {
            (Some((Halt::Cancelled, _)), _) => "canceled",
            (_, Some(_)) => "superseded",
            (Some((halt, _)), None) => halt.shown(),
            (None, None) => "to be revised",
        }
    }

    /// Whether it is in force, and only the card says something else.
    pub fn is_by_the_card(&self) -> bool {
        self.card.is_some()
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

    /// "This work is over: all of it was back on Fri 11 Dec 2026."
    fn over_words(&self) -> Option<String> {
        let (at, end) = self.over?;
        let how = match end {
            PassEnd::Back => "all of it was back",
            PassEnd::Ended => "the laboratory that passed it on ended it",
            PassEnd::PassedAgain => "it was passed on again",
        };
        let day = whole_day(at.date());
        Some(format!("This work is over: {how} on {day}."))
    }

    /// All of it, without a substance: whoever finds a paper reads it.
    pub fn why(&self) -> String {
        if self.is_by_the_card() {
            return CARD_CHANGED.to_owned();
        }
        if let Some(words) = self.over_words() {
            return words;
        }
        let why = [self.halt_words(), self.newer_words()];
        let why: Vec<String> = why.into_iter().flatten().collect();
        why.join(" ")
    }

    /// All of it, and what follows, as it stands on a copy.
    pub fn words(&self) -> String {
        match &self.card {
            Some(card) => format!(
                "Not in what was signed. To be avoided, by the patient’s card since: {}. {ASK}",
                card.says
            ),
            None => format!("{} Do not work from this copy.", self.why()),
        }
    }

    /// What follows, in few words, where all of it is too long for its line.
    pub fn words_in_short(&self) -> String {
        match self.is_by_the_card() {
            true => format!("{CARD_CHANGED} {ASK}"),
            false => self.words(),
        }
    }
}

impl PassedWork {
    /// What stands against the part that a second laboratory has, where `out` stands against its revision: once the work is
    /// over, that alone.
    pub fn out_of_force(&self, out: Option<OutOfForce>) -> Option<OutOfForce> {
        match self.ended {
            Some(over) => Some(OutOfForce {
                newer: None,
                halt: None,
                over: Some(over),
                card: None,
            }),
            None => out,
        }
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
            began: Moment::new(SIGNED.unix_ms + 86_400_000, 0),
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
            OutOfForce::of(number, (3, SIGNED), halt.as_ref(), None)
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
                "canceled",
                "Work canceled on Fri 11 Dec 2026.",
            ),
            (
                2,
                Some(Halt::Cancelled),
                "canceled",
                "Work canceled on Fri 11 Dec 2026. Superseded by revision 3, signed Thu 10 Dec 2026.",
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

    #[test]
    fn what_the_card_says_since_stands_on_a_copy_that_is_in_force_and_names_no_substance_to_a_finder()
     {
        let card = CardSince {
            says: "nickel".to_owned(),
            signed: "asked: none known".to_owned(),
            revision: 3,
        };
        let out = OutOfForce::of(3, (3, SIGNED), None, Some(&card)).unwrap();
        assert_eq!(out.word(), "to be revised");
        assert!(out.words().contains("by the patient’s card since: nickel."));
        assert!(!out.why().contains("nickel") && !out.words_in_short().contains("nickel"));
        // A copy that nobody works from says why that is, and no more.
        let halt = standing(Halt::Stopped);
        for (number, halt) in [(2, None), (3, Some(&halt))] {
            let out = OutOfForce::of(number, (3, SIGNED), halt, Some(&card)).unwrap();
            assert_eq!(out.card, None);
        }
    }
}
