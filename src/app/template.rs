//! The clear template of an immediate denture, in words: where the denture leaves, comes and goes in.

use super::case_work::CaseWork;
use super::custody_words::made_words;
use crate::domain::custody::handoff::Handoff;
use crate::domain::custody::item::ItemKind;
use crate::domain::custody::{Purpose, templates_left_out, templates_missed, templates_to_come};
use crate::domain::people::party::Side;
use crate::domain::values::arch::Arch;
use crate::domain::values::ids::Tag;

/// "clear surgical template, upper and lower"; none where there is none.
fn named(arches: &[Arch]) -> Option<String> {
    let made: Vec<_> = arches
        .iter()
        .map(|arch| (ItemKind::ClearTemplate, *arch))
        .collect();
    (!made.is_empty()).then(|| made_words(&made))
}

fn not_come_words(arches: &[Arch]) -> Option<String> {
    named(arches).map(|named| format!("Ordered but not received: {named}."))
}

/// What the lab has still to hand over of it, or the office misses beside the denture.
pub fn not_come(work: &CaseWork) -> Option<String> {
    let (things, treated) = ((&work.items[..], &work.state), work.case.arches.treated());
    match work.side {
        Side::Lab => {
            let arches = templates_to_come(&work.ordered, things, treated);
            named(&arches)
                .map(|named| format!("Ordered with the denture, not handed over yet: {named}."))
        }
        Side::Office => not_come_words(&templates_missed(&work.ordered, things, treated)),
    }
}

/// What of it the office misses for the arches of these things, before one of them goes into a mouth.
pub(super) fn not_come_with(work: &CaseWork, tags: &[Tag]) -> Option<String> {
    let (things, treated) = ((&work.items[..], &work.state), work.case.arches.treated());
    let own = tags.iter().filter_map(|tag| work.item(tag)?.arch);
    let own: Vec<Arch> = own.collect();
    let mut arches = templates_missed(&work.ordered, things, treated);
    arches.retain(|arch| own.contains(arch));
    not_come_words(&arches)
}

/// The arches of which the denture leaves with these things, and the template does not.
pub(super) fn left_out(work: &CaseWork, sent: &[Tag], purpose: Purpose) -> Vec<Arch> {
    let (things, treated) = ((&work.items[..], &work.state), work.case.arches.treated());
    templates_left_out(&work.ordered, things, treated, (sent, purpose))
}

/// What is asked about them before they leave.
pub(super) fn left_out_words(arches: &[Arch]) -> Option<String> {
    named(arches).map(|named| {
        format!("Ordered with the denture, and not in this parcel: {named}. It is wanted at the insertion. Send without it?")
    })
}

/// What is missed in a parcel of the lab.
pub(super) fn not_in_parcel(work: &CaseWork, handoff: &Handoff) -> Option<String> {
    let sent: Vec<Tag> = handoff.sent.iter().map(|sent| sent.tag.clone()).collect();
    let purpose = handoff.purpose_code.unwrap_or(Purpose::Other);
    let is_from_lab = handoff.from == Side::Lab;
    not_come_words(&left_out(work, &sent, purpose)).filter(|_| is_from_lab)
}
