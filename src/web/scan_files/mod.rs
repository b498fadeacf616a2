//! Scans of a case as files: listed, added, and handed out to be saved.

mod page;
mod sent;

use self::page::scans_page;
use self::sent::ScanParts;
use super::error::WebError;
use super::extract::{At, At2, Query, Signed, Typed};
use super::frame::{page, page_with, see_other};
use super::pictures::FOR_LAB;
use super::tried::Tried;
use crate::app::case_work::CaseWork;
use crate::app::pictures::mark_for_lab;
use crate::app::scan_files::{self, SCAN_FILE, ScanBytes};
use crate::app::{App, AppError};
use crate::domain::custody::forms::ScanForm;
use crate::domain::mesh::scan_too_large;
use crate::domain::values::ids::{CaseNumber, EventId};
use axum::body::{Body, Bytes};
use axum::extract::State;
use axum::http::{HeaderValue, header};
use axum::response::{IntoResponse, Response};

/// Shows the scans of a case, and the form for another one.
pub async fn page_of(
    State(app): State<App>,
    Signed(person): Signed,
    At(number): At<CaseNumber>,
    query: Query,
) -> Result<Response, WebError> {
    let work = CaseWork::see(&app, &person, &number).await?;
    let mut shown = scans_page((&app, &person), &work, &Tried::default())?;
    shown.frame = shown.frame.done(query.text("done"));
    page(&shown)
}

/// Adds the scan that was sent; otherwise the form with what is wrong.
pub async fn add(
    State(app): State<App>,
    Signed(person): Signed,
    At(number): At<CaseNumber>,
    sent: ScanParts,
) -> Result<Response, WebError> {
    let key = sent.form.key()?;
    let done = async {
        if sent.is_too_large {
            return Err(AppError::field(SCAN_FILE, scan_too_large()));
        }
        let command: ScanForm = sent.form.read()?;
        scan_files::add(&app, &person, &number, (&command, sent.scan), &key).await
    };
    let (status, mut tried) = match done.await {
        Ok(()) => {
            let path = format!("/cases/{}/scans?done=scan_filed", number.as_str());
            return Ok(see_other(&path));
        }
        Err(error) => Tried::of(sent.form.0, error)?,
    };
    // A browser sends no file a second time by itself, and the word given was of that one.
    tried.typed.remove(ScanForm::no_face().key);
    let work = CaseWork::see(&app, &person, &number).await?;
    page_with(status, &scans_page((&app, &person), &work, &tried)?)
}

/// Says of a scan that it is for the lab, or is not any more.
pub async fn mark(
    State(app): State<App>,
    Signed(person): Signed,
    At2(number, id): At2<CaseNumber, String>,
    form: Typed,
) -> Result<Response, WebError> {
    let for_lab = form.0.get(FOR_LAB).is_some_and(|word| word == "yes");
    let (key, marked) = (form.key()?, (&EventId::new(id), for_lab));
    let done = mark_for_lab(&app, &person, &number, marked, &key).await;
    let (status, tried) = match done {
        Ok(()) => {
            let path = format!("/cases/{}/scans?done=marked", number.as_str());
            return Ok(see_other(&path));
        }
        Err(error) => Tried::of(form.0, error)?,
    };
    let work = CaseWork::see(&app, &person, &number).await?;
    page_with(status, &scans_page((&app, &person), &work, &tried)?)
}

/// A scan as it is kept, to be saved and never shown: asked for again each time, since it may be erased.
pub async fn file(
    State(app): State<App>,
    Signed(person): Signed,
    At2(number, id): At2<CaseNumber, String>,
) -> Result<Response, WebError> {
    let found = scan_files::find(&app, &person, &number, &EventId::new(id)).await?;
    saved(found)
}

/// A scan as a file to be saved.
pub fn saved((scan, name): (ScanBytes, String)) -> Result<Response, WebError> {
    let name = HeaderValue::from_str(&format!("attachment; filename=\"{name}\""));
    let name = name.map_err(|why| AppError::Inner(why.to_string()))?;
    let headers = [
        (
            header::CONTENT_TYPE,
            HeaderValue::from_static("application/octet-stream"),
        ),
        (header::CONTENT_DISPOSITION, name),
        (
            header::CONTENT_SECURITY_POLICY,
            HeaderValue::from_static("default-src 'none'; frame-ancestors 'none'; sandbox"),
        ),
        (
            header::CACHE_CONTROL,
            HeaderValue::from_static("private, no-store"),
        ),
    ];
    Ok((headers, Body::from(Bytes::from_owner(scan))).into_response())
}
