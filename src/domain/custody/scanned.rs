//! A scanned item against what it is wanted for: what stands against it is said at once, in words.
//!
//! These sentences answer the person with the item in hand, before a form is sent; the rules in `rules`
//! decide when it is sent.

use super::case_state::CaseState;
use super::common_refusals::is_packed;
use super::describe::describe;
use super::event::Event;
use super::state::{Custody, Holder};
use crate::domain::custody::item::Item;
use crate::domain::people::party::Side;
use crate::domain::values::arch::Arch;
use crate::domain::values::ids::Tag;

/// What a scanned item is wanted for.
#[derive(Debug, Clone, Copy)]
pub enum Wanted<'a> {
    /// To be handed over by this house.
    ToHandOver(Side),
    /// To be received: what the handoff announced, and what of it is still to be received.
    ToReceive {
        sent: &'a [Tag],
        outstanding: &'a [Tag],
    },
    /// To be put into the mouth, in this arch.
    ToFit(Arch),
    /// Something is done with it in this house.
    InHand(Side),
    /// To get a label.
    ToLabel,
}

/// How an item ended; `case` is what `events` say: what was done, when, by whom. `None` while it has not ended.
pub fn ending(items: &[Item], events: &[Event], case: &CaseState, tag: &Tag) -> Option<String> {
    case.item(tag)?.gone?;
    last_entry(items, events, case, tag)
}

/// The last entry that touches an item, in words.
fn last_entry(items: &[Item], events: &[Event], case: &CaseState, tag: &Tag) -> Option<String> {
    // Nothing happens to an item after its end (rule f), so the last entry that touches it and stands is the end; if
    // none is left, that it was registered is withdrawn.
    let mut latest = events.iter().rev();
    let stands = |event: &&Event| case.withdrawn_on(&event.id).is_none();
    let last = latest
        .clone()
        .find(|event| event.what.tags().contains(&tag) && stands(event))
        .or_else(|| latest.find(|event| event.what.concerns(tag)))?;
    let description = describe(items, last);
    let why = match description.details.as_slice() {
        [] => String::new(),
        details => format!(" ({})", details.join("; ")),
    };
    Some(format!(
        "{} on {} by {}{why}.",
        description.what, description.when, description.who
    ))
}

/// What stands against this item of the case, or nothing; `case` is what `events` say.
pub fn stands_against(
    items: &[Item],
    events: &[Event],
    case: &CaseState,
    tag: &Tag,
    wanted: Wanted<'_>,
) -> Option<String> {
    let item = Item::of(items, tag)?;
    let custody = &case.custody;
    if custody.get(tag).is_some_and(|state| !state.is_there()) {
        let ending = last_entry(items, events, case, tag)?;
        return Some(format!("Nothing can happen to it any more. {ending}"));
    }
    let why_not = why_not(item, custody, wanted)?;
    let twin = twin(items, custody, item, wanted);
    Some(format!("{why_not}{twin}"))
}

fn why_not(item: &Item, custody: &Custody, wanted: Wanted<'_>) -> Option<String> {
    let (named, state) = (named(item), custody.get(&item.tag)?);
    let is_kept_here = matches!(
        wanted,
        Wanted::ToHandOver(_) | Wanted::InHand(_) | Wanted::ToFit(_)
    );
    if state.packed && is_kept_here {
        return Some(is_packed(&named));
    }
    let place = if state.worn {
        "in the patient’s mouth".to_owned()
    } else {
        state.holder.place()
    };
    match wanted {
        Wanted::ToLabel => None,
        Wanted::ToHandOver(house) => (state.holder != Holder::of(house)).then(|| {
            format!("{named} is recorded as {place}, so it cannot be handed over from here.")
        }),
        Wanted::InHand(house) => (state.holder != Holder::of(house))
            .then(|| format!("{named} is recorded as {place}, so nothing is done with it here.")),
        Wanted::ToReceive { sent, outstanding } => match item {
            _ if outstanding.contains(&item.tag) => None,
            _ if sent.contains(&item.tag) => Some(format!(
                "{named} of this handoff is dealt with already: it is recorded as {place}."
            )),
            _ => Some(format!(
                "{named} belongs to this case, but it was not announced in this handoff: it is recorded as {place}. \
                 If it is in the parcel, describe it under “Anything else in the parcel”."
            )),
        },
        Wanted::ToFit(arch) => match item.arch {
            _ if !item.kind.is_wearable() => Some(format!("{named} is not to be worn.")),
            Some(own) if own != arch => Some(format!(
                "Wrong arch: {named} is for the {} arch, and this is the {} arch.",
                own.shown(),
                arch.shown()
            )),
            _ if state.is_with_the_patient() => None,
            _ if state.worn || state.holder != Holder::Office => Some(format!(
                "{named} is recorded as {place}, so it cannot be put in now."
            )),
            _ => None,
        },
    }
}

/// The same thing for the other arch, where that is the one that is wanted: the likeliest mistake with a
/// pair in hand.
fn twin(items: &[Item], custody: &Custody, item: &Item, wanted: Wanted<'_>) -> String {
    let is_twin = |other: &&Item| {
        let is_alive = custody
            .get(&other.tag)
            .is_some_and(|state| state.gone.is_none());
        other.kind == item.kind
            && other.arch.is_some()
            && item.arch.is_some()
            && other.arch != item.arch
            && is_alive
            && why_not(other, custody, wanted).is_none()
    };
    let Some(twin) = items.iter().find(is_twin) else {
        return String::new();
    };
    let (own, other) = (shown(item), shown(twin));
    format!(
        " Look at the arch: this is the {own} one, and the {other} one, {}, is wanted here.",
        twin.tag
    )
}

fn shown(item: &Item) -> &'static str {
    item.arch.map(Arch::shown).unwrap_or_default()
}

fn named(item: &Item) -> String {
    format!("{} {}", item.title(), item.tag)
}
