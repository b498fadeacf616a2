//! Where an item was at a moment, and who answered for it.

use super::extract::Query;
use crate::app::case_work::CaseWork;
use crate::app::custody_words::holder_words;
use crate::app::entry::end_of_minute;
use crate::app::{App, Person};
use crate::domain::custody;
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
            Ok(ms) => (Some(whereabouts(person, work, item, ms)), None),
        };
        Past {
            day,
            time,
            answer,
            message,
        }
    }
}

/// Where the item was at a moment and who answered for it, in a sentence.
fn whereabouts(person: &Person, work: &CaseWork, item: &Item, unix_ms: i64) -> String {
    let custody = custody::at(&work.events, unix_ms);
    let at = person.moment(unix_ms);
    match custody.get(&item.tag) {
        None => format!("{at}: it was not registered yet."),
        Some(state) => {
            let missing = if state.missing {
                ", missing from its parcel"
            } else {
                ""
            };
            let whose = if state.gone.is_some() {
                "The last who answered for it"
            } else {
                "Who answered for it"
            };
            let holder = holder_words(&item.tag, state, work);
            format!("{at}: {holder}{missing}. {whose}: {}.", state.answers)
        }
    }
}
