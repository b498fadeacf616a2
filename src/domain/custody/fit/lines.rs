//! The lines of one document: what of it can be checked, what was asked, and the number that was asked.

use super::values::FitValue;
use crate::domain::custody::bench::BenchPiece;
use crate::domain::form::FilledField;
use crate::domain::prescription::{MeasuredAt, Prescription, VerticalOrder};
use crate::domain::values::evidence::Source;
use crate::domain::values::measure::{Decimal, Mm, parse_hundredths};
use crate::domain::values::tooth::{Numbering, PatientSide};
use crate::domain::values::words::counted;

/// Something that was asked and can be checked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FitLine {
    pub value: FitValue,
    /// As it was asked, in words.
    pub asked: String,
    /// The number that was asked; none where it is looked at, or where no single number was asked.
    pub number: Option<Decimal>,
    /// To which side that number goes.
    pub side: Option<PatientSide>,
    /// How far off it may be in the work that is ordered, and where that comes from; none where it is looked at.
    pub tolerance: Option<(Decimal, Source)>,
}

/// The units that stand behind numbers as they are shown.
const UNITS: &[&str] = &["mm", "%", "°"];

fn hundredths(mm: Mm) -> i64 {
    mm.hundredths()
}

/// The height that the work is to have on the face. Where a change was asked for anywhere else, no single number says it.
fn height(rx: &Prescription) -> Option<i64> {
    let height = &rx.vertical;
    let now = hundredths(height.occlusal_mm?);
    let on_face = || match height.change_at {
        Some(MeasuredAt::Face) => height.change_mm.map(hundredths),
        _ => None,
    };
    match height.order {
        None | Some(VerticalOrder::Keep) => Some(now),
        Some(VerticalOrder::Open) => Some(now + on_face()?),
        Some(VerticalOrder::Close) => Some(now - on_face()?),
    }
}

/// The room that is left between rest and that height.
fn freeway(rx: &Prescription) -> Option<i64> {
    let room = hundredths(rx.vertical.rest_mm?) - height(rx)?;
    (room > 0).then_some(room)
}

fn number(rx: &Prescription, value: FitValue, cells: &[&FilledField]) -> Option<i64> {
    value.within()?;
    let plain = || {
        let shown = cells
            .iter()
            .map(|cell| parse_hundredths(&cell.shown, UNITS));
        shown.flatten().next()
    };
    match value {
        FitValue::Ovd => height(rx),
        FitValue::Freeway => freeway(rx),
        // A difference of colour is one from none.
        FitValue::ShadeDifference | FitValue::BaseDifference => (cells.len() == 3).then_some(0),
        _ => plain(),
    }
}

fn words(value: FitValue, cells: &[&FilledField], number: Option<i64>) -> Option<String> {
    let shown = |cells: &[&FilledField]| {
        let words: Vec<&str> = cells.iter().map(|cell| cell.shown.as_str()).collect();
        words.join(", ")
    };
    match value {
        // What follows from two numbers is told as what follows.
        FitValue::Freeway => number.map(|one| format!("{} mm", Decimal::from_hundredths(one))),
        FitValue::ShadeDifference | FitValue::BaseDifference if cells.len() < 3 => None,
        FitValue::ShadeDifference | FitValue::BaseDifference => {
            let [lightness, a, b] = cells else {
                return None;
            };
            Some(format!(
                "L* {}, a* {}, b* {}",
                lightness.shown, a.shown, b.shown
            ))
        }
        FitValue::Changes if cells.is_empty() => None,
        FitValue::Changes => Some(counted(i64::try_from(cells.len()).ok()?, "change")),
        FitValue::Ovd
            if cells
                .iter()
                .all(|cell| cell.spec.key != "vertical.occlusal_mm") =>
        {
            None
        }
        // A shade without its tab, and a side without its number, ask for nothing.
        FitValue::Shade => is_filled(cells, "shade.tab").then(|| shown(cells)),
        FitValue::BaseShade => is_filled(cells, "base_shade.code").then(|| shown(cells)),
        FitValue::Midline => is_filled(cells, "anterior.midline_offset_mm").then(|| shown(cells)),
        FitValue::PlaneTilt => is_filled(cells, "plane.tilt_mm").then(|| shown(cells)),
        FitValue::UpperSix => is_filled(cells, "anterior.width_mm").then(|| shown(cells)),
        FitValue::Marking => is_filled(cells, "marking.text").then(|| shown(cells)),
        _ => (!cells.is_empty()).then(|| shown(cells)),
    }
}

fn is_filled(cells: &[&FilledField], key: &str) -> bool {
    cells.iter().any(|cell| cell.spec.key == key)
}

/// What of a prescription can be checked on these pieces of work, in the order of the list.
pub fn fit_lines(rx: &Prescription, numbering: Numbering, pieces: &[BenchPiece]) -> Vec<FitLine> {
    let filled = rx.filled(numbering);
    let cells: Vec<&FilledField> = filled.iter().flat_map(|(_, cells)| cells).collect();
    let line = |value: FitValue| {
        // In the order of its fields, row by row.
        let of = |key: &&'static str| {
            let key = *key;
            let own = cells.iter().filter(move |cell| cell.spec.key == key);
            own.copied().collect::<Vec<&FilledField>>()
        };
        let own: Vec<&FilledField> = value.fields().iter().flat_map(of).collect();
        let number = number(rx, value, &own);
        Some(FitLine {
            value,
            asked: words(value, &own, number)?,
            number: number.map(Decimal::from_hundredths),
            side: rx
                .anterior
                .midline_side
                .filter(|_| value == FitValue::Midline),
            tolerance: value
                .tolerance(pieces)
                .map(|(within, source)| (Decimal::from_hundredths(within), source)),
        })
    };
    let seen = FitValue::ALL.iter().copied();
    let seen = seen.filter(|value| value.is_seen_in(pieces));
    seen.filter_map(line).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::form::Raw;
    use crate::domain::prescription::{Course, read, samples};
    use proptest::prelude::*;

    fn lines(pairs: &[(&str, &str)]) -> Vec<(FitValue, String, Option<String>)> {
        let raw: Raw = pairs
            .iter()
            .map(|(key, text)| ((*key).to_owned(), (*text).to_owned()))
            .collect();
        let reading = read(&raw, Numbering::Iso3950);
        assert_eq!(reading.faults, []);
        let found = fit_lines(&reading.document, Numbering::Iso3950, &[]);
        let number = |one: FitLine| (one.value, one.asked, one.number.map(|it| it.to_string()));
        found.into_iter().map(number).collect()
    }

    fn line_of(
        value: FitValue,
        asked: &str,
        number: Option<&str>,
    ) -> (FitValue, String, Option<String>) {
        (value, asked.to_owned(), number.map(str::to_owned))
    }

    #[test]
    fn the_height_is_what_is_wanted_on_the_face_and_no_number_where_the_change_is_elsewhere() {
        let now = ("vertical.occlusal_mm", "66");
        let rest = ("vertical.rest_mm", "69");
        let of = |more: &[(&str, &str)]| lines(&[&[now, rest], more].concat());
        use FitValue::{Freeway, Ovd};
        let kept = [
            line_of(Ovd, "66 mm", Some("66")),
            line_of(Freeway, "3 mm", Some("3")),
        ];
        assert_eq!(of(&[]), kept);
        let open = [("vertical.order", "open"), ("vertical.change_mm", "1.5")];
        let face = of(&[&open[..], &[("vertical.change_at", "face")]].concat());
        let words = "66 mm, open, 1.5 mm, on the face";
        assert_eq!(
            face,
            [
                line_of(Ovd, words, Some("67.5")),
                line_of(Freeway, "1.5 mm", Some("1.5"))
            ]
        );
        let pin = of(&[&open[..], &[("vertical.change_at", "pin")]].concat());
        assert_eq!(
            pin,
            [line_of(
                Ovd,
                "66 mm, open, 1.5 mm, at the incisal pin",
                None
            )]
        );
        let close = [
            ("vertical.order", "close"),
            ("vertical.change_mm", "2"),
            ("vertical.change_at", "face"),
        ];
        assert_eq!(
            of(&close).first().and_then(|one| one.2.as_deref()),
            Some("64")
        );
    }

    #[test]
    fn what_was_asked_stands_in_words_and_what_was_not_stands_nowhere() {
        assert_eq!(lines(&[]), []);
        assert_eq!(lines(&[("shade.guide", "Sample guide")]), []);
        assert_eq!(lines(&[("anterior.midline_side", "right")]), []);
        assert_eq!(lines(&[("shade.lightness", "70"), ("shade.a", "1")]), []);
        let all = [
            ("shade.guide", "Sample guide"),
            ("shade.tab", "B-20"),
            ("shade.lightness", "70"),
            ("shade.a", "1"),
            ("shade.b", "18"),
            ("anterior.midline_offset_mm", "1.5"),
            ("anterior.midline_side", "right"),
            ("changes.0.what", "upper_front"),
            ("changes.3.what", "tooth"),
            ("plane.pad_percent", "66"),
        ];
        let found = lines(&all);
        let asked: Vec<(FitValue, &str)> =
            found.iter().map(|one| (one.0, one.1.as_str())).collect();
        assert_eq!(
            asked,
            [
                (FitValue::Shade, "Sample guide, B-20"),
                (FitValue::ShadeDifference, "L* 70, a* 1, b* 18"),
                (FitValue::Midline, "1.5 mm, patient’s right"),
                (FitValue::PlanePad, "66 %"),
                (FitValue::Changes, "2 changes"),
            ]
        );
    }

    /// Every number that can be prescribed is found in a prescription in which every field is filled.
    #[test]
    fn in_a_prescription_in_which_all_is_filled_every_line_is_there() {
        let reading = read(&samples::full(1), Numbering::Iso3950);
        let found = fit_lines(&reading.document, Numbering::Iso3950, &[]);
        let values: Vec<FitValue> = found.iter().map(|one| one.value).collect();
        let missing: Vec<&FitValue> = (FitValue::ALL.iter())
            .filter(|one| !values.contains(one))
            .collect();
        assert!(
            missing.is_empty() || missing == [&FitValue::Freeway],
            "{missing:?}"
        );
        for one in &found {
            let is_measured = one.value.within().is_some() && one.value != FitValue::Ovd;
            assert_eq!(
                one.number.is_some(),
                is_measured || (one.value == FitValue::Ovd && one.number.is_some()),
                "{one:?}"
            );
        }
    }

    proptest! {
        #[test]
        fn a_line_is_asked_by_the_document_and_nothing_is_made_up(
            raw in samples::any_readable(),
            course in prop::sample::select(Course::ALL.to_vec()),
        ) {
            let rx = read(&raw, Numbering::Iso3950).document;
            let pieces = [BenchPiece { arch: None, course, by_machine: false, without_remount: false, to_new_height: false }];
            let all = fit_lines(&rx, Numbering::Iso3950, &[]);
            let own = fit_lines(&rx, Numbering::Iso3950, &pieces);
            // A kind of work may bear more of the same.
            let line_of = |line: &FitLine| (line.value, line.asked.clone(), line.number);
            let of_all: Vec<_> = all.iter().map(line_of).collect();
            prop_assert!(own.iter().all(|line| of_all.contains(&line_of(line))));
            for line in &all {
                prop_assert!(!line.asked.is_empty());
                let is_asked = line.value.fields().iter().any(|key| {
                    let at = key.split_once('#').map_or((*key, ""), |(before, _)| (before, "#"));
                    raw.keys().any(|typed| if at.1.is_empty() { typed == key } else { typed.starts_with(at.0) })
                });
                prop_assert!(is_asked, "{:?}", line);
            }
        }
    }
}
