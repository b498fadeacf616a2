//! Scans of a case as files: listed, added, and handed out to be saved.

mod page;
mod sent;

use self::page::{ScansPage, scans_page};
use self::sent::ScanParts;
use super::done::Done;
use super::error::WebError;
use super::extract::{On, Typed};
use super::form_page::{FormPage, for_lab};
use super::frame::Frame;
use super::pictures::with_file_again;
use super::tried::Tried;
use crate::app::AppError;
use crate::app::case_work::CaseWork;
use crate::app::scan_files::{self, SCAN_FILE, ScanBytes};
use crate::domain::custody::forms::ScanForm;
use crate::domain::mesh::scan_too_large;
use crate::domain::values::ids::{CaseNumber, EventId};
use axum::body::{Body, Bytes};
use axum::extract::Request;
use axum::http::{HeaderValue, header};
use axum::response::{IntoResponse, Response};

impl FormPage for ScansPage {
    type At = CaseNumber;

    fn says_done(number: &CaseNumber) -> String {
        format!("/cases/{}/scans", number.as_str())
    }

    fn frame(&mut self) -> &mut Frame {
        &mut self.frame
    }

    async fn draw(on: &On<CaseNumber>, tried: &Tried) -> Result<ScansPage, WebError> {
        let work = CaseWork::see(&on.app, &on.person, &on.at).await?;
        scans_page((&on.app, &on.person), &work, tried)
    }
}

/// Shows the scans of a case, and the form for another one.
pub async fn page_of(on: On<CaseNumber>) -> Result<Response, WebError> {
    ScansPage::show(on).await
}

/// What is said of a scan whose form was not carried out.
const SCAN_AGAIN: &str = "Choose the file again: a browser sends none a second time.";

/// Adds the scan that was sent; otherwise the form with what is wrong.
pub async fn add(on: On<CaseNumber>, request: Request) -> Result<Response, WebError> {
    scan_files::expected(&on.app, &on.person, &on.at).await?;
    let sent = ScanParts::take(&on, request).await?;
    let ScanParts { mut form, .. } = sent;
    let (key, had_scan) = (form.key()?, sent.scan.is_some());
    let done = async {
        if sent.is_too_large {
            return Err(AppError::field(SCAN_FILE, scan_too_large()));
        }
        let command: ScanForm = form.read()?;
        let sent = (&command, sent.scan);
        scan_files::add(&on.app, &on.person, &on.at, sent, &key).await?;
        Ok(Done::ScanFiled.into())
    };
    let done = with_file_again(done.await, had_scan, (SCAN_FILE, SCAN_AGAIN));
    // The word given was of the scan that was sent.
    form.0.remove(ScanForm::no_face().key);
    ScansPage::answer(&on, form.0, done).await
}

/// Says of a scan that it is for the lab, or is not any more.
pub async fn mark(on: On<(CaseNumber, EventId)>, form: Typed) -> Result<Response, WebError> {
    for_lab::<ScansPage>(on, form).await
}

/// A scan as it is kept, to be saved and never shown: asked for again each time, since it may be erased.
pub async fn file(on: On<(CaseNumber, EventId)>) -> Result<Response, WebError> {
    let (on, id) = on.apart();
    saved(scan_files::find(&on.app, &on.person, &on.at, &id).await?)
}

/// A scan as a file to be saved.
pub fn saved((scan, name): (ScanBytes, String)) -> Result<Response, WebError> {
    const POLICY: &str = "default-src 'none'; frame-ancestors 'none'; sandbox";
    let name = HeaderValue::from_str(&format!("attachment; filename=\"{name}\""));
    let name = name.map_err(|why| AppError::Inner(why.to_string()))?;
    let known = HeaderValue::from_static;
    let headers = [
        (header::CONTENT_TYPE, known("application/octet-stream")),
        (header::CONTENT_DISPOSITION, name),
        (header::CONTENT_SECURITY_POLICY, known(POLICY)),
        (header::CACHE_CONTROL, known("private, no-store")),
    ];
    Ok((headers, Body::from(Bytes::from_owner(scan))).into_response())
}
