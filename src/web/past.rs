//! Where an item was at a moment, and who answered for it.

use super::extract::Query;
use crate::app::case_work::CaseWork;
use crate::app::custody_words::where_it_was;
use crate::app::entry::end_of_minute;
use crate::app::{App, Person};
use crate::domain::custody::item::Item;
use askama::Template;

/// The question where the item was at a moment, and its answer.
#[derive(Default, Template)]
#[template(path = "partials/past.html")]
pub struct Past {
    pub day: String,
    pub time: String,
    pub answer: Option<String>,
    pub message: Option<String>,
}

impl Past {
    /// Answers what the address asks; nothing where it asks nothing.
    pub fn of(app: &App, person: &Person, work: &CaseWork, item: &Item, query: &Query) -> Past {
        let (day, time) = (query.text("day").to_owned(), query.text("time").to_owned());
        if day.is_empty() && time.is_empty() {
            return Past::default();
        }
        let clock = if time.is_empty() { "23:59" } else { &time };
        let asked = end_of_minute(person, &day, clock);
        let now_ms = app.outside.now_ms();
        let (answer, message) = match asked {
            Err(message) => (None, Some(message)),
            // The minute that has begun is answered as it stands.
            Ok(ms) if ms.saturating_sub(59_999) > now_ms => {
                (None, Some("This moment has not come yet.".to_owned()))
            }
            Ok(ms) => {
                let words = where_it_was(work, item, (ms, person.moment(ms)));
                (Some(words), None)
            }
        };
        Past {
            day,
            time,
            answer,
            message,
        }
    }
}
