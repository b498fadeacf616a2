//! What the script of a browser sends: cosignatures, and alarms.

use crate::app::App;
use crate::app::witness::{self, Reported};
use crate::web::error::WebError;
use crate::web::extract::{SignedIn, Typed};
use axum::Json;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use serde::Serialize;

/// A browser's cosignature.
pub async fn cosign(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    form: Typed,
) -> Result<Response, WebError> {
    let text = |key: &str| form.0.get(key).cloned().unwrap_or_default();
    let (note, key, line) = (text("checkpoint"), text("key"), text(witness::LINE_KEY));
    witness::cosign(&app, &person, &note, &key, &line).await?;
    Ok(StatusCode::NO_CONTENT.into_response())
}

/// The answer to a browser's alarm.
#[derive(Serialize)]
struct AlarmAnswer {
    /// Whether this program finds the kept checkpoint contained.
    contained: bool,
    cleared: Option<String>,
}

/// Takes what a browser keeps and the record does not contain, and says what came of it.
pub async fn alarm(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    form: Typed,
) -> Result<Response, WebError> {
    let kept = form.0.get(witness::KEPT_NOTE).cloned().unwrap_or_default();
    let (contained, cleared) = match witness::report(&app, &person, &kept).await? {
        Reported::Contained => (true, None),
        Reported::Raised | Reported::Foreign => (false, None),
        Reported::Cleared(word) => {
            let at = person.moment(word.at_ms).in_words();
            let said = format!("Cleared by {} on {at}: {}", word.name, word.sentence);
            (false, Some(said))
        }
    };
    Ok(Json(AlarmAnswer { contained, cleared }).into_response())
}
