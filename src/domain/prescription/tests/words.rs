//! What is printed, what differs, what is missing.

use super::super::samples::{filling, full, least};
use super::super::*;
use super::{differences, one, read_whole};
use crate::domain::form::*;
use crate::domain::values::tooth::Numbering::{Iso3950, Universal};

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
        .highlights(crate::domain::prescription::revision::SHEET)
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
fn the_summary_names_arch_and_stage_of_each_piece() {
    let mut raw = least();
    raw.extend(one("pieces.1.stage", "rims"));
    assert_eq!(
        read_whole(&raw).summary(),
        "upper process and finish, record base with rim"
    );
    assert_eq!(Prescription::default().summary(), "");
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
            of: "pattern",
            key: "changes",
            section: "Pattern and changes",
            label: "Change list, row 2".into(),
            before: None,
            after: Some("Note: b".into()),
            new_row: Some(1),
        }]
    );
    let found = differences(&rows(&["a", "b"]), &rows(&["a", "d"]), Iso3950);
    assert_eq!(
        found.first().map(|found| found.label.as_str()),
        Some("Change list, row 2: Note")
    );
    let words = |was: &[&str], is: &[&str]| -> Vec<String> {
        let found = differences(&rows(was), &rows(is), Iso3950).into_iter();
        let words = |text: Option<String>| text.unwrap_or_else(|| "nothing".to_owned());
        let line = |one: Difference| {
            let label = one.label.trim_start_matches("Change list, ").to_owned();
            format!("{label}: {} > {}", words(one.before), words(one.after))
        };
        found.map(line).collect()
    };
    const ORDER: &str = "order of the rows that stay";
    // The order counts, and a row that only stands elsewhere is neither new nor gone.
    assert_eq!(
        words(&["a", "b"], &["b", "a"]),
        [format!("{ORDER}: 1, 2 > 2, 1")]
    );
    assert_eq!(
        words(&["a", "b", "c"], &["c", "b"]),
        [
            "row 1 as it was: Note: a > nothing".to_owned(),
            format!("{ORDER}: 2, 3 > 3, 2")
        ]
    );
    assert_eq!(
        words(&["a", "b", "c"], &["b", "d"]),
        [
            "row 1 as it was: Note: a > nothing",
            "row 2: nothing > Note: d",
            "row 3 as it was: Note: c > nothing"
        ]
    );
    // What differs in its first cell is another row.
    assert_eq!(words(&["a", "b", "c"], &["x", "b", "y"]).len(), 4);
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
