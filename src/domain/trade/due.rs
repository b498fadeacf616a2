//! When an order can be back: the one calendar of the form's hints and of the review.
//!
//! The lab's own days go first, then those that one laboratory has published; what neither names is counted by
//! the way alone. Each house works on its own days.

use crate::domain::prescription::{PatternSource, Prescription, Stage};
use crate::domain::trade::calendar::{Feasible, LAB_DAYS_SOURCE, Way, feasible, usual_lab_days};
use crate::domain::trade::house_days::LabDays;
use crate::domain::trade::lists::Lists;
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
}

/// The stages that a piece goes through until it comes back: what is processed was set up before, but for an
/// approved try-in.
fn stages_of(stage: Stage, is_tried_in: bool) -> Vec<Stage> {
    match stage {
        Stage::Process if !is_tried_in => vec![Stage::SetUp, Stage::Process],
        stage => vec![stage],
    }
}

/// The days of one piece, with their words.
fn piece_days(stage: Stage, is_tried_in: bool, own: Option<&LabDays>) -> Option<(u32, String)> {
    let days_of = |stage: Stage| {
        let own = own.and_then(|days| days.stage(stage));
        own.or_else(|| usual_lab_days(stage))
    };
    let mut sum = 0_u32;
    let mut words = Vec::new();
    for stage in stages_of(stage, is_tried_in) {
        let days = days_of(stage)?;
        sum = sum.saturating_add(days);
        words.push(format!("{days} for “{}”", stage.shown()));
    }
    Some((sum, words.join(" and ")))
}

/// What the longest of the pieces takes; `None` while no stage is said.
pub fn work(rx: &Prescription, own: Option<&LabDays>) -> Option<Work> {
    let is_tried_in = rx.pattern.source == Some(PatternSource::TryIn);
    let stages: Vec<Stage> = rx
        .order
        .pieces
        .iter()
        .filter_map(|piece| piece.stage)
        .collect();
    if stages.is_empty() {
        return None;
    }
    let known = stages
        .iter()
        .filter_map(|stage| piece_days(*stage, is_tried_in, own))
        .max_by_key(|(days, _)| *days);
    let source = own.map_or_else(|| LAB_DAYS_SOURCE.to_string(), LabDays::source);
    Some(Work {
        lab_days: known.as_ref().map(|(days, _)| *days),
        words: known.map(|(_, words)| words).unwrap_or_default(),
        way: own.map_or(Way::USUAL, LabDays::way),
        source,
    })
}

/// When an order that is sent on `sent` can be back, by the days of both houses; `None` while no stage is said.
pub fn earliest(
    rx: &Prescription,
    sent: Date,
    lists: &Lists,
) -> Option<(Work, Result<Feasible, String>)> {
    let work = work(rx, lists.lab_days.as_deref())?;
    let days = work.lab_days.unwrap_or(0);
    let found = feasible(
        sent,
        days,
        work.way,
        &lists.office_open(),
        &lists.lab_open(),
    );
    Some((work, found))
}
