//! The proofs to take away: checkpoint, entries with their proofs, and the bundle of a case.

use crate::app::{App, AppError, Person, prove, see_case, see_record};
use crate::domain::values::ids::CaseNumber;
use crate::record::archive::tar;
use crate::record::words::PaperRoot;
use crate::web::error::{FormErrors, WebError};
use crate::web::extract::{At2, On, SignedIn};
use crate::web::frame::page_with;
use crate::web::history::{HistoryPage, history_page};
use crate::web::keys::PAPER;
use axum::extract::State;
use axum::http::{HeaderValue, header};
use axum::response::{IntoResponse, Response};

/// A file to be kept under `name` (ASCII).
pub fn file(name: &str, kind: &'static str, bytes: Vec<u8>) -> Response {
    let disposition = HeaderValue::from_str(&format!("attachment; filename=\"{name}\""))
        .unwrap_or(HeaderValue::from_static("attachment"));
    let headers = [
        (header::CONTENT_TYPE, HeaderValue::from_static(kind)),
        (header::CONTENT_DISPOSITION, disposition),
    ];
    (headers, bytes).into_response()
}

/// The type of a file of plain text.
pub const TEXT: &str = "text/plain; charset=utf-8";

/// Answers with the newest checkpoint.
pub async fn checkpoint(
    State(app): State<App>,
    SignedIn(_): SignedIn,
) -> Result<Response, WebError> {
    let note = see_record::checkpoint(&app).await?;
    Ok(file("checkpoint.txt", TEXT, note.into_bytes()))
}

/// Answers with the bytes of a leaf of one's own case.
pub async fn entry(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    At2(number, leaf): At2<CaseNumber, u64>,
) -> Result<Response, WebError> {
    let (body, _) = see_record::entry(&app, &person, &number, leaf).await?;
    let name = format!("leaf-{leaf:08}.json");
    Ok(file(&name, "application/json", body.into_bytes()))
}

/// Answers with the proof that such a leaf is in the record.
pub async fn proof(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    At2(number, leaf): At2<CaseNumber, u64>,
) -> Result<Response, WebError> {
    let (_, proof) = see_record::entry(&app, &person, &number, leaf).await?;
    let name = format!("leaf-{leaf:08}.tlog-proof");
    Ok(file(&name, TEXT, proof.to_string().into_bytes()))
}

/// The bundle of a case in one file; with `paper` in the address it shows the growth from there.
pub async fn bundle(on: On<CaseNumber>) -> Result<Response, WebError> {
    let paper = on.query.text(PAPER);
    match packed(&on.app, &on.person, &on.at, paper).await {
        Ok(bytes) => {
            let name = format!("record-{}.tar", on.at.as_str());
            Ok(file(&name, "application/x-tar", bytes))
        }
        Err(error) => not_packed(&on, error).await,
    }
}

/// The history of the case, with what is wrong with what was asked; where that cannot be shown either, what is wrong alone.
async fn not_packed(on: &On<CaseNumber>, error: AppError) -> Result<Response, WebError> {
    if !matches!(error, AppError::Invalid(_) | AppError::Refused(_)) {
        return Err(error.into());
    }
    let said = FormErrors::of(error)?;
    let mut view = match history(on).await {
        Err(_) if !said.refusals.is_empty() => {
            return Err(AppError::Refused(said.refusals).into());
        }
        view => view?,
    };
    let faults = said.faults.into_iter().map(|fault| fault.message);
    view.proof.messages = faults.chain(said.refusals).collect();
    page_with(said.status, &view)
}

async fn history(on: &On<CaseNumber>) -> Result<HistoryPage, WebError> {
    let view = see_case::see(&on.app, &on.person, &on.at).await?;
    history_page(&on.app, &on.person, &view, &on.query).await
}

async fn packed(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    paper: &str,
) -> Result<Vec<u8>, AppError> {
    let case = see_record::own(app, person, number).await?;
    let paper = match paper {
        "" => None,
        typed => {
            Some(PaperRoot::parse(typed).map_err(|why| AppError::field(PAPER, why.to_string()))?)
        }
    };
    let files = prove::bundle(app, &case, paper.as_ref()).await?;
    tar(&format!("record-{}", number.as_str()), &files).ok_or_else(|| {
        AppError::Inner("a file of the bundle does not go into an archive".to_owned())
    })
}
