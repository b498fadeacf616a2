//! Each field: its limits, its messages, its place in the catalogue.

use super::super::samples::filling;
use super::super::*;
use super::{one, read_whole};
use crate::domain::form::*;
use crate::domain::values::fault::Fault;
use crate::domain::values::tooth::Numbering::{Iso3950, Universal};
use std::collections::BTreeSet;

#[test]
fn every_key_is_unique_and_belongs_to_its_section_or_list() {
    let mut seen = BTreeSet::new();
    for spec in all_fields() {
        assert!(seen.insert(spec.key), "{} stands twice", spec.key);
    }
    let mut firsts = BTreeSet::new();
    for section in catalogue() {
        assert!(firsts.insert(section.key), "{} stands twice", section.key);
        let prefix = format!("{}.", section.key);
        assert!(
            section
                .fields
                .iter()
                .all(|field| field.key.starts_with(&prefix)),
            "{}",
            section.key
        );
        for group in section.groups {
            assert!(firsts.insert(group.key), "{} stands twice", group.key);
            let prefix = format!("{}.#.", group.key);
            assert!(
                group
                    .fields
                    .iter()
                    .all(|field| field.key.starts_with(&prefix)),
                "{}",
                group.key
            );
        }
    }
}

#[test]
fn labels_within_a_section_or_list_are_distinct_and_said_in_words() {
    let lists = catalogue().iter().flat_map(|section| {
        std::iter::once(section.fields).chain(section.groups.iter().map(|group| group.fields))
    });
    for fields in lists {
        let labels: BTreeSet<&str> = fields.iter().map(|field| field.label).collect();
        assert_eq!(labels.len(), fields.len(), "{labels:?}");
        assert!(labels.iter().all(|label| !label.is_empty()));
    }
}

#[test]
fn limits_are_in_order_and_choices_are_distinct() {
    for spec in all_fields() {
        match spec.kind {
            Kind::Mm { min, max } | Kind::Degrees { min, max } | Kind::Number { min, max } => {
                assert!(min < max)
            }
            Kind::Whole { min, max, .. } => assert!(min < max, "{}", spec.key),
            Kind::Choice(choices) => {
                let words: BTreeSet<&str> = choices.iter().map(|(word, _)| *word).collect();
                let shown: BTreeSet<&str> = choices.iter().map(|(_, shown)| *shown).collect();
                assert_eq!(
                    (words.len(), shown.len()),
                    (choices.len(), choices.len()),
                    "{}",
                    spec.key
                );
            }
            Kind::Text { max } | Kind::LongText { max } => assert!(max > 0),
            Kind::Date | Kind::Time | Kind::YesNo | Kind::Tooth | Kind::Tag | Kind::Hash => {}
            _ => panic!("only commands ask so"),
        }
    }
}

#[test]
fn every_field_takes_every_choice_and_both_ends_of_its_range() {
    for spec in all_fields() {
        let typed: Vec<String> = match spec.kind {
            Kind::Choice(choices) => choices.iter().map(|(word, _)| (*word).to_owned()).collect(),
            Kind::Mm { min, max } | Kind::Degrees { min, max } | Kind::Number { min, max } => {
                [min, max]
                    .map(crate::domain::values::measure::show_hundredths)
                    .into()
            }
            Kind::Whole { min, max, .. } => vec![min.to_string(), max.to_string()],
            Kind::Text { max } | Kind::LongText { max } => vec!["ß".repeat(max)],
            _ => vec![filling(spec, 1)],
        };
        for text in typed {
            let raw = one(&spec.at(Some(0)), &text);
            assert_eq!(
                read_whole(&raw).to_raw(Iso3950).len(),
                1,
                "{} {text}",
                spec.key
            );
        }
    }
}

#[test]
fn every_field_refuses_what_lies_beyond_its_limits() {
    for spec in all_fields() {
        let typed: Vec<String> = match spec.kind {
            Kind::Choice(_) | Kind::YesNo => vec!["no such word".into()],
            Kind::Mm { min, max } | Kind::Degrees { min, max } | Kind::Number { min, max } => {
                [min - 1, max + 1]
                    .map(crate::domain::values::measure::show_hundredths)
                    .into()
            }
            Kind::Whole { max, .. } => vec!["-1".into(), (max + 1).to_string(), "1.5".into()],
            Kind::Text { max } => vec![
                "a".repeat(max + 1),
                "two\nlines".into(),
                "\u{202e}x".into(),
                "\u{7}".into(),
            ],
            Kind::LongText { max } => vec!["a".repeat(max + 1), "\u{0}".into(), "\u{200d}".into()],
            Kind::Date => vec!["2.3.2026".into(), "2026-02-30".into()],
            Kind::Time => vec![
                "24:00".into(),
                "9".into(),
                "9:5".into(),
                "1:60".into(),
                "+1:00".into(),
            ],
            Kind::Tooth => vec!["19".into()],
            Kind::Tag => vec!["T12".into()],
            Kind::Hash => vec!["12".into(), "g".repeat(64), "a".repeat(65)],
            _ => panic!("only commands ask so"),
        };
        for text in typed {
            let key = spec.at(Some(0));
            let reading = read(&one(&key, &text), Iso3950);
            assert_eq!(reading.document, Prescription::default(), "{key} {text:?}");
            let keys: Vec<&str> = reading
                .faults
                .iter()
                .map(|fault| fault.key.as_str())
                .collect();
            assert_eq!(keys, [key.as_str()], "{text:?}");
            assert!(
                reading
                    .faults
                    .iter()
                    .all(|fault| fault.message.ends_with('.')),
                "a message is a sentence"
            );
        }
    }
}

/// What is no plain number, or a number in another unit, in every field that wants one: on the card of the
/// patient no field does.
#[test]
fn no_field_takes_an_odd_number_or_another_unit() {
    let odd = [
        "NaN",
        "nan",
        "inf",
        "-inf",
        "Infinity",
        "1e3",
        "0x1F",
        "--3",
        "+-3",
        "3-",
        "1.2.3",
        "1,234.5",
        "3 4",
        "½",
        "1/2",
        "99999999999",
        "-99999999999",
        "2 cm",
        "4.7cm",
        "1.8 in",
        "2 inches",
        "2\"",
        "2 ft",
        "2 m",
        "0.02 µm",
        "three",
        "mm",
        "°",
        "?",
        "3?",
        "~3",
        "ca. 3",
        "3-4",
        "3 to 4",
    ];
    let numbers = all_fields().filter(|spec| {
        matches!(
            spec.kind,
            Kind::Mm { .. } | Kind::Degrees { .. } | Kind::Number { .. } | Kind::Whole { .. }
        )
    });
    let mut seen = 0;
    for spec in numbers {
        let key = spec.at(Some(0));
        let mut typed: Vec<&str> = odd.to_vec();
        // A field that starts above zero takes neither zero nor anything below it.
        let least = match spec.kind {
            Kind::Mm { min, .. }
            | Kind::Degrees { min, .. }
            | Kind::Number { min, .. }
            | Kind::Whole { min, .. } => min,
            _ => 0,
        };
        if least >= 0 {
            typed.extend(["-0.01", "-1", "\u{2212}5"]);
        }
        if least > 0 {
            typed.extend(["0", "-0"]);
        }
        for text in typed {
            let reading = read(&one(&key, text), Iso3950);
            assert_eq!(reading.document, Prescription::default(), "{key} {text:?}");
            let faults: Vec<(&str, bool)> = reading
                .faults
                .iter()
                .map(|fault| (fault.key.as_str(), fault.message.ends_with('.')))
                .collect();
            assert_eq!(faults, [(key.as_str(), true)], "{text:?}");
            let numbers = crate::domain::trade::hints::compute(
                &reading.document,
                time::macros::date!(2026 - 03 - 02),
                &crate::domain::trade::lists::Lists::default(),
            );
            assert_eq!(numbers, [], "{key} {text:?}: no number follows from it");
        }
        seen += 1;
    }
    assert!(seen > 60, "{seen} fields want a number");
}

/// `text` in the figures that begin with this zero.
fn in_figures(text: &str, zero: char) -> String {
    let other = |sign: char| {
        let value = sign.to_digit(10)?;
        char::from_u32(u32::from(zero) + value)
    };
    text.chars()
        .map(|sign| other(sign).unwrap_or(sign))
        .collect()
}

/// The zeros are those of the code charts of the Unicode Standard; `tests/outside.rs` asks another implementation for all.
#[test]
fn figures_of_any_script_are_read_where_a_number_or_a_code_is_and_kept_as_ascii() {
    let mut seen = 0;
    for (spec, seed) in all_fields().zip(0..) {
        let (key, ascii) = (spec.at(Some(0)), filling(spec, seed));
        let whole = read(&one(&key, &ascii), Iso3950).document;
        // Arabic-Indic, extended Arabic-Indic, full-width, Devanagari.
        for zero in ['\u{660}', '\u{6f0}', '\u{ff10}', '\u{966}'] {
            let typed = in_figures(&ascii, zero);
            let reading = read(&one(&key, &typed), Iso3950);
            match spec.kind {
                Kind::Text { .. } | Kind::LongText { .. } => {
                    let kept = serde_json::to_string(&reading.document).unwrap();
                    assert!(typed.lines().all(|line| kept.contains(line)), "{kept}");
                }
                Kind::Choice(_) | Kind::YesNo => {}
                _ => {
                    assert_eq!(reading.faults, [], "{key} {typed}");
                    assert_eq!(reading.document, whole, "{key} {typed}");
                    let stored = serde_json::to_string(&reading.document).unwrap();
                    assert!(stored.is_ascii(), "{key}: {stored}");
                    seen += 1;
                }
            }
        }
    }
    assert!(seen > 4 * 60, "{seen}");
    for (typed, mm) in [
        ("６５．５", "65.5"),
        ("６５，５ｍｍ", "65.5"),
        ("٦٥٫٥", "65.5"),
        ("＋６５", "65"),
    ] {
        let reading = read(&one("vertical.occlusal_mm", typed), Iso3950);
        let kept = reading.document.vertical.occlusal_mm.unwrap();
        assert_eq!((reading.faults, kept.to_string().as_str()), (vec![], mm));
    }
    let reading = read(&one("changes.0.mm", "－１．５"), Iso3950);
    assert_eq!(
        reading.faults.len(),
        1,
        "a change is no negative number, and the sign is read as one"
    );
}

/// Values that could be right in centimetres or inches and cannot be in millimetres.
#[test]
fn a_measure_in_centimetres_or_inches_is_told_by_its_size() {
    for (key, millimetres) in [
        ("vertical.rest_mm", 68.0),
        ("vertical.occlusal_mm", 65.0),
        ("readings.0.rest_mm", 68.0),
        ("facebow.axis_incisor_mm", 95.0),
        ("anterior.width_mm", 47.0),
        ("anterior.central_width_mm", 8.5),
        ("anterior.central_length_mm", 10.5),
        ("anterior.canine_right_mm", 22.0),
        ("posterior.length_mm", 36.0),
    ] {
        assert_eq!(
            read(&one(key, &millimetres.to_string()), Iso3950).faults,
            [],
            "{key}"
        );
        for unit in [10.0, 25.4] {
            let typed = format!("{:.2}", millimetres / unit);
            let faults = read(&one(key, &typed), Iso3950).faults;
            assert_eq!(faults.len(), 1, "{key} {typed}");
            assert!(
                faults[0].message.contains("mm was typed"),
                "{}",
                faults[0].message
            );
        }
    }
}

#[test]
fn messages_say_the_limits_and_what_was_typed() {
    for (key, text, message) in [
        (
            "vertical.rest_mm",
            "130 mm",
            "This field takes 20 to 120 mm; 130 mm was typed.",
        ),
        (
            "guidance.incisal_table",
            "90°",
            "This field takes 0 to 80°; 90° was typed.",
        ),
        (
            "shade.a",
            "-200",
            "This field takes -128 to 128; -200 was typed.",
        ),
        (
            "enclosed.0.minutes",
            "0",
            "This field takes 1 to 1440 min; 0 min was typed.",
        ),
        (
            "marking.set_letter",
            "spare",
            "At most 4 characters fit here; 5 were typed.",
        ),
        (
            "vertical.rest_mm",
            "12 millimetres",
            "This field takes 20 to 120 mm; 12 mm was typed.",
        ),
        (
            "vertical.rest_mm",
            "much",
            "Write a number, such as 3.5 or 3,5.",
        ),
    ] {
        let faults = read(&one(key, text), Iso3950).faults;
        assert_eq!(faults, [Fault::new(key, message)]);
    }
}

#[test]
fn a_decimal_comma_a_unit_and_line_ends_of_browsers_are_read() {
    let mut raw = one("vertical.rest_mm", " 68,5 mm ");
    raw.extend(one("remarks.remarks", "one\r\ntwo\n"));
    let document = read_whole(&raw);
    let raw = document.to_raw(Iso3950);
    assert_eq!(
        raw.get("vertical.rest_mm").map(String::as_str),
        Some("68.5")
    );
    assert_eq!(
        raw.get("remarks.remarks").map(String::as_str),
        Some("one\ntwo")
    );
}

#[test]
fn rows_are_found_from_their_keys_and_empty_ones_vanish() {
    let mut raw = one("changes.7.mm", "2");
    raw.extend(one("changes.12.mm", "3"));
    raw.extend(one("changes.9.note", "  "));
    raw.extend(one("changes.10.mm", "far"));
    let reading = read(&raw, Iso3950);
    let rows: Vec<Option<i64>> = reading
        .document
        .pattern
        .changes
        .iter()
        .map(|change| change.mm.map(|mm| mm.hundredths()))
        .collect();
    assert_eq!(
        rows,
        [Some(200), Some(300)],
        "in the order of their numbers"
    );
    assert_eq!(
        reading.faults.first().map(|fault| fault.key.as_str()),
        Some("changes.10.mm")
    );
}

#[test]
fn more_rows_than_a_list_takes_are_refused_at_the_list() {
    let rows = |count: usize| {
        (0..count)
            .map(|row| (format!("changes.{row}.note"), "x".to_owned()))
            .collect::<Raw>()
    };
    assert_eq!(read(&rows(MOST_ROWS), Iso3950).faults, []);
    let reading = read(&rows(MOST_ROWS + 1), Iso3950);
    assert_eq!(
        reading.faults.first().map(|fault| fault.key.as_str()),
        Some("changes")
    );
    assert_eq!(reading.document.pattern.changes.len(), MOST_ROWS);
}

#[test]
fn an_unknown_field_of_a_known_section_is_named_and_other_keys_are_passed_over() {
    for key in [
        "vertical.rest_cm",
        "changes.0.wat",
        "changes.x.mm",
        "changes.-1.mm",
        "changes.01.mm",
        "changes.#.mm",
        "vertical.0.rest_mm",
    ] {
        let faults = read(&one(key, "3"), Iso3950).faults;
        assert_eq!(
            faults
                .iter()
                .map(|fault| fault.key.as_str())
                .collect::<Vec<_>>(),
            [key]
        );
    }
    for key in ["version", "post_key", "", ".", "other.field"] {
        assert_eq!(read(&one(key, "3"), Iso3950).faults, [], "{key}");
    }
}

#[test]
fn a_draft_means_the_same_tooth_after_the_setting_has_changed() {
    let document = read(&one("changes.0.tooth", "5"), Universal).document;
    let raw = document.to_raw(Universal);
    assert_eq!(
        raw.get("changes.0.tooth").map(String::as_str),
        Some("5 (Universal)")
    );
    assert_eq!(read(&raw, Iso3950).document, document);
}

#[test]
fn free_text_is_looked_at_for_what_points_at_a_person() {
    let mut raw = one("remarks.remarks", "Mrs. Brown was born 1948");
    raw.extend(one("changes.2.note", "call 555-123-4567"));
    raw.extend(one("dates.wanted", "1948-01-01"));
    raw.extend(one("post_key", "Mrs. Brown"));
    let keys: Vec<String> = personal(&raw).into_iter().map(|(key, _)| key).collect();
    assert_eq!(
        keys,
        ["changes.2.note", "remarks.remarks", "remarks.remarks"]
    );
}
