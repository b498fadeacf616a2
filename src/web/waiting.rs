//! What waits and what stands still, as pages of a case show it.

use crate::app::case_overview::{HaltWords, halt_words};
use crate::app::case_work::CaseWork;
use crate::app::waiting::WaitLine;
use crate::app::{App, AppError, Person};
use askama::Template;

/// What waits, for whom and why; nothing is shown where nothing does.
#[derive(Template)]
#[template(path = "partials/waiting.html")]
pub struct Waiting {
    pub lines: Vec<WaitLine>,
    /// Where the questions of the case are answered.
    pub questions: String,
}

/// That the work is stopped, paused or cancelled, on top of every page of the case.
#[derive(Debug, Clone, Template)]
#[template(path = "partials/halt_banner.html")]
pub struct HaltBanner {
    pub halt: HaltWords,
    pub path_number: String,
    pub post_key: String,
}

impl HaltBanner {
    /// None where the work goes on.
    pub fn of(app: &App, person: &Person, work: &CaseWork) -> Result<Option<HaltBanner>, AppError> {
        let banner = |halt| {
            Ok(HaltBanner {
                halt,
                path_number: work.case.number.as_str().to_owned(),
                post_key: app.outside.token()?,
            })
        };
        halt_words(work, person).map(banner).transpose()
    }
}
