//! When an order can be back: the one calendar of the form's hints and of the review.
//!
//! The lab's own days go first, then those that one laboratory has published; what neither names is counted by
//! the way alone. Each house works on its own days.

use crate::domain::form::Clock;
use crate::domain::prescription::Prescription;
use crate::domain::trade::calendar::{Feasible, LAB_DAYS_SOURCE, Way, feasible};
use crate::domain::trade::house_days::LabDays;
use crate::domain::trade::lists::Lists;
use crate::domain::trade::steps::{self, Chain};
use time::Date;

/// What the pieces of an order take, by the lab's own days where it names them, else by the published ones.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Work {
    /// `None` where nobody has said how long such work takes: then the way alone is counted.
    pub lab_days: Option<u32>,
    /// "4 for set-up and 3 for process and finish"
    pub words: String,
    pub way: Way,
    pub source: String,
    /// Whether it has begun already, so that its day is the one of the plan.
    pub is_under_way: bool,
}

/// What the longest of the pieces takes; `None` while no stage is said.
pub fn work(rx: &Prescription, own: Option<&LabDays>) -> Option<Work> {
    let chains = steps::chains(rx, own);
    if chains.is_empty() {
        return None;
    }
    let known = chains.iter().filter(|chain| chain.is_known());
    let known = known.max_by_key(|chain| chain.days());
    let source = own.map_or_else(|| LAB_DAYS_SOURCE.to_string(), LabDays::source);
    Some(Work {
        lab_days: known.map(Chain::days),
        words: known.map(Chain::words).unwrap_or_default(),
        way: own.map_or(Way::USUAL, LabDays::way),
        source,
        is_under_way: false,
    })
}

/// When an order that is sent on this day at this time can be back, by the days of both houses; `None` while no stage
/// is said. What is sent after the office's hour leaves on its next open day. Work of the same steps that is under way
/// already is back by the plan of the case.
pub fn earliest(
    rx: &Prescription,
    (sent, at): (Date, Option<Clock>),
    lists: &Lists,
) -> Option<(Work, Result<Feasible, String>)> {
    let mut work = work(rx, lists.lab_days.as_deref())?;
    let days = work.lab_days.unwrap_or(0);
    let (office, lab) = (lists.office_open(), lists.lab_open());
    let minutes = at.and_then(|at| u16::try_from(at.minutes()).ok());
    let leaves = match office.is_too_late(minutes) {
        true => office.counts_for(sent, minutes),
        false => Ok(sent),
    };
    let mut found = leaves.and_then(|leaves| feasible(leaves, days, work.way, &office, &lab));
    let own = lists.lab_days.as_deref();
    let under_way = lists.under_way.as_ref();
    if let Some(one) = under_way.filter(|one| one.chains == steps::chains(rx, own)) {
        work.is_under_way = true;
        found = found.map(|found| Feasible {
            in_hands: one.in_hands,
            ..found
        });
    }
    Some((work, found))
}
