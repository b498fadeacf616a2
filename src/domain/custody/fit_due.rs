//! Whether something has come back that nobody at the office has held against the prescription yet.

use crate::domain::custody::case_state::CaseState;
use crate::domain::custody::item::Item;
use crate::domain::people::party::Side;
use crate::domain::values::ids::Tag;

/// When a thing last came to the office, in milliseconds.
fn came_at(case: &CaseState, tag: &Tag) -> Option<i64> {
    let to_office = case.handoffs.iter().filter(|one| one.to == Side::Office);
    let with_it = to_office.filter(|one| one.carries(tag));
    let times = with_it.filter_map(|one| one.received_at);
    times.map(|at| at.unix_ms).max()
}

/// Whether the lab's work lies at the office, and came after its last check there.
pub fn fit_is_due(items: &[Item], case: &CaseState) -> bool {
    let own = case.fits.iter().filter(|one| one.from == Side::Office);
    let checked = own.map(|one| one.at.unix_ms).max();
    items.iter().any(|item| {
        let state = case.item(&item.tag);
        let is_here =
            state.is_some_and(|one| one.home == Side::Lab && one.is_in_hand(Side::Office));
        let came = came_at(case, &item.tag);
        item.kind.is_made_for_the_mouth()
            && is_here
            && came.is_some_and(|came| checked.is_none_or(|at| at < came))
    })
}
