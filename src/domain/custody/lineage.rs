//! What an item comes down from and what became of it, and what is lent and late.

use super::case_state::CaseState;
use super::item::Item;
use super::ordered::Ordered;
use super::state::{Holder, State};
use crate::domain::people::party::Side;
use crate::domain::values::ids::Tag;
use time::Date;

/// The line through one item: provisional, cast, try-in, final.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Lineage {
    /// What it was made from, and what that was made from, nearest first.
    pub from: Vec<Tag>,
    /// What was made from it, and what was made from that, nearest first.
    pub into: Vec<Tag>,
}

/// Follows an item back and forward. Each item is named once, however many ways lead to it.
pub fn lineage(case: &CaseState, tag: &Tag) -> Lineage {
    let steps = &case.descent;
    let back = |one: &Tag| -> Vec<Tag> {
        let into = steps.iter().filter(|(_, into, _)| into == one);
        into.map(|(from, _, _)| from.clone()).collect()
    };
    let forward = |one: &Tag| -> Vec<Tag> {
        let from = steps.iter().filter(|(from, _, _)| from == one);
        from.map(|(_, into, _)| into.clone()).collect()
    };
    Lineage {
        from: reached(tag, back),
        into: reached(tag, forward),
    }
}

/// Everything that can be reached step by step, without the beginning itself.
fn reached(from: &Tag, next: impl Fn(&Tag) -> Vec<Tag>) -> Vec<Tag> {
    let mut found: Vec<Tag> = Vec::new();
    let mut waiting = next(from);
    while !waiting.is_empty() {
        let mut further = Vec::new();
        for tag in waiting {
            if tag != *from && !found.contains(&tag) {
                further.extend(next(&tag));
                found.push(tag);
            }
        }
        waiting = further;
    }
    found
}

/// A borrowed thing that is not with its lender on the day it is due.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Overdue {
    pub tag: Tag,
    /// The house that has to send it back, or, where the carrier has it, the one that had sent it on.
    pub side: Side,
    pub due: Date,
}

/// When a thing is due back with its lender: as it was registered, or by the prescription in force, whichever is
/// earlier.
pub fn due_back(item: &Item, state: &State, ordered: &Ordered) -> Option<Date> {
    let wanted = ordered.wanted_back.get(&item.tag).copied();
    [state.due_back, wanted].into_iter().flatten().min()
}

/// What is lent and due by `today`; what its lender holds, and what is gone, is not.
pub fn overdue(items: &[Item], case: &CaseState, ordered: &Ordered, today: Date) -> Vec<Overdue> {
    let mut late = Vec::new();
    for item in items.iter().filter(|item| item.borrowed) {
        let Some(state) = case.item(&item.tag).filter(|state| state.is_there()) else {
            continue;
        };
        let due = due_back(item, state, ordered);
        let is_back = state.holder == Holder::of(state.home);
        if let Some(due) = due.filter(|due| *due <= today && !is_back) {
            late.push(Overdue {
                tag: item.tag.clone(),
                side: state.home.other(),
                due,
            });
        }
    }
    late
}
