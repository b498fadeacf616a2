//! What can be done with a case now, the likeliest first: the first of them is the page's main action. Each
//! stands there only where the rules would let it through.

use super::case::Place;
use super::offers::{CaseStep, Offers};
use super::ordered::Ordered;
use super::standing::standing;
use crate::domain::people::access::{Permission, may};
use crate::domain::people::party::Side;
use crate::domain::values::ids::HandoffId;

/// Something that somebody can do with a case; the page knows its address and its words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum CaseAction {
    /// Answer for what the other side found wrong.
    ResolveHold,
    /// Receive the handoff with this identifier.
    Receive(HandoffId),
    /// Enter that the carrier has taken the handoff with this identifier.
    PickUp(HandoffId),
    Write(Writing),
    RegisterItem,
    ChangeMouth,
    Release,
    /// Start from what the patient reports.
    Reported,
    Moulds,
    /// Take notice, for the lab, that the work stands still.
    Heed,
    /// Answer what the other house asks, or say whether a call was so.
    Answer,
    /// Ask the other house, or write down a telephone call.
    Ask,
    /// Stop, pause or cancel the work, or let it go on.
    Halt,
    Close,
    Reopen,
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

impl Writing {
    /// By whether there is a draft, and the newest signed revision, 0 where there is none.
    pub fn of(is_drafted: bool, revision: i64) -> Writing {
        match (is_drafted, revision) {
            (true, _) => Writing::GoOn,
            (false, ..=0) => Writing::First,
            (false, _) => Writing::NewRevision,
        }
    }
}

/// The actions open to whoever asks, in order; `revision` is the newest signed one, 0 where there is none.
pub fn case_actions(offers: &Offers<'_>, is_drafted: bool, revision: i64) -> Vec<CaseAction> {
    let (context, state) = offers.case();
    let Some(side) = context.scope().side(offers.by()) else {
        return Vec::new();
    };
    let writing = Writing::of(is_drafted, revision);
    let mut actions = owed(offers);
    actions.extend(match side {
        Side::Office => of_office(offers, writing, revision),
        Side::Lab => vec![CaseAction::Release, CaseAction::RegisterItem],
    });
    // It may have come without anybody having entered that it left; but mostly it still lies there.
    actions.extend(receiving(offers, true));
    // Closed, a case is mostly looked at: what happened in it stands before opening it again.
    actions.extend(match state.closed {
        true => [CaseAction::History, CaseAction::Reopen].to_vec(),
        false => {
            use CaseAction::{Ask, Close, Halt, History, Moulds, Reported};
            [Ask, Reported, Moulds, Halt, Close, History].to_vec()
        }
    });
    // Nothing is stopped that nobody has ordered.
    actions.retain(|action| *action != CaseAction::Halt || revision > 0);
    actions.retain(|action| is_offered(offers, action));
    actions
}

/// Whether the role may, and no rule stands against it.
fn is_offered(offers: &Offers<'_>, action: &CaseAction) -> bool {
    let (_, state) = offers.case();
    let can = |permission| may(offers.by().role, permission);
    match action {
        CaseAction::ResolveHold => can(Permission::HandleItems) && !offers.to_resolve().is_empty(),
        CaseAction::Receive(id) => {
            let handoff = state.handoff(id);
            let is_open = handoff.is_some_and(|one| offers.has(CaseStep::Receive(one)));
            can(Permission::HandleItems) && is_open
        }
        CaseAction::PickUp(id) => {
            let handoff = state.handoff(id);
            let is_packed = handoff.is_some_and(|one| offers.has(CaseStep::PickUp(one)));
            can(Permission::HandleItems) && is_packed
        }
        CaseAction::Release => can(Permission::HandleItems) && !offers.to_hand_over().is_empty(),
        CaseAction::RegisterItem => can(Permission::HandleItems) && offers.has(CaseStep::Register),
        CaseAction::ChangeMouth => {
            let mut arches = offers.arches().into_iter();
            can(Permission::TreatPatient) && arches.any(|arch| offers.has_for_arch(arch))
        }
        // No rule of custody speaks of paper, but that nothing is written in a closed case.
        CaseAction::Write(_) | CaseAction::Reported => {
            can(Permission::PrepareCases) && !state.closed
        }
        CaseAction::Heed => can(Permission::AcknowledgeRevision) && offers.has(CaseStep::Heed),
        CaseAction::Answer => {
            let answers = state.open_questions().map(CaseStep::Answer);
            let mut steps = answers.chain(state.unconfirmed_calls().map(CaseStep::Confirm));
            can(Permission::HandleItems) && steps.any(|step| offers.has(step))
        }
        CaseAction::Ask => can(Permission::HandleItems) && offers.has(CaseStep::Ask),
        CaseAction::Halt => {
            let steps = [
                CaseStep::Stop,
                CaseStep::Pause,
                CaseStep::Cancel,
                CaseStep::GoOn,
            ];
            can(Permission::Sign) && steps.into_iter().any(|step| offers.has(step))
        }
        CaseAction::Close => can(Permission::TreatPatient) && offers.has(CaseStep::Close),
        CaseAction::Reopen => can(Permission::TreatPatient) && offers.has(CaseStep::Reopen),
        CaseAction::Moulds | CaseAction::History => can(Permission::ReadCases),
    }
}

/// What waits for this side: what it has to answer for, handoffs on the way to it, and those that it has packed.
fn owed(offers: &Offers<'_>) -> Vec<CaseAction> {
    let packed = offers.to_pick_up().into_iter();
    let packed = packed.map(|one| CaseAction::PickUp(one.id.clone()));
    [CaseAction::Heed, CaseAction::Answer, CaseAction::ResolveHold]
        .into_iter()
        .chain(receiving(offers, false))
        .chain(packed)
        .collect()
}

/// What can be received: on its way, or packed and not known to have left.
fn receiving(offers: &Offers<'_>, packed: bool) -> Vec<CaseAction> {
    let handoffs = offers.to_receive().into_iter();
    let wanted = handoffs.filter(|one| one.is_packed() == packed);
    wanted
        .map(|one| CaseAction::Receive(one.id.clone()))
        .collect()
}

/// The office's work, by where the case stands: fit what has come, write what is not written, send it.
fn of_office(offers: &Offers<'_>, writing: Writing, revision: i64) -> Vec<CaseAction> {
    use CaseAction::{ChangeMouth, RegisterItem, Release, Write};
    let (context, state) = offers.case();
    let ordered = Ordered {
        revision,
        ..Ordered::default()
    };
    let standing = standing(&context, state, &ordered, revision);
    let write = Write(writing);
    let place = standing.places.first();
    if standing.to_fit || matches!(place, Some(Place::Lab | Place::Patient)) {
        vec![ChangeMouth, RegisterItem, write, Release]
    } else if revision == 0 {
        vec![write, RegisterItem, ChangeMouth, Release]
    } else {
        vec![Release, ChangeMouth, RegisterItem, write]
    }
}
