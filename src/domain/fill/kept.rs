//! What of a save is stored: what somebody has written, and not what the page had filled in.

use super::filling::{course_of, proposals, with_details};
use super::known::OnRecord;
use super::layers::{is_touched, list_of};
use crate::domain::prescription::draft::{Fields, apply};
use crate::domain::prescription::sources::{USUAL, USUAL_OF_LAB};
use crate::domain::prescription::usual::InUse;
use std::collections::BTreeSet;

/// Stands in a draft for a field that is wanted empty although something could be filled in. Every reader takes a
/// blank for nothing.
const WANTED_EMPTY: &str = " ";

/// The fields of a save as they are to be stored over what is `typed` already.
///
/// - A value that was filled in and comes back as it was is nobody's: it is not stored, so that its source stays known
///   and it follows what it was drawn from.
/// - A field that is sent empty where something would be filled in is kept as a blank: it was emptied on purpose. It stays
///   one, whatever kind of work the draft is turned into meanwhile.
/// - With the first text in a list, all rows that were filled in are stored with it: from then on the list is the
///   writer's whole, and no row vanishes or comes in beside it.
/// - With the first of all, the versions of the usual values that the page showed, or that it showed none: a set that is
///   changed or made later changes no draft under the hands of its writer.
pub fn kept(sent: &Fields, typed: &Fields, known: &OnRecord<'_>) -> Fields {
    let found = proposals(typed, known);
    let (filled, details) = with_details(typed, &found, known);
    let shown = |key: &str| filled.from.get(key).and_then(|_| filled.fields.get(key));
    // Of a list that could be filled in, the last text that goes leaves a blank: the list stays the writer's.
    let is_of_proposed_list = |key: &str| {
        let list = list_of(key).filter(|_| typed.contains_key(key));
        list.is_some_and(|list| found.keys().any(|other| list_of(other) == Some(list)))
    };
    let is_wanted_empty = |key: &str| typed.get(key).is_some_and(|text| text == WANTED_EMPTY);
    let lies_below = |key: &str| {
        found.contains_key(key) || details.contains_key(key) || is_of_proposed_list(key)
    };
    let has_shown = has_shown(sent, &shown, filled.from.len());
    let mut kept = Fields::new();
    for (key, text) in sent {
        let text = match shown(key) {
            Some(there) if text == there => continue,
            Some(_) if text.is_empty() && !has_shown => continue,
            // The page shows an empty choice for "begun without a set".
            None if text.is_empty() && is_begun_without(typed, key) => continue,
            _ if text.is_empty() && (lies_below(key) || is_wanted_empty(key)) => WANTED_EMPTY,
            _ => text,
        };
        kept.insert(key.clone(), text.to_owned());
    }
    let lists: BTreeSet<String> = kept
        .iter()
        .filter(|(_, text)| !text.is_empty())
        .filter_map(|(key, _)| list_of(key))
        .filter(|list| !is_touched(typed, list))
        .map(str::to_owned)
        .collect();
    for (key, (text, _)) in &found {
        if list_of(key).is_some_and(|list| lists.contains(list)) {
            kept.entry(key.clone()).or_insert_with(|| text.clone());
        }
    }
    hold_to_versions(&mut kept, typed, known);
    kept
}

fn is_begun_without(typed: &Fields, key: &str) -> bool {
    let is_of_sets = [USUAL, USUAL_OF_LAB].contains(&key);
    is_of_sets && typed.get(key).is_some_and(|mark| InUse::is_without(mark))
}

fn hold_to_versions(kept: &mut Fields, typed: &Fields, known: &OnRecord<'_>) {
    let text = |fields: &Fields, key: &str| fields.get(key).cloned().unwrap_or_default();
    let is_new = |(key, new): (&String, &String)| *new != text(typed, key);
    if !kept.iter().any(is_new) {
        return;
    }
    let mut after = typed.clone();
    apply(&mut after, kept);
    let found = proposals(&after, known);
    let course = course_of(&after, known);
    for key in [USUAL, USUAL_OF_LAB] {
        let named = after.get(key).map(|mark| mark.trim());
        let is_open = named.is_none_or(InUse::is_without);
        match (found.get(key), course) {
            _ if named == Some("") => {}
            (Some((mark, _)), _) => {
                kept.insert(key.to_owned(), mark.clone());
            }
            (None, Some(course)) if is_open => {
                kept.insert(key.to_owned(), InUse::without(course));
            }
            _ => {}
        }
    }
}

/// Of the fields that come back as they were filled in, how many emptied ones a page may bring that showed them all.
const EMPTIED_FOR_ONE: usize = 4;

/// Whether the page that sends this showed what is filled in. A page that was made before the kind of work was chosen
/// sends nearly all of these fields empty, and nobody has emptied them; one that shows them brings some of them back,
/// even where most were emptied, and a script sends only what was touched.
fn has_shown<'a>(sent: &Fields, shown: &impl Fn(&str) -> Option<&'a String>, all: usize) -> bool {
    let asked = sent
        .iter()
        .filter_map(|(key, text)| Some((text, shown(key)?)));
    let (mut back, mut empty) = (0, 0);
    for (text, there) in asked {
        back += usize::from(text == there);
        empty += usize::from(text.is_empty());
    }
    (back + empty) * 2 <= all || back * EMPTIED_FOR_ONE >= empty
}
