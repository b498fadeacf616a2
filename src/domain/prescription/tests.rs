//! The prescription as a whole: what is typed comes back, nothing is lost, every field is everywhere.

use super::samples::{any_key, any_readable, any_typed, filling, full, least};
use super::*;
use Numbering::{Iso3950, Universal};
use proptest::prelude::*;
use std::collections::BTreeSet;

fn read_whole(raw: &Raw) -> Prescription {
    let reading = read(raw, Iso3950);
    assert_eq!(reading.faults, [], "a readable form has no faults");
    reading.document
}

fn one(key: &str, text: &str) -> Raw {
    Raw::from([(key.to_owned(), text.to_owned())])
}

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
            Kind::Date | Kind::Time | Kind::YesNo | Kind::Tooth | Kind::Tag => {}
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
                    .map(crate::domain::measure::show_hundredths)
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
                    .map(crate::domain::measure::show_hundredths)
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

#[test]
fn a_later_schema_is_named() {
    let error = Prescription::from_canonical(r#"{"schema":2}"#).expect_err("not ours");
    assert!(error.to_string().contains("schema 2"), "{error}");
}

#[test]
fn an_empty_prescription_is_nothing_but_its_schema() {
    let empty = Prescription::default();
    assert_eq!(empty.canonical().expect("json"), r#"{"schema":1}"#);
    assert_eq!(empty.printed(Iso3950), []);
    assert_eq!(empty.highlights(), []);
}

#[test]
fn the_canonical_text_is_known() {
    let mut raw = one("vertical.rest_mm", "68,5");
    raw.extend(one("changes.4.tooth", "14"));
    raw.extend(one("shade.tab_enclosed", "yes"));
    raw.extend(one("dates.wanted_time", "9:05"));
    assert_eq!(
        read_whole(&raw).canonical().expect("json"),
        concat!(
            r#"{"dates":{"wanted_time":"09:05"},"pattern":{"changes":[{"tooth":"14"}]},"schema":1,"#,
            r#""shade":{"tab_enclosed":"yes"},"vertical":{"rest_mm":"68.5"}}"#
        )
    );
}

#[test]
fn stored_text_of_another_form_is_refused() {
    for text in [
        "",
        "{}",
        r#"{"schema":2}"#,
        r#"{ "schema":1}"#,
        r#"{"schema":1,"vertical":{}}"#,
        r#"{"schema":1,"vertical":{"rest_mm":68.5}}"#,
        r#"{"schema":1,"vertical":{"rest_mm":"68.50"}}"#,
        r#"{"schema":1,"vertical":{"rest_cm":"6.8"}}"#,
        r#"{"schema":1,"unheard_of":{}}"#,
        r#"{"schema":1,"shade":{"light":"moon"}}"#,
        r#"{"schema":1,"schema":1}"#,
    ] {
        assert!(Prescription::from_canonical(text).is_err(), "{text}");
    }
}

#[test]
fn every_filled_field_is_printed_with_its_label() {
    let raw = full(3);
    let document = read_whole(&raw);
    let printed = document.printed(Universal);
    for spec in all_fields() {
        let key = spec.key.split('.').next().unwrap_or_default();
        let line = printed
            .iter()
            .flat_map(|section| &section.lines)
            .any(|line| line.key == spec.key && line.label == spec.label);
        let tables = printed.iter().flat_map(|section| &section.tables);
        let column = tables
            .filter(|table| table.key == key)
            .any(|table| table.headings.contains(&spec.label));
        assert!(line || column, "{} is not printed", spec.key);
    }
    for table in printed.iter().flat_map(|section| &section.tables) {
        assert_eq!(table.rows.len(), 2);
        assert!(
            table.rows.iter().flatten().all(|value| !value.is_empty()),
            "{}",
            table.title
        );
        assert!(
            table
                .rows
                .iter()
                .all(|row| row.len() == table.headings.len())
        );
    }
}

#[test]
fn values_are_printed_with_unit_and_words() {
    let mut raw = one("vertical.rest_mm", "68");
    raw.extend(one("guidance.incisal_table", "10"));
    raw.extend(one("anterior.midline_side", "left"));
    raw.extend(one("changes.0.tooth", "14"));
    let printed = read_whole(&raw).printed(Iso3950);
    let lines: Vec<&str> = printed
        .iter()
        .flat_map(|section| &section.lines)
        .map(|line| line.value.as_str())
        .collect();
    assert_eq!(lines, ["68 mm", "10°", "patient’s left"]);
    let rows: Vec<&Vec<String>> = printed
        .iter()
        .flat_map(|section| &section.tables)
        .flat_map(|table| &table.rows)
        .collect();
    assert_eq!(
        rows,
        [&["14 (ISO 3950) upper right first premolar".to_owned()]]
    );
}

#[test]
fn highlights_stand_in_a_fixed_order_with_their_units() {
    let raw: Raw = [
        ("shade.guide", "Demo guide"),
        ("shade.tab", "K3"),
        ("vertical.occlusal_mm", "65.5"),
        ("vertical.order", "open"),
        ("vertical.change_mm", "2"),
        ("vertical.change_at", "incisors"),
        ("anterior.midline_offset_mm", "1.5"),
        ("anterior.midline_side", "right"),
        ("facebow.made", "yes"),
        ("spare.arch", "both"),
    ]
    .map(|(key, text)| (key.to_owned(), text.to_owned()))
    .into();
    let found: Vec<String> = read_whole(&raw)
        .highlights()
        .into_iter()
        .map(|highlight| {
            format!(
                "{}: {} {}",
                highlight.label, highlight.value, highlight.unit
            )
        })
        .collect();
    assert_eq!(
        found.iter().map(|text| text.trim_end()).collect::<Vec<_>>(),
        [
            "Tooth shade: Demo guide K3",
            "Occlusal vertical dimension: 65.5 mm",
            "Vertical dimension: open by 2 mm at the incisors",
            "Midline: 1.5 mm to the patient’s right",
            "Facebow record: yes",
            "Spare: upper and lower",
        ]
    );
}

#[test]
fn a_row_put_in_the_middle_differs_as_one_row() {
    let rows = |notes: &[&str]| {
        let typed = notes
            .iter()
            .enumerate()
            .map(|(row, note)| (format!("changes.{row}.note"), (*note).to_owned()));
        read_whole(&typed.collect())
    };
    let found = differences(&rows(&["a", "c"]), &rows(&["a", "b", "c"]), Iso3950);
    assert_eq!(
        found,
        [Difference {
            section: "Pattern and changes",
            label: "Change list, row 2".into(),
            before: None,
            after: Some("Note: b".into()),
        }]
    );
    let found = differences(&rows(&["a", "b"]), &rows(&["a", "d"]), Iso3950);
    assert_eq!(
        found.first().map(|found| found.label.as_str()),
        Some("Change list, row 2: Note")
    );
    assert_eq!(
        differences(&rows(&["a", "b"]), &rows(&["b", "a"]), Iso3950).len(),
        2,
        "the order counts"
    );
}

#[test]
fn every_single_field_that_changes_is_a_difference() {
    let before = full(5);
    let document = read_whole(&before);
    for spec in all_fields() {
        let key = spec.at(Some(1));
        let mut after = before.clone();
        let other = (0..40)
            .map(|seed| filling(spec, seed))
            .find(|text| before.get(&key) != Some(text));
        after.insert(key.clone(), other.expect("a field has two values"));
        let found = differences(&document, &read_whole(&after), Iso3950);
        assert_eq!(found.len(), 1, "{key}: {found:?}");
        after.remove(&key);
        let found = differences(&document, &read_whole(&after), Iso3950);
        assert_eq!(found.len(), 1, "{key} removed: {found:?}");
        assert_eq!(found.first().and_then(|found| found.after.clone()), None);
    }
}

#[test]
fn the_least_may_be_signed_and_each_of_its_fields_is_needed() {
    assert_eq!(missing_for_signing(&read_whole(&least())), []);
    for (left_out, asked) in [
        ("pieces.0.arch", "pieces.0.arch"),
        ("pieces.0.stage", "pieces.0.stage"),
        ("pieces.0.materials", "pieces.0.materials"),
        ("shade.source", "shade.tab"),
        ("dates.wanted", "dates.wanted"),
    ] {
        let mut raw = least();
        raw.remove(left_out);
        let missing = missing_for_signing(&read_whole(&raw));
        // Without its stage a piece may or may not need a shade; the stage is asked for first.
        assert_eq!(
            missing
                .iter()
                .map(|fault| fault.key.as_str())
                .collect::<Vec<_>>(),
            [asked]
        );
    }
    let empty = missing_for_signing(&Prescription::default());
    assert_eq!(
        empty
            .iter()
            .map(|fault| fault.key.as_str())
            .collect::<Vec<_>>(),
        ["dates.wanted", "pieces.0.stage"]
    );
}

#[test]
fn a_shade_is_asked_for_only_where_teeth_are_set() {
    for (stage, wanted) in [
        ("rims", false),
        ("reline", false),
        ("repair", false),
        ("set_up", true),
        ("process", true),
    ] {
        let mut raw = least();
        raw.remove("shade.source");
        raw.insert("pieces.0.stage".into(), stage.into());
        assert_eq!(
            !missing_for_signing(&read_whole(&raw)).is_empty(),
            wanted,
            "{stage}"
        );
    }
    let mut raw = least();
    raw.insert("shade.source".into(), "measured".into());
    let missing = missing_for_signing(&read_whole(&raw));
    assert_eq!(
        missing.first().map(|fault| fault.key.as_str()),
        Some("shade.lightness")
    );
}

proptest! {
    #[test]
    fn what_is_read_comes_back_and_reads_the_same(raw in any_readable()) {
        let document = read_whole(&raw);
        for numbering in [Iso3950, Universal] {
            let again = document.to_raw(numbering);
            prop_assert_eq!(again.len(), raw.len(), "no field is lost");
            let reading = read(&again, numbering);
            prop_assert_eq!(&reading.faults, &[]);
            prop_assert_eq!(&reading.document, &document);
            prop_assert_eq!(reading.document.to_raw(numbering), again);
        }
    }

    #[test]
    fn the_canonical_text_reads_back(raw in any_readable()) {
        let document = read_whole(&raw);
        let text = document.canonical().expect("json");
        prop_assert_eq!(&Prescription::from_canonical(&text).expect("own text"), &document);
        prop_assert_eq!(differences(&document, &document, Universal), []);
    }

    #[test]
    fn whatever_is_typed_is_read_or_named(raw in any_typed()) {
        let reading = read(&raw, Universal);
        let kept = reading.document.to_raw(Universal).len();
        let ours = raw.iter().filter(|(key, text)| is_ours(key) && !text.trim().is_empty()).count();
        prop_assert_eq!(kept + reading.faults.len(), ours, "{:?}", reading.faults);
        prop_assert!(reading.document.canonical().is_ok());
        let _pages = (reading.document.printed(Iso3950), missing_for_signing(&reading.document));
    }

    #[test]
    fn any_text_in_any_field_is_read_or_named((_, key) in any_key(), text in any::<String>()) {
        let reading = read(&one(&key, &text), Iso3950);
        let kept = reading.document.to_raw(Iso3950).len();
        prop_assert_eq!(kept + reading.faults.len(), usize::from(!text.trim().is_empty()));
    }

    #[test]
    fn two_documents_differ_exactly_when_their_text_does(first in any_readable(), second in any_readable()) {
        let (first, second) = (read_whole(&first), read_whole(&second));
        let found = differences(&first, &second, Iso3950);
        prop_assert_eq!(found.is_empty(), first == second, "{:?}", found);
    }
}
