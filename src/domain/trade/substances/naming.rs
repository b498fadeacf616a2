//! Which material is named from a word of a text on.

use super::material::{Family, MaterialKind, TABLE, entry};
use super::words::clears_before;
use std::collections::BTreeMap;
use std::sync::LazyLock;

/// A material, and what follows the first word of one of its names.
type FurtherWords = (MaterialKind, Vec<&'static str>);

/// The names of materials by their first word, each with its further words: a long text is read without walking all
/// of them at each of its words.
static BY_FIRST_WORD: LazyLock<BTreeMap<&str, Vec<FurtherWords>>> = LazyLock::new(|| {
    let mut names: BTreeMap<&str, Vec<FurtherWords>> = BTreeMap::new();
    for entry in TABLE {
        for phrase in entry.words {
            let mut words = phrase.split(' ');
            let first = words.next().unwrap_or_default();
            let further = words.collect();
            names.entry(first).or_default().push((entry.kind, further));
        }
    }
    names
});

/// The material that is named from this word on, by the longest of its names. "Cobalt-chrome nickel-free" is a
/// cobalt-chrome: a last word that a "free" clears is no part of the name, where there is a shorter one.
pub(super) fn material_at(lower: &[String], place: usize) -> Option<(MaterialKind, usize)> {
    let names = BY_FIRST_WORD.get(lower.get(place)?.as_str())?;
    let fits = |(material, further): &FurtherWords| {
        let here = lower.get(place + 1..place + 1 + further.len())?;
        let is_here = here.iter().map(String::as_str).eq(further.iter().copied());
        is_here.then_some((*material, further.len() + 1))
    };
    let found: Vec<(MaterialKind, usize)> = names.iter().filter_map(fits).collect();
    let longest = |most: usize| {
        let short = found.iter().copied().filter(|(_, length)| *length <= most);
        short.max_by_key(|(_, length)| *length)
    };
    let (material, length) = longest(usize::MAX)?;
    let is_alloy = entry(material).family == Family::Alloy;
    let shorter = longest(length - 1).filter(|_| is_alloy && clears_before(lower, place + length));
    shorter.or(Some((material, length)))
}
