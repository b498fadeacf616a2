//! Dentures that the lab copies: they are the patient's, and go back with their copies.

use super::case_state::CaseState;
use super::item::Item;
use super::ordered::Ordered;
use super::pieces::{WorkAt, WorkPiece};
use super::state::{Holder, State};
use crate::domain::people::party::Side;
use crate::domain::prescription::Stage;
use crate::domain::values::arch::Arch;
use crate::domain::values::ids::Tag;

/// The dentures at the lab of the arches for which nothing but a copy is ordered, unless the text leaves them there; the
/// copies themselves are none. Common practice, no source.
pub fn copied_at_the_lab(ordered: &Ordered, items: &[Item], case: &CaseState) -> Vec<(Tag, Arch)> {
    let is_at_the_lab = |state: &State| {
        let is_passed = state.is_there() && matches!(state.holder, Holder::Passed(_));
        is_passed || state.is_in_hand(Side::Lab)
    };
    let is_copied_alone = |arch: Arch| {
        let works = ordered.work.iter();
        let mut own = works
            .filter(|work| work.arch.is_none_or(|one| one == arch))
            .peekable();
        own.peek().is_some() && own.all(|work| work.stage == Stage::Duplicate)
    };
    let one = |item: &Item| {
        let state = case.item(&item.tag).filter(|state| is_at_the_lab(state))?;
        let is_the_patients = state.home == Side::Office || case.was_worn(&item.tag);
        let arch = item.arch.filter(|arch| is_copied_alone(*arch))?;
        (is_the_patients && item.kind.is_wearable()).then(|| (item.tag.clone(), arch))
    };
    match ordered.stays.pattern {
        true => Vec::new(),
        false => items.iter().filter_map(one).collect(),
    }
}

/// Whether one of them is there still, though all that was ordered of its arch has left.
pub fn is_left_behind(
    ordered: &Ordered,
    (items, case): (&[Item], &CaseState),
    pieces: &[WorkPiece],
) -> bool {
    let has_left = |piece: &WorkPiece| {
        use WorkAt::{Coming, Kept, SpareLost, ToFit, ToGive, Worn};
        let is_here = matches!(piece.at, ToFit | ToGive | Worn | Kept | SpareLost);
        is_here || piece.at == Coming
    };
    let copied = copied_at_the_lab(ordered, items, case);
    copied.iter().any(|(_, arch)| {
        let mut own = pieces.iter().filter(|piece| piece.arch == *arch).peekable();
        own.peek().is_some() && own.all(has_left)
    })
}
