//! What can be done with a case now, the likeliest first: the first of them is the page's main action.

use super::Person;
use super::see_case::CaseView;
use crate::domain::custody::case::Place;
use crate::domain::custody::handoff::Handoff;
use crate::domain::custody::{dispositions, standing};
use crate::domain::people::access::Permission;
use crate::domain::people::party::Side;

/// Something that somebody can do with a case; the page knows its address and its words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum CaseAction {
    /// Answer for what the other side found wrong.
    ResolveHold,
    /// Receive the handoff with this identifier.
    Receive(String),
    Write(Writing),
    RegisterItem,
    ChangeMouth,
    Release,
    /// Start from what the patient reports.
    Reported,
    Moulds,
    Close,
    History,
}

/// What writing the prescription means at this point of a case.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Writing {
    /// A draft is under way.
    GoOn,
    First,
    NewRevision,
}

/// The actions open to this person, in order; of a closed case only its history is left.
pub fn actions(view: &CaseView, person: &Person, handoffs: &[Handoff]) -> Vec<CaseAction> {
    if view.work.case.closed {
        return vec![CaseAction::History];
    }
    let mut actions = owed(view, handoffs);
    if view.work.side == Side::Office {
        actions.extend(of_office(view));
    } else if person.may(Permission::HandleItems) {
        actions.extend([CaseAction::Release, CaseAction::RegisterItem]);
    }
    if person.may(Permission::PrepareCases) {
        actions.push(CaseAction::Reported);
    }
    actions.push(CaseAction::Moulds);
    if view.work.side == Side::Office
        && dispositions(&view.work.context().scope(), &view.work.state).is_ok()
    {
        actions.push(CaseAction::Close);
    }
    actions.push(CaseAction::History);
    actions
}

/// What waits for this side: holds it has to answer for, and handoffs on the way to it.
fn owed(view: &CaseView, handoffs: &[Handoff]) -> Vec<CaseAction> {
    let house = view.work.side;
    let mut holds = view.work.state.open_holds();
    let hold = holds.any(|hold| hold.side == house);
    let is_awaited = |one: &&Handoff| one.to == house && !one.outstanding().is_empty();
    let awaited = handoffs.iter().filter(is_awaited);
    let hold = hold.then_some(CaseAction::ResolveHold);
    hold.into_iter()
        .chain(awaited.map(|one| CaseAction::Receive(one.id.clone())))
        .collect()
}

/// The office's work, by where the case stands: fit what has come, write what is not written, send it.
fn of_office(view: &CaseView) -> [CaseAction; 4] {
    use CaseAction::{ChangeMouth, RegisterItem, Release, Write};
    let case = &view.work.case;
    let write = Write(match (view.draft.is_some(), case.revision) {
        (true, _) => Writing::GoOn,
        (false, 0) => Writing::First,
        (false, _) => Writing::NewRevision,
    });
    let to_fit = standing(&view.work.context(), &view.work.state).to_fit;
    if to_fit || case.place == Place::Lab || case.place == Place::Patient {
        [ChangeMouth, RegisterItem, write, Release]
    } else if case.revision == 0 {
        [write, RegisterItem, ChangeMouth, Release]
    } else {
        [Release, ChangeMouth, RegisterItem, write]
    }
}
