//! The drawings of a report. What they show stands in the tables beside them.

use super::words::tenth;
use crate::domain::report::proportion::Proportion;
use crate::domain::report::tally::MonthTally;
use askama::Template;

/// All of the chart, in the units of its picture.
const WIDTH: f64 = 400.0;
const HEIGHT: f64 = 170.0;
/// Room for the numbers on the left, above and below.
const LEFT: f64 = 34.0;
const TOP: f64 = 10.0;
const BOTTOM: f64 = 24.0;

/// A line across.
pub struct ChartLevel {
    pub y: String,
    pub text_y: String,
    pub words: String,
    /// `mean`, `limit` or `zero`.
    pub kind: &'static str,
}

/// A point.
pub struct Dot {
    pub x: String,
    pub y: String,
    pub is_beyond: bool,
    /// The day below it; empty where the one before stands there already.
    pub day: String,
}

/// The chart of working times in the order in which the work left.
#[derive(Template)]
#[template(path = "partials/control_chart.html")]
pub struct ControlChart {
    pub levels: Vec<ChartLevel>,
    pub dots: Vec<Dot>,
    /// The points, joined.
    pub line: String,
}

fn place(value: f64) -> String {
    format!("{value:.1}")
}

/// The chart of a month; none where nothing left.
pub fn control_chart(tally: &MonthTally) -> Option<ControlChart> {
    let values = || tally.chart.iter().map(|point| point.days);
    let upper = tally.limits.map(|limits| limits.upper);
    let top = values().chain(upper).fold(1.0, f64::max) * 1.08;
    let y = |days: f64| TOP + (1.0 - days.max(0.0) / top) * (HEIGHT - TOP - BOTTOM);
    let count = tally.chart.len();
    let step = (WIDTH - LEFT - 8.0) / count.max(1) as f64;
    let x = |place: usize| LEFT + (place as f64 + 0.5) * step;
    let level = |days: f64, kind| ChartLevel {
        y: place(y(days)),
        text_y: place(y(days) + 4.0),
        words: tenth(days),
        kind,
    };
    let mut levels = vec![level(0.0, "zero")];
    if let Some(limits) = tally.limits {
        levels.push(level(limits.mean, "mean"));
        levels.push(level(limits.upper, "limit"));
        // Below nothing no work is done.
        levels.extend((limits.lower > 0.0).then(|| level(limits.lower, "limit")));
    } else {
        levels.push(level(values().fold(0.0, f64::max), "most"));
    }
    // A day's number takes some 16 units of room.
    let (mut last, mut free) = (None, 0.0);
    let mut dots = Vec::new();
    for (at, point) in tally.chart.iter().enumerate() {
        let is_new = last != Some(point.day) && x(at) >= free;
        if is_new {
            free = x(at) + 17.0;
        }
        last = Some(point.day);
        dots.push(Dot {
            x: place(x(at)),
            y: place(y(point.days)),
            is_beyond: point.is_beyond,
            day: match is_new {
                true => point.day.day().to_string(),
                false => String::new(),
            },
        });
    }
    let joined: Vec<String> = dots
        .iter()
        .map(|dot| format!("{} {}", dot.x, dot.y))
        .collect();
    (count > 0).then(|| ControlChart {
        line: format!("M{}", joined.join("L")),
        levels,
        dots,
    })
}

/// A bar of a hundred units: where the share lies, and from where to where it may.
pub struct ShareBar {
    pub from: String,
    pub width: String,
    pub at: String,
}

/// The bar of a share with its interval; none of nothing.
pub fn share_bar(proportion: Proportion) -> Option<ShareBar> {
    let (low, high) = proportion.interval()?;
    let share = proportion.share()?;
    Some(ShareBar {
        from: place(low * 100.0),
        width: place((high - low) * 100.0),
        at: place(share * 100.0),
    })
}
