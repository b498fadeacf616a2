//! Where a case stands: drawn for each piece of its work, so that it can wait for both sides at once.

use super::astray::{Astray, astray};
use super::case_state::CaseState;
use super::closing::became_the_work;
use super::copied::is_left_behind;
use super::emptied::{is_unforeseen, leaves_nothing, without_teeth};
use super::finished::waits_with_the_work;
use super::follow_up::{FollowUpEntry, again_to_order};
use super::handoff::Handoff;
use super::handover::is_sent_by_mistake;
use super::held::{Held, HoldReason, ItemName};
use super::hold::Hold;
use super::lineage::is_delivered_as;
use super::offers::{CaseStep, Offers};
use super::ordered::{Lacking, NotCome, Ordered, lacking, travels};
use super::passed::PassedWork;
use super::pieces::{WorkAt, WorkPiece, is_under_way, pieces, spares_left};
use super::rules::Context;
use super::standstill::{Fate, Halt};
use super::state::{Holder, State};
use crate::domain::custody::case::{Place, Step, Task, to_do};
use crate::domain::custody::item::{Item, ItemKind};
use crate::domain::people::party::{Actor, Role, Side};
use crate::domain::prescription::Stage;
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
    /// Whether a denture lies at the office and waits for the mouth, or for the patient.
    pub to_fit: bool,
    /// What is listed as enclosed and is missed by the lab, which has work of this case.
    pub lacking: Vec<Lacking>,
    /// What was not in its parcel, and its sender is to find or to give up.
    pub astray: Vec<Astray>,
}

/// The case of these events, to the revision that `ordered` tells of.
pub fn standing(
    context: &Context<'_>,
    case: &CaseState,
    ordered: &Ordered,
    acknowledged: i64,
) -> Standing {
    let pieces = pieces(ordered, context.items, case, context.arches.treated());
    let is_away = |piece: &WorkPiece| {
        use WorkAt::{AtLab, Packed, ToLab, Unsaid};
        matches!(piece.at, AtLab | Packed | ToLab | Unsaid(Side::Lab))
    };
    let mut lacks = lacking(ordered, context.items, case);
    if !pieces.iter().any(is_away) {
        lacks.clear();
    }
    let mut next = next_tasks(&pieces, &lacks, (ordered, acknowledged));
    let is_delivered = pieces
        .iter()
        .all(|piece| matches!(piece.at, WorkAt::Worn | WorkAt::Kept | WorkAt::SpareLost));
    // What was copied is the patient's meanwhile: it is not waited for until the copy is worn.
    let is_copied_left = is_left_behind(ordered, (context.items, case), &pieces);
    let is_mistaken = context
        .items
        .iter()
        .any(|item| is_sent_by_mistake(ordered, case, item));
    let is_left = is_delivered && is_left_at_the_lab(context, case, ordered);
    if is_copied_left || is_left || is_mistaken {
        next.push(Task {
            side: Side::Lab,
            step: Step::SendBack,
        });
    }
    receive_all(case, &mut next);
    let astray = astray(context.items, case, ordered, &pieces);
    next.extend(astray.iter().filter_map(Astray::task));
    next.extend(to_pass_again(case, ordered));
    let mut seen: Vec<Task> = Vec::new();
    next.retain(|task| {
        let is_new = !seen.contains(task);
        seen.push(*task);
        is_new
    });
    for task in &mut next {
        let is_sent = can_send(context, case, ordered) || comes_out(context, case, &pieces);
        if task.step == Step::HandOver && !is_sent {
            task.step = Step::Register;
        }
    }
    // Of what is there no day is asked any more.
    let is_awaited = !is_delivered && pieces.iter().any(|piece| !piece.is_done);
    let named = case.day_to_answer(ordered.revision, ordered.wanted);
    if named.is_some() && is_awaited {
        let task = Task {
            side: Side::Office,
            step: Step::AnswerDay,
        };
        next.insert(0, task);
    }
    next.extend(after_the_fit(case, ordered, &next));
    let mut unwritten = case.calls_to_write(ordered);
    next.extend(unwritten.next().map(|_| Task {
        side: Side::Office,
        step: Step::WriteCall,
    }));
    let holds: Vec<&Hold> = case.open_holds().collect();
    let waiting_for = tasks((context, case), &holds, (&pieces, next));
    let goes_in = |piece: &WorkPiece| {
        let is_here = matches!(piece.at, WorkAt::ToFit | WorkAt::ToGive | WorkAt::ToWeigh);
        is_here && (case.standstill.is_none() || is_worn_before(context, case, piece))
    };
    Standing {
        places: places(&pieces, &waiting_for),
        held: held(context, case, &holds),
        waiting_for,
        to_fit: pieces.iter().any(goes_in),
        lacking: lacks,
        astray,
    }
}

/// What the checks after the fit ask for: the lab's word on the part of each house, and the order of a remake or a
/// correction that the lab has answered, also where it sees that part otherwise. Work that is given up asks for neither.
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
    let mut again = again_to_order(&case.follow_ups, ordered.since, &ordered.others);
    let is_ordered = again.next().is_none();
    let is_there = next.contains(&write);
    let answer = is_asked.then_some(answer);
    let write = (!is_ordered && !is_there).then_some(write);
    answer.into_iter().chain(write).collect()
}

/// Whether the lab still has something that the office had sent, though all that was made is worn. What the
/// prescription leaves with the lab, and a file, of which the office has its own copy, is not asked for.
fn is_left_at_the_lab(context: &Context<'_>, case: &CaseState, ordered: &Ordered) -> bool {
    let stays = |kind: ItemKind| ordered.stays.has(kind) || kind.is_spent_at_the_lab();
    context.items.iter().any(|item| {
        let state = case.item(&item.tag);
        let is_left = state.is_some_and(|one| {
            let is_passed = one.is_there() && matches!(one.holder, Holder::Passed(_));
            one.home == Side::Office && (is_passed || one.is_in_hand(Side::Lab))
        });
        is_left && !stays(item.kind) && !became_the_work(&context.scope(), item, case)
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

/// Whether work is to be done to a denture that is in the mouth, or it is to be copied: it comes out of there first.
fn comes_out(context: &Context<'_>, case: &CaseState, pieces: &[WorkPiece]) -> bool {
    let is_done_to_a_denture = |piece: &&WorkPiece| {
        use Stage::{Duplicate, Rebase, Reline, Remount, Repair};
        let stages = [Duplicate, Reline, Rebase, Repair, Remount];
        piece.at == WorkAt::ToSend && piece.stage.is_some_and(|stage| stages.contains(&stage))
    };
    let is_worn = |piece: &WorkPiece| {
        let mut items = context.items.iter();
        items.any(|item| {
            let state = case.item(&item.tag);
            item.arch == Some(piece.arch) && state.is_some_and(|state| state.worn)
        })
    };
    pieces.iter().filter(is_done_to_a_denture).any(is_worn)
}

/// Whatever is on its way is received, be it the work or not.
fn receive_all(case: &CaseState, next: &mut Vec<Task>) {
    for &side in Side::ALL {
        let mut handoffs = case.handoffs.iter().filter(|one| one.voided.is_none());
        let task = Task {
            side,
            step: Step::Receive,
        };
        if handoffs.any(|one| one.to == side && is_under_way(one)) && !next.contains(&task) {
            next.insert(0, task);
        }
    }
}

/// Where the work of a piece is.
fn place(piece: &WorkPiece) -> Place {
    match piece.at {
        WorkAt::ToLab | WorkAt::Coming | WorkAt::Astray(_) => Place::OnTheWay,
        WorkAt::AtLab | WorkAt::Packed | WorkAt::Unsaid(Side::Lab) => Place::Lab,
        WorkAt::Worn | WorkAt::WornOlder | WorkAt::Kept | WorkAt::SpareLost => Place::Patient,
        WorkAt::ToSend
        | WorkAt::ToWeigh
        | WorkAt::ToFit
        | WorkAt::ToGive
        | WorkAt::ToTry
        | WorkAt::Unsaid(Side::Office) => Place::Office,
    }
}

/// The next step of a piece by where it is and what is signed, when nothing is held.
fn next_step(piece: &WorkPiece, (revision, read): (i64, i64)) -> Option<Task> {
    let (side, step) = match piece.at {
        // What is in a parcel is received first, whether the prescription is signed or not.
        WorkAt::Coming => (Side::Office, Step::Receive),
        WorkAt::ToLab => (Side::Lab, Step::Receive),
        _ if revision == 0 => (Side::Office, Step::Write),
        WorkAt::AtLab | WorkAt::Packed | WorkAt::Unsaid(Side::Lab) if read < revision => {
            (Side::Lab, Step::Acknowledge)
        }
        WorkAt::AtLab => (Side::Lab, Step::Make),
        // Whoever has packed waits for the carrier.
        WorkAt::Packed | WorkAt::Worn | WorkAt::Kept => return None,
        WorkAt::Astray(Side::Lab) => (Side::Lab, Step::FindSent),
        WorkAt::Astray(Side::Office) => (Side::Office, Step::FindLost),
        WorkAt::ToWeigh if piece.is_wanting => (Side::Office, Step::NotAsAsked),
        WorkAt::ToWeigh => (Side::Office, Step::Weigh),
        WorkAt::WornOlder => (Side::Office, Step::WillDo),
        WorkAt::ToFit => (Side::Office, Step::Fit),
        WorkAt::ToGive => (Side::Office, Step::GiveSpare),
        WorkAt::SpareLost => (Side::Office, Step::SpareLost),
        WorkAt::ToTry => (Side::Office, Step::TryIn),
        WorkAt::ToSend => (Side::Office, Step::HandOver),
        WorkAt::Unsaid(_) => (Side::Office, Step::Write),
    };
    Some(Task { side, step })
}

fn is_making(step: Step) -> bool {
    matches!(step, Step::Make | Step::MakeSpare)
}

/// What the office does about what is listed and is not at the lab.
fn mending(missed: &[&Lacking]) -> Option<Task> {
    let is_missed_as = |how: NotCome| missed.iter().any(|one| one.how == how);
    let never = [
        NotCome::Mistaken,
        NotCome::GivenUp,
        NotCome::Destroyed,
        NotCome::Lost,
    ];
    let is_never_coming = never.into_iter().any(is_missed_as);
    // What is not there cannot be sent: a list without it is signed.
    let step = if is_missed_as(NotCome::Stays) {
        Some(Step::Enclose)
    } else if is_missed_as(NotCome::Missing) {
        Some(Step::Find)
    } else if is_never_coming {
        Some(Step::Write)
    } else {
        is_missed_as(NotCome::NotStored).then_some(Step::AddFiles)
    };
    step.map(|step| Task {
        side: Side::Office,
        step,
    })
}

/// The next step of each piece, each task once.
fn next_tasks(
    pieces: &[WorkPiece],
    lacks: &[Lacking],
    (ordered, read): (&Ordered, i64),
) -> Vec<Task> {
    let mut next: Vec<Task> = Vec::new();
    let revision = ordered.revision;
    let spares = spares_left(pieces);
    for piece in pieces {
        // What is made after it is ordered already.
        let is_further = |other: &WorkPiece| {
            other.arch == piece.arch && other.stage != piece.stage && !other.is_done
        };
        if piece.is_done
            && piece.is_on_the_way_to_a_final()
            && matches!(piece.at, WorkAt::ToTry | WorkAt::Unsaid(_))
            && pieces.iter().any(is_further)
        {
            continue;
        }
        let step = next_step(piece, (revision, read)).map(|task| match task.step {
            Step::Make if spares.contains(&piece.arch) => Task {
                step: Step::MakeSpare,
                ..task
            },
            _ => task,
        });
        let missed = |one: &&Lacking| one.arch.is_none_or(|jaw| ordered.is_for(jaw, piece.arch));
        let missed: Vec<&Lacking> = lacks.iter().filter(missed).collect();
        let mend = mending(&missed);
        let is_to_lab = |task: &Task| {
            task.side == Side::Lab && matches!(task.step, Step::Receive | Step::Acknowledge)
        };
        let steps = match step {
            // Nothing is begun before all that is listed is there; what is on its way comes by itself.
            Some(task) if is_making(task.step) && !missed.is_empty() => [None, mend],
            // What stays here is sent after the rest, whether the lab has read the list yet or not.
            Some(task) if is_to_lab(&task) => [step, mend],
            step => [step, None],
        };
        // What left unread is read all the same: the work is still to be as the revision in force asks.
        let acknowledge = Task {
            side: Side::Lab,
            step: Step::Acknowledge,
        };
        let is_unread = piece.is_older && read < revision;
        let unread = is_unread.then_some(acknowledge);
        // What goes back without a word on what is made next is asked about while it is under way.
        let write = piece.is_unsaid.then_some(Task {
            side: Side::Office,
            step: Step::Write,
        });
        for task in steps.into_iter().flatten().chain(unread).chain(write) {
            if !next.contains(&task) {
                next.push(task);
            }
        }
    }
    next
}

/// The sides that have to answer for these holds.
fn answering(holds: &[&Hold], is_it: impl Fn(&Hold) -> bool) -> Vec<Side> {
    let mut sides: Vec<Side> = Vec::new();
    for hold in holds.iter().filter(|hold| is_it(hold)) {
        if !sides.contains(&hold.side) {
            sides.push(hold.side);
        }
    }
    sides
}

/// The sides where something is packed that does not wait with the work.
fn with_packed(context: &Context<'_>, case: &CaseState) -> Vec<Side> {
    let is_packed = |side: &&Side| {
        let mut handoffs = case.handoffs.iter();
        handoffs.any(|one| {
            let waits = waits_with_the_work(case, context.items, one);
            one.is_packed() && one.from == **side && !waits
        })
    };
    Side::ALL.iter().filter(is_packed).copied().collect()
}

/// All that is to be done, what cannot wait first.
fn tasks(
    (context, case): (&Context<'_>, &CaseState),
    holds: &[&Hold],
    (pieces, next): (&[WorkPiece], Vec<Task>),
) -> Vec<Task> {
    let to_resolve = answering(holds, Hold::keeps_back);
    // What only came along holds nothing up: its sender says what it is while the work goes on.
    let to_explain = answering(holds, |hold| !hold.keeps_back());
    let to_explain = to_explain
        .into_iter()
        .filter(|side| !to_resolve.contains(side));
    let explain: Vec<Task> = to_explain
        .map(|side| Task {
            side,
            step: Step::Resolve,
        })
        .collect();
    let packed = with_packed(context, case);
    let next = while_still((context, case), pieces, next);
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
    let rest = rest.flat_map(|task| kept_here((context, case), task));
    let rest = rest.filter(|task| !(waits && is_making(task.step)));
    let (answer, confirm) = (to_answer(case), to_confirm(case));
    let answer = answer.chain(to_sign(case));
    let first = heed.chain(answer).chain(consent).chain(disinfect);
    let rest = explain.into_iter().chain(rest);
    let empty = without_teeth(
        context.items,
        case,
        context.arches.treated(),
        context.elsewhere,
    );
    let toothless = (!empty.is_empty()).then_some(Task {
        side: Side::Office,
        step: Step::Toothless,
    });
    // Where it is the dentist's own signed word, the way on from there is what the other steps say.
    let (now, meanwhile) = match is_unforeseen(&empty, case) {
        true => (toothless, None),
        false => (None, toothless),
    };
    let all = now.into_iter().chain(first).chain(rest);
    all.chain(meanwhile).chain(confirm).chain(note).collect()
}

/// The pick-up of parcels of which one would leave the patient without teeth: that one is kept, and the others go. Of
/// cancelled work a parcel is taken back.
fn kept_here((context, case): (&Context<'_>, &CaseState), task: Task) -> Vec<Task> {
    let is_pick_up = task.step == Step::PickUp && task.side == Side::Office;
    if !is_pick_up || case.is_cancelled() {
        return vec![task];
    }
    let packed = case.handoffs.iter();
    let packed = packed.filter(|one| one.is_packed() && one.from == Side::Office);
    let (kept, goes): (Vec<&Handoff>, Vec<&Handoff>) =
        packed.partition(|one| leaves_nothing(context.items, case, one));
    let keep = Task {
        side: Side::Office,
        step: Step::KeepParcel,
    };
    let keep = (!kept.is_empty()).then_some(keep);
    let go = (!goes.is_empty()).then_some(task);
    keep.into_iter().chain(go).collect()
}

/// What of the next steps goes on where the work stands still, with what the standstill asks; all of them where it does not.
fn while_still(
    (context, case): (&Context<'_>, &CaseState),
    pieces: &[WorkPiece],
    next: Vec<Task>,
) -> Vec<Task> {
    if case.standstill.is_none() {
        return next;
    }
    // New work waits for the word that it goes on; what the patient had worn may go in again.
    let goes_in = |at: WorkAt| {
        let mut own = pieces.iter().filter(|piece| piece.at == at);
        own.any(|piece| is_worn_before(context, case, piece))
    };
    let goes_on = next.into_iter().filter(|task| match task.step {
        Step::Receive => true,
        Step::Fit => goes_in(WorkAt::ToFit),
        Step::Weigh | Step::NotAsAsked => goes_in(WorkAt::ToWeigh),
        _ => false,
    });
    goes_on.chain(standing_still(case)).collect()
}

/// Whether what has come back to the office for an arch is a denture that the patient had worn before. A pattern that comes
/// with the new work is not what is fitted.
fn is_worn_before(context: &Context<'_>, case: &CaseState, piece: &WorkPiece) -> bool {
    let is_here = |item: &&Item| {
        let state = case.item(&item.tag);
        let is_back = state.is_some_and(|one| one.is_in_hand(Side::Office) && !one.was_taken_out);
        item.arch == Some(piece.arch) && is_back
    };
    let here: Vec<&Item> = context.items.iter().filter(is_here).collect();
    let is_new = |item: &Item| item.kind.is_made_for_the_mouth() && case.rests_unworn(&item.tag);
    let has_new = here.iter().any(|item| is_new(item));
    let stage = piece.stage.unwrap_or(Stage::Process);
    here.iter()
        .any(|item| case.was_worn(&item.tag) && (!has_new || is_delivered_as(stage, item.kind)))
}

/// Work that is passed on to a second laboratory for an earlier revision than the one in force.
fn to_pass_again(case: &CaseState, ordered: &Ordered) -> Option<Task> {
    let is_behind =
        |one: &PassedWork| one.revision < ordered.revision && one.away(case).next().is_some();
    let is_asked = !case.is_cancelled() && case.open_passes().any(is_behind);
    is_asked.then_some(Task {
        side: Side::Lab,
        step: Step::PassAgain,
    })
}

/// One task for each side that is asked something, however much.
fn to_answer(case: &CaseState) -> impl Iterator<Item = Task> {
    let step = |side: &Side| {
        let by_other = || {
            let open = case.open_questions().filter(|one| one.to() == *side);
            open.filter(|one| one.promised.is_none())
        };
        let by_second = *side == Side::Lab && case.open_pass_questions().next().is_some();
        match by_second || by_other().any(|one| !one.is_for_information()) {
            _ if case.is_cancelled() => None,
            true => Some(Step::Answer),
            false => by_other().next().map(|_| Step::Read),
        }
    };
    let asked = Side::ALL.iter().copied();
    asked.filter_map(move |side| step(&side).map(|step| Task { side, step }))
}

/// The revision with which a question is answered, and which is not signed yet.
fn to_sign(case: &CaseState) -> Option<Task> {
    let mut promised = case.promised_revisions();
    let is_promised = promised.next().is_some() && !case.is_cancelled();
    is_promised.then_some(Task {
        side: Side::Office,
        step: Step::Promised,
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
    let has_to_confirm = |side: &Side| {
        let mut calls = case.unconfirmed_calls();
        calls.any(|one| one.from.other() == *side)
    };
    let sides = Side::ALL.iter().copied().filter(has_to_confirm);
    sides.map(|side| Task {
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
fn places(pieces: &[WorkPiece], waiting_for: &[Task]) -> Vec<Place> {
    let is_asked = |step| waiting_for.iter().any(|task: &Task| task.step == step);
    let is_at = |place: Place| {
        let is_missed = is_asked(Step::Enclose) || is_asked(Step::AddFiles);
        let asked = place == Place::Office && is_missed;
        asked || pieces.iter().any(|piece| self::place(piece) == place)
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
    let keeping = holds.iter().filter(|hold| hold.keeps_back());
    let reasons = keeping.map(|hold| hold.reason(context.items));
    let unmarked = unmarked(context, case);
    let unmarked = unmarked.map(|(item, _)| HoldReason::Unmarked(ItemName::from(item)));
    let asked = case.waits_for_answer();
    let asked = asked.map(|one| match one.promised {
        Some(_) => HoldReason::RevisionPromised,
        None => HoldReason::Unanswered(one.to()),
    });
    let reasons: Vec<HoldReason> = reasons.chain(unmarked).chain(asked).collect();
    (!reasons.is_empty()).then_some(Held { reasons, more: 0 })
}
