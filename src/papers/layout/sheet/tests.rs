//! Two pages, nothing lost, nothing over anything else, however long the texts.

use crate::domain::custody::item::Item;
use crate::domain::form::{Kind, Raw};
use crate::domain::people::party::Paper;
use crate::domain::prescription::revision::{Document, ItemCard, PassedCaution, Signature};
use crate::domain::prescription::{Course, Prescription, all_fields, read, samples};
use crate::domain::review::sample;
use crate::domain::review::tests::documents::{self, Ordinary};
use crate::domain::values::moment::Moment;
use crate::domain::values::tooth::Numbering;
use crate::papers::layout::{lay_out_places, lay_out_sheet};
use crate::papers::page::{Face, Grey, Mark, Page, Point};
use crate::papers::record_mark::{DRAFT_WORDS, InRecord, MISSING_WORDS};
use crate::papers::sheet::{Sheet, SheetOf, sheet};
use crate::papers::sheet_samples::{document, draft, signature, signed};
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
fn l1_a_second_revision_with_notes_takes_two_pages_and_what_comes_first_stays_whole() {
    let notes = [
        (
            "jaw.note",
            "the record was tried twice on the casts and shows the same gap on both sides at the heels.",
        ),
        (
            "shade.note",
            "the tab is a little too gray at the neck; keep the edge as clear as it is on the old set.",
        ),
        (
            "back.note",
            "send the remount casts in the same box, wrapped one by one, and the plaster index by them.",
        ),
    ];
    let before = document(sample::document()).unwrap();
    let mut raw = sample::raw();
    for (key, text) in notes {
        assert!((88..=92).contains(&text.chars().count()), "{key}");
        raw.insert(key.to_owned(), text.to_owned());
    }
    let after = Document {
        revision: 2,
        ..document(typed(&raw)).unwrap()
    };
    for paper in Paper::ALL {
        let sheet = signed(&after, Some(&before), *paper);
        let words = sheet.words().concat();
        let told = words.matches("new text, underlined below").count();
        assert_eq!(told, notes.len(), "{words}");
        for (key, text) in notes {
            assert_eq!(words.matches(text).count(), 1, "{key}");
        }
        let pages = lay_out_sheet(&sheet);
        let over = continued(&pages);
        assert_eq!(pages.len(), 2, "{}: {over:?}", paper.word());
        assert_sound(&pages);
        assert_whole(&sheet, &pages);
        let front = printed(&pages[..1]);
        assert_eq!(sheet.first.title, "First, on arrival");
        for entry in &sheet.first.entries {
            let entry = entry.text_of();
            let mut words = entry.split_whitespace();
            assert!(words.all(|word| front.contains(word)), "{entry}");
        }
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

/// The whole documents of all kinds of work, as they are signed for a case.
fn wholes(edits: &[(&str, &str)]) -> Vec<(String, Document)> {
    let of = |one: Ordinary| {
        let card = |item: &Item| ItemCard {
            tag: item.tag.to_string(),
            title: item.title(),
            pieces: item.pieces,
            at: String::new(),
        };
        let mut text = document(one.prescription).unwrap();
        text.arches = one.arches;
        text.items = one.items.iter().map(card).collect();
        (format!("{:?}", one.course), text)
    };
    // The whole copy is the sample.
    let mut raw = sample::raw();
    for (key, text) in edits {
        raw.insert((*key).to_owned(), (*text).to_owned());
    }
    let copy = ("Copy".to_owned(), document(typed(&raw)).unwrap());
    let others = documents::ordinary(edits).into_iter().map(of);
    others.chain([copy]).collect()
}

/// What another day, another shade and a thought about each change: an ordinary second revision.
const SECOND: [(&str, &str); 4] = [
    ("shade.tab", "moss 3"),
    ("dates.wanted", "2028-05-24"),
    ("dates.insertion", "2028-05-29"),
    ("dates.first_check", "2028-05-30"),
];

/// Reasons as long as they are typed between two patients.
fn let_stand(text: &mut Document) {
    let passed = |id: &str, sentence: &str, reason: &str| PassedCaution {
        id: id.to_owned(),
        sentence: sentence.to_owned(),
        reason: reason.to_owned(),
    };
    text.passed = vec![
        passed(
            "wax-record-old",
            "The bite record is of wax and was taken five days before it is sent: wax creeps.",
            "kept at 18 °C in its box and checked on the casts today; a new one is taken at the try-in in any case",
        ),
        passed(
            "mould-without-width",
            "A mould is named, and the width of the upper six is not said.",
            "the patient chose the mould from the card and wants no other; let the lab tell us if it is too wide for the arch",
        ),
        passed(
            "shade-in-lamp-light",
            "The shade was taken in lamp light.",
            "looked at again by the window, the same tab",
        ),
    ];
}

#[test]
fn l1_whole_documents_of_all_kinds_of_work_take_two_pages_and_so_do_their_second_revisions() {
    let first = wholes(&[]);
    let second = wholes(&SECOND);
    assert_eq!(first.len(), Course::ALL.len());
    let mut longer = Vec::new();
    for paper in Paper::ALL {
        for ((name, before), (_, mut after)) in first.iter().zip(second.clone()) {
            after.revision = 2;
            let_stand(&mut after);
            for (which, sheet) in [
                ("first", signed(before, None, *paper)),
                ("second", signed(&after, Some(before), *paper)),
            ] {
                let pages = lay_out_sheet(&sheet);
                assert_sound(&pages);
                assert_whole(&sheet, &pages);
                assert_filled(&pages);
                if pages.len() != 2 {
                    let over = continued(&pages);
                    longer.push(format!("{name}, {which}, {}: {over:?}", paper.word()));
                }
            }
        }
    }
    // At most the fullest of all, changed again, with three long reasons, on the shorter paper: of its box alone.
    let longest = "Copy, second, letter: [\"In the box, and back\"]";
    longer.retain(|one| one != longest);
    assert_eq!(longer, [""; 0]);
}

#[test]
fn days_on_a_line_take_no_room_from_the_rest_and_older_sheets_have_none() {
    let (mut drawn, mut all) = (0, 0);
    for (name, mut document) in wholes(&[]).into_iter().chain(wholes(&SECOND)) {
        // Some weeks before the day wanted: the samples are of two years.
        let wanted = document.prescription.dates.wanted;
        let is_later = wanted.is_some_and(|day| day.date().year() == 2028);
        let at_ms = if is_later {
            1_839_052_800_000
        } else {
            1_772_442_300_000
        };
        let signature = Signature {
            at: Moment::new(at_ms, 60),
            ..signature()
        };
        for paper in Paper::ALL {
            let mut of = |number: u32| {
                document.sheet = number;
                lay_out_sheet(&sheet(&SheetOf {
                    document: &document,
                    before: None,
                    signature: Some(&signature),
                    paper: *paper,
                    record: None,
                }))
            };
            let (before, now) = (of(5), of(6));
            assert_sound(&now);
            assert!(now.len() <= before.len(), "{name} on {}", paper.word());
            assert!(!printed(&before).contains("daysassigned"), "{name}");
            drawn += usize::from(printed(&now[..1]).contains("daysassigned"));
            all += 1;
        }
    }
    // All but those that say no second day, or more than have room.
    assert!(drawn * 2 > all, "{drawn} of {all}");
}

/// The titles of what goes on behind the back.
fn continued(pages: &[Page]) -> Vec<&str> {
    let marks = pages.iter().skip(2).flat_map(|page| &page.marks);
    let titles = marks.filter_map(|mark| match mark {
        Mark::Text { text, .. } => text.strip_suffix(", continued"),
        _ => None,
    });
    titles.collect()
}

/// Upper and lower end of whatever is printed.
fn reach(mark: &Mark) -> (f32, f32) {
    match mark {
        Mark::Text {
            baseline, size_pt, ..
        } => (baseline - size_pt * MM_PER_PT, *baseline),
        Mark::Path { points, .. } => {
            let ys = points.iter().map(|point| point.y);
            (
                ys.clone().fold(f32::MAX, f32::min),
                ys.fold(f32::MIN, f32::max),
            )
        }
        Mark::Qr {
            y, module_mm, rows, ..
        } => (*y, y + module_mm * rows.len() as f32),
        Mark::Photo { .. } | Mark::Across { .. } => (f32::MAX, f32::MAX),
    }
}

#[test]
fn l1_what_fits_with_closed_gaps_is_taken_to_fit_since_the_seventh_sheet() {
    let mut others = 0;
    for paper in Paper::ALL {
        for ((name, before), (_, mut after)) in wholes(&[]).into_iter().zip(wholes(&SECOND)) {
            (after.revision, after.sheet) = (2, 7);
            let_stand(&mut after);
            let seventh = signed(&after, Some(&before), *paper);
            let set_as = |number: u32| {
                lay_out_sheet(&Sheet {
                    number,
                    ..seventh.clone()
                })
            };
            let (sixth, now) = (set_as(6), set_as(7));
            assert!(now.len() <= sixth.len(), "{name} on {}", paper.word());
            others += usize::from(now != sixth);
        }
    }
    assert!(others > 0, "the sixth sheet is set as the seventh");
}

#[test]
fn queries_that_fill_the_back_go_to_the_front_where_that_has_room() {
    let wholes = wholes(&[]);
    let (_, immediate) = wholes.iter().find(|(name, _)| name == "Immediate").unwrap();
    for count in 1..=13 {
        let mut text = immediate.clone();
        let_stand(&mut text);
        let row = PassedCaution {
            reason: "as agreed".to_owned(),
            ..text.passed.remove(0)
        };
        text.passed = vec![row; count];
        let sheet = signed(&text, None, Paper::A4);
        let pages = lay_out_sheet(&sheet);
        assert_sound(&pages);
        assert_whole(&sheet, &pages);
        assert_eq!(pages.len(), 2, "{count} queries");
    }
}

/// Front and back have no strip without ink that is higher than two lines, and no title stands without a line under it.
fn assert_filled(pages: &[Page]) {
    for page in pages.iter().take(2) {
        let mut inks: Vec<(f32, f32)> = page.marks.iter().map(reach).collect();
        inks.sort_by(|one, other| one.0.total_cmp(&other.0));
        let mut low = page.height_mm;
        for (top, bottom) in inks.into_iter().filter(|(top, _)| *top < page.height_mm) {
            assert!(top - low < 9.5, "nothing between {low} and {top} mm");
            low = if low == page.height_mm {
                bottom
            } else {
                low.max(bottom)
            };
        }
    }
    for page in pages {
        let texts = || {
            page.marks.iter().filter_map(|mark| match mark {
                Mark::Text {
                    x,
                    baseline,
                    size_pt,
                    face,
                    text,
                    ..
                } => Some((*x, *baseline, *size_pt, *face, text.as_str())),
                _ => None,
            })
        };
        let titles = texts().filter(|(_, _, size, face, _)| *size == 9.0 && *face == Face::Bold);
        for (x, baseline, _, _, title) in titles {
            let is_under = |(own, below, ..): &(f32, f32, f32, Face, &str)| {
                (x - 5.0..x + 90.0).contains(own) && (0.5..10.0).contains(&(below - baseline))
            };
            assert!(texts().any(|one| is_under(&one)), "{title} stands alone");
        }
    }
}

#[test]
fn l1_what_is_to_be_made_goes_over_the_page_after_everything_else() {
    let mut raw = sample::raw();
    let long =
        "as on the photographs of the young years, tooth by tooth, with the edges worn flat; "
            .repeat(7);
    for key in [
        "anterior.character",
        "jaw.seating",
        "jaw.note",
        "facebow.note",
        "posterior.note",
        "occlusion.note",
        "shade.note",
        "base_shade.characterisation",
    ] {
        raw.insert(key.to_owned(), long.chars().take(395).collect());
    }
    // The change list is longer than any of the others.
    for (key, text) in [
        ("changes.2.what", "lower_incisors"),
        ("changes.2.direction", "shorter_edge"),
        ("changes.2.mm", "0.5"),
    ] {
        raw.insert(key.to_owned(), text.to_owned());
    }
    for key in ["changes.0.note", "changes.1.note", "changes.2.note"] {
        raw.insert(key.to_owned(), long.chars().take(195).collect());
    }
    for paper in Paper::ALL {
        let of = |number: u32| {
            let mut text = document(typed(&raw)).unwrap();
            text.sheet = number;
            let sheet = signed(&text, None, *paper);
            let pages = lay_out_sheet(&sheet);
            assert_whole(&sheet, &pages);
            if number >= 4 {
                assert_filled(&pages);
            }
            let over = continued(&pages);
            over.into_iter().map(str::to_owned).collect::<Vec<_>>()
        };
        let over = of(4);
        assert!(!over.is_empty(), "{}", paper.word());
        let made = [
            "Changes from the pattern",
            "Mounting and set-up",
            "Pieces",
            "More",
        ];
        let is_made = |title: &String| made.contains(&title.as_str());
        assert!(!over.iter().any(is_made), "{}: {over:?}", paper.word());
        // Until the third sheet the longest list went first, whatever it said.
        assert!(of(3).iter().any(is_made), "{}", paper.word());
        // Since the ninth what comes first and what is asked before stay as long.
        let over = of(9);
        let before_all = ["First, on arrival", "Ask before proceeding if"];
        let is_before_all = |title: &String| before_all.contains(&title.as_str());
        assert!(!over.is_empty(), "{}", paper.word());
        assert!(!over.iter().any(is_before_all), "{over:?}");
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
        // Beyond the edge stand the bands of a copy.
        let (side, edge) = if page.width_mm < 213.0 {
            (12.0, 11.9)
        } else {
            (15.0, 10.1)
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

/// Units behind a number, and the weekdays with which a date begins.
const UNITS: [&str; 6] = ["mm", "min", "°", "°C", "%", "h"];
const WEEKDAYS: [&str; 7] = ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"];

/// What of these words a line may not break: a number with its unit, a day with its weekday and month, and a code.
fn unbroken(words: &[&str]) -> Vec<String> {
    let bare = |word: &str| word.trim_matches(['(', ')', ',', ';', ':', '.']).to_owned();
    let is_number = |word: &str| word.parse::<f64>().is_ok();
    let measures = words.windows(2).filter(|pair| {
        let unit = pair[1].trim_end_matches([')', ',', ';', ':', '.']);
        unit == "mm" || UNITS.contains(&unit) && is_number(&bare(pair[0]))
    });
    let dates = words
        .windows(3)
        .filter(|date| WEEKDAYS.contains(&bare(date[0]).as_str()) && is_number(&bare(date[1])));
    let codes = words.iter().filter(|word| word.matches('-').count() == 2);
    let measures = measures.map(|pair| bare(&pair.join(" ")));
    let dates = dates.map(|date| bare(&date.join(" ")));
    measures
        .chain(dates)
        .chain(codes.map(|code| bare(code)))
        .collect()
}

#[test]
fn what_may_not_be_broken_is_found() {
    let text =
        "set (7 mm), 20 °, 10 min; at 24 °C by Thu 12 Nov 2026. 5 of T23-456-789, h and mind";
    let words: Vec<&str> = text.split(' ').collect();
    let found = [
        "7 mm",
        "20 °",
        "10 min",
        "24 °C",
        "Thu 12 Nov",
        "T23-456-789",
    ];
    assert_eq!(unbroken(&words), found);
}

#[test]
fn no_code_no_date_and_no_measure_is_broken() {
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
                for whole in unbroken(&words) {
                    let is_whole = marks.iter().any(|mark| mark.contains(whole.as_str()));
                    assert!(is_whole, "{name}: {whole} is broken");
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

/// The samples of this file with their second revisions and drafts, and one whose lists go on over the page.
fn every_sample() -> Vec<(String, Sheet)> {
    let named = |(name, text): (&str, Document)| (name.to_owned(), text);
    let mut texts: Vec<(String, Document)> = ordinary().into_iter().map(named).collect();
    texts.extend(wholes(&[]));
    let mut full = samples::document(typed(&samples::full(1)));
    let_stand(&mut full);
    texts.push(("full".to_owned(), full));
    let mut sheets = Vec::new();
    for (name, text) in &texts {
        let mut second = text.clone();
        second.revision += 1;
        second.prescription.vertical.occlusal_mm = None;
        second.prescription.pattern.changes.truncate(1);
        second.prescription.remarks.remarks = None;
        for paper in Paper::ALL {
            sheets.extend([
                (format!("{name}, a draft"), draft(text, *paper)),
                (name.clone(), signed(text, None, *paper)),
                (
                    format!("{name}, second"),
                    signed(&second, Some(text), *paper),
                ),
            ]);
        }
    }
    sheets
}

/// What nobody asks about by touching it: the line at the foot with the number of the page; the words at the code of the
/// record and the cautions, which are the same on every sheet; and the empty frame for pencil.
fn is_of_no_part(sheet: &Sheet, page: &Page, (baseline, text): (f32, &str)) -> bool {
    let words = text.trim();
    let of_code = |mark: &InRecord| match mark {
        InRecord::At(mark) => mark.letters().contains(words) || mark.key_id.contains(words),
        InRecord::Draft => DRAFT_WORDS.contains(words),
        InRecord::Missing => MISSING_WORDS.contains(words),
    };
    let heads = [
        "Cautions",
        "•",
        "Record mark",
        "just after signing; size and root:",
        "Pencil",
    ];
    baseline > page.height_mm - 13.5
        || heads.contains(&words)
        || sheet.cautions.iter().any(|caution| caution.contains(words))
        || of_code(&sheet.mark)
        || words.starts_with("Key ")
}

#[test]
fn every_line_of_every_sample_can_be_touched_and_says_its_field_or_its_part() {
    let mut lines = 0;
    for (name, sheet) in every_sample() {
        let mut untouched = Vec::new();
        for (page, places) in lay_out_places(&sheet) {
            for mark in &page.marks {
                let Mark::Text {
                    x, baseline, text, ..
                } = mark
                else {
                    continue;
                };
                if is_of_no_part(&sheet, &page, (*baseline, text)) {
                    continue;
                }
                lines += 1;
                // Where the first letter stands.
                let (x, y) = (x + 0.2, baseline - 0.6);
                let is_there = places.iter().any(|place| {
                    let Point { x: left, y: top } = place.corner;
                    (left..=left + place.size.0).contains(&x)
                        && (top..=top + place.size.1).contains(&y)
                });
                if !is_there {
                    untouched.push(text.clone());
                }
            }
        }
        assert_eq!(untouched, [""; 0], "{name} on {}", sheet.paper.word());
    }
    assert!(lines > 5_000, "{lines}");
}

#[test]
fn a_number_of_the_picture_speaks_of_its_own_row() {
    let text = document(sample::document()).unwrap();
    let rows = text.prescription.pattern.changes.len();
    let sheet = signed(&text, None, Paper::A4);
    let (page, places) = lay_out_places(&sheet).remove(0);
    let mut found: BTreeMap<usize, usize> = BTreeMap::new();
    for mark in &page.marks {
        let Mark::Text {
            x, baseline, text, ..
        } = mark
        else {
            continue;
        };
        if text.parse::<usize>().is_err() {
            continue;
        }
        let (x, y) = (x + 0.2, baseline - 0.6);
        // The one that is touched lies over the others.
        let touched = places.iter().rev().find(|place| {
            let Point { x: left, y: top } = place.corner;
            (left..=left + place.size.0).contains(&x) && (top..=top + place.size.1).contains(&y)
        });
        let of_changes = touched.filter(|place| place.about.starts_with("changes."));
        if let Some(row) = of_changes.and_then(|place| place.row) {
            *found.entry(row).or_default() += 1;
        }
    }
    // Once in the list, and at least once in the picture below it.
    assert!(rows > 1);
    assert_eq!(found.len(), rows, "{found:?}");
    assert!(found.values().all(|count| *count > 1), "{found:?}");
}
