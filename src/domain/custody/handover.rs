//! What a handoff is mostly for, and what is asked of what leaves the lab: whether that is what was ordered.

use super::agenda::OrderedWork;
use super::case::Place;
use super::case_state::CaseState;
use super::copied::copied_at_the_lab;
use super::finished::has_finished_work;
use super::fit_due::found_wanting;
use super::item::{Item, ItemKind};
use super::lineage::{is_delivered_as, made_as};
use super::ordered::{Ordered, travels};
use super::pieces::{WorkAt, is_between, is_unsaid_at, pieces};
use super::purpose::Purpose;
use super::standstill::Fate;
use super::state::Condition;
use crate::domain::people::party::Side;
use crate::domain::prescription::Stage;
use crate::domain::values::arch::Arch;
use crate::domain::values::ids::Tag;

/// Something that the lab registers when it has made it, by kind and arch.
pub type ToMake = (ItemKind, Arch);

/// Whether things are ordered for these arches that are made again, and none of them is registered.
pub fn is_nothing_registered(
    ordered: &Ordered,
    items: &[Item],
    case: &CaseState,
    arches: &[Arch],
) -> bool {
    let lacking = |items: &[Item]| lacking_of(&ordered.work, (items, case), arches, |_| true);
    let all = lacking(&[]);
    !all.is_empty() && lacking(items) == all
}

/// What is ordered, is not registered, and so cannot be in a parcel of the lab that is handed over as if it were: of the
/// arches of what is sent, or of all where nothing sent has one. Rims that go to the chair for a record are not taken for
/// a set-up, and what is tried in on the way is not taken for a final.
pub fn left_out(
    ordered: &Ordered,
    (items, case): (&[Item], &CaseState),
    arches: &[Arch],
    (sent, purpose): (&[Tag], Purpose),
) -> Vec<ToMake> {
    let sent = sent.iter().filter_map(|tag| Item::of(items, tag));
    let own: Vec<Arch> = sent.filter_map(|item| item.arch).collect();
    let arches: Vec<Arch> = arches
        .iter()
        .filter(|arch| own.is_empty() || own.contains(arch))
        .copied()
        .collect();
    let is_meant = |stage| match purpose {
        Purpose::Finished => true,
        Purpose::Trial => goes_for(stage) != Some(Purpose::Finished),
        Purpose::Record => goes_for(stage) == Some(Purpose::Record),
        _ => false,
    };
    lacking_of(&ordered.work, (items, case), &arches, is_meant)
}

fn lacking_of(
    works: &[OrderedWork],
    (items, case): (&[Item], &CaseState),
    arches: &[Arch],
    is_meant: impl Fn(Stage) -> bool,
) -> Vec<ToMake> {
    let is_there = |(kind, arch): ToMake| {
        items.iter().any(|item| {
            let state = case.item(&item.tag).filter(|state| state.is_there());
            // A final that the patient brought is not the one that is made.
            let is_own = state.is_some_and(|state| {
                state.home == Side::Lab || matches!(kind, ItemKind::Rims | ItemKind::TryIn)
            });
            item.kind == kind && item.arch == Some(arch) && is_own
        })
    };
    let mut lacking: Vec<ToMake> = Vec::new();
    for work in works.iter().filter(|work| is_meant(work.stage)) {
        let Some(kind) = made_as(work.stage) else {
            continue;
        };
        for arch in arches {
            let is_of_it = work.arch.is_none_or(|own| own == *arch);
            let made = (kind, *arch);
            if is_of_it && !is_there(made) && !lacking.contains(&made) {
                lacking.push(made);
            }
        }
    }
    lacking
}

/// What the lab sends a stage for. Common practice, no source.
fn goes_for(stage: Stage) -> Option<Purpose> {
    match stage {
        Stage::Tray | Stage::Rims => Some(Purpose::Record),
        Stage::SetUp | Stage::TryIn | Stage::Reset => Some(Purpose::Trial),
        Stage::Process
        | Stage::Duplicate
        | Stage::Reline
        | Stage::Rebase
        | Stage::Repair
        | Stage::Remount => Some(Purpose::Finished),
        Stage::Mount => None,
    }
}

/// What the office sends things for where a stage is ordered. Common practice, no source.
fn comes_for(stage: Stage, is_after_trial: bool) -> Purpose {
    match stage {
        Stage::Reset => Purpose::AfterTrial,
        Stage::Duplicate => Purpose::Duplicate,
        Stage::Reline | Stage::Rebase => Purpose::Change,
        Stage::Repair => Purpose::Repair,
        Stage::Remount => Purpose::Remount,
        Stage::Process | Stage::SetUp | Stage::TryIn if is_after_trial => Purpose::AfterTrial,
        _ => Purpose::Make,
    }
}

/// Of what the lab has in hand, what it is to send back of cancelled work.
pub fn to_send_back(items: &[Item], case: &CaseState) -> Vec<Tag> {
    let is_here = |item: &&Item| {
        let state = case.item(&item.tag);
        state.is_some_and(|state| state.is_in_hand(Side::Lab))
    };
    let fated = items.iter().filter(is_here);
    let fated =
        fated.filter(|item| case.is_cancelled() && case.fate(&item.tag) == Some(Fate::ComesBack));
    fated.map(|item| item.tag.clone()).collect()
}

/// Whether the lab has in hand what is the office's, is seldom worked from and is in no list, the earlier ones included: it
/// goes back. What is found wrong with it is said first. Common practice, no source.
pub fn is_sent_by_mistake(ordered: &Ordered, case: &CaseState, item: &Item) -> bool {
    let is_here = case.item(&item.tag).is_some_and(|state| {
        state.home == Side::Office && state.is_in_hand(Side::Lab) && !state.held_for_disinfection
    });
    let mut listed = ordered.enclosed.iter().chain(&ordered.enclosed_before);
    let is_unlisted = ordered.revision > 0 && !listed.any(|tag| *tag == item.tag);
    let mut holds = case.open_holds();
    is_here
        && is_unlisted
        && !item.kind.travels_mostly()
        && !ordered.patterns.contains(&item.tag)
        && !holds.any(|hold| hold.waiting.contains(&item.tag))
}

/// Of what the lab has in hand, what the prescription in force wants back with the work, and what was copied.
pub fn to_go_with_the_work(ordered: &Ordered, items: &[Item], case: &CaseState) -> Vec<Tag> {
    let back = &ordered.with_the_work;
    let copied = copied_at_the_lab(ordered, items, case);
    let is_wanted = |item: &&Item| {
        let Some(state) = case.item(&item.tag) else {
            return false;
        };
        let is_named = back.tags.contains(&item.tag) || back.kinds.contains(&item.kind);
        let is_the_offices = state.home == Side::Office;
        let is_pattern = back.has_pattern() && ordered.patterns.contains(&item.tag);
        let is_lent = item.borrowed && is_lent_for_this(ordered, &item.tag);
        let is_copied = copied.iter().any(|(tag, _)| *tag == item.tag);
        let goes = is_named || is_copied || (is_the_offices && (is_pattern || is_lent));
        goes && state.is_in_hand(Side::Lab)
    };
    let wanted = items.iter().filter(is_wanted);
    wanted.map(|item| item.tag.clone()).collect()
}

/// What is wanted back with the work and would stay at the lab, though finished work is sent: of the arches of that work, and
/// what is of no arch once no other work is left here that needs it. What was copied is asked about by itself.
pub fn back_left_out(
    ordered: &Ordered,
    (items, case): (&[Item], &CaseState),
    arches: &[Arch],
    (sent, purpose): (&[Tag], Purpose),
) -> Vec<Tag> {
    let tags: Vec<&Tag> = sent.iter().collect();
    if purpose.is_return() || !has_finished_work(case, items, Some(purpose), &tags) {
        return Vec::new();
    }
    let going = items.iter().filter(|item| sent.contains(&item.tag));
    let going: Vec<Arch> = going
        .filter(|item| item.kind.is_wearable())
        .filter_map(|item| item.arch)
        .collect();
    let pieces = pieces(ordered, items, case, arches);
    let is_needed = pieces
        .iter()
        .any(|piece| piece.at == WorkAt::AtLab && !going.contains(&piece.arch));
    let copied = copied_at_the_lab(ordered, items, case);
    let is_of_it = |tag: &Tag| {
        let arch = Item::of(items, tag).and_then(|item| item.arch);
        arch.map_or(!is_needed, |arch| going.contains(&arch))
    };
    let mut left = to_go_with_the_work(ordered, items, case);
    left.retain(|tag| {
        let is_copied = copied.iter().any(|(one, _)| one == tag);
        !is_copied && !sent.contains(tag) && is_of_it(tag)
    });
    left
}

/// Whether a thing that is wanted back by a day has served once this work is done: nothing is made next, or its day is no
/// later than that of the work.
fn is_lent_for_this(ordered: &Ordered, tag: &Tag) -> bool {
    let mut works = ordered.work.iter();
    let is_last = !works.any(|work| is_between(work.stage));
    let day = ordered.wanted_back.get(tag);
    day.is_some_and(|day| is_last || ordered.wanted.is_some_and(|wanted| *day <= wanted))
}

/// What was copied and would stay at the lab, though a copy of its arch is sent.
pub fn copied_left_out(
    ordered: &Ordered,
    (items, case): (&[Item], &CaseState),
    sent: &[Tag],
) -> Vec<Tag> {
    let sent_items = items.iter().filter(|item| sent.contains(&item.tag));
    let copies: Vec<Arch> = sent_items
        .filter(|item| {
            let is_home = case
                .item(&item.tag)
                .is_some_and(|state| state.home == Side::Lab);
            is_home && is_delivered_as(Stage::Duplicate, item.kind)
        })
        .filter_map(|item| item.arch)
        .collect();
    let copied = copied_at_the_lab(ordered, items, case).into_iter();
    let left = copied.filter(|(tag, arch)| copies.contains(arch) && !sent.contains(tag));
    left.map(|(tag, _)| tag).collect()
}

/// Why nothing that is signed asks for a thing that the office sends to be worked on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NotAskedFor {
    /// An old denture that the list does not name.
    Unlisted,
    /// All that is ordered of it is done.
    Done,
}

/// What of these things the office sends to be worked on, though nothing that is signed asks for it. What goes for
/// alteration is asked about by the case itself: the office has to write.
pub fn not_asked_for(
    ordered: &Ordered,
    (items, case): (&[Item], &CaseState),
    (sent, purpose): (&[Tag], Purpose),
) -> Vec<(Tag, NotAskedFor)> {
    let is_work = purpose.is_for_work() && ordered.revision > 0 && !case.is_cancelled();
    let why = |item: &Item| {
        let state = case.item(&item.tag)?;
        if !ordered.enclosed.contains(&item.tag) && !item.kind.travels_mostly() {
            return Some(NotAskedFor::Unlisted);
        }
        let arch = item.arch.filter(|_| purpose != Purpose::Change)?;
        let mut works = ordered.work.iter();
        let is_it = works.any(|work| is_what_leaves(work, item, case));
        let is_back = case
            .handoffs
            .iter()
            .any(|one| one.from == Side::Lab && one.voided.is_none() && one.carries(&item.tag));
        let is_sound = state.condition == Condition::Sound
            && found_wanting(case, item, ordered.revision).is_empty();
        let is_done = || is_unsaid_at(ordered, items, case, (arch, Side::Office));
        (is_it && is_back && is_sound && is_done()).then_some(NotAskedFor::Done)
    };
    let sent = items
        .iter()
        .filter(|item| is_work && sent.contains(&item.tag));
    sent.filter_map(|item| Some((item.tag.clone(), why(item)?)))
        .collect()
}

/// What a side mostly hands things over for, by what is signed; none where several things are ordered that go for
/// different reasons, or where the lab has nothing of it in hand.
pub fn usual_purpose(
    ordered: &Ordered,
    items: &[Item],
    case: &CaseState,
    side: Side,
) -> Option<Purpose> {
    if case.is_cancelled() {
        let is_any = side == Side::Lab && !to_send_back(items, case).is_empty();
        return is_any.then_some(Purpose::GoingBack);
    }
    let in_hand = |item: &&Item| {
        let state = case.item(&item.tag);
        state.is_some_and(|state| state.is_in_hand(side) && travels(item, state, ordered))
    };
    let here: Vec<&Item> = items.iter().filter(in_hand).collect();
    let tried_in = |work: &OrderedWork| {
        here.iter().any(|item| {
            let is_of_it = work.arch.is_none() || item.arch == work.arch;
            is_of_it && item.kind == ItemKind::TryIn
        })
    };
    let is_wanting = |work: &OrderedWork| {
        here.iter().any(|item| {
            let is_it = is_what_leaves(work, item, case);
            is_it && !found_wanting(case, item, ordered.revision).is_empty()
        })
    };
    let purpose = |work: &OrderedWork| match side {
        Side::Office if is_wanting(work) => Some(Purpose::Change),
        Side::Office => Some(comes_for(work.stage, tried_in(work))),
        Side::Lab => {
            let mut ready = here.iter();
            let is_here = ready.any(|item| is_what_leaves(work, item, case));
            goes_for(work.stage).filter(|_| is_here)
        }
    };
    // A spare is made beside the work, and after it: nothing goes for its sake.
    let is_spare = |work: &&OrderedWork| {
        let is_of_it = |one: &OrderedWork| one.arch.is_none() || one.arch == work.arch;
        let mut others = ordered.work.iter();
        work.stage == Stage::Duplicate
            && others.any(|one| one.stage != Stage::Duplicate && is_of_it(one))
    };
    // Of what was handed over nothing says what it is sent for again.
    let is_done = |work: &&OrderedWork| {
        let arches = Arch::ALL.iter().copied();
        let mut own = arches.filter(|arch| work.arch.is_none_or(|own| own == *arch));
        !is_wanting(work) && own.all(|arch| is_unsaid_at(ordered, items, case, (arch, side)))
    };
    let works = ordered.work.iter().filter(|work| !is_spare(work));
    let mut purposes = works.filter(|work| !is_done(work)).map(purpose);
    match purposes.next() {
        // All else has left: the spare is what goes.
        None | Some(None) if side == Side::Lab => {
            let mut spares = ordered.work.iter().filter(is_spare);
            let mut works = ordered.work.iter().filter(|work| !is_spare(work));
            let is_alone = works.all(|work| purpose(work).is_none());
            let is_spare_here = spares.any(|work| purpose(work).is_some());
            (is_alone && is_spare_here).then_some(Purpose::Finished)
        }
        first => {
            let first = first??;
            purposes.all(|one| one == Some(first)).then_some(first)
        }
    }
}

/// Whether what the lab has still to make of these arches is nothing that it registers first: it is done to what is
/// there, or what is made of it is registered.
pub fn is_registered(ordered: &Ordered, items: &[Item], case: &CaseState, arches: &[Arch]) -> bool {
    let at_lab = pieces(ordered, items, case, arches).into_iter();
    let at_lab = at_lab.filter(|piece| piece.at == WorkAt::AtLab);
    let made = at_lab.filter_map(|piece| Some((made_as(piece.stage?)?, piece.arch)));
    let made: Vec<ToMake> = made.collect();
    let is_here = |(kind, arch): &ToMake| {
        items.iter().any(|item| {
            let state = case.item(&item.tag);
            let is_here = state.is_some_and(|state| {
                let is_own = state.home == Side::Lab || *kind == ItemKind::TryIn;
                is_own && state.is_in_hand(Side::Lab)
            });
            item.kind == *kind && item.arch == Some(*arch) && is_here
        })
    };
    match ordered.work.is_empty() {
        // Nothing says what it is.
        true => has_made(items, case),
        false => made.is_empty() || made.iter().any(is_here),
    }
}

/// Whether the lab has something in hand that it has made for the mouth.
fn has_made(items: &[Item], case: &CaseState) -> bool {
    items.iter().any(|item| {
        let state = case.item(&item.tag).filter(|state| state.is_there());
        let is_own = state.is_some_and(|one| one.home == Side::Lab && one.is_in_hand(Side::Lab));
        is_own && item.kind.is_made_for_the_mouth()
    })
}

/// Of what the lab has in hand the work that is ordered. Whether it is finished, the bench knows.
pub fn work_in_hand(ordered: &Ordered, items: &[Item], case: &CaseState) -> Vec<Tag> {
    let is_it = |item: &&Item| {
        let is_here = case
            .item(&item.tag)
            .is_some_and(|state| state.is_in_hand(Side::Lab));
        let mut works = ordered.work.iter();
        is_here && works.any(|work| is_what_leaves(work, item, case))
    };
    let work = items.iter().filter(is_it);
    work.map(|item| item.tag.clone()).collect()
}

/// Whether a thing is the piece that is ordered: made here where the lab makes it, and otherwise what it was done to.
fn is_what_leaves(work: &OrderedWork, item: &Item, case: &CaseState) -> bool {
    let is_of_it = work.arch.is_none() || item.arch == work.arch;
    let is_made = case
        .item(&item.tag)
        .is_some_and(|state| state.home == Side::Lab);
    let is_new = matches!(
        work.stage,
        Stage::Rims | Stage::Process | Stage::Duplicate | Stage::Tray
    );
    is_of_it && is_delivered_as(work.stage, item.kind) && (is_made || !is_new)
}

/// Whether the lab has nothing of a case in the house any more: something has left it, and neither things nor work that
/// is made from files are there.
pub fn has_left_the_lab(items: &[Item], case: &CaseState, places: &[Place]) -> bool {
    let mut left = case.handoffs.iter();
    let has_left =
        left.any(|one| one.from == Side::Lab && one.voided.is_none() && !one.is_packed());
    let is_here = items.iter().any(|item| {
        let state = case.item(&item.tag);
        state.is_some_and(|state| state.is_there() && state.holder.is_with_lab())
    });
    has_left && !is_here && !places.contains(&Place::Lab)
}
