//! The picture put together.

use super::bars::{BarView, bars_of};
use super::heights::{BAR, FOOT, HEAD, HeightBand, Heights, LEAST_WIDTH, NAMES, RibbonWord, bands};
use super::lines::{KeyView, RibbonLineView, SignView, key_of, lines_of, signs_in_use};
use super::table::{StayRow, WornLine, stay_rows, worn_rows};
use super::times::{days, idles, notes, time_word};
use crate::app::case_work::CaseWork;
use crate::domain::custody::ribbon::{Quality, Ribbon};
use crate::domain::values::moment::{Moment, day_in_words};
use askama::Template;

/// The whole picture, its key and its table.
#[derive(Template)]
#[template(path = "partials/ribbon.html")]
pub struct RibbonView {
    pub width: u32,
    pub height: u32,
    /// Below the words of time, and below the last bar.
    pub head: u32,
    pub floor: u32,
    pub names_width: u32,
    pub bands: Vec<HeightBand>,
    pub bars: Vec<BarView>,
    pub columns: Vec<u32>,
    pub times: Vec<RibbonWord>,
    pub days: Vec<RibbonWord>,
    pub idles: Vec<RibbonWord>,
    pub notes: Vec<RibbonWord>,
    pub lines: Vec<RibbonLineView>,
    pub now_x: u32,
    pub now: RibbonWord,
    pub key: Vec<KeyView>,
    /// The signs that occur, for the list of what they say.
    pub signs: Vec<SignView>,
    pub has_held: bool,
    pub has_missing: bool,
    pub has_late: bool,
    pub stays: Vec<StayRow>,
    pub worn: Vec<WornLine>,
}

impl RibbonView {
    /// The ribbon of a case up to `now`; none before the first item is registered.
    pub fn of(work: &CaseWork, now: Moment) -> Option<RibbonView> {
        let ribbon = work.ribbon(now);
        if ribbon.lines.is_empty() {
            return None;
        }
        let heights = Heights::of(&ribbon);
        let bars = u32::try_from(ribbon.mouth.len()).unwrap_or(0) * BAR;
        let floor = heights.mouth + bars;
        let today = ribbon.now.date();
        let notes = notes(&ribbon.columns, floor);
        // The words of the present stand below the notes, never on one.
        let foot = if notes.is_empty() { FOOT } else { FOOT + 14 };
        let has = |quality| has_quality(&ribbon, quality);
        Some(RibbonView {
            width: ribbon.width.max(LEAST_WIDTH),
            height: floor + foot,
            head: HEAD,
            floor,
            names_width: NAMES,
            bands: bands(&ribbon, &heights),
            bars: bars_of(work, &ribbon, &heights),
            columns: ribbon.columns.iter().map(|column| column.x).collect(),
            times: ribbon.columns.iter().map(time_word).collect(),
            days: days(&ribbon.columns, today),
            idles: idles(&ribbon),
            notes,
            lines: lines_of(work, &ribbon, &heights),
            now_x: ribbon.now_x,
            now: RibbonWord {
                x: ribbon.now_x.max(LEAST_WIDTH - 30),
                y: floor + foot - 7,
                words: format!("now, {} {}", day_in_words(today, today), ribbon.now.clock()),
            },
            key: ribbon.lines.iter().map(|line| key_of(work, line)).collect(),
            signs: signs_in_use(&ribbon),
            has_held: has(Quality::Held),
            has_missing: has(Quality::Missing),
            has_late: ribbon.lines.iter().any(|line| !line.late.is_empty()),
            stays: ribbon
                .lines
                .iter()
                .flat_map(|line| stay_rows(work, line))
                .collect(),
            worn: worn_rows(work, &ribbon),
        })
    }
}

fn has_quality(ribbon: &Ribbon, quality: Quality) -> bool {
    let mut stays = ribbon.lines.iter().flat_map(|line| &line.stays);
    stays.any(|stay| stay.quality == quality)
}
