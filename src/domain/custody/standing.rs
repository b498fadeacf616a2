//! Where a case as a whole stands: the column of the first page, and why it is held.

use super::case_state::CaseState;
use super::held::{Held, HoldReason, ItemName};
use super::hold::Hold;
use super::rules::Context;
use super::state::Custody;
use crate::domain::custody::case::Place;
use crate::domain::custody::handoff::{Handoff, HandoffState};
use crate::domain::custody::item::ItemKind;
use crate::domain::custody::mouth;
use crate::domain::people::party::Side;

/// What the first page shows of a case's items.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Standing {
    pub place: Place,
    /// Why work waits; `None` when it does not.
    pub held: Option<Held>,
    /// Whose statements are awaited, the earliest hold first.
    pub to_resolve: Vec<Side>,
    /// Whether what is on the way goes to the office.
    pub to_office: bool,
    /// Whose parcels wait for their carrier.
    pub packed: Vec<Side>,
    /// Whether a final denture lies at the office and waits for the mouth.
    pub to_fit: bool,
}

/// On the way while anything is; with the patient when the final of every treated arch is in the mouth;
/// otherwise with the side that received last. Casts and an index stay at the lab long after the work has
/// left it, so what the lab still holds says nothing; before the first handoff everything is the office's.
pub fn standing(context: &Context<'_>, case: &CaseState) -> Standing {
    let (custody, handoffs) = (&case.custody, &case.handoffs);
    // A parcel that is not here yet is on the way, whatever came before it.
    let is_open = |one: &&Handoff| {
        one.state() == HandoffState::OnTheWay
            || (one.state() == HandoffState::PartReceived && !one.waiting().is_empty())
    };
    let received = handoffs.iter().filter(|one| one.received_at.is_some());
    let last = received.max_by_key(|one| one.received_at.map(|at| at.unix_ms));
    let place = if handoffs.iter().any(|one| is_open(&one)) {
        Place::OnTheWay
    } else if finals_are_worn(context, case) {
        Place::Patient
    } else if last.is_some_and(|one| one.to == Side::Lab) {
        Place::Lab
    } else {
        Place::Office
    };
    let to_office = handoffs
        .iter()
        .filter(is_open)
        .any(|one| one.to == Side::Office);
    let is_packed = |side: &Side| {
        let mut handoffs = handoffs.iter();
        handoffs.any(|one| one.is_packed() && one.from == *side)
    };
    let holds: Vec<&Hold> = case.open_holds().collect();
    let mut to_resolve: Vec<Side> = Vec::new();
    for hold in &holds {
        if !to_resolve.contains(&hold.side) {
            to_resolve.push(hold.side);
        }
    }
    Standing {
        place,
        held: held(context, custody, &holds),
        to_resolve,
        to_office,
        packed: Side::ALL.iter().copied().filter(is_packed).collect(),
        to_fit: final_is_at_the_office(context, custody),
    }
}

fn final_is_at_the_office(context: &Context<'_>, custody: &Custody) -> bool {
    let is_here = |tag| {
        custody
            .get(tag)
            .is_some_and(|state| state.is_in_hand(Side::Office))
    };
    context
        .items
        .iter()
        .any(|item| item.kind == ItemKind::FinalDenture && is_here(&item.tag))
}

fn finals_are_worn(context: &Context<'_>, case: &CaseState) -> bool {
    let line = case.worn(context.items);
    context.arches.treated().iter().all(|arch| {
        let worn = mouth::worn_in(&line, *arch);
        context
            .items
            .iter()
            .any(|item| Some(&item.tag) == worn && item.kind == ItemKind::FinalDenture)
    })
}

/// The first thing that holds the case, and how many more there are.
fn held(context: &Context<'_>, custody: &Custody, holds: &[&Hold]) -> Option<Held> {
    let unmarked: Vec<ItemName> = context
        .items
        .iter()
        .filter(|item| {
            item.kind.needs_disinfection()
                && custody
                    .get(&item.tag)
                    .is_some_and(|state| state.gone.is_none() && state.held_for_disinfection)
        })
        .map(ItemName::from)
        .collect();
    let first = match holds.first() {
        Some(hold) => hold.reason(context.items),
        None => HoldReason::Unmarked(*unmarked.first()?),
    };
    let more = holds.len() + unmarked.len() - 1;
    Some(Held { first, more })
}
