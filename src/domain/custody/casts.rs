//! Which things of a case the lab keeps of its own: matrix and casts, after the work has left.

use super::case_state::CaseState;
use super::item::{Item, ItemKind};
use super::state::Holder;

/// Whether it is one of those: a master cast, a remount cast, an index or matrix.
pub fn is_cast(kind: ItemKind) -> bool {
    matches!(
        kind,
        ItemKind::Cast | ItemKind::RemountCast | ItemKind::LabIndex
    )
}

/// Whether the lab has any of them in hand.
pub fn has_casts(items: &[Item], case: &CaseState) -> bool {
    items.iter().any(|item| {
        let state = case.item(&item.tag).filter(|state| state.is_there());
        is_cast(item.kind) && state.is_some_and(|state| state.holder == Holder::Lab)
    })
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
