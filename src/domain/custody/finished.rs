//! Finished work that leaves the lab: it waits while the case stands still, or while an answer is awaited. What the
//! patient has worn goes home all the same.

use super::case_state::CaseState;
use super::handoff::Handoff;
use super::item::{Item, ItemKind};
use super::purpose::Purpose;
use super::standstill::Fate;
use crate::domain::people::party::Side;
use crate::domain::values::ids::Tag;

/// Whether finished work is among what the lab sends: a final that nobody has worn yet, or a denture that is said to be
/// finished. What is to come back of cancelled work is none.
pub fn has_finished_work(
    case: &CaseState,
    items: &[Item],
    purpose: Option<Purpose>,
    sent: &[&Tag],
) -> bool {
    let is_said = purpose == Some(Purpose::Finished);
    let is_finished = |item: &&Item| match item.kind {
        ItemKind::FinalDenture => is_said || !case.is_the_patients(item),
        kind => is_said && kind.is_wearable(),
    };
    let mut sent = items.iter().filter(|item| sent.contains(&&item.tag));
    sent.any(|item| is_finished(&item) && case.fate(&item.tag) != Some(Fate::ComesBack))
}

/// Whether the work is to go on later: what is finished waits for that. Given up, it is sent home or stays.
pub fn rests(case: &CaseState) -> bool {
    let is_halted = case.standstill.is_some() && !case.is_cancelled();
    is_halted || case.waits_for_answer().is_some()
}

/// Whether what is packed waits with the work: it is finished work of the lab, and the case stands still or an answer is
/// awaited.
pub fn waits_with_the_work(case: &CaseState, items: &[Item], one: &Handoff) -> bool {
    let rests = rests(case);
    let sent: Vec<&Tag> = one.sent.iter().map(|sent| &sent.tag).collect();
    let is_out = one.is_packed() && one.from == Side::Lab;
    rests && is_out && has_finished_work(case, items, one.purpose_code, &sent)
}
