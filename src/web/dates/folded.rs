//! The days on the page of the case: when the work is back, and behind it the strip.

use super::strip::{Strip, strip};
use super::words;
use crate::app::dates::CaseDates;
use crate::domain::trade::plan::Progress;
use askama::Template;

/// One line that opens.
#[derive(Template)]
#[template(path = "partials/folded_days.html")]
pub struct FoldedDays {
    pub words: String,
    pub strip: Strip,
    /// The same in words, for a telephone and for whoever hears the page: each step with its day.
    pub steps: Vec<(String, String)>,
}

/// The days of a case; none where nothing is planned, or the work is back.
pub fn folded_days(dates: &CaseDates) -> Option<FoldedDays> {
    let planned = dates.planned.as_ref()?;
    let is_back = matches!(planned.so_far.progress, Progress::Here(..));
    (!is_back).then(|| FoldedDays {
        words: words::short(dates, planned),
        strip: strip(dates, planned),
        steps: words::steps(dates, planned),
    })
}
