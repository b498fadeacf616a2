//! Two pages, nothing lost, nothing over anything else, however long the texts.

use crate::domain::form::{Kind, Raw};
use crate::domain::people::party::Paper;
use crate::domain::prescription::revision::Document;
use crate::domain::prescription::{Prescription, all_fields, read, samples};
use crate::domain::review::sample;
use crate::domain::values::tooth::Numbering;
use crate::papers::layout::lay_out_sheet;
use crate::papers::page::{Grey, Mark, Page, Point};
use crate::papers::sheet::Sheet;
use crate::papers::sheet_samples::{document, draft, signed};
use crate::papers::typeface::{MM_PER_PT, legible, width_mm};
use proptest::prelude::*;
use std::collections::BTreeMap;

fn typed(raw: &Raw) -> Prescription {
    read(raw, Numbering::Iso3950).document
}

/// Ordinary texts by their names.
fn ordinary() -> Vec<(&'static str, Document)> {
    let changed = |from: Document| Document {
        revision: 2,
        ..from
    };
    vec![
        ("whole", document(sample::document()).unwrap()),
        (
            "whole-second",
            changed(document(sample::document()).unwrap()),
        ),
        ("let-stand", samples::document(sample::document())),
        ("least", document(typed(&samples::least())).unwrap()),
        ("drawn", document(crate::papers::samples::drawn()).unwrap()),
        ("empty", document(Prescription::default()).unwrap()),
    ]
}

#[test]
fn l1_an_ordinary_prescription_takes_one_sheet_of_two_pages() {
    for (name, document) in ordinary() {
        for paper in Paper::ALL {
            let pages = lay_out_sheet(&signed(&document, None, *paper));
            assert!(pages.len() == 2, "{name} on {}", paper.word());
            assert_sound(&pages);
            let pages = lay_out_sheet(&draft(&document, *paper));
            assert!(pages.len() == 2, "{name}, a draft on {}", paper.word());
            assert_sound(&pages);
        }
    }
}

#[test]
fn l1_a_second_revision_with_what_changed_takes_two_pages_too() {
    let before = document(sample::document()).unwrap();
    let mut after = before.clone();
    after.revision = 2;
    after.prescription.vertical.closest_speaking_mm = None;
    after.prescription.remarks.remarks = None;
    after.prescription.occlusion.scheme = None;
    for paper in Paper::ALL {
        let sheet = signed(&after, Some(&before), *paper);
        assert!(!sheet.differences.is_empty() && !sheet.differences_more.is_empty());
        let pages = lay_out_sheet(&sheet);
        assert_eq!(pages.len(), 2, "{}", paper.word());
        assert_sound(&pages);
        assert_whole(&sheet, &pages);
    }
}

#[test]
fn every_field_at_once_says_where_it_goes_on() {
    for paper in Paper::ALL {
        let document = samples::document(typed(&samples::full(1)));
        let sheet = signed(&document, None, *paper);
        let pages = lay_out_sheet(&sheet);
        assert!((2..=5).contains(&pages.len()), "{}", pages.len());
        assert_sound(&pages);
        assert_whole(&sheet, &pages);
        if pages.len() > 2 {
            assert!(printed(&pages[..2]).contains("moreonpage3"));
            assert!(printed(&pages[2..]).contains(",continued"));
        }
    }
}

/// All letters of the pages, without white space.
fn printed(pages: &[Page]) -> String {
    let marks = pages.iter().flat_map(|page| &page.marks);
    let texts = marks.filter_map(|mark| match mark {
        Mark::Text { text, .. } => Some(text.as_str()),
        _ => None,
    });
    texts.flat_map(str::split_whitespace).collect()
}

fn letters(text: &str) -> BTreeMap<char, usize> {
    let mut counts = BTreeMap::new();
    for letter in text.chars().filter(|letter| !letter.is_whitespace()) {
        *counts.entry(letter).or_default() += 1;
    }
    counts
}

/// Every letter of the words is printed as often as it is said, and every word that has room in a column whole.
fn assert_whole(sheet: &Sheet, pages: &[Page]) {
    let all = printed(pages);
    let has = letters(&all);
    for (letter, count) in letters(&sheet.words().concat()) {
        let found = has.get(&letter).copied().unwrap_or_default();
        assert!(found >= count, "{letter}: {found} of {count}");
    }
    for words in sheet.words() {
        for word in words
            .split_whitespace()
            .filter(|word| word.chars().count() < 12)
        {
            assert!(all.contains(word), "{word} is missing");
        }
    }
}

/// A rectangle of ink.
#[derive(Debug, Clone)]
struct Ink<'a> {
    text: &'a str,
    left: f32,
    right: f32,
    top: f32,
    bottom: f32,
}

/// Nothing leaves the margins, no letters are smaller than the smallest, no words lie on other words, and no code
/// and no number with its unit is broken.
fn assert_sound(pages: &[Page]) {
    for page in pages {
        let (side, edge) = if page.width_mm < 213.0 {
            (12.0, 11.9)
        } else {
            (15.0, 11.9)
        };
        let inside = |x: f32, y: f32, slack: f32| {
            x >= side - slack
                && x <= page.width_mm - side + slack
                && y >= edge
                && y <= page.height_mm - edge
        };
        let mut inks: Vec<Ink<'_>> = Vec::new();
        let mut codes = Vec::new();
        for mark in &page.marks {
            match mark {
                Mark::Text {
                    x,
                    baseline,
                    size_pt,
                    face,
                    text,
                    ..
                } => {
                    let right = x + width_mm(text.trim_end(), *face, *size_pt);
                    assert!(*size_pt >= 7.45, "{text} in {size_pt} pt");
                    assert!(
                        inside(*x, *baseline, 0.1) && inside(right, *baseline, 0.1),
                        "outside: {text} at {x} to {right}, {baseline}"
                    );
                    let em = size_pt * MM_PER_PT;
                    inks.push(Ink {
                        text,
                        left: *x,
                        right,
                        top: baseline - 0.70 * em,
                        bottom: baseline + 0.05 * em,
                    });
                }
                Mark::Path { points, .. } => {
                    for Point { x, y } in points {
                        // The bars of what is changed stand in the margin.
                        assert!(inside(*x, *y, 4.7), "a line outside: {x} {y}");
                    }
                }
                Mark::Qr {
                    x,
                    y,
                    module_mm,
                    rows,
                } => {
                    let side = module_mm * rows.len() as f32;
                    assert!(inside(*x, *y, 0.1) && inside(x + side, y + side, 0.1));
                    codes.push((*x, *y, side, 4.0 * module_mm));
                }
                Mark::Photo { .. } => panic!("a sheet has no photographs"),
                Mark::Across { .. } => {}
            }
        }
        assert_apart(&inks);
        for (x, y, side, quiet) in codes {
            for ink in &inks {
                let apart = ink.right <= x - quiet
                    || ink.left >= x + side + quiet
                    || ink.bottom <= y - quiet
                    || ink.top >= y + side + quiet;
                assert!(apart, "{} in the free border of the code", ink.text);
            }
        }
    }
}

fn assert_apart(inks: &[Ink<'_>]) {
    for (at, one) in inks.iter().enumerate() {
        for other in &inks[at + 1..] {
            let apart = one.right <= other.left + 0.05
                || other.right <= one.left + 0.05
                || one.bottom <= other.top
                || other.bottom <= one.top;
            assert!(
                apart,
                "{} lies on {}: {one:?} {other:?}",
                one.text, other.text
            );
        }
    }
}

#[test]
fn no_code_and_no_measure_is_broken() {
    for (name, document) in ordinary() {
        for paper in Paper::ALL {
            let sheet = signed(&document, None, *paper);
            let pages = lay_out_sheet(&sheet);
            let marks: Vec<&str> = pages
                .iter()
                .flat_map(|page| &page.marks)
                .filter_map(|mark| match mark {
                    Mark::Text { text, .. } => Some(text.as_str()),
                    _ => None,
                })
                .collect();
            for words in sheet.words() {
                let words = words.replace('\u{A0}', " ");
                let words: Vec<&str> = words.split_whitespace().collect();
                for pair in words.windows(2) {
                    if pair[1].trim_end_matches([',', ';', ':']) == "mm" {
                        let measure = pair.join(" ");
                        let measure = measure.trim_end_matches([',', ';', ':']);
                        let whole = marks.iter().any(|mark| mark.contains(measure));
                        assert!(whole, "{name}: {measure} is broken");
                    }
                }
                for word in words.iter().filter(|word| word.matches('-').count() == 2) {
                    let code = word.trim_matches([',', ';', ':', '.']);
                    assert!(
                        marks.iter().any(|mark| mark.contains(code)),
                        "{name}: {code}"
                    );
                }
            }
        }
    }
}

#[test]
fn what_is_changed_or_prescribed_is_never_grey_alone() {
    let pages = lay_out_sheet(&signed(
        &document(sample::document()).unwrap(),
        None,
        Paper::A4,
    ));
    for mark in pages.iter().flat_map(|page| &page.marks) {
        let greys: Vec<Grey> = match mark {
            Mark::Text { grey, .. } => vec![*grey],
            Mark::Path { stroke, fill, .. } => {
                stroke.iter().map(|one| one.grey).chain(*fill).collect()
            }
            _ => Vec::new(),
        };
        assert!(
            greys
                .iter()
                .all(|grey| [Grey::INK, Grey::PAPER].contains(grey))
        );
    }
}

fn any_text() -> impl Strategy<Value = String> {
    prop_oneof![
        "[a-z ]{1,600}",
        "[ -~\n]{1,400}",
        "\\PC{1,120}",
        "([a-z]{3,9} [0-9]{1,3} mm, ){1,30}",
        Just("unbroken".repeat(40)),
    ]
}

#[test]
fn what_is_to_be_avoided_is_boxed_as_the_card_says_it() {
    for (words, wanted) in [
        ("nickel, latex", "Nickel,latex"),
        ("asked: none known", "Noneknown"),
        ("not asked yet", "Notaskedyet"),
        ("asked, and nothing is listed", "Nothinglisted"),
    ] {
        let mut text = document(sample::document()).unwrap();
        text.prescription.base.without = None;
        text.patient.facts = vec![("To be avoided".to_owned(), words.to_owned())];
        let pages = lay_out_sheet(&signed(&text, None, Paper::A4));
        let all = printed(&pages);
        assert!(all.contains(wanted), "{words}: {all}");
        assert!(!all.contains("Notknown"), "{words}: {all}");
    }
}

#[test]
fn a_head_longer_than_the_front_goes_on_and_loses_nothing() {
    let mut raw = samples::full(3);
    let long = |word: &str, most: usize| format!("{word} ").repeat(most / (word.len() + 1));
    let free = all_fields().filter(|spec| spec.is_free_text());
    for spec in free {
        let most = match spec.kind {
            Kind::Text { max } | Kind::LongText { max } => max,
            _ => 0,
        };
        // Letters that the typeface has not are printed as their numbers, which takes eight times the room.
        let text = if most <= 80 {
            "漢".repeat(most)
        } else {
            long("mixture", most)
        };
        if spec.key.contains('#') {
            (0..4).for_each(|row| drop(raw.insert(spec.at(Some(row)), text.clone())));
        } else {
            raw.insert(spec.key.to_owned(), text);
        }
    }
    for paper in Paper::ALL {
        let mut text = samples::document(typed(&raw));
        text.patient
            .facts
            .push(("Nothing containing".to_owned(), long("nickel,", 600)));
        text.office.address = long("Upper Mill Lane", 300);
        text.prescriber_licence = long("licence", 300);
        let before = document(sample::document()).unwrap();
        let sheet = signed(&text, Some(&before), *paper);
        let pages = lay_out_sheet(&sheet);
        assert_sound(&pages);
        assert_whole(&sheet, &pages);
    }
}

/// A form of readable fields whose free texts are long.
fn any_long() -> impl Strategy<Value = Raw> {
    let texts = prop::collection::vec((any::<prop::sample::Index>(), any_text()), 0..40);
    (samples::any_readable(), texts, any::<bool>()).prop_map(|(readable, texts, is_full)| {
        let mut raw = if is_full { samples::full(3) } else { readable };
        let specs: Vec<_> = all_fields().filter(|spec| spec.is_free_text()).collect();
        for (row, (place, text)) in texts.into_iter().enumerate() {
            let spec = place.get(&specs);
            let row = spec.key.contains('#').then_some(row % 4);
            raw.insert(spec.at(row), text);
        }
        raw
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn long_texts_go_on_over_further_pages_and_lose_nothing(raw in any_long(), is_letter in any::<bool>(), excluded in any_text()) {
        let mut text = samples::document(typed(&raw));
        text.patient.facts.push(("Nothing containing".to_owned(), legible(&excluded).chars().take(200).collect()));
        let before = document(sample::document()).unwrap();
        let paper = if is_letter { Paper::Letter } else { Paper::A4 };
        let sheet = signed(&text, Some(&before), paper);
        let pages = lay_out_sheet(&sheet);
        assert_sound(&pages);
        assert_whole(&sheet, &pages);
    }
}
