//! Draws where a case stands in the agenda of either side.

use super::absent::absent;
use super::agenda::{
    AskedFirst, AwayFromBench, CaseAgenda, OnAgenda, OnBench, WhoseTurn, as_searched, mould_key,
};
use super::bench::{BenchStep, NextStep};
use super::case::{Case, Place, Step};
use super::case_state::CaseState;
use super::emptied::{HadDenture, is_unforeseen, without_teeth};
use super::follow_up::again_to_order;
use super::handoff::Handoff;
use super::item::Item;
use super::lineage::{LoanNow, overdue};
use super::next_check::next_check;
use super::ordered::Ordered;
use super::pieces::pieces;
use super::ready::deferred_arches;
use super::rounds::at_the_bench;
use crate::domain::people::party::Side;
use crate::domain::values::arch::Arch;
use crate::domain::values::ids::Tag;
use std::collections::BTreeSet;
use time::Date;

/// Bytes that a case is found by, at most: an index takes no row of any length.
const WORDS_MOST: usize = 1_500;

/// The agenda of a case whose other columns are drawn already; `elsewhere` is what the patient has by other cases.
pub fn agenda(
    case: &Case,
    items: &[Item],
    state: &CaseState,
    ordered: &Ordered,
    elsewhere: &[HadDenture],
) -> CaseAgenda {
    let there: Vec<&Item> = (items.iter())
        .filter(|item| state.item(&item.tag).is_some_and(|one| one.is_there()))
        .collect();
    let lent = |side| lent_by(side, items, state, ordered);
    // Once it was in the mouth nothing of it is late any more, nor is work that is given up.
    let is_done = state.is_cancelled() || is_done(case, items, state, ordered);
    let due = state.day_due(case.revision, case.due).filter(|_| !is_done);
    // An arch that was meant to stand empty waits in its ordinary list.
    let treated = case.arches.treated();
    let is_toothless = is_unforeseen(&without_teeth(items, state, treated, elsewhere), state);
    let check = next_check(items, state, treated).filter(|_| !is_over(case, state));
    let is_to_order = is_to_order(state, ordered);
    let on = |side| OnAgenda {
        asked: asked(case, side, state),
        answered_ms: answered(case, side, state),
        ..on_agenda(
            (case, side),
            (lent(side), due, check.filter(|_| side == Side::Office)),
            (is_toothless, is_to_order),
        )
    };
    let on_the_way = state
        .handoffs
        .iter()
        .filter(|one| !one.waiting().is_empty());
    CaseAgenda {
        office: on(Side::Office),
        lab: on(Side::Lab),
        items: i64::try_from(there.len()).unwrap_or(i64::MAX),
        work: ordered.work.clone(),
        seals: on_the_way.flat_map(seals).collect::<Vec<_>>().join(", "),
        words: words(case, &there, (state, ordered)),
        bench: on_bench(case, items, state, ordered),
    }
}

/// What this side is to answer first; nothing once the case is closed or the work given up.
fn asked(case: &Case, side: Side, state: &CaseState) -> Option<AskedFirst> {
    let is_over = is_over(case, state);
    let by_other = state.open_questions();
    let by_other = by_other.filter(|one| one.to() == side && one.promised.is_none());
    let by_other = by_other.filter(|one| !one.is_for_information());
    let by_other = by_other.map(|one| (one.at.unix_ms, one.waits));
    let by_second = state.open_pass_questions().filter(|_| side == Side::Lab);
    let by_second = by_second.map(|(_, one)| (one.at.unix_ms, false));
    AskedFirst::of(by_other.chain(by_second).filter(|_| !is_over))
}

/// Whether a remake or a correction that the lab has answered is still to be ordered.
fn is_to_order(state: &CaseState, ordered: &Ordered) -> bool {
    let mut again = again_to_order(&state.follow_ups, ordered.since, &ordered.others);
    again.next().is_some() && !state.is_cancelled()
}

/// Whether nothing is asked or told any more that anybody would act on.
fn is_over(case: &Case, state: &CaseState) -> bool {
    state.is_cancelled() || case.closed
}

/// When the other house answered last what this side had asked; none once this side has entered anything since, be it the
/// step that waited for the answer.
fn answered(case: &Case, side: Side, state: &CaseState) -> Option<i64> {
    let house = match side {
        Side::Office => &case.office,
        Side::Lab => &case.lab,
    };
    let own = state.questions.iter().filter(|one| one.from == side);
    let replies = own.filter_map(|one| one.reply.as_ref());
    // What was said on the telephone, one side has written down and the other confirms.
    let replies = replies.filter(|reply| !reply.taken_back && !reply.by_telephone);
    let newest = replies.map(|reply| reply.at.unix_ms).max()?;
    let last = state.last_by.get(house);
    let is_new = last.is_none_or(|last| newest >= last.unix_ms);
    (is_new && !is_over(case, state)).then_some(newest)
}

/// Pan, technician and open steps; nothing is open in a closed case, and no step in cancelled work or for an arch that
/// lacks what it is made from.
fn on_bench(case: &Case, items: &[Item], state: &CaseState, ordered: &Ordered) -> OnBench {
    if case.closed {
        return OnBench::default();
    }
    let deferred = deferred_arches(ordered, items, state, case.arches.treated());
    let mut found = at_the_bench(ordered, items, state, case.arches).without(&deferred);
    // Work that is given up has no step left.
    if state.is_cancelled() {
        found.lines.clear();
    }
    let assigned = state.assigned.as_ref();
    let next = found.next();
    let away = next.and_then(|line| away_for((ordered, items, state), line.step, &line.open()));
    OnBench {
        pan: assigned.map(|one| one.pan.clone()).unwrap_or_default(),
        technician: assigned.and_then(|one| one.technician.clone()),
        open: i64::try_from(found.open().count()).unwrap_or(i64::MAX),
        next: next.map(|line| NextStep::new(line.step, ordered.reset)),
        away,
    }
}

/// What keeps a step from being done for each of these arches, since a second laboratory has it: the first that is back.
fn away_for(
    case: (&Ordered, &[Item], &CaseState),
    step: BenchStep,
    open: &[Arch],
) -> Option<AwayFromBench> {
    let (_, items, state) = case;
    let away = |tag: &Tag| {
        let (pass, item) = (state.pass_of(tag)?, Item::of(items, tag)?);
        Some(AwayFromBench {
            kind: item.kind,
            arch: item.arch,
            back: pass.wanted,
        })
    };
    // One arch waits for the last of what it lacks.
    let of_arch = |arch: &Arch| {
        let missed = absent(case, (step, std::slice::from_ref(arch)));
        let missed = missed.iter().filter_map(away);
        missed.max_by_key(|one| one.back)
    };
    let all: Option<Vec<AwayFromBench>> = open.iter().map(of_arch).collect();
    all?.into_iter().min_by_key(|one| one.back)
}

/// When the first thing that this side has and that was lent to it is due back; what the work needs is not.
fn lent_by(side: Side, items: &[Item], state: &CaseState, ordered: &Ordered) -> Option<Date> {
    let lent = overdue(items, state, ordered, Date::MAX).into_iter();
    let here = lent.filter(|one| {
        let held = state.item(&one.tag).is_some_and(|one| one.is_in_hand(side));
        one.side == side && held && one.now == LoanNow::InHand
    });
    here.map(|one| one.due).min()
}

/// Where a case stands for a side that has something lent of which the first is due back on `lent`; the work itself is
/// to be back on `due`, the next check after the fit is on `check`, the patient is without teeth that nobody had meant to
/// be without, and what the lab has answered after the fit is still to be ordered.
fn on_agenda(
    (case, side): (&Case, Side),
    (lent, due, check): (Option<Date>, Option<Date>, Option<Date>),
    (is_toothless, is_to_order): (bool, bool),
) -> OnAgenda {
    let steps = || case.waiting_for.iter().map(|task| task.step);
    let stands_still = steps().any(|step| matches!(step, Step::Heed | Step::Decide));
    let is_held = (case.held.is_some() || stands_still) && !case.closed;
    let own: Vec<Step> = (case.waiting_for.iter())
        .filter(|task| task.side == side)
        .map(|task| task.step)
        .collect();
    // What the lab has said to the part of each house waits for the order that follows from it.
    let is_told = |step: &Step| step.is_asked_or_told() || (is_to_order && *step == Step::Write);
    // Work of which the day is nearer goes before.
    let is_next = check.is_some_and(|check| due.is_none_or(|due| check <= due));
    let turn = match own.as_slice() {
        _ if case.closed => WhoseTurn::Others,
        [_, ..] if is_toothless => WhoseTurn::Toothless,
        [_, ..] if is_held => WhoseTurn::Held,
        [_, ..] if own.iter().any(is_told) => WhoseTurn::Asked,
        [_, ..] if own.iter().all(|step| *step == Step::Receive) => WhoseTurn::Coming,
        [_, ..] => WhoseTurn::Yours,
        [] if is_held => WhoseTurn::HeldByOthers,
        // What is lent for work that has not been made yet is needed until it is.
        [] if lent.is_some() && !is_at_work(case, side) => WhoseTurn::Yours,
        [] if is_next => WhoseTurn::Check,
        [] => WhoseTurn::Others,
    };
    let is_lent_only = own.is_empty() && turn == WhoseTurn::Yours;
    let day = if is_lent_only { lent } else { due.or(lent) };
    OnAgenda {
        turn,
        day: match turn {
            WhoseTurn::Check => check,
            WhoseTurn::Yours => day.into_iter().chain(check).min(),
            _ => day,
        },
        asked: None,
        answered_ms: None,
        check,
    }
}

/// Whether all that was ordered is, or has been, with the patient, or has come to be tried in or used.
pub fn is_done(case: &Case, items: &[Item], state: &CaseState, ordered: &Ordered) -> bool {
    let is_worn = case.place == Place::Patient && case.also.is_none();
    let mut all = pieces(ordered, items, state, case.arches.treated()).into_iter();
    is_worn || all.all(|piece| piece.is_done)
}

/// Whether work of the case lies with this side and goes on.
fn is_at_work(case: &Case, side: Side) -> bool {
    let own = match side {
        Side::Lab => Place::Lab,
        Side::Office => Place::Office,
    };
    (case.place == own || case.also == Some(own)) && !case.waiting_for.is_empty()
}

fn seals(handoff: &Handoff) -> Vec<String> {
    let waiting = handoff.waiting().into_iter();
    let parcels = waiting.filter_map(|number| {
        let place = usize::try_from(number).ok()?.checked_sub(1)?;
        handoff.parcels.get(place)
    });
    let seals = parcels.map(|parcel| parcel.seal.trim().to_owned());
    seals.filter(|seal| !seal.is_empty()).collect()
}

/// What the case is found by: its number, patient, moulds, tags, seals, tracking numbers, and what is ordered.
fn words(case: &Case, there: &[&Item], (state, ordered): (&CaseState, &Ordered)) -> String {
    let mut all = vec![
        case.number.as_str().to_owned(),
        case.patient.as_str().to_owned(),
    ];
    all.extend(ordered.moulds.iter().map(|code| mould_key(code)));
    for handoff in state.handoffs.iter().rev() {
        all.extend(handoff.parcels.iter().map(|parcel| parcel.seal.clone()));
        all.push(handoff.tracking.clone());
    }
    all.push(case.summary.clone());
    let kinds: BTreeSet<&str> = there.iter().map(|item| item.kind.shown()).collect();
    all.extend(kinds.into_iter().map(str::to_owned));
    all.extend(there.iter().map(|item| item.tag.as_str().to_owned()));
    let all = all.iter().map(|text| as_searched(text.trim()));
    let mut words = all.filter(|text| !text.is_empty()).collect::<Vec<_>>();
    words.dedup();
    let mut words = words.join(" ");
    while words.len() > WORDS_MOST {
        words.pop();
    }
    words
}
