//! What a step at the bench is done on or by, and the lab has not in its hands: what it has passed on to a second
//! laboratory, and a record that never came; and what that laboratory needs of it.

use super::bench::BenchStep;
use super::case_state::CaseState;
use super::item::{Item, ItemKind};
use super::ordered::{Ordered, lacking};
use super::passed::SecondLabWork;
use super::state::Holder;
use crate::domain::people::party::Side;
use crate::domain::values::arch::{Arch, Arches};
use crate::domain::values::ids::Tag;

/// The kinds of which one for the arch is needed. Common practice, no source.
fn done_on(step: BenchStep) -> &'static [ItemKind] {
    match step {
        BenchStep::CastPoured => &[ItemKind::Impression],
        BenchStep::Matrix => &[ItemKind::Provisional],
        BenchStep::TrayMade | BenchStep::RimsMade | BenchStep::Mounted | BenchStep::SetUp => {
            &[ItemKind::Cast]
        }
        BenchStep::Reset | BenchStep::TryInChecked => &[ItemKind::TryIn],
        BenchStep::Flasked => &[ItemKind::TryIn, ItemKind::Cast],
        BenchStep::Cured | BenchStep::Milled | BenchStep::Duplicated => &[],
        BenchStep::Relined | BenchStep::Repaired | BenchStep::Remounted | BenchStep::Finished => {
            &[ItemKind::FinalDenture]
        }
    }
}

/// What the work of a second laboratory is done on, one of each kind for each arch.
fn work_is_done_on(work: SecondLabWork) -> &'static [ItemKind] {
    match work {
        SecondLabWork::Tray | SecondLabWork::Rims => done_on(BenchStep::RimsMade),
        SecondLabWork::Mounting => done_on(BenchStep::Mounted),
        SecondLabWork::SetUp => done_on(BenchStep::SetUp),
        SecondLabWork::Processing => done_on(BenchStep::Flasked),
        SecondLabWork::Finishing
        | SecondLabWork::Relining
        | SecondLabWork::Repairing
        | SecondLabWork::Remounting => done_on(BenchStep::Finished),
        SecondLabWork::Framework
        | SecondLabWork::FromFiles
        | SecondLabWork::Copying
        | SecondLabWork::Whole => &[],
    }
}

/// What the work on these arches is done on, and stays at the lab though things go to a second laboratory for it; and the
/// arches of which nothing goes at all, though something of another does.
pub fn stays_behind(
    (items, case): (&[Item], &CaseState),
    (work, arches): (SecondLabWork, Arches),
    going: &[Tag],
) -> (Vec<Tag>, Vec<Arch>) {
    let kinds = work_is_done_on(work);
    let goes = |item: &&Item| going.contains(&item.tag);
    let is_gone = |kind: ItemKind, arch: Arch| {
        let mut gone = items.iter().filter(goes);
        gone.any(|item| item.kind == kind && item.arch == Some(arch))
    };
    let is_left = |item: &&Item| {
        let state = case.item(&item.tag);
        let is_here = state.is_some_and(|state| state.is_in_hand(Side::Lab));
        let is_needed = item.arch.is_some_and(|arch| {
            arches.treated().contains(&arch)
                && kinds.contains(&item.kind)
                && !is_gone(item.kind, arch)
        });
        is_here && is_needed
    };
    let left: Vec<&Item> = items.iter().filter(is_left).collect();
    let of_arch = |arch: Arch| {
        items
            .iter()
            .filter(goes)
            .any(|item| item.arch == Some(arch))
    };
    let is_any = Arch::ALL.iter().any(|arch| of_arch(*arch));
    let bare = arches.treated().iter().copied().filter(|arch| {
        let is_named = left.iter().any(|item| item.arch == Some(*arch));
        is_any && !kinds.is_empty() && !is_named && !of_arch(*arch)
    });
    let bare: Vec<Arch> = bare.collect();
    (
        left.into_iter().map(|item| item.tag.clone()).collect(),
        bare,
    )
}

/// What is missing for a step on these arches, in the order of the things of the case. A thing that is with a second
/// laboratory is missed where none of its kind and arch is in hand.
pub fn absent(
    (ordered, items, case): (&Ordered, &[Item], &CaseState),
    (step, arches): (BenchStep, &[Arch]),
) -> Vec<Tag> {
    let is_passed = |item: &Item| {
        let state = case.item(&item.tag);
        state.is_some_and(|state| state.is_there() && matches!(state.holder, Holder::Passed(_)))
    };
    let is_in_hand = |kind: ItemKind, arch: Arch| {
        items.iter().any(|item| {
            let is_it = item.kind == kind && item.arch == Some(arch);
            let state = case.item(&item.tag).filter(|_| is_it);
            state.is_some_and(|state| state.is_in_hand(Side::Lab))
        })
    };
    // The casts are mounted by the records that the text names.
    let lacks = match step {
        BenchStep::Mounted => lacking(ordered, items, case),
        _ => Vec::new(),
    };
    let is_missed = |item: &&Item| {
        let is_record = step == BenchStep::Mounted && ordered.records.contains(&item.tag);
        let is_lacking = lacks.iter().any(|one| one.tag == item.tag);
        let is_worked_on = item.arch.is_some_and(|arch| {
            arches.contains(&arch)
                && done_on(step).contains(&item.kind)
                && !is_in_hand(item.kind, arch)
        });
        is_record && (is_lacking || is_passed(item)) || is_worked_on && is_passed(item)
    };
    let missed = items.iter().filter(is_missed);
    missed.map(|item| item.tag.clone()).collect()
}
