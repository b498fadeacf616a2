//! What the script of a browser sends: cosignatures, and alarms.

use crate::app::witness::{self, Reported};
use crate::app::{App, Person};
use crate::web::error::{ForMachines, WebError};
use crate::web::extract::{SignedIn, Typed};
use axum::extract::State;
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use axum::{Extension, Json};
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
    /// Whether everybody sees it.
    told: bool,
    cleared: Option<String>,
}

/// Takes what a browser keeps and the record does not contain, and says what came of it.
pub async fn alarm(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    form: Typed,
) -> Result<Response, WebError> {
    let kept = form.0.get(witness::KEPT_NOTE).cloned().unwrap_or_default();
    let reported = witness::report(&app, &person, &kept).await?;
    Ok(answer_to(&person, &reported))
}

fn answer_to(person: &Person, reported: &Reported) -> Response {
    let cleared = match reported {
        Reported::Cleared(word) => {
            let at = person.moment(word.at_ms).in_words();
            let said = format!("Cleared by {} on {at}: {}", word.name, word.sentence);
            Some(said)
        }
        _ => None,
    };
    let answer = Json(AlarmAnswer {
        contained: *reported == Reported::Contained,
        told: *reported == Reported::Raised,
        cleared,
    });
    match reported {
        Reported::TooMany { minutes } => {
            let wait = [(header::RETRY_AFTER, (60 * minutes).to_string())];
            let status = StatusCode::TOO_MANY_REQUESTS;
            (status, wait, Extension(ForMachines), answer).into_response()
        }
        _ => answer.into_response(),
    }
}
