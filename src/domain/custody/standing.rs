//! Where a case stands: drawn for each piece of its work, so that it can wait for both sides at once.

use super::case_state::CaseState;
use super::follow_up::{FollowUpEntry, remake_to_order};
use super::held::{Held, HoldReason, ItemName};
use super::hold::Hold;
use super::offers::{CaseStep, Offers};
use super::ordered::{Lacking, NotCome, Ordered, lacking, travels, was_delivered};
use super::purpose::Purpose;
use super::rules::Context;
use super::standstill::{Fate, Halt};
use super::state::{Holder, State};
use crate::domain::custody::case::{Place, Step, Task, next_step, to_do};
use crate::domain::custody::handoff::{Handoff, HandoffState};
use crate::domain::custody::item::{Item, ItemKind};
use crate::domain::custody::mouth;
use crate::domain::people::party::{Actor, Role, Side};
use crate::domain::values::arch::Arch;
use crate::domain::values::ids::{AccountId, Tag};

/// What the first page shows of a case.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Standing {
    /// Where its work is, each place once, the one that goes first first; never empty.
    pub places: Vec<Place>,
    /// Why work waits; `None` when it does not.
    pub held: Option<Held>,
    /// Whom it waits for, and what for.
    pub waiting_for: Vec<Task>,
    /// Whether a final denture lies at the office and waits for the mouth.
    pub to_fit: bool,
    /// What is listed as enclosed and is missed by the lab, which has work of this case.
    pub lacking: Vec<Lacking>,
}

/// The case of these events, to the revision that `ordered` tells of.
pub fn standing(
    context: &Context<'_>,
    case: &CaseState,
    ordered: &Ordered,
    acknowledged: i64,
) -> Standing {
    let pieces: Vec<Piece> = (context.arches.treated().iter())
        .map(|&arch| Piece::of(context, case, ordered, arch))
        .collect();
    let is_away = |piece: &Piece| matches!(piece.place, Place::Lab) || piece.way == Some(Side::Lab);
    let mut lacks = lacking(ordered, context.items, case);
    if !pieces.iter().any(is_away) {
        lacks.clear();
    }
    let mut next = next_tasks(&pieces, &lacks, (ordered.revision, acknowledged));
    let is_delivered = pieces.iter().all(|piece| piece.place == Place::Patient);
    if is_delivered && is_left_at_the_lab(context, case, ordered) {
        next.push(Task {
            side: Side::Lab,
            step: Step::SendBack,
        });
    }
    for task in &mut next {
        if task.step == Step::HandOver && !can_send(context, case, ordered) {
            task.step = Step::Register;
        }
    }
    if case
        .day_to_answer(ordered.revision, ordered.wanted)
        .is_some()
    {
        let task = Task {
            side: Side::Office,
            step: Step::AnswerDay,
        };
        next.insert(0, task);
    }
    next.extend(after_the_fit(case, ordered, &next));
    let holds: Vec<&Hold> = case.open_holds().collect();
    let waiting_for = tasks(context, case, &holds, next);
    Standing {
        places: places(&pieces, &waiting_for),
        held: held(context, case, &holds),
        waiting_for,
        to_fit: pieces.iter().any(|piece| piece.to_fit),
        lacking: lacks,
    }
}

/// What the checks after the fit ask for: the lab's word on the part of each house, and the order of a remake that both
/// houses agreed on. Work that is given up asks for neither.
fn after_the_fit(case: &CaseState, ordered: &Ordered, next: &[Task]) -> Vec<Task> {
    if case.is_cancelled() {
        return Vec::new();
    }
    let answer = Task {
        side: Side::Lab,
        step: Step::AnswerShare,
    };
    let write = Task {
        side: Side::Office,
        step: Step::Write,
    };
    let is_asked = case.follow_ups.iter().any(FollowUpEntry::awaits_answer);
    let is_ordered = remake_to_order(&case.follow_ups, ordered.since).is_none();
    let is_there = next.contains(&write);
    let answer = is_asked.then_some(answer);
    let write = (!is_ordered && !is_there).then_some(write);
    answer.into_iter().chain(write).collect()
}

/// Whether the lab still has something that the office had sent, though all that was made is worn. What the
/// prescription leaves with the lab, and a file, of which the office has its own copy, is not asked for.
fn is_left_at_the_lab(context: &Context<'_>, case: &CaseState, ordered: &Ordered) -> bool {
    let stays = |kind: ItemKind| match kind {
        ItemKind::Provisional => ordered.pattern_stays,
        ItemKind::BiteRecord | ItemKind::FacebowRecord | ItemKind::ProtrusiveRecord => {
            ordered.records_stay
        }
        ItemKind::Scan | ItemKind::Photograph => true,
        _ => false,
    };
    context.items.iter().any(|item| {
        let state = case.item(&item.tag);
        let is_left = state.is_some_and(|one| {
            let is_passed = one.is_there() && matches!(one.holder, Holder::Passed(_));
            one.home == Side::Office && (is_passed || one.is_in_hand(Side::Lab))
        });
        is_left && !stays(item.kind)
    })
}

/// Whether the office has something that goes to the lab in the course of things, and its dentist could hand it over.
fn can_send(context: &Context<'_>, case: &CaseState, ordered: &Ordered) -> bool {
    let dentist = Actor {
        account: AccountId::default(),
        name: String::new(),
        role: Role::Dentist,
        party: context.office.clone(),
        party_name: String::new(),
    };
    let Some(at) = case.last_at else {
        return false;
    };
    let offers = Offers::new(*context, case, &dentist, at);
    let is_sent = |item: &Item| {
        let state = case.item(&item.tag);
        let goes = state.is_some_and(|state| travels(item, state, ordered));
        goes && offers.has(CaseStep::HandOver(&item.tag))
    };
    context.items.iter().any(is_sent)
}

/// The work for one arch.
struct Piece {
    arch: Arch,
    place: Place,
    /// Whereto, while it is on the way.
    way: Option<Side>,
    to_fit: bool,
    /// What was ordered has been in the mouth, or has come to be tried in.
    is_done: bool,
    /// What came to be tried in is at the office.
    to_try: bool,
}

impl Piece {
    /// On the way while anything of it is; with the patient when its final is in the mouth; otherwise with the side
    /// that received of it last. Casts and an index stay at the lab long after the work has left it, so what the lab
    /// still holds says little; before the first handoff everything is the office's.
    fn of(context: &Context<'_>, case: &CaseState, ordered: &Ordered, arch: Arch) -> Piece {
        let of_it = || {
            let handoffs = case.handoffs.iter();
            handoffs.filter(|one| one.voided.is_none() && concerns(context, case, one, arch))
        };
        let way = of_it().find(|one| is_open(one)).map(|one| one.to);
        let received = of_it().filter(|one| one.received_at.is_some());
        let last = received.max_by_key(|one| one.received_at.map(|at| at.unix_ms));
        let place = if way.is_some() {
            Place::OnTheWay
        } else if final_is_worn(context, case, arch) {
            Place::Patient
        } else if last.is_some_and(|one| one.to == Side::Lab) {
            Place::Lab
        } else {
            Place::Office
        };
        let is_final = |item: &Item| item.kind == ItemKind::FinalDenture;
        let is_trial = |item: &Item| matches!(item.kind, ItemKind::Rims | ItemKind::TryIn);
        // What has been in the mouth did not come to be fitted: it was taken out.
        let to_fit = things(context, case, arch, is_final)
            .any(|state| state.is_in_hand(Side::Office) && !state.was_taken_out);
        Piece {
            arch,
            place,
            way,
            to_fit,
            is_done: was_delivered(ordered, context.items, case, arch)
                || is_to_be_changed(context, case, ordered, arch),
            to_try: things(context, case, arch, is_trial).any(|state| {
                state.home == Side::Lab && state.is_in_hand(Side::Office) && !state.worn
            }),
        }
    }
}

/// Whether the office has sent a final for alteration that was made to the revision in force: what is to be altered,
/// that revision does not say.
fn is_to_be_changed(
    context: &Context<'_>,
    case: &CaseState,
    ordered: &Ordered,
    arch: Arch,
) -> bool {
    let Some(since) = ordered.since else {
        return false;
    };
    let is_final = |tag: &Tag| {
        let mut items = context.items.iter();
        items.any(|item| {
            item.tag == *tag && item.arch == Some(arch) && item.kind == ItemKind::FinalDenture
        })
    };
    let standing = || case.handoffs.iter().filter(|one| one.voided.is_none());
    let was_made_to_it = |tag: &Tag| {
        standing().any(|one| {
            let is_later = one.released_at.unix_ms >= since.unix_ms;
            one.from == Side::Lab && is_later && one.sent.iter().any(|sent| sent.tag == *tag)
        })
    };
    standing().any(|one| {
        let mut sent = one.sent.iter();
        let is_for_it = one.to == Side::Lab && one.purpose_code == Some(Purpose::Change);
        is_for_it && sent.any(|sent| is_final(&sent.tag) && was_made_to_it(&sent.tag))
    })
}

/// A parcel that is not here yet is on the way, whatever came before it.
fn is_open(one: &Handoff) -> bool {
    one.state() == HandoffState::OnTheWay
        || (one.state() == HandoffState::PartReceived && !one.waiting().is_empty())
}

/// The states of the living items of an arch that are so.
fn things<'a>(
    context: &Context<'a>,
    case: &'a CaseState,
    arch: Arch,
    is_so: impl Fn(&Item) -> bool + 'a,
) -> impl Iterator<Item = &'a State> {
    let items = context.items.iter();
    let of_arch = items.filter(move |item| item.arch == Some(arch) && is_so(item));
    of_arch.filter_map(|item| case.item(&item.tag).filter(|state| state.is_there()))
}

/// Whether an item is what the lab has made of this case.
fn is_the_labs_work(case: &CaseState, item: &Item) -> bool {
    let home = case.item(&item.tag).map(|state| state.home);
    item.kind.is_made_for_the_mouth() && home == Some(Side::Lab)
}

/// Whether a handoff carries the work for this arch along. To the lab goes the work of both arches with whatever is
/// sent, unless what the lab has made for one of them is at the office; from the lab comes the work of those arches
/// alone for which something made is in the parcel.
fn concerns(context: &Context<'_>, case: &CaseState, one: &Handoff, arch: Arch) -> bool {
    let tags = one.sent.iter().map(|sent| &sent.tag);
    let items: Vec<&Item> = tags
        .filter_map(|tag| context.items.iter().find(|item| item.tag == *tag))
        .collect();
    let has_own = items.iter().any(|item| item.arch == Some(arch));
    let has_arches = items.iter().any(|item| item.arch.is_some());
    if one.to == Side::Lab {
        let made = things(context, case, arch, |item| is_the_labs_work(case, item));
        let mut made =
            made.filter(|state| matches!(state.holder, Holder::Office | Holder::Patient));
        return has_own || !has_arches || made.next().is_none();
    }
    let made: Vec<&&Item> = items
        .iter()
        .filter(|item| is_the_labs_work(case, item))
        .collect();
    if !made.is_empty() {
        return made.iter().any(|item| item.arch == Some(arch));
    }
    let only_returns = matches!(one.purpose_code, Some(Purpose::GoingBack | Purpose::Stray));
    let is_left = |item: &&Item| {
        let is_of_use = item.arch.is_none_or(|own| own == arch);
        let state = case.item(&item.tag).filter(|state| state.is_there());
        is_of_use && state.is_some_and(|state| state.holder.is_with_lab())
    };
    let has_left = only_returns && context.items.iter().any(|item| is_left(&item));
    !has_left && (has_own || !has_arches)
}

fn final_is_worn(context: &Context<'_>, case: &CaseState, arch: Arch) -> bool {
    let line = case.worn(context.items);
    let worn = mouth::worn_in(&line, arch);
    let is_it = |item: &Item| Some(&item.tag) == worn && item.kind == ItemKind::FinalDenture;
    context.items.iter().any(is_it)
}

/// The next step of each piece, each task once.
fn next_tasks(pieces: &[Piece], lacks: &[Lacking], (revision, read): (i64, i64)) -> Vec<Task> {
    let mut next: Vec<Task> = Vec::new();
    for piece in pieces {
        let to_office = piece.way == Some(Side::Office);
        let step = next_step(piece.place, revision, read, to_office, piece.to_fit);
        // What is to be done to a denture that was worn already, nobody has prescribed.
        let is_unsaid = |task: &Task| matches!(task.step, Step::Make | Step::HandOver);
        let step = match step {
            Some(task) if piece.is_done && is_unsaid(&task) => Some(Task {
                side: Side::Office,
                step: match piece.to_try {
                    true => Step::TryIn,
                    false => Step::Write,
                },
            }),
            step => step,
        };
        let missed = |one: &&Lacking| one.arch.is_none_or(|arch| arch == piece.arch);
        let missed: Vec<&Lacking> = lacks.iter().filter(missed).collect();
        let is_missed_as = |how: NotCome| missed.iter().any(|one| one.how == how);
        let is_never_coming = is_missed_as(NotCome::Mistaken) || is_missed_as(NotCome::GivenUp);
        // What is not there cannot be sent: the list is signed anew without it.
        let mend = if is_missed_as(NotCome::Stays) {
            Some(Step::Enclose)
        } else if is_missed_as(NotCome::Missing) {
            Some(Step::Find)
        } else {
            is_never_coming.then_some(Step::Write)
        };
        let mend = mend.map(|step| Task {
            side: Side::Office,
            step,
        });
        let is_to_lab = |task: &Task| {
            task.side == Side::Lab && matches!(task.step, Step::Receive | Step::Acknowledge)
        };
        let steps = match step {
            // Nothing is begun before all that is listed is there; what is on its way comes by itself.
            Some(task) if task.step == Step::Make && !missed.is_empty() => [None, mend],
            // What stays here is sent after the rest, whether the lab has read the list yet or not.
            Some(task) if is_to_lab(&task) => [step, mend],
            step => [step, None],
        };
        for task in steps.into_iter().flatten() {
            if !next.contains(&task) {
                next.push(task);
            }
        }
    }
    let is_coming = lacks.iter().any(|one| one.how == NotCome::OnTheWay);
    let receive = Task {
        side: Side::Lab,
        step: Step::Receive,
    };
    if is_coming && next.is_empty() {
        next.push(receive);
    }
    next
}

/// All that is to be done, what cannot wait first.
fn tasks(context: &Context<'_>, case: &CaseState, holds: &[&Hold], next: Vec<Task>) -> Vec<Task> {
    let mut to_resolve: Vec<Side> = Vec::new();
    for hold in holds {
        if !to_resolve.contains(&hold.side) {
            to_resolve.push(hold.side);
        }
    }
    let is_packed = |side: &&Side| {
        let mut handoffs = case.handoffs.iter();
        handoffs.any(|one| one.is_packed() && one.from == **side)
    };
    let packed: Vec<Side> = Side::ALL.iter().filter(is_packed).copied().collect();
    let next: Vec<Task> = match &case.standstill {
        None => next,
        Some(_) => {
            let rests = |task: &Task| !matches!(task.step, Step::Receive | Step::Fit);
            let goes_on = next.into_iter().filter(|task| !rests(task));
            goes_on.chain(standing_still(case)).collect()
        }
    };
    let unmarked = Side::ALL.iter().filter(|side| {
        let mut unmarked = unmarked(context, case);
        unmarked.any(|(_, state)| state.holder == Holder::of(**side))
    });
    let disinfect = unmarked.map(|&side| Task {
        side,
        step: Step::Disinfect,
    });
    let heed = case.standstill.iter().filter(|one| one.heeded.is_none());
    let heed = heed.map(|_| Task {
        side: Side::Lab,
        step: Step::Heed,
    });
    let (consent, note) = to_passes(case);
    let waits = case.waits_for_answer().is_some();
    let rest = to_do(&to_resolve, &packed, &next).into_iter();
    let rest = rest.filter(|task| !(waits && task.step == Step::Make));
    let (answer, confirm) = (to_answer(case), to_confirm(case));
    let first = heed.chain(answer).chain(consent).chain(disinfect);
    first.chain(rest).chain(confirm).chain(note).collect()
}

/// One task for each side that is asked something, however much.
fn to_answer(case: &CaseState) -> impl Iterator<Item = Task> {
    let is_asked = |side: &Side| {
        let by_other = case.open_questions().any(|one| one.to() == *side);
        let by_second = *side == Side::Lab && case.open_pass_questions().next().is_some();
        !case.is_cancelled() && (by_other || by_second)
    };
    let asked = Side::ALL.iter().copied().filter(is_asked);
    asked.map(|side| Task {
        side,
        step: Step::Answer,
    })
}

/// What the office has not said yet of work that is passed on: its consent, and that it has read of it.
fn to_passes(case: &CaseState) -> (Option<Task>, Option<Task>) {
    let task = |step: Step, needs_consent: bool| {
        let mut open = case.open_passes().filter(|_| !case.is_cancelled());
        let is_asked = open.any(|one| one.reply.is_none() && one.needs_consent == needs_consent);
        is_asked.then_some(Task {
            side: Side::Office,
            step,
        })
    };
    (task(Step::Consent, true), task(Step::NotePass, false))
}

/// One task for each side that has not said of a call whether it was so.
fn to_confirm(case: &CaseState) -> impl Iterator<Item = Task> {
    let is_told = |side: &Side| {
        let mut calls = case.unconfirmed_calls();
        calls.any(|one| one.from.other() == *side)
    };
    let told = Side::ALL.iter().copied().filter(is_told);
    told.map(|side| Task {
        side,
        step: Step::Confirm,
    })
}

/// What the standstill itself asks for.
fn standing_still(case: &CaseState) -> Option<Task> {
    let halt = case.standstill.as_ref()?;
    let is_at_the_lab = |tag: &Tag| {
        let state = case.item(tag).filter(|state| state.is_there());
        state.is_some_and(|state| state.holder.is_with_lab() && !state.packed)
    };
    let mut fated = halt.items.iter();
    let is_left = fated.any(|one| one.fate != Fate::Stays && is_at_the_lab(&one.tag));
    // What is under way is received first.
    let is_under_way = case.handoffs.iter().any(|one| !one.waiting().is_empty());
    if halt.halt == Halt::Cancelled && is_under_way && !is_left {
        return None;
    }
    // What was found wrong and what was said on the telephone are ended by those who have to say it.
    let is_unsaid = case.open_holds().next().is_some() || case.unconfirmed_calls().next().is_some();
    if halt.halt == Halt::Cancelled && !is_left && is_unsaid {
        return None;
    }
    let (side, step) = match halt.halt {
        Halt::Stopped | Halt::Paused => (Side::Office, Step::Decide),
        Halt::Cancelled if is_left => (Side::Lab, Step::WindUp),
        Halt::Cancelled => (Side::Office, Step::Close),
    };
    Some(Task { side, step })
}

/// Every place once: what is on the way first, then where work is to be done.
fn places(pieces: &[Piece], waiting_for: &[Task]) -> Vec<Place> {
    let is_asked = |step| waiting_for.iter().any(|task: &Task| task.step == step);
    let is_at = |place: Place| {
        let asked = place == Place::Office && is_asked(Step::Enclose);
        asked || pieces.iter().any(|piece| piece.place == place)
    };
    let order = [Place::OnTheWay, Place::Lab, Place::Office, Place::Patient];
    order.into_iter().filter(|place| is_at(*place)).collect()
}

/// What came without a mark of disinfection and still has no entry of its own.
fn unmarked<'a>(
    context: &Context<'a>,
    case: &'a CaseState,
) -> impl Iterator<Item = (&'a Item, &'a State)> {
    let items = context.items.iter();
    let needs = items.filter(|item| item.kind.needs_disinfection());
    let states = needs.filter_map(|item| Some((item, case.item(&item.tag)?)));
    states.filter(|(_, state)| state.gone.is_none() && state.held_for_disinfection)
}

/// Everything that holds the case.
fn held(context: &Context<'_>, case: &CaseState, holds: &[&Hold]) -> Option<Held> {
    let reasons = holds.iter().map(|hold| hold.reason(context.items));
    let unmarked = unmarked(context, case);
    let unmarked = unmarked.map(|(item, _)| HoldReason::Unmarked(ItemName::from(item)));
    let asked = case.waits_for_answer();
    let asked = asked.map(|one| HoldReason::Unanswered(one.to()));
    let reasons: Vec<HoldReason> = reasons.chain(unmarked).chain(asked).collect();
    (!reasons.is_empty()).then_some(Held { reasons, more: 0 })
}
