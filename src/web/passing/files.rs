//! What the laboratory has of what is passed on to it: pictures, scans, and the word that its question is answered.

use crate::app::App;
use crate::app::passed_to_us::{self, PassedToUs};
use crate::domain::custody::FiledScan;
use crate::domain::values::ids::EventId;
use crate::domain::values::words::capitalised;
use crate::web::error::WebError;
use crate::web::extract::{At2, SignedIn};
use crate::web::pictures::jpeg;
use crate::web::scan_files::saved;
use axum::extract::State;
use axum::http::HeaderMap;
use axum::response::Response;

/// That its newest question was answered, while it is under way; empty for most.
pub fn answered_words(one: &PassedToUs) -> String {
    let newest = one.pass.questions.last().and_then(|one| one.reply.as_ref());
    let newest = newest.filter(|reply| !reply.taken_back && one.pass.is_open());
    newest.map_or_else(String::new, |reply| {
        format!(", your question answered on {}", reply.at.in_words())
    })
}

/// A scan by its entry, and what is said of it.
pub fn scan_line(one: &FiledScan) -> (String, String) {
    let shows = capitalised(one.shows.shown());
    let words = match one.caption.is_empty() {
        true => shows,
        false => format!("{shows}: {}", one.caption),
    };
    (one.event.to_string(), words)
}

/// A picture of one of its things, or its small one.
pub async fn picture<const SIZE: bool>(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    At2(event, id): At2<EventId, EventId>,
    headers: HeaderMap,
) -> Result<Response, WebError> {
    let file = passed_to_us::picture(&app, &person, (&event, &id)).await?;
    jpeg(&app, &file, &headers, SIZE).await
}

/// A scan of one of its things, to be saved.
pub async fn scan(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    At2(event, id): At2<EventId, EventId>,
) -> Result<Response, WebError> {
    saved(passed_to_us::scan(&app, &person, (&event, &id)).await?)
}
