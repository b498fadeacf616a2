//! What a reader of the next revision is told of it.

use super::*;
use crate::domain::prescription::samples;
use crate::domain::values::tooth::Numbering::Iso3950;

fn text(pairs: &[(&str, &str)]) -> revision::Document {
    let pairs = pairs.iter();
    let raw: Raw = pairs
        .map(|(key, word)| ((*key).to_owned(), (*word).to_owned()))
        .collect();
    samples::document(read_whole(&raw))
}

fn told(after: &revision::Document, before: &revision::Document) -> Vec<String> {
    let words = |text: Option<String>| text.unwrap_or_else(|| "nothing".to_owned());
    let found = after.changed_since(before, Iso3950).into_iter();
    let line = |one: Difference| {
        let (before, after) = (words(one.before), words(one.after));
        format!("{}: {before} > {after}", one.label)
    };
    found.map(line).collect()
}

const SET_UP: &[(&str, &str)] = &[
    ("order.course", "set_up"),
    ("order.kind", "new"),
    ("pieces.0.arch", "upper"),
    ("pieces.0.stage", "try_in"),
    ("jaw.position", "centric_relation"),
    ("shade.tab", "birch 4"),
    ("anterior.upper_mould", "Otter 7"),
    ("vertical.order", "open"),
    ("vertical.occlusal_mm", "65"),
    ("remarks.call_before", "the height is unclear"),
    ("dates.wanted", "2026-03-17"),
    ("dates.insertion", "2026-03-24"),
];

const FINISH: &[(&str, &str)] = &[
    ("order.course", "finish"),
    ("order.kind", "next_stage"),
    ("approval.height", "yes"),
    ("pattern.rule", "exactly"),
    ("pieces.0.arch", "upper"),
    ("pieces.0.stage", "process"),
    ("shade.tab", "birch 3"),
    ("anterior.upper_mould", "Otter 7"),
    ("vertical.order", "keep"),
    ("vertical.occlusal_mm", "64"),
    ("remarks.call_before", "the base is thin"),
    ("base_shade.code", "heather"),
    ("dates.wanted", "2026-04-07"),
    ("dates.insertion", "2026-04-14"),
];

#[test]
fn between_two_kinds_of_work_only_what_both_say_otherwise_is_told() {
    let (before, mut after) = (text(SET_UP), text(FINISH));
    let expected = [
        "New kind of work: set-up for a try-in > finish after an approved try-in",
        "Occlusal vertical dimension: 65 mm > 64 mm",
        "Tab: birch 4 > birch 3",
        "Insertion: 2026-03-24 > 2026-04-14",
    ];
    assert_eq!(told(&after, &before), expected);
    // Who works and what must not come near the patient is told all the same.
    after.patient.facts.truncate(1);
    assert!(told(&after, &before).contains(&"No nickel: yes > nothing".to_owned()));
    // Where everything is asked, each field is told.
    let mut all = FINISH.to_vec();
    all.push(("order.course", "everything"));
    let found = told(&text(&all), &before);
    assert!(
        found.contains(&"Base shade: nothing > heather".to_owned()),
        "{found:?}"
    );
    // The whole list leaves nothing out.
    assert!(after.differences(&before, Iso3950).len() > 12);
}

#[test]
fn what_the_new_kind_of_work_asks_and_is_there_no_longer_is_told() {
    let mut before = SET_UP.to_vec();
    before.extend([
        ("base.material", "polyamide"),
        ("reliefs.0.place", "midline"),
        ("reliefs.0.mm", "0.5"),
        ("reliefs.1.place", "incisive papilla"),
        ("reliefs.1.mm", "0.3"),
    ]);
    let mut immediate = vec![
        ("order.course", "immediate"),
        ("order.kind", "new"),
        ("pieces.0.arch", "upper"),
        ("pieces.0.stage", "process"),
        ("anterior.upper_mould", "Otter 7"),
        ("base_shade.code", "heather"),
        ("dates.wanted", "2026-04-07"),
    ];
    let before = text(&before);
    let found = told(&text(&immediate), &before);
    for gone in [
        "Occlusal vertical dimension: 65 mm > nothing",
        "Tab: birch 4 > nothing",
        "Insertion: 2026-03-24 > nothing",
    ] {
        assert!(found.contains(&gone.to_owned()), "{gone}: {found:?}");
    }
    let has = |words: &str| found.iter().any(|one| one.contains(words));
    assert!(has("centric relation > nothing"), "{found:?}");
    assert!(has("0.5") && has("0.3"), "each row of a list: {found:?}");
    // Not asked of an immediate denture, or said by each kind of work in its own way; and what is new is none withdrawn.
    for silent in ["polyamide", "unclear", "heather"] {
        assert!(!has(silent), "{silent}: {found:?}");
    }
    // A kind of work that does not ask it tells nothing of it.
    immediate.push(("order.course", "finish"));
    let found = told(&text(&immediate), &before);
    assert!(!found.iter().any(|one| one.starts_with("Tab")), "{found:?}");
    // What stands in the place of a row is told with it.
    immediate.extend([
        ("order.course", "immediate"),
        ("reliefs.0.place", "torus"),
        ("reliefs.0.mm", "1"),
    ]);
    let found = told(&text(&immediate), &before);
    let has = |words: &str| found.iter().any(|one| one.contains(words));
    assert!(has("0.5") && has("0.3") && has("torus"), "{found:?}");
}

#[test]
fn an_older_sheet_lists_what_it_listed_when_it_was_signed() {
    let before = text(SET_UP);
    let mut after = text(&[
        ("order.course", "immediate"),
        ("order.kind", "new"),
        ("pieces.0.arch", "upper"),
        ("vertical.occlusal_mm", "64"),
    ]);
    let mut listed = |sheet: u32| {
        after.sheet = sheet;
        let found = after.changed_on_sheet(&before).into_iter();
        let (all, now) = (after.differences(&before, Iso3950), told(&after, &before));
        let labels: Vec<String> = found.map(|one| one.label).collect();
        (labels, all.len(), now.len())
    };
    let has = |labels: &[String], one: &str| labels.iter().any(|label| label == one);
    let (labels, all, _) = listed(5);
    assert_eq!(labels.len(), all);
    assert!(!has(&labels, "New kind of work") && has(&labels, "Tab"));
    let (labels, _, now) = listed(6);
    assert!(has(&labels, "New kind of work") && has(&labels, "Occlusal vertical dimension"));
    assert!(!has(&labels, "Tab"), "{labels:?}");
    // A page tells it all the same.
    assert!(labels.len() < now, "{labels:?}");
    let (labels, _, now) = listed(7);
    assert!(has(&labels, "Tab") && labels.len() == now, "{labels:?}");
}

#[test]
fn within_one_kind_of_work_each_field_is_told_and_things_and_cautions_are_not() {
    let before = text(SET_UP);
    let mut raw = SET_UP.to_vec();
    raw.retain(|(key, _)| *key != "jaw.position");
    raw.push(("base_shade.code", "heather"));
    let mut after = text(&raw);
    after.items.clear();
    after.passed.clear();
    after.missing.clear();
    after.warnings.clear();
    let found = told(&after, &before);
    assert_eq!(found.len(), 2, "{found:?}");
    assert!(
        found
            .iter()
            .any(|one| one.ends_with("centric relation > nothing"))
    );
    assert!(found.iter().any(|one| one.ends_with("nothing > heather")));
    assert_eq!(told(&before, &before), Vec::<String>::new());
}

#[test]
fn what_a_refused_height_takes_with_it_is_not_told_as_withdrawn() {
    let keyed = [SET_UP, &[("jaw.keyed", "yes")]].concat();
    let told_of = |height: &str| {
        let reset = [
            ("order.course", "reset"),
            ("pieces.0.arch", "upper"),
            ("pieces.0.stage", "reset"),
            ("approval.height", height),
            ("vertical.occlusal_mm", "61.5"),
        ];
        told(&text(&reset), &text(&keyed))
    };
    let is_withdrawn = |told: &[String]| told.iter().any(|line| line == "Keyed: yes > nothing");
    assert!(is_withdrawn(&told_of("yes")), "{:?}", told_of("yes"));
    let refused = told_of("no");
    assert!(!is_withdrawn(&refused), "{refused:?}");
    let new = "Occlusal vertical dimension: 65 mm > 61.5 mm".to_owned();
    assert!(refused.contains(&new), "{refused:?}");
}

#[test]
fn what_is_asked_after_another_try_in_is_no_other_wording_of_what_was_asked_before() {
    let first = &[
        ("order.course", "reset"),
        ("pieces.0.arch", "upper"),
        ("pieces.0.stage", "reset"),
        ("approval.on", "2026-03-10"),
        ("approval.by", "patient"),
        ("approval.height", "no"),
        ("changes.0.what", "midline"),
        ("changes.0.direction", "right"),
        ("changes.0.mm", "1"),
        ("shade.tab", "birch 4"),
    ];
    let second: Vec<(&str, &str)> = first
        .iter()
        .map(|(key, text)| match *key {
            "approval.on" => (*key, "2026-03-24"),
            "approval.by" => (*key, "dentist_alone"),
            "changes.0.direction" => (*key, "left"),
            "shade.tab" => (*key, "birch 5"),
            _ => (*key, *text),
        })
        .collect();
    let later = told(&text(&second), &text(first));
    assert!(
        later.iter().any(|line| line.ends_with("birch 4 > birch 5")),
        "{later:?}"
    );
    let of_the_look = later.iter().filter(|line| !line.contains("birch"));
    let of_the_look: Vec<&String> = of_the_look.collect();
    assert!(!of_the_look.is_empty());
    assert!(
        of_the_look.iter().all(|line| line.contains(": nothing > ")),
        "{later:?}"
    );
    // The sheet tells it as the pages do, since the eighth; one that was signed before lists what it listed.
    let on_sheet = |sheet: u32| {
        let mut after = text(&second);
        after.sheet = sheet;
        let found = after.changed_on_sheet(&text(first));
        let of_the_look = found.into_iter().filter(|one| one.label != "Tab");
        of_the_look.map(|one| one.before).collect::<Vec<_>>()
    };
    assert_eq!(on_sheet(8).len(), of_the_look.len());
    assert!(on_sheet(8).iter().all(Option::is_none), "{:?}", on_sheet(8));
    assert!(on_sheet(7).iter().any(Option::is_some), "{:?}", on_sheet(7));
    // A text that is corrected for the same try-in is told word for word.
    let same: Vec<(&str, &str)> = second
        .iter()
        .map(|&(key, text)| match key {
            "approval.on" => (key, "2026-03-10"),
            _ => (key, text),
        })
        .collect();
    let same = told(&text(&same), &text(first));
    assert!(
        same.iter()
            .any(|line| line.contains("the patient > dentist alone")),
        "{same:?}"
    );
}
