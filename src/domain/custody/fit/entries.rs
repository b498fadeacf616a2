//! What was found of a value, and an entry of it, as the fold keeps it.

use super::lines::FitLine;
use super::values::FitValue;
use crate::domain::form::choice_field;
use crate::domain::people::party::Side;
use crate::domain::trade::conformity::{Decided, Tolerated, decide};
use crate::domain::trade::repeated::{Estimate, apart, estimate};
use crate::domain::values::ids::EventId;
use crate::domain::values::measure::{Decimal, show_hundredths, tenths};
use crate::domain::values::moment::Moment;
use crate::domain::values::tooth::PatientSide;
use crate::domain::values::words_of;
use serde::{Deserialize, Serialize};

words_of! {
    /// What whoever looked says of it.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
    #[serde(rename_all = "snake_case")]
    pub enum FitVerdict {
        AsAsked = "as asked",
        NotAsAsked = "not as asked",
        CannotTell = "cannot tell",
    }
}

choice_field!(FitVerdict);

/// Readings of one value at most.
pub const READINGS_MOST: usize = 3;

/// What was found of one value, with what was shown of it when the verdict was given.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FitFound {
    pub value: FitValue,
    /// The number that was asked, and how far off it may be; none where nothing is measured.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub asked: Option<Decimal>,
    /// To which side of the patient that number goes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub side: Option<PatientSide>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub within: Option<Decimal>,
    /// As they were read, one after the other.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub readings: Vec<Decimal>,
    /// What the readings come to by the rule.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub decided: Option<Decided>,
    pub verdict: FitVerdict,
}

impl FitFound {
    /// A verdict without readings.
    pub fn unread(value: FitValue, verdict: FitVerdict) -> FitFound {
        FitFound {
            value,
            asked: None,
            side: None,
            within: None,
            readings: Vec::new(),
            decided: None,
            verdict,
        }
    }

    /// What readings of a line come to, and the verdict on it.
    pub fn of(line: &FitLine, readings: &[Decimal], verdict: FitVerdict) -> FitFound {
        FitFound {
            value: line.value,
            asked: line.number,
            side: line.side,
            within: line.within(),
            readings: readings.to_vec(),
            decided: line.decided(readings).map(|(word, _)| word),
            verdict,
        }
    }

    /// The same of what was typed, if it is of something that was asked, and was read only where it is measured.
    ///
    /// # Errors
    /// A sentence for whoever typed it.
    pub fn typed(
        lines: &[FitLine],
        value: FitValue,
        (readings, verdict): (&[Decimal], Option<FitVerdict>),
    ) -> Result<FitFound, String> {
        let line = lines.iter().find(|line| line.value == value);
        match (line, verdict) {
            (Some(line), Some(_)) if !readings.is_empty() && !line.is_read() => Err(format!(
                "{} is looked at and not measured: take the number out.",
                value.shown()
            )),
            (Some(line), Some(verdict)) => Ok(FitFound::of(line, readings, verdict)),
            _ => Err(format!(
                "{} is not asked for by the prescription in force.",
                value.shown()
            )),
        }
    }

    /// Whether the word says one thing and the readings another.
    pub fn contradicts_its_readings(&self) -> bool {
        matches!(
            (self.decided, self.verdict),
            (Some(Decided::Reject), FitVerdict::AsAsked)
                | (Some(Decided::Accept), FitVerdict::NotAsAsked)
        )
    }

    /// "OVD 66, 66.5 and 66 mm: as asked".
    pub fn words(&self) -> String {
        let asked = self.asked.map(|one| {
            let unit = self.value.unit();
            let to = self.side.map(|side| format!(" to the {}", side.shown()));
            format!(", asked {one} {unit}{}", to.unwrap_or_default())
        });
        format!(
            "{}{}{}: {}",
            self.value.shown(),
            asked.unwrap_or_default(),
            match self.readings.is_empty() {
                true => String::new(),
                false => format!(", measured {}", in_row(&self.readings, self.value.unit())),
            },
            self.verdict.shown()
        )
    }
}

/// "66, 66.5 and 66 mm"
pub fn in_row(readings: &[Decimal], unit: &str) -> String {
    let words: Vec<String> = readings.iter().map(ToString::to_string).collect();
    let words = match words.split_last() {
        Some((last, before)) if !before.is_empty() => format!("{} and {last}", before.join(", ")),
        _ => words.join(""),
    };
    format!("{words} {unit}")
}

impl FitLine {
    /// Whether readings of it can be entered: a number was asked, or it is a height that is to change.
    pub fn is_read(&self) -> bool {
        self.within().is_some() || self.value == FitValue::Ovd
    }

    /// How far off it may be; none where no single number was asked.
    pub fn within(&self) -> Option<Decimal> {
        self.number?;
        self.tolerance.map(|(within, _)| within)
    }

    /// What readings of it come to; none where nothing was read, or nothing is measured.
    pub fn decided(&self, readings: &[Decimal]) -> Option<(Decided, Option<Estimate>)> {
        let wanted = Tolerated {
            value: self.number?.to_f64(),
            within: self.within()?.to_f64(),
            step: Decimal::from_hundredths(self.value.step()).to_f64(),
        };
        let readings: Vec<f64> = readings.iter().map(|one| one.to_f64()).collect();
        decide(&readings, wanted)
    }

    /// The value that repeated readings of it give; none of fewer than two.
    pub fn estimated(&self, readings: &[Decimal]) -> Option<Estimate> {
        let step = Decimal::from_hundredths(self.value.step()).to_f64();
        let readings: Vec<f64> = readings.iter().map(|one| one.to_f64()).collect();
        estimate(&readings, step)
    }

    /// Said where readings of one thing by two lie further apart than both plus-minus allow; empty otherwise.
    pub fn apart_words(&self, one: &[Decimal], other: &[Decimal]) -> String {
        let both = self.estimated(one).zip(self.estimated(other));
        let found = both.and_then(|(one, other)| apart(one, other));
        found.map_or_else(String::new, |found| {
            let (found, unit) = (tenths(found), self.value.unit());
            format!("Lab and office lie {found} {unit} apart, more than both plus-minus allow.")
        })
    }

    /// "66.2 ± 0.6 mm: inside the tolerance", or why nothing is told.
    pub fn decided_words(&self, readings: &[Decimal]) -> String {
        let is_fine = readings.iter().any(|one| one.hundredths() % 10 != 0);
        match self.decided(readings) {
            None => String::new(),
            Some((word, None)) => capital(word.shown()),
            Some((word, Some(found))) => format!(
                "{} ± {} {}: {}",
                rounded(found.mean, is_fine),
                rounded_up(found.plus_minus, is_fine),
                self.value.unit(),
                word.shown()
            ),
        }
    }
}

fn capital(words: &str) -> String {
    crate::domain::values::words::capitalised(words)
}

/// To one decimal, and to two where the readings have two.
fn rounded(value: f64, is_fine: bool) -> String {
    match is_fine && value.is_finite() {
        true => show_hundredths((value * 100.0).round() as i64),
        false => tenths(value),
    }
}

/// A plus-minus is never told smaller than it is.
fn rounded_up(value: f64, is_fine: bool) -> String {
    let steps = match is_fine {
        true => 100.0,
        false => 10.0,
    };
    rounded((value * steps - 1e-9).ceil() / steps, is_fine)
}

/// An entry of what was found, as the fold keeps it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FitEntry {
    pub event: EventId,
    /// The house that looked.
    pub from: Side,
    pub at: Moment,
    /// Who looked: the person, or the name on the paper it was copied from.
    pub by: String,
    /// The revision that it was held against.
    pub revision: i64,
    pub found: Vec<FitFound>,
    pub note: String,
}

impl FitEntry {
    /// What was found of a value.
    pub fn of(&self, value: FitValue) -> Option<&FitFound> {
        self.found.iter().find(|one| one.value == value)
    }
}

/// The newest entry of a house by its time, which of one from paper is that on the paper; of two of one time the later
/// entered.
pub fn newest_fit(entries: &[FitEntry], side: Side) -> Option<&FitEntry> {
    let own = entries.iter().filter(|one| one.from == side);
    own.max_by_key(|one| one.at.unix_ms)
}

/// What a house has found last of each value, held against a revision, with the entry that says it: the newest by its
/// time, as with whole entries.
pub fn newest_found(
    entries: &[FitEntry],
    side: Side,
    revision: i64,
) -> Vec<(&FitEntry, &FitFound)> {
    let own = || {
        entries
            .iter()
            .filter(|one| one.from == side && one.revision == revision)
    };
    let newest = |value: &FitValue| {
        let found = own().filter_map(|one| Some((one, one.of(*value)?)));
        found.max_by_key(|(entry, _)| entry.at.unix_ms)
    };
    FitValue::ALL.iter().filter_map(newest).collect()
}

/// What the same house had found of a value before, where that was something else.
pub fn found_otherwise<'a>(
    entries: &'a [FitEntry],
    (entry, found): (&FitEntry, &FitFound),
) -> Option<(&'a FitEntry, &'a FitFound)> {
    let own = entries.iter().filter(|one| {
        one.from == entry.from && one.revision == entry.revision && one.event != entry.event
    });
    let all = own.filter_map(|one| Some((one, one.of(found.value)?)));
    let before = all.max_by_key(|(one, _)| one.at.unix_ms);
    before.filter(|(_, one)| one.verdict != found.verdict)
}

/// "9 as asked, 1 not as asked, 1 cannot tell"
pub fn fit_counts<'a>(found: impl IntoIterator<Item = &'a FitFound>) -> String {
    let verdicts: Vec<FitVerdict> = found.into_iter().map(|one| one.verdict).collect();
    let count = |verdict: FitVerdict| {
        let count = verdicts.iter().filter(|one| **one == verdict).count();
        (count > 0).then(|| format!("{count} {}", verdict.shown()))
    };
    let counts: Vec<String> = FitVerdict::ALL
        .iter()
        .filter_map(|one| count(*one))
        .collect();
    counts.join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::values::evidence::Source;

    fn line(number: Option<i64>) -> FitLine {
        FitLine {
            value: FitValue::Ovd,
            asked: "66 mm".to_owned(),
            number: number.map(Decimal::from_hundredths),
            side: None,
            tolerance: Some((Decimal::from_hundredths(100), Source::COMMON_PRACTICE)),
        }
    }

    fn readings(hundredths: &[i64]) -> Vec<Decimal> {
        hundredths
            .iter()
            .copied()
            .map(Decimal::from_hundredths)
            .collect()
    }

    #[test]
    fn what_is_typed_is_of_something_that_was_asked_and_read_only_where_it_is_measured() {
        let looked_at = FitLine {
            value: FitValue::Scheme,
            number: None,
            tolerance: None,
            ..line(None)
        };
        let lines = [line(Some(6_600)), looked_at];
        let word = Some(FitVerdict::AsAsked);
        for (value, read, verdict, wrong) in [
            (FitValue::Ovd, &[6_600][..], word, ""),
            (FitValue::Ovd, &[], word, ""),
            (FitValue::Scheme, &[], word, ""),
            (
                FitValue::Scheme,
                &[100],
                word,
                "is looked at and not measured",
            ),
            (FitValue::Shade, &[], word, "is not asked for"),
            (FitValue::Ovd, &[6_600], None, "is not asked for"),
        ] {
            match FitFound::typed(&lines, value, (&readings(read), verdict)) {
                Ok(found) => {
                    assert!(wrong.is_empty(), "{value:?}");
                    assert_eq!((found.value, Some(found.verdict)), (value, verdict));
                }
                Err(said) => {
                    assert!(!wrong.is_empty() && said.contains(wrong), "{said}");
                }
            }
        }
    }

    #[test]
    fn a_word_contradicts_its_readings_where_they_say_the_other_thing() {
        use FitVerdict::{AsAsked, CannotTell, NotAsAsked};
        for (read, verdict, is_so) in [
            (&[6_600, 6_600, 6_600][..], AsAsked, false),
            (&[6_600, 6_600, 6_600], NotAsAsked, true),
            (&[6_600, 6_600, 6_600], CannotTell, false),
            (&[7_600, 7_600, 7_600], AsAsked, true),
            (&[7_600, 7_600, 7_600], NotAsAsked, false),
            (&[7_600, 7_600, 7_600], CannotTell, false),
            (&[], NotAsAsked, false),
        ] {
            let found = FitFound::of(&line(Some(6_600)), &readings(read), verdict);
            assert_eq!(
                found.contradicts_its_readings(),
                is_so,
                "{read:?} {verdict:?}"
            );
        }
    }

    #[test]
    fn readings_are_told_with_what_they_come_to() {
        let line = line(Some(6_600));
        let words = |read: &[i64]| line.decided_words(&readings(read));
        assert_eq!(words(&[]), "");
        assert_eq!(words(&[6_600]), "One reading has no plus-minus: read again");
        // Regression values.
        assert_eq!(
            words(&[6_600, 6_650, 6_600]),
            "66.2 ± 0.6 mm: inside the tolerance"
        );
        assert_eq!(
            words(&[6_800, 6_850, 6_800]),
            "68.2 ± 0.6 mm: outside the tolerance"
        );
        assert_eq!(
            words(&[6_650, 6_700, 6_650]),
            "66.7 ± 0.6 mm: too near the limit to tell"
        );
        assert_eq!(
            words(&[6_600, 6_650]),
            "66.3 ± 3.7 mm: nothing can be decided with these readings: their plus-minus is at least as wide as the tolerance"
        );
        // As many decimals as the readings have: 1.96 times a step of 0.5 over the root of 12 is 0.283.
        assert_eq!(
            words(&[6_625, 6_625, 6_625]),
            "66.25 ± 0.29 mm: inside the tolerance"
        );
    }

    #[test]
    fn where_no_single_number_was_asked_nothing_is_worked_out() {
        let line = line(None);
        assert_eq!(line.decided_words(&readings(&[6_600, 6_650])), "");
        let found = FitFound::of(&line, &readings(&[6_600]), FitVerdict::CannotTell);
        assert_eq!(
            (found.asked, found.within, found.decided),
            (None, None, None)
        );
        assert_eq!(found.words(), "OVD, measured 66 mm: cannot tell");
    }

    #[test]
    fn the_newest_is_so_by_its_time_and_of_its_own_house() {
        let entry = |id: &str, from: Side, unix_ms: i64| FitEntry {
            event: EventId::new(id),
            from,
            at: Moment::new(unix_ms, 60),
            by: String::new(),
            revision: 1,
            found: Vec::new(),
            note: String::new(),
        };
        // The second was entered from paper, after the first.
        let entries = [
            entry("now", Side::Office, 2_000),
            entry("paper", Side::Office, 1_000),
            entry("lab", Side::Lab, 3_000),
        ];
        let newest = |entries: &[FitEntry], side: Side| {
            newest_fit(entries, side).map(|one| one.event.to_string())
        };
        assert_eq!(newest(&entries, Side::Office).as_deref(), Some("now"));
        assert_eq!(newest(&entries, Side::Lab).as_deref(), Some("lab"));
        assert_eq!(newest(&[], Side::Lab), None);
        let again = [
            entry("first", Side::Office, 2_000),
            entry("again", Side::Office, 2_000),
        ];
        assert_eq!(newest(&again, Side::Office).as_deref(), Some("again"));
    }

    #[test]
    fn a_later_check_of_one_value_leaves_what_was_found_of_the_others() {
        use FitValue::{Ovd, Shade};
        use FitVerdict::{AsAsked, CannotTell, NotAsAsked};
        let found = FitFound::unread;
        let entry = |id: &str, unix_ms: i64, revision: i64, found: Vec<FitFound>| FitEntry {
            event: EventId::new(id),
            from: Side::Office,
            at: Moment::new(unix_ms, 60),
            by: "Anna".to_owned(),
            revision,
            found,
            note: String::new(),
        };
        let entries = [
            entry("old", 900, 1, vec![found(Ovd, NotAsAsked)]),
            entry(
                "all",
                1_000,
                2,
                vec![found(Shade, NotAsAsked), found(Ovd, CannotTell)],
            ),
            entry("one", 2_000, 2, vec![found(Ovd, AsAsked)]),
        ];
        let newest = newest_found(&entries, Side::Office, 2);
        let words = fit_counts(newest.iter().map(|(_, found)| *found));
        assert_eq!(words, "1 as asked, 1 not as asked");
        let ovd = newest.iter().find(|(_, found)| found.value == Ovd).unwrap();
        assert_eq!(ovd.0.event.as_str(), "one");
        let before = found_otherwise(&entries, *ovd).unwrap();
        assert_eq!(
            (before.0.event.as_str(), before.1.verdict),
            ("all", CannotTell)
        );
        let shade = newest
            .iter()
            .find(|(_, found)| found.value == Shade)
            .unwrap();
        assert_eq!(found_otherwise(&entries, *shade), None);
        assert_eq!(newest_found(&entries, Side::Lab, 2), []);
    }

    #[test]
    fn what_was_shown_stands_in_what_was_found() {
        let read = readings(&[6_600, 6_650, 6_600]);
        let found = FitFound::of(&line(Some(6_600)), &read, FitVerdict::NotAsAsked);
        assert_eq!(found.decided, Some(Decided::Accept));
        assert_eq!(
            found.words(),
            "OVD, asked 66 mm, measured 66, 66.5 and 66 mm: not as asked"
        );
        assert_eq!(fit_counts([&found, &found]), "2 not as asked");
        assert_eq!(fit_counts([]), "");
    }
}
