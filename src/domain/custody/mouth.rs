//! What the patient wears in each arch, now and over time, drawn from the events.

use super::case_state::CaseState;
use super::follow_up::FollowUp;
use super::item::{Item, ItemKind};
use super::ordered::Ordered;
use super::pieces::is_back;
use super::state::Spare;
pub use super::worn::{Worn, worn_in};
use crate::domain::people::party::Side;
use crate::domain::trade::calendar::{OpenDays, next_treated};
use crate::domain::values::arch::Arch;
use crate::domain::values::ids::Tag;
use crate::domain::values::moment::{Moment, whole_day};
use crate::domain::values::words::counted;
use time::{Date, Duration, Month};

/// What an arch holds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Wears {
    /// Nobody has said yet.
    Unknown,
    Nothing,
    Item(Tag),
}

/// A stretch of time in one arch, from one change to the next.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stretch {
    pub wears: Wears,
    /// Open for the time before the first entry.
    pub from: Option<Moment>,
    /// Open while it lasts.
    pub to: Option<Moment>,
}

/// The whole line of one arch without a gap: unknown until the first entry, then what was worn or
/// nothing, up to now. Each stretch begins where the one before it ends.
pub fn timeline(items: &[Item], case: &CaseState, arch: Arch) -> Vec<Stretch> {
    let mut line = vec![Stretch {
        wears: Wears::Unknown,
        from: None,
        to: None,
    }];
    let mut turn = |at: Moment, wears: Wears| {
        if let Some(last) = line.last_mut() {
            last.to = Some(at);
        }
        line.push(Stretch {
            wears,
            from: Some(at),
            to: None,
        });
    };
    let mut worn = case.worn(items);
    worn.retain(|one| one.arch == arch);
    let mut ended: Option<Moment> = None;
    for one in worn {
        // Between two that do not touch the arch was empty.
        if let Some(at) = ended.filter(|at| *at != one.from) {
            turn(at, Wears::Nothing);
        }
        turn(one.from, Wears::Item(one.tag));
        ended = one.to;
    }
    if let Some(at) = ended {
        turn(at, Wears::Nothing);
    }
    line
}

/// What one arch wears at the end: the last stretch of its line.
pub fn worn_now(items: &[Item], case: &CaseState, arch: Arch) -> Stretch {
    timeline(items, case, arch).pop().unwrap_or(Stretch {
        wears: Wears::Unknown,
        from: None,
        to: None,
    })
}

/// How it stands with the spare of one arch.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum SpareState {
    /// The final is worn, and its duplicate waits to be marked and given.
    ToGive(Tag),
    Given {
        tag: Tag,
        since: Moment,
        kept: Option<Spare>,
    },
}

/// The duplicates of one arch that are spares, or become them now that the final is fitted.
pub fn spares(items: &[Item], case: &CaseState, arch: Arch) -> Vec<SpareState> {
    let line = case.worn(items);
    let worn = worn_in(&line, arch);
    let kind = |tag| items.iter().find(|item| Some(&item.tag) == tag);
    let final_is_worn = kind(worn).is_some_and(|item| item.kind == ItemKind::FinalDenture);
    let copies = items
        .iter()
        .filter(|item| item.kind == ItemKind::Duplicate && item.arch == Some(arch));
    let state = |item: &Item| {
        let state = case.item(&item.tag).filter(|state| state.is_there())?;
        if state.spare {
            Some(SpareState::Given {
                tag: item.tag.clone(),
                since: state.last_at,
                kept: state.spare_kept.clone(),
            })
        } else {
            // In a closed case nothing is given any more.
            let waits = final_is_worn && !case.closed && state.is_in_hand(Side::Office);
            waits.then(|| SpareState::ToGive(item.tag.clone()))
        }
    };
    copies.filter_map(state).collect()
}

/// The spares of one arch that the office is told of: while something is still to be done for the arch, a copy is for the
/// meantime, and becomes no spare.
pub fn spares_now(
    ordered: &Ordered,
    items: &[Item],
    case: &CaseState,
    arch: Arch,
) -> Vec<SpareState> {
    let is_done = is_back(ordered, items, case, &[arch]);
    let mut spares = spares(items, case, arch);
    spares.retain(|one| is_done || matches!(one, SpareState::Given { .. }));
    spares
}

/// A check after a final was fitted, on a day when the office treats patients.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Check {
    pub after: FollowUp,
    pub day: Date,
    /// Days by which the check of the next day comes late, since the office treats nobody before; those of a week and of a
    /// month are about that day.
    pub late_days: i64,
}

impl Check {
    /// "Fri 4 Dec 2026, 2 days late: the office treats nobody before"
    pub fn day_words(&self) -> String {
        let day = whole_day(self.day);
        match self.late_days {
            ..=0 => day,
            days => format!(
                "{day}, {} late: the office treats nobody before",
                counted(days, "day")
            ),
        }
    }
}

/// The three checks after `fitted`: the next day, a week and a month later, each moved on to the next
/// day on which the office treats patients. Hints; none where it never does.
pub fn checks(fitted: Date, office: &OpenDays) -> Vec<Check> {
    let wanted = [
        (FollowUp::Day, fitted.next_day()),
        (FollowUp::Week, fitted.checked_add(Duration::days(7))),
        (FollowUp::Month, month_later(fitted)),
    ];
    let open = |(after, wanted): (FollowUp, Option<Date>)| {
        let wanted = wanted?;
        let day = next_treated(wanted, office).ok()?;
        let late_days = match after {
            FollowUp::Day => (day - wanted).whole_days(),
            _ => 0,
        };
        Some(Check {
            after,
            day,
            late_days,
        })
    };
    wanted.into_iter().filter_map(open).collect()
}

/// The same day of the next month, or its last day where it is shorter.
fn month_later(day: Date) -> Option<Date> {
    let month = day.month().next();
    let year = if month == Month::January {
        day.year().checked_add(1)?
    } else {
        day.year()
    };
    (1..=day.day())
        .rev()
        .find_map(|number| Date::from_calendar_date(year, month, number).ok())
}

/// When the final of this arch was fitted, if it is worn now; not of one that was worn already when it was registered.
pub fn final_fitted(items: &[Item], case: &CaseState, arch: Arch) -> Option<Moment> {
    let line = case.worn(items);
    let worn = line
        .into_iter()
        .find(|one| one.arch == arch && one.to.is_none())?;
    let item = Item::of(items, &worn.tag)?;
    let came_worn = case.item(&item.tag).is_some_and(|one| one.came_worn);
    (item.kind == ItemKind::FinalDenture && !came_worn).then_some(worn.from)
}

#[cfg(test)]
mod tests;
