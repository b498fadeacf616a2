//! Which round at the bench the work for an arch is in. A return of work ends a round once something newer is ordered:
//! what was done before it is not done for what is asked now.

use super::bench::{
    BenchProgress, BenchRound, ByRevision, CarriedWord, Unsaid, cast_photographed, progress,
};
use super::case_state::CaseState;
use super::fit::{FitEntry, FitFound};
use super::fit_due::found_wanting;
use super::handoff::Handoff;
use super::item::{Item, ItemKind};
use super::ordered::Ordered;
use super::pictures::TakenPicture;
use super::pieces::only_returns;
use super::purpose::Purpose;
use super::state::{Gone, Holder, State};
use crate::domain::people::party::Side;
use crate::domain::prescription::{OrderKind, Stage};
use crate::domain::values::arch::{Arch, Arches};

/// When a handoff left its sender; none while it waits there, or was taken back.
fn left_ms(one: &Handoff) -> Option<i64> {
    let at = one.picked_up.as_ref().map_or(one.released_at, |one| one.at);
    (!one.is_packed() && one.voided.is_none()).then_some(at.unix_ms)
}

/// What the office has found not as asked of a thing and then sent to the lab to be worked on, with when that left.
pub fn sent_back<'a>(
    case: &'a CaseState,
    item: &Item,
    revision: i64,
) -> Option<(i64, Vec<(&'a FitEntry, &'a FitFound)>)> {
    let found = found_wanting(case, item, revision);
    let first = found.iter().map(|(entry, _)| entry.at.unix_ms).min()?;
    let sent = case.handoffs.iter().filter(|one| {
        let is_for_work = one.purpose_code.is_some_and(Purpose::is_for_work);
        one.to == Side::Lab && is_for_work && one.carries(&item.tag)
    });
    let left = sent.filter_map(left_ms).filter(|left| *left >= first);
    Some((left.max()?, found))
}

struct RoundContext<'a> {
    ordered: &'a Ordered,
    items: &'a [Item],
    case: &'a CaseState,
    arch: Arch,
}

impl<'a> RoundContext<'a> {
    /// The things of this arch in a handoff.
    fn sent(&self, one: &'a Handoff) -> impl Iterator<Item = &'a Item> {
        let items = self.items;
        let sent = one.sent.iter();
        let sent = sent.filter_map(move |sent| Item::of(items, &sent.tag));
        let arch = self.arch;
        sent.filter(move |item| item.arch == Some(arch))
    }

    /// A copy that is made beside a denture goes ahead of it, and ends nothing.
    fn is_ahead(&self, item: &Item) -> bool {
        let mut work = self.ordered.work.iter();
        item.kind == ItemKind::Duplicate
            && work.any(|work| {
                let is_of_it = work.arch.is_none_or(|own| own == self.arch);
                is_of_it && !matches!(work.stage, Stage::Duplicate | Stage::Reline | Stage::Repair)
            })
    }

    /// Whether the lab hands over with it what it has made or mended for this arch.
    fn brings_work(&self, one: &'a Handoff) -> bool {
        let is_work = |item: &Item| {
            let state = self.case.item(&item.tag);
            let is_made = item.kind.is_made_for_the_mouth()
                && state.is_some_and(|state| state.home == Side::Lab)
                && !self.is_ahead(item);
            let is_mended = item.kind.is_wearable() && one.purpose_code == Some(Purpose::Finished);
            // A tray has no kind of its own.
            let is_tray = item.kind == ItemKind::Other && one.purpose_code == Some(Purpose::Record);
            is_made || is_mended || is_tray
        };
        one.to == Side::Office && !only_returns(one) && self.sent(one).any(is_work)
    }

    fn has(&self, one: &'a Handoff, kind: ItemKind) -> bool {
        self.sent(one).any(|item| item.kind == kind)
    }

    /// Whether something newer was ordered than what this brought. To finished work a newer revision orders nothing by
    /// itself: it is a remake, or something is sent for it.
    fn is_over(&self, one: &'a Handoff, left: i64) -> bool {
        let is_newer = self.ordered.since.is_some_and(|at| at.unix_ms > left);
        let was_sent = || {
            let mut later = self.case.handoffs.iter();
            later.any(|sent| {
                let is_later = left_ms(sent).is_some_and(|at| at > left);
                sent.to == Side::Lab && is_later && !only_returns(sent)
            })
        };
        let is_final = self.has(one, ItemKind::FinalDenture);
        is_newer && (!is_final || self.ordered.kind == Some(OrderKind::Remake) || was_sent())
    }

    fn round(&self) -> BenchRound {
        let handoffs = self.case.handoffs.iter();
        let over: Vec<(&Handoff, i64)> = handoffs
            .filter(|one| self.brings_work(one))
            .filter_map(|one| Some((one, left_ms(one)?)))
            .filter(|(one, left)| self.is_over(one, *left))
            .collect();
        let finals = over
            .iter()
            .filter(|(one, _)| self.has(one, ItemKind::FinalDenture));
        let work_since_ms = finals.map(|(_, left)| *left).max();
        let is_since = |left: i64| work_since_ms.is_none_or(|since| left > since);
        let tries = over
            .iter()
            .filter(|(one, left)| is_since(*left) && self.has(one, ItemKind::TryIn));
        BenchRound {
            arch: self.arch,
            since_ms: over.iter().map(|(_, left)| *left).max(),
            work_since_ms,
            spare_lost_ms: self.spare_lost_ms(),
            sent_back_ms: self.sent_back_ms(),
            tries: tries.count(),
        }
    }

    /// When the last thing of the arch was sent back that the office had found not as asked.
    fn sent_back_ms(&self) -> Option<i64> {
        let items = self.items.iter();
        let own = items.filter(|item| item.arch == Some(self.arch));
        let left =
            own.filter_map(|item| Some(sent_back(self.case, item, self.ordered.revision)?.0));
        left.max()
    }

    /// When the last spare of the arch that the lab had made was lost with the carrier or at the lab; none where one is
    /// there, or where it had come.
    fn spare_lost_ms(&self) -> Option<i64> {
        let is_spare =
            |item: &&Item| item.kind == ItemKind::Duplicate && item.arch == Some(self.arch);
        let items = self.items.iter().filter(is_spare);
        let states = items.filter_map(|item| self.case.item(&item.tag));
        let made: Vec<&State> = states.filter(|state| state.home == Side::Lab).collect();
        if made.iter().any(|state| state.is_there()) {
            return None;
        }
        let lost = made.iter().filter(|state| {
            let is_lost = matches!(state.gone, Some(Gone::WrittenOff | Gone::Destroyed));
            is_lost && !matches!(state.holder, Holder::Office | Holder::Patient)
        });
        let ended = lost.filter_map(|state| Some(state.ending.as_ref()?.at.unix_ms));
        ended.max()
    }
}

/// The round of each of these arches.
pub fn rounds(
    ordered: &Ordered,
    items: &[Item],
    case: &CaseState,
    arches: &[Arch],
) -> Vec<BenchRound> {
    let context = |&arch: &Arch| RoundContext {
        ordered,
        items,
        case,
        arch,
    };
    arches.iter().map(|arch| context(arch).round()).collect()
}

/// By which revision what is done at the bench counts.
pub fn by_revision<'a>(ordered: &Ordered, case: &'a CaseState) -> ByRevision<'a> {
    let same = ordered.earlier.iter().filter(|order| order.is_same);
    let to_flask = ordered.earlier.iter();
    let to_flask = to_flask.filter(|order| order.is_same_to_flask);
    ByRevision {
        in_force: ordered.revision,
        same: same.map(|order| order.revision).collect(),
        same_to_flask: to_flask.map(|order| order.revision).collect(),
        words: &case.carried,
    }
}

/// What is done, next and open at the bench of a case, in the round in hand.
pub fn at_the_bench<'a>(
    ordered: &Ordered,
    items: &[Item],
    case: &'a CaseState,
    arches: Arches,
) -> BenchProgress<'a> {
    let rounds = rounds(ordered, items, case, arches.treated());
    let by = by_revision(ordered, case);
    progress(&ordered.bench, &rounds, &case.bench, &by)
}

/// What the lab has been asked about for the revision in force, answered or not: a word that was given by mistake is set
/// right by another one about these.
pub fn asked_about(
    ordered: &Ordered,
    items: &[Item],
    case: &CaseState,
    arches: Arches,
) -> Vec<Unsaid> {
    let rounds = rounds(ordered, items, case, arches.treated());
    let words = case.carried.iter();
    let before: Vec<CarriedWord> = words
        .filter(|word| word.revision < ordered.revision)
        .cloned()
        .collect();
    let by = ByRevision {
        words: &before,
        ..by_revision(ordered, case)
    };
    progress(&ordered.bench, &rounds, &case.bench, &by).unsaid
}

/// The picture of what goes into the flask for these arches; none where none was taken since the last set-up.
pub fn photographed<'a>(
    ordered: &Ordered,
    items: &[Item],
    case: &'a CaseState,
    arches: Arches,
) -> Option<&'a TakenPicture> {
    let rounds = rounds(ordered, items, case, arches.treated()).into_iter();
    let since_ms = rounds.filter_map(|round| round.work_since_ms).max();
    cast_photographed(&case.bench, &case.pictures, (arches, since_ms))
}
