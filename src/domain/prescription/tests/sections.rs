//! The walk over a signed text: everything in it is in the walk, and what changes is a difference.

use super::super::revision::Document;
use super::super::samples::{self, full, least};
use super::super::sections::keys;
use super::super::*;
use super::read_whole;
use crate::domain::values::spelled::without_spelling;
use crate::domain::values::tooth::Numbering::Iso3950;
use std::collections::BTreeSet;

fn sections(document: &Document) -> Vec<PrintedSection> {
    document.sections(document.issued.date(), Iso3950)
}

/// Every text of a value in the stored form, but for those that say something of the sheet or the signature.
fn texts(value: &serde_json::Value, found: &mut Vec<String>) {
    match value {
        serde_json::Value::String(text) => found.push(text.clone()),
        serde_json::Value::Array(list) => list.iter().for_each(|one| texts(one, found)),
        serde_json::Value::Object(fields) => {
            let unseen = ["address", "meaning", "paper", "numbering", "prescription"];
            let seen = fields
                .iter()
                .filter(|(key, _)| !unseen.contains(&key.as_str()));
            seen.for_each(|(_, one)| texts(one, found));
        }
        _ => {}
    }
}

/// On each sheet the walk says every field; on the newest under its name of now. A number may have the direction beside
/// it that its sign means.
fn holds_the_prescription(document: &Document, sheet: u32) {
    let walk = document.sections_on(sheet, document.issued.date(), Iso3950);
    let is_newest = sheet == document.sheet;
    // Chosen words were spelled otherwise on earlier sheets.
    let spelled = |text: &str| match is_newest {
        true => text.to_owned(),
        false => without_spelling(text),
    };
    for section in document.prescription.printed(Iso3950) {
        let said = walk.iter().find(|said| said.key == section.key);
        let said = said.unwrap_or_else(|| panic!("{sheet}: {} is left out", section.key));
        for line in &section.lines {
            let is_it = |other: &&PrintedLine| {
                let (said, value) = (spelled(&other.value), spelled(&line.value));
                let further = said.strip_prefix(value.as_str());
                // A record was called enclosed, wherever it was.
                let is_renamed = |way: &str| !is_newest && way == " enclosed";
                let is_whole = further
                    .is_some_and(|way| way.is_empty() || way.starts_with(", ") || is_renamed(way));
                is_whole && other.key == line.key && (!is_newest || other.label == line.label)
            };
            let found = said.lines.iter().filter(is_it).count();
            assert_eq!(found, 1, "{sheet}: {line:?}");
        }
        let rows = |section: &PrintedSection| -> Vec<_> {
            let tables = section.tables.iter();
            tables
                .map(|table| {
                    let rows = table.rows.iter();
                    let rows = rows.map(|row| row.iter().map(|cell| spelled(cell)).collect());
                    (table.key, rows.collect::<Vec<Vec<String>>>())
                })
                .collect()
        };
        assert_eq!(rows(said), rows(&section), "{sheet}");
        if is_newest {
            assert_eq!(said.title, section.title);
            assert_eq!(said.tables, section.tables);
        }
    }
}

#[test]
fn nothing_that_is_signed_is_left_out_of_the_walk() {
    let document = samples::document(read_whole(&full(3)));
    let walk = sections(&document);
    for sheet in 0..=document.sheet {
        holds_the_prescription(&document, sheet);
    }
    let said = format!("{walk:?}");
    let says = |text: &str| said.contains(format!("{text:?}").trim_matches('"'));
    for party in [&document.office, &document.lab] {
        assert!(says(&party.address), "{party:?}");
    }
    let mut found = Vec::new();
    let mut stored = serde_json::to_value(&document).expect("json");
    // Codes that stand in words in the walk: the side of a profile, its key, a caution's own name.
    stored["arches"] = "upper and lower".into();
    stored["case"] = document.case.to_string().into();
    stored["patient"]["code"] = document.patient.code.to_string().into();
    stored["passed"][0]["id"].take();
    let profiles = stored["law"].as_array_mut().expect("profiles");
    for profile in profiles {
        profile["side"].take();
        profile["keep"].take();
    }
    texts(&stored, &mut found);
    assert!(found.len() > 20, "{found:?}");
    for text in found {
        assert!(says(&text), "“{text}” is not in {said}");
    }
    for words in [document.issued.to_string(), document.score()] {
        assert!(says(&words), "{words}");
    }
}

#[test]
fn each_section_has_a_key_of_its_own() {
    let walk = sections(&samples::document(read_whole(&full(3))));
    let found: BTreeSet<&str> = walk.iter().map(|section| section.key).collect();
    assert_eq!(found.len(), walk.len());
    let of_the_prescription = catalogue().iter().map(|section| section.key);
    let all: BTreeSet<&str> = keys::ALL.into_iter().chain(of_the_prescription).collect();
    assert_eq!(found, all, "a whole text has every section");
}

#[test]
fn a_section_that_says_nothing_is_not_there() {
    let mut document = samples::document(Prescription::default());
    (document.items, document.passed) = (Vec::new(), Vec::new());
    (document.warnings, document.law) = (Vec::new(), Vec::new());
    let walk = sections(&document);
    let found: Vec<&str> = walk.iter().map(|section| section.key).collect();
    assert_eq!(found, [keys::HEAD, keys::PATIENT, keys::SCORE]);
}

#[test]
fn card_items_parties_and_reasons_that_change_are_differences() {
    let before = samples::document(read_whole(&least()));
    let mut next = before.clone();
    next.revision += 1;
    next.issued.unix_ms += 400 * 24 * 60 * 60_000;
    assert_eq!(next.differences(&before, Iso3950), [], "number and moment");
    let changed = |change: &dyn Fn(&mut Document)| {
        let mut after = next.clone();
        change(&mut after);
        let found = after.differences(&before, Iso3950);
        let words = |one: &Difference| {
            let [before, after] =
                [&one.before, &one.after].map(|text| text.as_deref().unwrap_or("-"));
            format!("{}, {}: {before} > {after}", one.section, one.label)
        };
        found.iter().map(words).collect::<Vec<_>>()
    };
    let fact = ("No latex".to_owned(), "yes".to_owned());
    for (found, expected) in [
        (
            changed(&|one| one.patient.facts.insert(0, fact.clone())),
            "Patient, No latex: - > yes",
        ),
        (
            changed(&|one| one.patient.facts.truncate(1)),
            "Patient, No nickel: yes > -",
        ),
        (
            changed(&|one| one.items[0].pieces = 3),
            "Items of the case when this was signed, Row 1: Pieces: 1 > 3",
        ),
        (
            changed(&|one| one.warnings.clear()),
            "Signed in spite of these warnings, Row 1: Remarks: a name? > -",
        ),
        (
            changed(&|one| one.warnings[0].push('!')),
            "Signed in spite of these warnings, Row 1: Remarks: a name? > Remarks: a name?!",
        ),
        (
            changed(&|one| one.passed[0].reason = "agreed".to_owned()),
            "Cautions that stand, with their reasons, Row 1: The dentist's reason to let it stand: as seen > agreed",
        ),
        (
            changed(&|one| one.met = 24),
            "Points that labs look for, Said: 23 of 24 > 24 of 24",
        ),
        (
            changed(&|one| one.lab.licence = "L-2".to_owned()),
            "Who, for whom, To the dental laboratory: Kiln\n1 Mill Lane\nLicense or registration L-1\nTelephone 555 0142 > \
             Kiln\n1 Mill Lane\nLicense or registration L-2\nTelephone 555 0142",
        ),
    ] {
        assert_eq!(found, [expected]);
    }
}

/// A sign alone is read by everybody in another way.
#[test]
fn the_full_text_says_what_a_sign_means_and_an_older_one_reads_as_it_was_signed() {
    let mut raw = least();
    for (key, text) in [
        ("anterior.incisal_show_mm", "-1"),
        ("anterior.incisal_change_mm", "0.5"),
        ("occlusion.overjet_mm", "-1"),
        ("occlusion.overbite_mm", "-0.5"),
        ("guidance.pin_mm", "-3"),
        ("base_shade.gum_line_mm", "-0.5"),
    ] {
        raw.insert(key.to_owned(), text.to_owned());
    }
    let document = samples::document(read_whole(&raw));
    let older = Document {
        sheet: 4,
        ..samples::document(read_whole(&raw))
    };
    let value = |document: &Document, key: &str| {
        let lines = sections(document).into_iter().flat_map(|one| one.lines);
        let mut lines = lines.filter(|line| line.key == key);
        lines.next().map(|line| line.value)
    };
    for (key, said, was) in [
        ("anterior.incisal_show_mm", "-1 mm, above the lip", "-1 mm"),
        ("anterior.incisal_change_mm", "0.5 mm, longer", "0.5 mm"),
        ("occlusion.overjet_mm", "-1 mm, upper behind lower", "-1 mm"),
        ("occlusion.overbite_mm", "-0.5 mm, open", "-0.5 mm"),
        ("guidance.pin_mm", "-3 mm, closes", "-3 mm"),
        ("base_shade.gum_line_mm", "-0.5 mm, less tooth", "-0.5 mm"),
    ] {
        assert_eq!(value(&document, key).as_deref(), Some(said));
        assert_eq!(value(&older, key).as_deref(), Some(was));
    }
    // A text of today beside an older one: what reads alike is no difference.
    assert_eq!(document.differences(&older, Iso3950), []);
}
