//! The clear template of an immediate denture: a copy of its fitting surface that shows at surgery where the denture would
//! press. It is of use on the day of the insertion, so that it is asked for where the denture leaves, comes and goes in.
//! Common practice, no source.

use super::case_state::CaseState;
use super::item::{Item, ItemKind};
use super::ordered::Ordered;
use super::purpose::Purpose;
use super::state::{Gone, Holder, State};
use crate::domain::people::party::Side;
use crate::domain::values::arch::Arch;
use crate::domain::values::ids::Tag;

/// The state of each thing of a kind for an arch, but of what was registered by mistake.
fn states_of<'a>(
    (items, case): (&'a [Item], &'a CaseState),
    kind: ItemKind,
    arch: Arch,
) -> impl Iterator<Item = (&'a Tag, &'a State)> {
    let own = items
        .iter()
        .filter(move |item| item.kind == kind && item.arch == Some(arch));
    let states = own.filter_map(move |item| Some((&item.tag, case.item(&item.tag)?)));
    states.filter(|(_, state)| state.gone != Some(Gone::Mistaken))
}

/// The denture that the lab has made for an arch, in a state of this kind.
fn has_denture(
    things: (&[Item], &CaseState),
    arch: Arch,
    is_so: impl Fn(&Tag, &State) -> bool,
) -> bool {
    let mut finals = states_of(things, ItemKind::FinalDenture, arch);
    finals.any(|(tag, state)| state.home == Side::Lab && is_so(tag, state))
}

/// The arches whose template is ordered and has not come to the office, while the denture was never in the mouth.
pub fn templates_to_come(
    ordered: &Ordered,
    things: (&[Item], &CaseState),
    arches: &[Arch],
) -> Vec<Arch> {
    let (_, case) = things;
    let is_awaited = |arch: &Arch| {
        let mut own = ordered.templates.iter();
        let is_ordered = own.any(|own| own.is_none_or(|own| own == *arch));
        let mut templates = states_of(things, ItemKind::ClearTemplate, *arch);
        let has_come =
            templates.any(|(_, one)| matches!(one.holder, Holder::Office | Holder::Patient));
        is_ordered && !has_come && !has_denture(things, *arch, |tag, _| case.was_worn(tag))
    };
    let goes_on = !case.closed && !case.is_cancelled();
    let arches = arches.iter().copied().filter(|_| goes_on);
    arches.filter(is_awaited).collect()
}

/// The same of the arches whose denture has come to the office.
pub fn templates_missed(
    ordered: &Ordered,
    things: (&[Item], &CaseState),
    arches: &[Arch],
) -> Vec<Arch> {
    let mut missed = templates_to_come(ordered, things, arches);
    missed.retain(|arch| has_denture(things, *arch, |_, state| state.holder == Holder::Office));
    missed
}

/// The arches whose denture is in a parcel of the lab, and their template neither there nor on its way already.
pub fn templates_left_out(
    ordered: &Ordered,
    things: (&[Item], &CaseState),
    arches: &[Arch],
    (sent, purpose): (&[Tag], Purpose),
) -> Vec<Arch> {
    if purpose.is_return() {
        return Vec::new();
    }
    let mut left = templates_to_come(ordered, things, arches);
    left.retain(|arch| {
        let mut templates = states_of(things, ItemKind::ClearTemplate, *arch);
        let goes = templates.any(|(tag, one)| {
            let is_out = one.packed || matches!(one.holder, Holder::Carrier { to: Side::Office });
            sent.contains(tag) || is_out
        });
        !goes && has_denture(things, *arch, |tag, _| sent.contains(tag))
    });
    left
}
