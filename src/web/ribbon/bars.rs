//! What each arch wears, as bars below the lanes.

use super::heights::{BAR, Heights, TWO_LETTERS};
use crate::app::case_work::CaseWork;
use crate::app::custody_words::short_kind;
use crate::domain::custody::mouth::Wears;
use crate::domain::custody::ribbon::{Bar, Ribbon};
use crate::domain::values::ids::Tag;

/// A stretch of what an arch wears.
pub struct BarView {
    pub x: u32,
    pub y: u32,
    pub width: u32,
    pub words: String,
    /// `worn`, `nothing` or `unknown`.
    pub kind: &'static str,
}

/// The bars of every arch.
pub(super) fn bars_of(work: &CaseWork, ribbon: &Ribbon, heights: &Heights) -> Vec<BarView> {
    let arches = (0..).zip(&ribbon.mouth);
    arches
        .flat_map(|(row, (_, bars)): (u32, _)| {
            let y = heights.mouth + row * BAR + 3;
            bars.iter()
                .filter(|bar| bar.to_x > bar.from_x)
                .map(move |bar| bar_view(work, ribbon, bar, y))
        })
        .collect()
}

fn bar_view(work: &CaseWork, ribbon: &Ribbon, bar: &Bar, y: u32) -> BarView {
    let (kind, wordings) = match &bar.wears {
        Wears::Unknown => ("unknown", ["not known".to_owned(), "?".to_owned()]),
        Wears::Nothing => ("nothing", ["nothing".to_owned(), "–".to_owned()]),
        Wears::Item(tag) => {
            let line = ribbon.line(tag);
            let number = line.map(|line| line.number).unwrap_or_default();
            (
                "worn",
                [
                    format!("{number} {}", kind_of(work, tag)),
                    number.to_string(),
                ],
            )
        }
    };
    let width = bar.to_x - bar.from_x;
    let fits = |words: &String| {
        let letters = u32::try_from(words.chars().count()).unwrap_or(u32::MAX);
        letters.saturating_mul(TWO_LETTERS) / 2 + 6 <= width
    };
    BarView {
        x: bar.from_x,
        y,
        width,
        words: wordings.into_iter().find(fits).unwrap_or_default(),
        kind,
    }
}

fn kind_of(work: &CaseWork, tag: &Tag) -> String {
    let item = work.item(tag);
    item.map(short_kind).unwrap_or_default()
}
