//! What came back, held against what was asked: readings and a verdict for each value.

use super::from_paper::FromPaper;
use super::shared::{TEXT_MOST, without_unit};
use crate::domain::custody::fit::{FitValue, FitVerdict};
use crate::domain::form::command;
use crate::domain::form::{FieldSet, FieldSpec, Form, Kind, Raw, long, number};
use crate::domain::values::fault::Fault;
use crate::domain::values::measure::{Decimal, show_hundredths};

command! {
    /// What a check says as a whole.
    FitHeadForm;
    fit_revision: i64 = Kind::Hidden, "", "";
    fit_note: String = long(TEXT_MOST), "Note", "Nothing that names anybody.";
}

command! {
    /// What was found of one value.
    FitRowForm;
    first: Option<Decimal> = number(-5_000, 15_000), "First reading", "";
    second: Option<Decimal> = number(-5_000, 15_000), "Second reading", "";
    third: Option<Decimal> = number(-5_000, 15_000), "Third reading", "";
    verdict: Option<FitVerdict> = FitVerdict::KIND, "Your judgment", "";
    all_the_same: bool = Kind::Tick, "It is so all the same", "";
}

/// What was typed of one value.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FitTyped {
    pub value: FitValue,
    pub readings: Vec<Decimal>,
    pub verdict: Option<FitVerdict>,
    /// Though the readings say otherwise.
    pub all_the_same: bool,
}

/// A check as typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CheckFitForm {
    /// The revision that the page showed.
    pub revision: i64,
    pub rows: Vec<FitTyped>,
    pub note: String,
    pub from_paper: Option<FromPaper>,
}

impl CheckFitForm {
    /// What stands before the keys of a value.
    pub fn under(value: FitValue) -> String {
        format!("fit.{}.", value.word())
    }

    /// The fields of its readings, in their order.
    pub fn readings() -> [&'static FieldSpec; 3] {
        [
            FitRowForm::first(),
            FitRowForm::second(),
            FitRowForm::third(),
        ]
    }
}

/// What was typed of a value, where it can be read; none where nothing was.
fn row(raw: &Raw, value: FitValue, faults: &mut Vec<Fault>) -> Option<FitTyped> {
    let under = CheckFitForm::under(value);
    let form = FitRowForm::read_under(&without_unit(raw, &under, value.unit()), &under, faults)?;
    let (least, most) = value.limits_typed();
    let typed = CheckFitForm::readings().into_iter();
    let typed = typed.zip([form.first, form.second, form.third]);
    let mut readings = Vec::new();
    for (spec, reading) in typed {
        let Some(reading) = reading else { continue };
        if !(least..=most).contains(&reading.hundredths()) {
            let (least, most) = (show_hundredths(least), show_hundredths(most));
            let message = format!("From {least} to {most} {}.", value.unit());
            faults.push(Fault::new(format!("{under}{}", spec.key), message));
        }
        readings.push(reading);
    }
    (form.verdict.is_some() || !readings.is_empty()).then_some(FitTyped {
        value,
        readings,
        verdict: form.verdict,
        all_the_same: form.all_the_same,
    })
}

/// The readings that can be read, value by value: what they come to is shown before anything is entered.
pub fn readings_typed(raw: &Raw) -> Vec<FitTyped> {
    let values = FitValue::ALL.iter().copied();
    values
        .filter_map(|value| {
            let mut faults = Vec::new();
            row(raw, value, &mut faults).filter(|_| faults.is_empty())
        })
        .collect()
}

impl Form for CheckFitForm {
    fn field_sets() -> Vec<FieldSet> {
        vec![
            FieldSet::once(FitHeadForm::FIELDS),
            FieldSet {
                under: "fit.#.",
                fields: FitRowForm::FIELDS,
            },
            FromPaper::FIELDS,
        ]
    }

    fn read(raw: &Raw, faults: &mut Vec<Fault>) -> Option<CheckFitForm> {
        let head = FitHeadForm::read(raw, faults);
        let values = FitValue::ALL.iter().copied();
        let rows: Vec<FitTyped> = values.filter_map(|value| row(raw, value, faults)).collect();
        for one in rows.iter().filter(|one| one.verdict.is_none()) {
            let key = format!(
                "{}{}",
                CheckFitForm::under(one.value),
                FitRowForm::verdict().key
            );
            let wanted = "Say what you make of it: the numbers do not say it for you.";
            faults.push(Fault::new(key, wanted));
        }
        let from_paper = FromPaper::read(raw, faults);
        let head = head?;
        Some(CheckFitForm {
            revision: head.fit_revision,
            rows,
            note: head.fit_note,
            from_paper,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn raw(pairs: &[(&str, &str)]) -> Raw {
        let pairs = pairs.iter();
        pairs
            .map(|(key, text)| ((*key).to_owned(), (*text).to_owned()))
            .collect()
    }

    #[test]
    fn readings_ask_for_a_word_and_a_word_asks_for_no_readings() {
        let mut faults = Vec::new();
        let typed = raw(&[
            ("fit.ovd.first", "66"),
            ("fit.ovd.third", "66,5"),
            ("fit.shade.verdict", "as_asked"),
        ]);
        let form = CheckFitForm::read(&typed, &mut faults).unwrap();
        let keys: Vec<&str> = faults.iter().map(|one| one.key.as_str()).collect();
        assert_eq!(keys, ["fit.ovd.verdict"]);
        let read: Vec<(FitValue, usize)> = form
            .rows
            .iter()
            .map(|one| (one.value, one.readings.len()))
            .collect();
        assert_eq!(read, [(FitValue::Ovd, 2), (FitValue::Shade, 0)]);
    }

    #[test]
    fn the_asked_unit_may_stand_behind_a_number_and_no_other() {
        for (value, typed, wanted) in [
            (FitValue::Ovd, "64 mm", Some("64")),
            (FitValue::Ovd, "64,5mm", Some("64.5")),
            (FitValue::Ovd, "64 MM", Some("64")),
            (FitValue::Ovd, "64 %", None),
            (FitValue::Ovd, "6.4 cm", None),
            (FitValue::Ovd, "mm", None),
            (FitValue::PlanePad, "66 %", Some("66")),
            (FitValue::PlanePad, "66 mm", None),
        ] {
            let key = format!("{}first", CheckFitForm::under(value));
            let found = readings_typed(&raw(&[(key.as_str(), typed)]));
            let read = found.iter().flat_map(|one| &one.readings);
            let read: Vec<String> = read.map(ToString::to_string).collect();
            let wanted: Vec<String> = wanted.into_iter().map(str::to_owned).collect();
            assert_eq!(read, wanted, "{typed}");
        }
    }

    #[test]
    fn what_cannot_be_is_said_beside_its_field() {
        let mut faults = Vec::new();
        let typed = raw(&[
            ("fit.ovd.first", "six"),
            ("fit.ovd.verdict", "as_asked"),
            ("fit.plane_pad.second", "-3"),
            ("fit.plane_pad.verdict", "maybe"),
            ("fit.shade_difference.first", "120"),
            ("fit.shade_difference.verdict", "cannot_tell"),
        ]);
        CheckFitForm::read(&typed, &mut faults);
        let keys: Vec<&str> = faults.iter().map(|one| one.key.as_str()).collect();
        assert_eq!(
            keys,
            [
                "fit.ovd.first",
                "fit.shade_difference.first",
                "fit.plane_pad.verdict"
            ]
        );
        assert_eq!(readings_typed(&typed), []);
    }
}
