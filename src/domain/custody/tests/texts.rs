//! Every free text of an event is committed in the record's leaf and can be erased. Which texts a kind of event has is
//! read off its stored form, so that no list has to be kept of them.

use super::traced::{Traced, traced};
use crate::domain::custody::events::{ACTIONS, Constants, KINDS, OfEachKind, ask_each_kind};
use crate::domain::form::{FieldSpec, Kind, Raw};
use crate::domain::values::ids::Tag;
use serde::de::DeserializeOwned;
use serde_json::Value;

/// Whether a place with `*` for any place in a list is this one.
fn is_at(place: &str, pattern: &str) -> bool {
    let (place, pattern) = (place.split('/'), pattern.split('/'));
    place.clone().count() == pattern.clone().count()
        && place
            .zip(pattern)
            .all(|(one, wanted)| wanted == "*" || one == wanted)
}

/// What stands against a free text of this kind of event at `/what/…`.
fn against(kind: &str, place: &str) -> Option<String> {
    let (_, open, erasable) = KINDS.iter().find(|(word, _, _)| *word == kind).unwrap();
    let within = place.strip_prefix("/what/").unwrap();
    if open.iter().any(|one| is_at(within, one)) {
        return Some(format!("{kind} {place} is readable in the leaf"));
    }
    let is_erasable = erasable.iter().any(|(one, _)| is_at(place, one));
    (!is_erasable).then(|| format!("{kind} {place} cannot be erased"))
}

/// The places of all texts with this mark.
fn places(value: &Value, at: &str, mark: &str, found: &mut Vec<String>) {
    match value {
        Value::String(text) if text.contains(mark) => found.push(at.to_owned()),
        Value::Array(list) => {
            for (place, one) in list.iter().enumerate() {
                places(one, &format!("{at}/{place}"), mark, found);
            }
        }
        Value::Object(map) => {
            for (key, one) in map {
                places(one, &format!("{at}/{key}"), mark, found);
            }
        }
        _ => {}
    }
}

fn tag() -> Tag {
    let tags = (0..=u8::MAX).filter_map(|last| Tag::from_random([1, 2, 3, 4, 5, 6, last]));
    tags.into_iter().next().unwrap()
}

fn well_filled(spec: &FieldSpec) -> String {
    match spec.kind {
        Kind::Text { .. } | Kind::LongText { .. } => format!("mark of {}", spec.key),
        Kind::Name { .. } => "somebody".to_owned(),
        Kind::Choice(words) => words[0].0.to_owned(),
        Kind::Whole { min, .. } => min.max(1).to_string(),
        Kind::Mm { .. } => "1".to_owned(),
        Kind::Date => "2026-03-02".to_owned(),
        Kind::Time => "09:30".to_owned(),
        Kind::Tag => tag().as_str().to_owned(),
        Kind::Tick | Kind::YesNo => "yes".to_owned(),
        Kind::Entry => "an entry".to_owned(),
        _ => String::new(),
    }
}

#[test]
fn every_free_text_of_an_action_on_an_item_is_committed_and_can_be_erased() {
    let mut texts = 0;
    for action in ACTIONS {
        let filled = action
            .fields
            .iter()
            .map(|spec| (spec.key.to_owned(), well_filled(spec)));
        let raw: Raw = filled.collect();
        let mut faults = Vec::new();
        let what = (action.typed)(&tag(), &raw, &mut faults);
        let what = what.unwrap_or_else(|| panic!("{}: {faults:?}", action.word));
        let stored = serde_json::to_value(&what).unwrap();
        for spec in action.fields.iter().filter(|spec| spec.is_free_text()) {
            let mut found = Vec::new();
            places(
                &stored,
                "/what",
                &format!("mark of {}", spec.key),
                &mut found,
            );
            assert!(
                !found.is_empty(),
                "{} {} is not stored",
                action.word,
                spec.key
            );
            for place in found {
                texts += 1;
                assert_eq!(against(what.word(), &place), None);
            }
        }
    }
    assert!(texts >= 8, "{texts} texts were found");
}

/// Words that stay, by the last step of their place: who did what with which thing, by what it is known, and how it was
/// disinfected.
const STAYS: &[&str] = &[
    "address",
    "agent",
    "carrier",
    "dilution",
    "foreign",
    "handed_out_by",
    "hash",
    "keeper",
    "licence",
    "lot",
    "maker",
    "mark",
    "meaning",
    "name",
    "number",
    "person",
    "seal",
    "taken_by",
    "tracking",
    "with",
];

/// Codes that are stored as words without a type of their own.
const CODES: &[(&str, &str)] = &[
    ("asked", "section"),
    ("asked", "line"),
    ("passed_on", "more/*"),
    ("telephoned", "section"),
    ("withdrawn", "was"),
    ("erased", "texts/*/place"),
];

/// What stands against the places of each kind.
#[derive(Default)]
struct Against {
    found: Vec<String>,
    texts: usize,
}

impl Against {
    fn text(&mut self, word: &str, place: &str, open: &[&str], erasable: &[&str]) {
        let is_code = CODES.contains(&(word, place));
        let last = place.rsplit('/').next().unwrap();
        self.texts += 1;
        if open.contains(&place) && !is_code {
            self.found
                .push(format!("{word} {place} is readable in the leaf"));
        }
        if !is_code && !erasable.contains(&place) && !STAYS.contains(&last) {
            self.found.push(format!("{word} {place} cannot be erased"));
        }
    }
}

impl OfEachKind for Against {
    fn ask<K: Constants + DeserializeOwned>(&mut self) {
        let Traced { texts, all } = traced::<K>();
        let erasable: Vec<&str> = K::ERASABLE
            .iter()
            .map(|(place, _)| place.strip_prefix("/what/").unwrap())
            .collect();
        for place in &texts {
            self.text(K::WORD, place, K::OPEN, &erasable);
        }
        for place in K::OPEN.iter().filter(|place| !all.contains(**place)) {
            self.found
                .push(format!("{} has no {place}, which is open", K::WORD));
        }
        for place in erasable.iter().filter(|place| !texts.contains(**place)) {
            self.found.push(format!(
                "{} has no text {place}, which is erasable",
                K::WORD
            ));
        }
    }
}

#[test]
fn every_free_text_of_each_kind_is_committed_and_can_be_erased() {
    let mut against = Against::default();
    ask_each_kind(&mut against);
    assert_eq!(against.found, Vec::<String>::new());
    assert!(against.texts > 60, "{} texts were found", against.texts);
}
