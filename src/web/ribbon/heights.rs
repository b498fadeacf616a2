//! How high everything on the ribbon is, and where each lane lies.

use crate::domain::custody::ribbon::{Lane, Ribbon, rows};

/// Height of the words of time.
pub(super) const HEAD: u32 = 62;
/// Height of an item's row.
pub(super) const ROW: u32 = 18;
/// Height of the space around a lane's rows.
pub(super) const PAD: u32 = 6;
/// Height of an arch's bar.
pub(super) const BAR: u32 = 24;
/// Room for the word about the present below everything.
pub(super) const FOOT: u32 = 22;
/// The ribbon is never narrower, so that the words about the present find room.
pub(super) const LEAST_WIDTH: u32 = 200;
/// Width of the lanes' names.
pub(super) const NAMES: u32 = 100;
/// The width of two letters, on the safe side.
pub(super) const TWO_LETTERS: u32 = 12;
/// The width of a date with weekday and year, on the safe side.
pub(super) const DATE: u32 = 104;

/// A word at a place.
pub struct RibbonWord {
    pub x: u32,
    pub y: u32,
    pub words: String,
}

/// A lane or an arch: where it lies and how it is called.
pub struct HeightBand {
    pub y: u32,
    pub middle: u32,
    pub name: String,
}

/// Where each lane's rows lie, from above.
pub(super) struct Heights {
    pub(super) lanes: Vec<(Lane, u32, Vec<usize>)>,
    /// The first bar's upper edge.
    pub(super) mouth: u32,
}

impl Heights {
    /// The heights that this ribbon needs.
    pub(super) fn of(ribbon: &Ribbon) -> Heights {
        let mut y = HEAD;
        let mut lanes = Vec::new();
        for (lane, places) in rows(&ribbon.lines) {
            let height = lane_height(&places);
            lanes.push((lane, y, places));
            y += height;
        }
        Heights {
            lanes,
            mouth: y + PAD,
        }
    }

    /// The middle of an item's row in a lane.
    pub(super) fn y(&self, lane: Lane, line: usize) -> u32 {
        let found = self.lanes.iter().find(|(one, _, _)| *one == lane);
        found.map_or(HEAD, |(_, top, places)| {
            let row = (0..).zip(places).find(|(_, place)| **place == line);
            top + PAD + ROW / 2 + row.map_or(0, |(row, _): (u32, _)| row) * ROW
        })
    }
}

/// The height of a lane with these rows; an empty one is as high as one row.
pub(super) fn lane_height(places: &[usize]) -> u32 {
    let count = u32::try_from(places.len()).unwrap_or(u32::MAX).max(1);
    count.saturating_mul(ROW) + 2 * PAD
}

/// The names of lanes and arches, from above.
pub(super) fn bands(ribbon: &Ribbon, heights: &Heights) -> Vec<HeightBand> {
    let lanes = heights.lanes.iter().map(|(lane, y, places)| HeightBand {
        y: *y,
        middle: y + lane_height(places) / 2 + 5,
        name: ribbon.lane_name(*lane),
    });
    let arches = (0..)
        .zip(&ribbon.mouth)
        .map(|(row, (arch, _)): (u32, _)| HeightBand {
            y: heights.mouth + row * BAR,
            middle: heights.mouth + row * BAR + 16,
            name: format!("Worn, {}", arch.shown()),
        });
    lanes.chain(arches).collect()
}
