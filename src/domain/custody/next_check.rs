//! The next check after the fit that is still to be made, by its day.

use super::case_state::CaseState;
use super::follow_up::FollowUpEntry;
use super::item::Item;
use super::mouth::{Check, checks, final_fitted};
use crate::domain::trade::calendar::OpenDays;
use crate::domain::values::arch::Arch;
use time::Date;

/// The day of the next check of the finals that are worn; none where the last one is entered, or no final went in. It goes
/// from Monday to Friday: whoever looks at the checks of the case reads them by the days of the office.
pub fn next_check(items: &[Item], case: &CaseState, arches: &[Arch]) -> Option<Date> {
    named_check(items, case, arches).map(|check| check.day)
}

/// The same, with which of the checks it is.
pub fn named_check(items: &[Item], case: &CaseState, arches: &[Arch]) -> Option<Check> {
    let open = OpenDays::weekdays([]);
    let of_arch = |arch: &Arch| next_of(items, case, *arch, &open);
    let all = arches.iter().filter_map(of_arch);
    all.min_by_key(|check| check.day)
}

/// The same of one arch. A check that a later one has passed over is asked for no more.
fn next_of(items: &[Item], case: &CaseState, arch: Arch, open: &OpenDays) -> Option<Check> {
    let fitted = final_fitted(items, case, arch)?;
    let is_since = |one: &&FollowUpEntry| {
        one.at.unix_ms >= fitted.unix_ms && one.arches.treated().contains(&arch)
    };
    let entered: Vec<&FollowUpEntry> = case.follow_ups.iter().filter(is_since).collect();
    let all = checks(fitted.date(), open);
    let is_entered = |check: &Check| entered.iter().any(|one| one.check == check.after);
    let last = all.iter().rposition(is_entered);
    let next = last.map_or(0, |last| last + 1);
    all.get(next).copied()
}
