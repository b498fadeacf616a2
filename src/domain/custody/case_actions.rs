//! What can be done with a case now, the likeliest first: the first of them is the page's main action. Each
//! stands there only where the rules would let it through.

use super::by_revision;
use super::case::{Case, Place, Step};
use super::closing::first_without_end;
use super::emptied::without_teeth;
use super::fit_due::fit_is_due;
use super::forms::HaltKind;
use super::handover::is_registered;
use super::item::ItemKind;
use super::offers::{CaseStep, Offers};
use super::ordered::Ordered;
use super::standing::standing;
use super::state::Holder;
use super::to_do::ToDo;
use crate::domain::people::access::{Permission, may};
use crate::domain::people::party::Side;
use crate::domain::values::ids::{HandoffId, Tag};

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
    /// Disinfect, put somewhere or label several things at once.
    Several,
    ChangeMouth,
    /// Hold what has come, or was made, against the prescription.
    CheckFit,
    /// The checks after the fit.
    FollowUp,
    Release,
    /// Start from what the patient reports.
    Reported,
    Moulds,
    /// Take notice, for the lab, that the work stands still.
    Heed,
    /// Answer what the other house asks, or say whether a call was so.
    Answer,
    /// Say whether the day will do that the lab has named.
    AnswerDay,
    /// Say whether the lab may pass the work on, or that one has read that it does.
    AnswerPass,
    /// Pass work on to a second laboratory, and say what goes there and comes back.
    PassOn,
    /// Say how the lab sees the part of each house.
    AnswerShare,
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
        Side::Lab => vec![
            CaseAction::Release,
            CaseAction::RegisterItem,
            CaseAction::Several,
        ],
    });
    // It may have come without anybody having entered that it left; but mostly it still lies there.
    actions.extend(receiving(offers, true));
    // Closed, a case is mostly looked at: what happened in it stands before opening it again.
    actions.extend(match state.closed {
        true => [
            CaseAction::History,
            CaseAction::FollowUp,
            CaseAction::Reopen,
        ]
        .to_vec(),
        false => {
            use CaseAction::{
                Ask, CheckFit, Close, FollowUp, Halt, History, Moulds, PassOn, Reported,
            };
            [
                FollowUp, Ask, CheckFit, PassOn, Reported, Moulds, Halt, Close, History,
            ]
            .to_vec()
        }
    });
    actions.retain(|action| is_of_force(offers, action, revision) && is_offered(offers, action));
    let mut seen: Vec<CaseAction> = Vec::new();
    actions.retain(|action| {
        let is_new = !seen.contains(action);
        seen.push(action.clone());
        is_new
    });
    actions
}

/// Whether the order in force, or that there is none, leaves an action open.
fn is_of_force(offers: &Offers<'_>, action: &CaseAction, revision: i64) -> bool {
    let (_, state) = offers.case();
    match action {
        // What was passed on before is looked at all the same.
        CaseAction::PassOn => {
            !state.passes.is_empty() || by_revision::can_be_passed_on_by(revision, revision).is_ok()
        }
        CaseAction::CheckFit => by_revision::checked_against(revision, revision).is_ok(),
        CaseAction::Halt => !halts(offers, revision).is_empty(),
        // What was named for an earlier revision needs no answer any more.
        CaseAction::AnswerDay => state.named_day(revision).is_some(),
        _ => true,
    }
}

/// The step by which a decision about the work is entered.
fn halting(kind: HaltKind) -> CaseStep<'static> {
    match kind {
        HaltKind::Stop => CaseStep::Stop,
        HaltKind::Pause => CaseStep::Pause,
        HaltKind::GoOn => CaseStep::GoOn,
        HaltKind::Cancel => CaseStep::Cancel,
    }
}

/// What whoever asks can decide about the work now; `revision` is the newest signed one, 0 where there is none.
pub fn halts(offers: &Offers<'_>, revision: i64) -> Vec<HaltKind> {
    let can = may(offers.by().role, Permission::Sign);
    let kinds = HaltKind::ALL.iter().copied().filter(|_| can);
    let ordered = kinds.filter(|kind| by_revision::can_be_halted(revision, *kind).is_ok());
    ordered.filter(|kind| offers.has(halting(*kind))).collect()
}

/// Whether the case asks for it, where that is all that it is for: a day that was named in time needs no word.
pub fn is_asked_for(case: &Case, action: &CaseAction) -> bool {
    *action != CaseAction::AnswerDay || case.asks(Step::AnswerDay)
}

/// Whether whoever asks can register something now.
pub fn is_registering_open(offers: &Offers<'_>) -> bool {
    is_offered(offers, &CaseAction::RegisterItem)
}

/// Where the first thing is done that waits for a side.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum MainPlace {
    Action(CaseAction),
    /// On the page of this item.
    Item(Tag),
    /// Beside the revision in force.
    Revision,
    /// On the page of the scans.
    Scans,
}

/// Where whoever asks does what waits for this house, out of the actions that are open to him or her; none where that
/// is somebody else's to do.
pub fn main_place(
    (offers, ordered): (&Offers<'_>, &Ordered),
    to_do: ToDo,
    actions: &[CaseAction],
) -> Option<MainPlace> {
    let ToDo::Step(step) = to_do else {
        let send = actions.contains(&CaseAction::Release);
        return send.then_some(MainPlace::Action(CaseAction::Release));
    };
    match step {
        Step::Acknowledge => {
            let can = may(offers.by().role, Permission::AcknowledgeRevision);
            can.then_some(MainPlace::Revision)
        }
        Step::AddFiles => {
            let can = may(offers.by().role, Permission::HandleItems);
            can.then_some(MainPlace::Scans)
        }
        Step::Disinfect => to_disinfect(offers).map(MainPlace::Item),
        Step::FindLost => to_find_or_give_up(offers).map(MainPlace::Item),
        Step::GiveSpare => to_give(offers).map(MainPlace::Item),
        // Before a case is closed each of its things has an end.
        Step::Close if !actions.contains(&CaseAction::Close) => {
            let (context, case) = offers.case();
            first_without_end(&context.scope(), case).map(MainPlace::Item)
        }
        step => {
            let mut ways = ways((offers, ordered), step).into_iter();
            let way = ways.find_map(|is_way| actions.iter().find(|one| is_way(one)));
            way.cloned().map(MainPlace::Action)
        }
    }
}

/// The first thing that came without a mark and can be disinfected now.
fn to_disinfect(offers: &Offers<'_>) -> Option<Tag> {
    let (context, case) = offers.case();
    let side = context.scope().side(offers.by())?;
    let mut items = context.items.iter();
    let item = items.find(|item| {
        let state = case.item(&item.tag);
        state.is_some_and(|one| one.held_for_disinfection && one.is_in_hand(side))
    })?;
    Some(item.tag.clone())
}

/// The spare that lies at the office.
fn to_give(offers: &Offers<'_>) -> Option<Tag> {
    let (context, case) = offers.case();
    let can = may(offers.by().role, Permission::HandleItems);
    let mut items = context.items.iter().filter(|_| can);
    let item = items.find(|item| {
        let state = case.item(&item.tag);
        let is_here = state.is_some_and(|one| one.is_in_hand(Side::Office));
        item.kind == ItemKind::Duplicate && is_here
    })?;
    Some(item.tag.clone())
}

/// The first thing that this house had sent and that did not come: it is written off on its page.
fn to_find_or_give_up(offers: &Offers<'_>) -> Option<Tag> {
    let (context, case) = offers.case();
    let side = context.scope().side(offers.by())?;
    let away = Holder::Carrier { to: side.other() };
    let mut items = context.items.iter().filter(|item| !item.borrowed);
    let item = items.find(|item| {
        let state = case.item(&item.tag).filter(|state| state.is_there());
        let is_asked = case
            .open_holds()
            .any(|hold| hold.waiting.contains(&item.tag));
        let is_away = |holder: Holder| {
            let is_passed = side == Side::Lab && matches!(holder, Holder::Passed(_));
            is_passed || holder == away
        };
        !is_asked && state.is_some_and(|one| one.missing && is_away(one.holder))
    })?;
    Some(item.tag.clone())
}

/// The actions by which a step is done, the first one that is open taken.
fn ways((offers, ordered): (&Offers<'_>, &Ordered), step: Step) -> Vec<fn(&CaseAction) -> bool> {
    use CaseAction as Act;
    let send: fn(&CaseAction) -> bool = |one| *one == Act::Release;
    let register: fn(&CaseAction) -> bool = |one| *one == Act::RegisterItem;
    let write: fn(&CaseAction) -> bool = |one| matches!(one, Act::Write(_));
    match step {
        Step::Resolve => vec![|one| *one == Act::ResolveHold],
        Step::Receive => vec![|one| matches!(one, Act::Receive(_))],
        // One page has both.
        Step::PickUp | Step::TakeBack => vec![|one| matches!(one, Act::PickUp(_))],
        Step::Heed => vec![|one| *one == Act::Heed],
        Step::Answer | Step::Read | Step::Confirm => vec![|one| *one == Act::Answer],
        Step::AnswerDay => vec![|one| *one == Act::AnswerDay],
        Step::AnswerShare => vec![|one| *one == Act::AnswerShare],
        Step::Decide => vec![|one| *one == Act::Halt],
        Step::Close => vec![|one| *one == Act::Close],
        Step::Write | Step::Revise | Step::TryIn | Step::SpareLost => vec![write],
        // That none is needed is said on the page of the calls, to which the question leads too.
        Step::WriteCall => vec![write, |one| *one == Act::Ask],
        Step::AskAvoided => vec![|one| *one == Act::Ask],
        Step::Promised => vec![write, |one| *one == Act::Answer],
        Step::Find => vec![|one| *one == Act::ResolveHold, write],
        // Where nothing is there that could go in, what the patient wears is registered.
        Step::Toothless => vec![|one| *one == Act::ChangeMouth, register, write],
        Step::Fit => vec![|one| *one == Act::ChangeMouth],
        Step::KeepParcel => vec![|one| *one == Act::ChangeMouth, |one| {
            matches!(one, Act::PickUp(_))
        }],
        Step::Weigh | Step::NotAsAsked => vec![send, |one| *one == Act::ChangeMouth],
        Step::FindSent => vec![|one| *one == Act::ResolveHold, register, send],
        Step::Register => vec![register],
        Step::WillDo => vec![write, send],
        // What stays for good is left out of the next revision.
        Step::Enclose => vec![send, write],
        Step::Consent | Step::NotePass => vec![|one| *one == Act::AnswerPass],
        // What is at a second laboratory comes back from there first.
        Step::WindUp | Step::SendBack => vec![send, |one| *one == Act::PassOn],
        // What is still in the mouth is taken out first.
        Step::HandOver => vec![send, |one| *one == Act::ChangeMouth],
        // It is registered before it goes back.
        Step::Make | Step::MakeSpare if is_made(offers, ordered) => vec![send, register],
        Step::Make | Step::MakeSpare => vec![register, send],
        Step::PassAgain => vec![|one| *one == Act::PassOn],
        Step::Acknowledge | Step::Disinfect | Step::FindLost | Step::GiveSpare | Step::AddFiles => {
            Vec::new()
        }
    }
}

/// Whether what the lab is to make next is there to be handed over.
fn is_made(offers: &Offers<'_>, ordered: &Ordered) -> bool {
    let (context, case) = offers.case();
    is_registered(ordered, context.items, case, context.arches.treated())
}

/// Whether the role may, and no rule stands against it.
fn is_offered(offers: &Offers<'_>, action: &CaseAction) -> bool {
    may(offers.by().role, permission_for(action)) && is_open(offers, action)
}

/// What somebody has to be allowed in general, so as to do it.
fn permission_for(action: &CaseAction) -> Permission {
    match action {
        CaseAction::ResolveHold
        | CaseAction::Receive(_)
        | CaseAction::PickUp(_)
        | CaseAction::Release
        | CaseAction::RegisterItem
        | CaseAction::Several
        | CaseAction::Answer
        | CaseAction::AnswerPass
        | CaseAction::PassOn
        | CaseAction::AnswerDay
        | CaseAction::CheckFit
        | CaseAction::Ask => Permission::HandleItems,
        CaseAction::ChangeMouth | CaseAction::FollowUp | CaseAction::Close | CaseAction::Reopen => {
            Permission::TreatPatient
        }
        CaseAction::Write(_) | CaseAction::Reported => Permission::PrepareCases,
        CaseAction::Heed | CaseAction::AnswerShare => Permission::AcknowledgeRevision,
        CaseAction::Halt => Permission::Sign,
        CaseAction::Moulds | CaseAction::History => Permission::ReadCases,
    }
}

/// Whether no rule stands against it.
fn is_open(offers: &Offers<'_>, action: &CaseAction) -> bool {
    let (context, state) = offers.case();
    match action {
        CaseAction::ResolveHold => !offers.to_resolve().is_empty() || !offers.to_find().is_empty(),
        CaseAction::Receive(id) => {
            let handoff = state.handoff(id);
            handoff.is_some_and(|one| offers.has(CaseStep::Receive(one)))
        }
        CaseAction::PickUp(id) => {
            let handoff = state.handoff(id);
            handoff.is_some_and(|one| offers.has(CaseStep::PickUp(one)))
        }
        CaseAction::Release => !offers.to_hand_over().is_empty(),
        CaseAction::RegisterItem => offers.has(CaseStep::Register),
        CaseAction::Several => {
            let mut items = context.items.iter();
            items.any(|item| offers.has(CaseStep::Put(&item.tag)))
        }
        CaseAction::ChangeMouth => {
            let mut arches = offers.arches().into_iter();
            // Of an arch that stands empty the page says what can be done, though nothing can go in yet.
            let treated = context.arches.treated();
            let empty = without_teeth(context.items, state, treated, context.elsewhere);
            !empty.is_empty() || arches.any(|arch| offers.has_for_arch(arch))
        }
        // No rule of custody speaks of paper, but that nothing is written in a closed case.
        CaseAction::Write(_) | CaseAction::Reported => !state.closed,
        CaseAction::Heed => offers.has(CaseStep::Heed),
        CaseAction::Answer => {
            let answers = state.open_questions().map(CaseStep::Answer);
            let by_second = state.open_pass_questions();
            let answers = answers.chain(by_second.map(|(_, one)| CaseStep::ReplyPass(one)));
            let mut steps = answers.chain(state.unconfirmed_calls().map(CaseStep::Confirm));
            steps.any(|step| offers.has(step))
        }
        CaseAction::AnswerPass => {
            let mut open = state.open_passes();
            open.any(|one| offers.has(CaseStep::AnswerPass(one)))
        }
        CaseAction::PassOn => offers.is_passing(),
        CaseAction::AnswerDay => {
            let named = state.promise.as_ref();
            named.is_some_and(|one| offers.has(CaseStep::AnswerDay(one)))
        }
        CaseAction::AnswerShare => {
            let mut open = state.follow_ups.iter().map(CaseStep::AnswerShare);
            open.any(|step| offers.has(step))
        }
        CaseAction::FollowUp => {
            let mut arches = context.arches.treated().iter();
            arches.any(|arch| offers.has(CaseStep::FollowUp((*arch).into())))
        }
        CaseAction::CheckFit => offers.has(CaseStep::CheckFit),
        CaseAction::Ask => offers.has(CaseStep::Ask),
        CaseAction::Halt => {
            let mut kinds = HaltKind::ALL.iter();
            kinds.any(|kind| offers.has(halting(*kind)))
        }
        CaseAction::Close => offers.has(CaseStep::Close),
        CaseAction::Reopen => offers.has(CaseStep::Reopen),
        CaseAction::Moulds | CaseAction::History => true,
    }
}

/// What waits for this side: what it has to answer for, handoffs on the way to it, and those that it has packed.
fn owed(offers: &Offers<'_>) -> Vec<CaseAction> {
    let packed = offers.to_pick_up().into_iter();
    let packed = packed.map(|one| CaseAction::PickUp(one.id.clone()));
    [
        CaseAction::Heed,
        CaseAction::Answer,
        CaseAction::AnswerPass,
        CaseAction::AnswerDay,
        CaseAction::AnswerShare,
        CaseAction::ResolveHold,
    ]
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
    use CaseAction::{ChangeMouth, CheckFit, RegisterItem, Release, Several, Write};
    let (context, state) = offers.case();
    let ordered = Ordered {
        revision,
        ..Ordered::default()
    };
    let standing = standing(&context, state, &ordered, revision);
    let write = Write(writing);
    let place = standing.places.first();
    if fit_is_due(context.items, state) {
        // What has come back is looked at while it is still in hand.
        vec![ChangeMouth, CheckFit, RegisterItem, write, Release, Several]
    } else if standing.to_fit || matches!(place, Some(Place::Lab | Place::Patient)) {
        vec![ChangeMouth, RegisterItem, write, Release, Several]
    } else if revision == 0 {
        vec![write, RegisterItem, ChangeMouth, Release, Several]
    } else {
        vec![Release, ChangeMouth, RegisterItem, write, Several]
    }
}
