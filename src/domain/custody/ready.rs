//! Whether work for an arch can be begun: what was listed for it has come, and it is not in the mouth already.

use super::case_state::CaseState;
use super::event::Event;
use super::events::What;
use super::item::Item;
use super::ordered::{Lacking, Ordered, lacking};
use super::pieces::was_delivered;
use crate::domain::people::party::Side;
use crate::domain::values::arch::{Arch, Arches};
use crate::domain::values::ids::Tag;

/// Why a tick is asked before anything is begun for an arch.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum NotReady {
    /// Listed for it, or for what it bites against, and not come to the lab.
    Lacks(Vec<Lacking>),
    /// What was ordered has been in the mouth.
    InTheMouth,
}

/// What stands against beginning something for this arch.
pub fn not_ready(
    ordered: &Ordered,
    items: &[Item],
    case: &CaseState,
    arch: Arch,
) -> Option<NotReady> {
    if was_delivered(ordered, items, case, arch) {
        return Some(NotReady::InTheMouth);
    }
    let lacks = lacking(ordered, items, case).into_iter();
    let is_for = |one: &Lacking| one.arch.is_some_and(|jaw| ordered.is_for(jaw, arch));
    let lacks: Vec<Lacking> = lacks.filter(is_for).collect();
    (!lacks.is_empty()).then_some(NotReady::Lacks(lacks))
}

/// The arches of these for which nothing is to be begun.
pub fn deferred_arches(
    ordered: &Ordered,
    items: &[Item],
    case: &CaseState,
    arches: &[Arch],
) -> Vec<Arch> {
    let is_not = |arch: &&Arch| not_ready(ordered, items, case, **arch).is_some();
    arches.iter().filter(is_not).copied().collect()
}

/// Of what is to be sent the lab's own work that was there before the revision in force was signed: no step of the
/// bench was entered to that revision, the lab's last word to it is not that all stands, and it has not been sent since. Of
/// a first revision nothing is asked.
pub fn made_before(
    ordered: &Ordered,
    (items, events): (&[Item], &[Event]),
    case: &CaseState,
    sent: &[Tag],
) -> Vec<Tag> {
    let Some(since) = ordered.since.filter(|_| ordered.revision > 1) else {
        return Vec::new();
    };
    let was_begun = |tag: &Tag| {
        events.iter().any(|event| match &event.what {
            What::Registered(one) => one.tag == *tag && event.at.unix_ms < since.unix_ms,
            _ => false,
        })
    };
    let was_worked_on = |arch: Option<Arch>| {
        let is_of_it = |revision: i64, arches: Arches| {
            let is_its = arch.is_none_or(|arch| arches.treated().contains(&arch));
            revision == ordered.revision && is_its
        };
        let mut entries = case.bench.iter();
        // A word is set right by saying it again.
        let mut words = case.carried.iter().rev();
        entries.any(|one| is_of_it(one.revision, one.arches))
            || words
                .find(|one| is_of_it(one.revision, one.arches))
                .is_some_and(|one| one.again_from.is_none())
    };
    let was_sent = |tag: &Tag| {
        case.handoffs.iter().any(|one| {
            one.from == Side::Lab
                && one.voided.is_none()
                && (one.released_at.unix_ms >= since.unix_ms
                    || one.as_revision == Some(ordered.revision))
                && one.carries(tag)
        })
    };
    let is_older = |item: &&Item| {
        let home = case.item(&item.tag).map(|state| state.home);
        item.kind.is_made_for_the_mouth()
            && home == Some(Side::Lab)
            && sent.contains(&item.tag)
            && was_begun(&item.tag)
            && !was_worked_on(item.arch)
            && !was_sent(&item.tag)
    };
    let older = items.iter().filter(is_older);
    older.map(|item| item.tag.clone()).collect()
}
