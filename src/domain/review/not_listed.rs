//! A record that is named and not enclosed: which one it is beside those that are listed, and that it can be added.

use super::input::Input;
use super::rule::{Hit, at};
use crate::domain::custody::item::Item;
use crate::domain::values::ids::Tag;

/// That a record is missing in the list. A list that its writer has touched takes no new record in by itself: where it
/// holds an older one of the same kind, it is said which of the two is new.
pub fn not_listed(input: &Input<'_>, key: &str, noun: &str, tag: &Tag) -> Option<Hit> {
    let older: Vec<String> = older_listed(input, tag)
        .into_iter()
        .map(|item| item.tag.to_string())
        .collect();
    let sentence = match older.is_empty() {
        true => {
            format!("The {noun} {tag} is neither in the list of what is enclosed nor at the lab.")
        }
        false => format!(
            "The new {noun} {tag} is neither in the list of what is enclosed nor at the lab: the list has {}, which is older.",
            older.join(" and ")
        ),
    };
    Some(at(key, sentence)?.answered_by(input, tag))
}

/// Things of the same kind and jaw that are listed and were registered before.
fn older_listed<'a>(input: &Input<'a>, tag: &Tag) -> Vec<&'a Item> {
    let place = |tag: &Tag| {
        let mut items = input.setting.items.iter();
        items.position(|item| item.tag == *tag)
    };
    let named = input.item(tag).zip(place(tag));
    let is_older = |item: &&Item| {
        named.is_some_and(|(new, at)| {
            let is_before = place(&item.tag).is_some_and(|place| place < at);
            is_before && item.kind == new.kind && item.arch == new.arch
        })
    };
    let listed = input.enclosed_items().map(|(_, item)| item);
    listed.filter(is_older).collect()
}
