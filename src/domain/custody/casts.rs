//! Which things of a case the lab keeps of its own: matrix and casts, after the work has left.

use super::bench::BenchStep;
use super::case_state::CaseState;
use super::item::{Item, ItemKind};
use super::state::{Gone, Holder};
use crate::domain::people::party::Side;
use crate::domain::values::arch::Arch;
use crate::domain::values::moment::Moment;
use time::Date;

/// Whether it is one of those: a master cast, a remount cast, an index or matrix.
pub fn is_cast(kind: ItemKind) -> bool {
    matches!(
        kind,
        ItemKind::Cast | ItemKind::RemountCast | ItemKind::LabIndex
    )
}

/// What the lab has of its own by its bench entries, and has registered no thing for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct UnregisteredCast {
    pub kind: ItemKind,
    pub arch: Arch,
    /// When it was made.
    pub since: Moment,
    pub until: Date,
}

/// What a step leaves with the lab. Common practice, no source: the cast of the arch itself seldom outlives the flask.
const LEFT_BY: [(BenchStep, ItemKind); 2] = [
    (BenchStep::Matrix, ItemKind::LabIndex),
    (BenchStep::Remounted, ItemKind::RemountCast),
];

/// All of it that the lab has said to keep. What was registered once is told by that, also after its end.
pub fn unregistered_casts(items: &[Item], case: &CaseState) -> Vec<UnregisteredCast> {
    let one = |(step, kind): (BenchStep, ItemKind), arch: Arch| {
        let until = case.casts_kept_until(Some(arch))?;
        let is_it = |item: &Item| {
            let state = case.item(&item.tag);
            let is_own =
                state.is_some_and(|one| one.home == Side::Lab && one.gone != Some(Gone::Mistaken));
            item.kind == kind && item.arch.is_none_or(|own| own == arch) && is_own
        };
        let mut made = case.bench.iter().rev();
        let made = made.find(|one| one.step == step && one.arches.treated().contains(&arch))?;
        (!items.iter().any(is_it)).then_some(UnregisteredCast {
            kind,
            arch,
            since: made.at,
            until,
        })
    };
    let all = LEFT_BY.iter();
    all.flat_map(|&left| Arch::ALL.iter().filter_map(move |arch| one(left, *arch)))
        .collect()
}

/// Until when the lab keeps anything of what it has: the last of its days, since before that not all may go.
pub fn last_day_of_casts(items: &[Item], case: &CaseState) -> Option<Date> {
    let registered = items.iter().filter(|item| {
        let state = case.item(&item.tag).filter(|state| state.is_there());
        is_cast(item.kind) && state.is_some_and(|state| state.holder == Holder::Lab)
    });
    let days = registered.filter_map(|item| case.casts_kept_until(item.arch));
    let unregistered = unregistered_casts(items, case).into_iter();
    days.chain(unregistered.map(|one| one.until)).max()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Common practice, no source.
    #[test]
    fn what_a_lab_keeps_of_its_own_is_matrix_and_casts() {
        let kept = ItemKind::ALL.iter().filter(|kind| is_cast(**kind));
        let kept: Vec<&str> = kept.map(|kind| kind.word()).collect();
        assert_eq!(kept, ["cast", "remount_cast", "lab_index"]);
    }
}
