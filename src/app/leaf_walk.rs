//! The leaves of a case beside what is stored of it, kind by kind and in their order: for whoever holds one case, and for a
//! report, which looks for the leaves of all its cases in the signed tree together.

use super::proven::{Compared, Unproven, compare};
use super::recorded::erased_places;
use super::{App, AppError};
use crate::domain::custody::Event;
use crate::domain::custody::erasing::erased;
use crate::domain::custody::item::Item;
use crate::record::entry::{Entry, LeafKind};
use crate::store::record::LeafRow;
use std::collections::{BTreeMap, BTreeSet};

/// Entries with the keys by which their leaves are found.
pub(super) type KeyedEntries = Vec<(String, Entry)>;

/// What the things of a case are in the record.
pub(super) fn entries_of_items(items: &[Item]) -> Result<KeyedEntries, AppError> {
    let keyed = |item: &Item| Ok((item.tag.as_str().to_owned(), Entry::item(item)?));
    items.iter().map(keyed).collect()
}

/// The same of its entries.
pub(super) fn entries_of_events(events: &[Event]) -> Result<KeyedEntries, AppError> {
    let keyed = |event: &Event| Ok((event.id.to_string(), Entry::event(event)?));
    events.iter().map(keyed).collect()
}

/// The places whose texts the entries of a case say are erased, by the leaves that they are in.
pub(super) struct SaidErased(BTreeMap<(LeafKind, String), BTreeSet<String>>);

impl SaidErased {
    pub(super) fn of(events: &[Event]) -> SaidErased {
        SaidErased(erased_places(events, erased(events)))
    }

    /// Whether nothing else of a leaf is erased, and nothing less.
    fn is_all(&self, kind: LeafKind, about: &str, erased: Vec<String>) -> bool {
        let said = self.0.get(&(kind, about.to_owned()));
        match said {
            Some(said) => BTreeSet::from_iter(erased) == *said,
            None => erased.is_empty(),
        }
    }
}

/// How a walk has ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum WalkEnd {
    /// Each leaf stands for its entry.
    AsRecorded,
    /// This one does not.
    Other(u64),
    /// There is a leaf too many or too few.
    NotAsMany,
}

/// What a walk has found.
pub(super) struct Walked {
    /// Those up to its end that are still to be found in the signed tree.
    pub to_prove: Vec<Unproven>,
    pub end: WalkEnd,
}

/// Goes along the leaves of one kind and the entries, up to the first leaf that stands for another entry.
pub(super) fn walk(
    app: &App,
    (leaves, kind): (&[LeafRow], LeafKind),
    entries: &[(String, Entry)],
    said: &SaidErased,
) -> Walked {
    let mut of_kind = leaves.iter().filter(|leaf| leaf.kind == kind.word());
    let mut to_prove = Vec::new();
    let mut end = WalkEnd::AsRecorded;
    for (about, entry) in entries {
        let Some(leaf) = of_kind.next() else {
            end = WalkEnd::NotAsMany;
            break;
        };
        let erased = match compare(app, leaf, entry) {
            Compared::Proven(erased) => Some(erased),
            Compared::ToProve(one) => {
                let erased = one.erased.clone();
                to_prove.push(one);
                Some(erased)
            }
            Compared::Other => None,
        };
        let is_its =
            leaf.about == *about && erased.is_some_and(|erased| said.is_all(kind, about, erased));
        if !is_its {
            end = WalkEnd::Other(leaf.number);
            break;
        }
    }
    if end == WalkEnd::AsRecorded && of_kind.next().is_some() {
        end = WalkEnd::NotAsMany;
    }
    Walked { to_prove, end }
}
