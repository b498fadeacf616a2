//! Free texts that can be taken out of the entries for good, and what never goes.
//!
//! A text about a person should never have been written here, and is sometimes written all the same. It can
//! be erased: in its place stands [`ERASED`], and that somebody erased it, why and when, is an entry of its
//! own. What says who did what with which thing, and how it was disinfected, stays: names under entries and
//! signatures, carrier and seal, agent and minutes, material and lot. That personal data is erased when it
//! was not lawfully kept, and that obligations of the law to keep a record go before: Regulation (EU)
//! 2016/679, article 17, paragraphs 1 and 3, from memory. Which texts these are: common practice, no source.

use super::erased_text::{ERASED, ErasedText};
use super::event::Event;
use super::events::{KINDS, What};
use crate::domain::values::ids::Tag;
use serde_json::Value;

/// A text that can be taken out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Erasable {
    pub place: String,
    pub called: &'static str,
    pub words: String,
}

/// The texts of an entry that can be taken out; one that is empty is none.
pub fn erasable(event: &Event) -> Vec<Erasable> {
    let (kind, value) = (event.what.word(), serde_json::to_value(event));
    let value = value.unwrap_or_default();
    let mut texts = Vec::new();
    let places = KINDS.iter().filter(|(word, _, _)| *word == kind);
    for (place, called) in places.flat_map(|(_, _, erasable)| *erasable) {
        let steps: Vec<&str> = place.split('/').skip(1).collect();
        collect(&value, &steps, String::new(), called, &mut texts);
    }
    texts
}

fn collect(
    value: &Value,
    steps: &[&str],
    at: String,
    called: &'static str,
    texts: &mut Vec<Erasable>,
) {
    match (steps, value) {
        ([], Value::String(words)) if !words.is_empty() => texts.push(Erasable {
            place: at,
            called,
            words: words.clone(),
        }),
        (["*", rest @ ..], Value::Array(items)) => {
            for (number, item) in items.iter().enumerate() {
                collect(item, rest, format!("{at}/{number}"), called, texts);
            }
        }
        ([step, rest @ ..], Value::Object(members)) => {
            if let Some(member) = members.get(*step) {
                collect(member, rest, format!("{at}/{step}"), called, texts);
            }
        }
        _ => {}
    }
}

/// What a place of an entry is called; none where nothing can be taken out.
pub fn called(event: &Event, place: &str) -> Option<&'static str> {
    let found = erasable(event).into_iter().find(|text| text.place == place);
    found.map(|text| text.called)
}

/// The thing whose own note is the same text: it was typed once, when the thing was registered.
pub fn note_of(event: &Event, place: &str) -> Option<Tag> {
    match &event.what {
        What::Registered(new) if place == "/what/note" => Some(new.tag.clone()),
        _ => None,
    }
}

/// Everything that the entries say was taken out.
pub fn erased(events: &[Event]) -> impl Iterator<Item = &ErasedText> {
    events.iter().flat_map(|event| match &event.what {
        What::Erased(erased) => erased.texts.as_slice(),
        _ => &[],
    })
}

/// A stored text with [`ERASED`] in these places, canonical (RFC 8785); none where one of them holds no text.
/// All else stays as it was stored, whatever the types of today would make of it.
pub fn blanked<'a>(body: &str, places: impl IntoIterator<Item = &'a str>) -> Option<String> {
    let mut value: Value = serde_json::from_str(body).ok()?;
    for place in places {
        let text = value.pointer_mut(place).filter(|text| text.is_string())?;
        *text = Value::String(ERASED.to_owned());
    }
    serde_json_canonicalizer::to_string(&value).ok()
}
