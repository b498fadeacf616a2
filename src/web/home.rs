//! The first page, the scan box, and the heartbeat.

use super::agenda::{self, ListView};
use super::error::{ForMachines, WebError};
use super::extract::{Query, Signed};
use super::frame::{Frame, page, page_with, see_other};
use crate::app::find::{self, Destination};
use crate::app::{App, AppError, Outage, health};
use crate::domain::people::access::Permission;
use askama::Template;
use axum::Extension;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};

/// Answers with the cases, or leads an administrator to the parties.
pub async fn home(
    State(app): State<App>,
    Signed(person): Signed,
    query: Query,
) -> Result<Response, WebError> {
    if !person.may(Permission::ReadCases) {
        return Ok(see_other("/parties"));
    }
    page(&agenda::page_of(&app, &person, &query).await?)
}

/// The page for a text that leads to no single thing.
#[derive(Template)]
#[template(path = "find.html")]
pub struct FindPage {
    pub frame: Frame,
    pub typed: String,
    pub message: String,
    /// Cases in which the words occur.
    pub list: Option<ListView>,
}

/// The address of what a code names; none where there are several.
fn address(found: &Destination) -> Option<String> {
    Some(match found {
        Destination::Cases(_) => return None,
        Destination::Case(number) => format!("/cases/{}", number.as_str()),
        Destination::Sheet(number, revision) => {
            format!("/cases/{}/revisions/{revision}", number.as_str())
        }
        Destination::SheetUnknown(number) => format!("/C/{}", number.as_str()),
        Destination::Patient(code) => format!("/patients/{}", code.as_str()),
        Destination::Item(tag) => format!("/items/{}", tag.as_str()),
        Destination::Bench(number, None) => format!("/cases/{}/bench", number.as_str()),
        Destination::Bench(number, Some(tag)) => {
            format!("/cases/{}/bench?scanned={}", number.as_str(), tag.as_str())
        }
        Destination::Handoff(id) => format!("/handoffs/{id}"),
    })
}

/// Leads to what was typed or scanned, or says why it leads nowhere.
pub async fn find(
    State(app): State<App>,
    Signed(person): Signed,
    query: Query,
) -> Result<Response, WebError> {
    let typed = query.text("q").to_owned();
    match find::find(&app, &person, &typed).await {
        Ok(Destination::Cases(cases)) => page(&FindPage {
            frame: Frame::new(&app, &person, "Found", ""),
            typed,
            message: String::new(),
            list: Some(agenda::found_list(&app, &person, &cases).await?),
        }),
        Ok(found) => Ok(see_other(address(&found).as_deref().unwrap_or("/"))),
        Err(AppError::Invalid(faults)) => {
            let view = FindPage {
                frame: Frame::new(&app, &person, "Not found", ""),
                typed,
                message: faults.into_iter().map(|fault| fault.message).collect(),
                list: None,
            };
            page_with(StatusCode::NOT_FOUND, &view)
        }
        Err(other) => Err(other.into()),
    }
}

/// Whether the program can do its work: it tries a write that leaves nothing.
pub async fn healthz(State(app): State<App>) -> Response {
    let (status, words) = match health::probe(&app).await {
        Ok(()) if app.store.unlike().is_empty() => (StatusCode::OK, "ok\n"),
        Ok(()) => (
            StatusCode::OK,
            "ok, but the tables in the database are not as this program makes them: the log says more\n",
        ),
        Err(Outage::DiskFull) => (StatusCode::SERVICE_UNAVAILABLE, "the disk is full\n"),
        Err(Outage::TakenAway) => (
            StatusCode::SERVICE_UNAVAILABLE,
            "the database file was deleted or replaced while the program uses it\n",
        ),
        Err(Outage::BesideKey) => (
            StatusCode::SERVICE_UNAVAILABLE,
            "the file record.last beside the key cannot be written\n",
        ),
        Err(Outage::Record) => (
            StatusCode::SERVICE_UNAVAILABLE,
            "the record in the database is not the one that its key has signed\n",
        ),
        Err(Outage::Gone | Outage::Shelf | Outage::Other) => (
            StatusCode::SERVICE_UNAVAILABLE,
            "the database does not answer\n",
        ),
    };
    // Said as it is, for whoever watches: no page.
    (status, Extension(ForMachines), words).into_response()
}
