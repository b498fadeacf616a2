//! Where a case as a whole stands: the column of the first page, and why it is held.

use super::rules::Context;
use super::state::{Condition, Custody, Holder};
use crate::domain::arch::Arch;
use crate::domain::case::{Arches, Place};
use crate::domain::handoff::{Handoff, HandoffState};
use crate::domain::item::ItemKind;
use crate::domain::mouth;
use crate::domain::party::PartyKind;

/// What the first page shows of a case's items.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Standing {
    pub place: Place,
    /// Why work waits; empty when it does not.
    pub held: String,
    /// Whether what is on the way goes to the office.
    pub to_office: bool,
    /// Whether a final denture lies at the office and waits for the mouth.
    pub to_fit: bool,
}

/// On the way while anything is; with the patient when the final of every treated arch is in the mouth;
/// otherwise with the side that received last. Casts and an index stay at the lab long after the work has
/// left it, so what the lab still holds says nothing; before the first handoff everything is the office's.
pub fn standing(context: &Context<'_>, custody: &Custody, handoffs: &[Handoff]) -> Standing {
    let is_open = |one: &&Handoff| one.state() == HandoffState::OnTheWay;
    let received = handoffs.iter().filter(|one| one.received_at.is_some());
    let last = received.max_by_key(|one| one.received_at.map(|at| at.unix_ms));
    let place = if handoffs.iter().any(|one| is_open(&one)) {
        Place::OnTheWay
    } else if finals_are_worn(context) {
        Place::Patient
    } else if last.is_some_and(|one| one.to == PartyKind::Lab) {
        Place::Lab
    } else {
        Place::Office
    };
    let to_office = handoffs
        .iter()
        .filter(is_open)
        .any(|one| one.to == PartyKind::Office);
    Standing {
        place,
        held: held(context, custody),
        to_office,
        to_fit: final_is_at_the_office(context, custody),
    }
}

fn final_is_at_the_office(context: &Context<'_>, custody: &Custody) -> bool {
    let is_here = |tag| {
        custody
            .get(tag)
            .is_some_and(|state| state.gone.is_none() && state.holder == Holder::Office)
    };
    context
        .items
        .iter()
        .any(|item| item.kind == ItemKind::FinalDenture && is_here(&item.tag))
}

fn finals_are_worn(context: &Context<'_>) -> bool {
    let line = mouth::fold(context.items, context.events);
    let treated: &[Arch] = match context.arches {
        Arches::Both => &[Arch::Upper, Arch::Lower],
        Arches::Upper => &[Arch::Upper],
        Arches::Lower => &[Arch::Lower],
    };
    treated.iter().all(|arch| {
        let worn = mouth::worn_in(&line, *arch);
        context
            .items
            .iter()
            .any(|item| Some(&item.tag) == worn && item.kind == ItemKind::FinalDenture)
    })
}

/// The first thing, in order of tags, that holds the case.
fn held(context: &Context<'_>, custody: &Custody) -> String {
    for item in context.items {
        let Some(state) = custody.get(&item.tag).filter(|state| state.gone.is_none()) else {
            continue;
        };
        let title = item.title();
        if state.missing {
            return format!("{title} was missing from the box");
        }
        if state.condition == Condition::Damaged {
            return format!("{title} arrived damaged");
        }
        if state.condition == Condition::NotAsDescribed {
            return format!("{title} is not as described");
        }
        if state.held_for_disinfection && item.kind.needs_disinfection() {
            return format!("{title} came without a mark of disinfection");
        }
    }
    String::new()
}
