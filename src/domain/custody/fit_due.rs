//! Whether something has come back that nobody at the office has held against the prescription yet, and what was found
//! of it where somebody has.

use crate::domain::custody::case_state::CaseState;
use crate::domain::custody::fit::{FitEntry, FitFound, FitPart, FitVerdict, newest_found};
use crate::domain::custody::item::Item;
use crate::domain::custody::worn::Turn;
use crate::domain::people::party::Side;
use crate::domain::values::ids::Tag;

/// When a thing last came to the office, in milliseconds.
fn came_at(case: &CaseState, tag: &Tag) -> Option<i64> {
    let to_office = case.handoffs.iter().filter(|one| one.to == Side::Office);
    let with_it = to_office.filter(|one| one.carries(tag));
    let times = with_it.filter_map(|one| one.received_at);
    times.map(|at| at.unix_ms).max()
}

/// What the office has found not as asked, held against this revision, of a denture that came to it: its last word on each
/// value since then. Nothing of what was in the mouth since, and nothing of what comes to be tried in: there it is said what
/// is to change.
pub fn found_wanting<'a>(
    case: &'a CaseState,
    item: &Item,
    revision: i64,
) -> Vec<(&'a FitEntry, &'a FitFound)> {
    let Some(came) = came_at(case, &item.tag).filter(|_| item.kind.is_wearable()) else {
        return Vec::new();
    };
    let was_worn = case
        .turns
        .iter()
        .any(|turn| matches!(turn, Turn::In(tag, at) if *tag == item.tag && at.unix_ms >= came));
    if was_worn {
        return Vec::new();
    }
    let is_of_it = |part: FitPart| match part {
        FitPart::Together => true,
        FitPart::Of(arch) => item.arch == Some(arch),
    };
    let newest = newest_found(&case.fits, Side::Office, revision).into_iter();
    let newest = newest.filter(|(entry, found)| {
        let is_since = entry.at.unix_ms >= came;
        is_since && found.verdict == FitVerdict::NotAsAsked && is_of_it(found.value.part())
    });
    newest.collect()
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
