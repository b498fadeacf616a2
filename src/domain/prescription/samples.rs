//! Typed forms made by rule or by chance, for tests.

use super::document::{Prescription, all_fields};
use super::revision::*;
use crate::domain::form::{FieldSpec, Kind, Raw};
use crate::domain::law::card::LawCard;
use crate::domain::people::party::Paper;
use crate::domain::review::sample;
use crate::domain::values::arch::Arches;
use crate::domain::values::ids::{PatientCode, Tag};
use crate::domain::values::measure::show_hundredths;
use crate::domain::values::moment::Moment;
use crate::domain::values::tooth::Numbering;
use proptest::prelude::*;
use proptest::sample::select;

/// A readable text for the field; `seed` gives different ones.
pub fn filling(spec: &FieldSpec, seed: usize) -> String {
    let within = |min: i64, max: i64| min + (seed as i64 * 137) % (max - min + 1);
    match spec.kind {
        Kind::Text { max } => format!("Ä{seed} text").chars().take(max).collect(),
        Kind::LongText { .. } => format!("first line {seed}\nsecond line"),
        Kind::Mm { min, max } | Kind::Degrees { min, max } | Kind::Number { min, max } => {
            show_hundredths(within(min, max))
        }
        Kind::Whole { min, max, .. } => within(min, max).to_string(),
        Kind::Date => format!("2026-03-{:02}", seed % 28 + 1),
        Kind::Time => format!("{:02}:{:02}", seed % 24, seed % 60),
        Kind::YesNo => ["yes", "no"][seed % 2].to_owned(),
        Kind::Choice(choices) => choices[seed % choices.len()].0.to_owned(),
        Kind::Tooth => format!("UR{}", seed % 8 + 1),
        Kind::Tag => tag(seed),
        Kind::Hash => crate::domain::values::digest::sha256_hex(&seed.to_be_bytes()),
        _ => String::new(),
    }
}

fn tag(seed: usize) -> String {
    let codes = (0..).filter_map(|last: u8| Tag::from_random([1, 2, 3, 4, 5, 6, last]));
    codes
        .take(32)
        .nth(seed % 20)
        .expect("twenty of 256 are issued")
        .to_string()
}

/// Every field of the catalogue filled, with two rows in every list.
pub fn full(seed: usize) -> Raw {
    let mut raw = Raw::new();
    for (place, spec) in all_fields().enumerate() {
        for row in two_rows(spec) {
            let text = filling(spec, seed + place + row.unwrap_or(0));
            raw.insert(spec.at(*row), text);
        }
    }
    raw
}

/// The rows of a field where every list has two.
fn two_rows(spec: &FieldSpec) -> &'static [Option<usize>] {
    match spec.key.contains('#') {
        true => &[Some(0), Some(1)],
        false => &[None],
    }
}

/// The whole form, with a word of its own in each free text: it begins with `zq` where the field has room for that.
pub fn marked() -> Raw {
    let mut raw = full(3);
    let free = all_fields().enumerate();
    for (place, spec) in free.filter(|(_, spec)| spec.is_free_text()) {
        for row in two_rows(spec) {
            // With an end of its own, so that none is the beginning of another.
            let word = format!("zq{place}r{}z", row.unwrap_or(9));
            let word = match spec.kind {
                Kind::Text { max } if max < word.len() => {
                    format!("z{place}").chars().take(4).collect()
                }
                _ => word,
            };
            raw.insert(spec.at(*row), word);
        }
    }
    raw
}

/// The least that may be signed.
pub fn least() -> Raw {
    let pairs = [
        ("pieces.0.arch", "upper"),
        ("pieces.0.stage", "process"),
        ("pieces.0.materials", "heat-cured resin, cross-linked teeth"),
        ("shade.source", "pattern"),
        ("dates.wanted", "2026-03-02"),
    ];
    pairs
        .into_iter()
        .map(|(key, text)| (key.to_owned(), text.to_owned()))
        .collect()
}

/// Form keys of the catalogue, in rows far apart too.
pub fn any_key() -> impl Strategy<Value = (&'static FieldSpec, String)> {
    let specs: Vec<&'static FieldSpec> = all_fields().collect();
    (
        select(specs),
        prop_oneof![0..3_usize, 7..9_usize, Just(1000)],
    )
        .prop_map(|(spec, row)| (spec, spec.at(spec.key.contains('#').then_some(row))))
}

/// A form of readable fields.
pub fn any_readable() -> impl Strategy<Value = Raw> {
    let field = (any_key(), any::<u16>())
        .prop_map(|((spec, key), seed)| (key, filling(spec, usize::from(seed))));
    prop::collection::btree_map(any::<u16>(), field, 0..40)
        .prop_map(|fields| fields.into_values().collect())
}

/// A form in which anything may stand anywhere.
pub fn any_typed() -> impl Strategy<Value = Raw> {
    let text = prop_oneof![
        any::<String>(),
        "[-+0-9., °m]{0,12}",
        Just("yes".to_owned()),
        Just(" ".to_owned())
    ];
    let key = prop_oneof![
        any_key().prop_map(|(_, key)| key),
        any::<String>(),
        "[a-z]{1,9}\\.[0-9]{1,22}\\.[a-z_]{1,9}"
    ];
    prop::collection::btree_map(key, text, 0..40)
}

/// A signed text around a prescription, every part of it filled.
pub fn document(prescription: Prescription) -> Document {
    let party = |name: &str, licence: &str| PartyCard {
        name: name.to_owned(),
        address: "1 Mill Lane".to_owned(),
        licence: licence.to_owned(),
        telephone: "555 0142".to_owned(),
    };
    let fact = |label: &str, words: &str| (label.to_owned(), words.to_owned());
    Document {
        schema: SCHEMA,
        case: "C54FB5V87".parse().expect("a case number"),
        revision: 2,
        arches: Arches::Both,
        patient: PatientCard {
            code: (0..32)
                .find_map(|last| PatientCode::from_random([1, 1, 1, 1, 1, 1, last]))
                .expect("a code"),
            facts: vec![fact("Age band", "70 to 79"), fact("No nickel", "yes")],
        },
        office: party("Northgate", "O-1"),
        lab: party("Kiln", "L-1"),
        prescriber_name: "Dora Reed".to_owned(),
        prescriber_licence: "D-7001".to_owned(),
        issued: Moment::new(1_772_442_000_000, 60),
        numbering: Numbering::Iso3950,
        paper: Paper::A4,
        meaning: MEANING.to_owned(),
        address: "http://vestibule.test".to_owned(),
        items: vec![ItemCard {
            tag: tag(1),
            title: "Provisional denture, upper".to_owned(),
            pieces: 1,
            at: "in the mouth".to_owned(),
        }],
        warnings: vec!["Remarks: a name?".to_owned()],
        passed: vec![PassedCaution {
            id: "mould-without-width".to_owned(),
            sentence: "A mould is named without a width.".to_owned(),
            reason: "as seen".to_owned(),
        }],
        met: 23,
        criteria: 24,
        law: LawCard::of_case(&sample::law("us-fl", "eu")),
        missing: vec![MissingPoint {
            number: 14,
            name: "Occlusal scheme".to_owned(),
            reason: "as in the pattern".to_owned(),
        }],
        sheet: SHEET,
        prescription,
    }
}
