//! The address in the code of a sheet: for whoever is of the case the sheet's own page, for a second laboratory what is passed
//! on to it, and for anybody who holds it, with or without an account, that it is out of force where it is.

use super::error::WebError;
use super::error_page::with_frame;
use super::extract::{At, At2, encode};
use super::frame::{Frame, page, see_other};
use super::guard::visitor;
use crate::app::case_work::CaseWork;
use crate::app::see_case::{ReadSheet, read_sheet};
use crate::app::{App, AppError, Person, passed_to_us};
use crate::domain::custody::OutOfForce;
use crate::domain::people::access::Permission;
use crate::domain::values::ids::CaseNumber;
use askama::Template;
use axum::extract::State;
use axum::http::{Extensions, HeaderMap};
use axum::response::{IntoResponse, Response};

/// What the sheet is, and nothing of what stands on it.
#[derive(Template)]
#[template(path = "sheet_read.html")]
struct SheetReadPage {
    frame: Frame,
    title: &'static str,
    words: String,
    number: String,
    revision: Option<i64>,
    is_of_the_case: bool,
    /// Where it goes on, and the words of that.
    on: (String, &'static str),
}

/// Who reads it, and with what.
struct Reader {
    app: App,
    headers: HeaderMap,
    extensions: Extensions,
}

/// Where whoever is of the case is led.
fn page_of(
    (person, work): (&Person, &CaseWork),
    revision: Option<i64>,
    read: Option<&ReadSheet>,
) -> String {
    let case = format!("/cases/{}", work.case.number.as_str());
    let is_superseded = |out: &OutOfForce| out.newer.is_some();
    let out = read.and_then(|read| read.out.as_ref());
    match revision.filter(|_| out.is_some_and(is_superseded)) {
        Some(revision) => format!("{case}/revisions/{revision}"),
        // At the bench the camera of a device leads where its scan box does.
        None if person.is_at_device() && !work.case.closed => format!("{case}/bench"),
        None => case,
    }
}

/// What is said of the sheet: its title and the sentence; none where there is nothing against it.
fn said(revision: Option<i64>, read: &ReadSheet) -> Option<(&'static str, String)> {
    match (&read.out, revision) {
        (Some(out), _) if out.is_by_the_card() => {
            Some(("Ask the office before you work from this sheet", out.why()))
        }
        (Some(out), _) => Some(("Do not work from this sheet", out.why())),
        (None, None) if read.newest > 1 => Some((
            "Look at the revision on the sheet",
            format!(
                "Revision {} is in force. A sheet that says another revision is superseded: do not work from it.",
                read.newest
            ),
        )),
        (None, _) => None,
    }
}

/// Where the code on its sheet leads a second laboratory: what is passed on to it says what stands against it.
async fn passed_path(
    app: &App,
    person: &Person,
    number: &CaseNumber,
) -> Result<Option<String>, AppError> {
    let own = passed_to_us::of_case(app, person, number).await?;
    Ok(match own.as_slice() {
        [] => None,
        [one] => Some(format!("/passed/{one}")),
        _ => Some("/passed".to_owned()),
    })
}

async fn read(
    reader: Reader,
    number: CaseNumber,
    revision: Option<i64>,
) -> Result<Response, WebError> {
    let Reader {
        app,
        headers,
        extensions,
    } = reader;
    let read = read_sheet(&app, &number, revision).await?;
    let person = visitor(&app, &headers, &extensions).await?;
    if let Some(person) = &person
        && person.may(Permission::ReadCases)
        && let Ok(work) = CaseWork::see(&app, person, &number).await
    {
        let to = page_of((person, &work), revision, read.as_ref());
        let is_unknown = revision.is_none() && read.as_ref().is_some_and(|read| read.newest > 1);
        if is_unknown
            && let Some((title, words)) = read.as_ref().and_then(|one| said(revision, one))
        {
            return page(&SheetReadPage {
                frame: Frame::new(&app, person, title, ""),
                title,
                words,
                number: number.to_string(),
                revision,
                is_of_the_case: true,
                on: (to, "I have looked: on to the case"),
            });
        }
        return Ok(see_other(&to));
    }
    if let Some(person) = &person
        && let Some(path) = passed_path(&app, person, &number).await?
    {
        return Ok(see_other(&path));
    }
    let path = match revision {
        Some(revision) => format!("/C/{}/{revision}", number.as_str()),
        None => format!("/C/{}", number.as_str()),
    };
    let said = read.as_ref().and_then(|read| said(revision, read));
    match (said, person) {
        (Some((title, words)), _) => page(&SheetReadPage {
            frame: Frame::bare(title),
            title,
            words,
            number: number.to_string(),
            revision,
            is_of_the_case: false,
            on: (format!("/sign-in?next={}", encode(&path)), "Sign in"),
        }),
        (None, None) => Err(WebError::SignedOut {
            next: Some(path),
            sent: Vec::new(),
        }),
        (None, Some(person)) => {
            let answer = WebError::App(AppError::NotFound).into_response();
            Ok(with_frame(answer, |title| {
                Frame::new(&app, &person, title, "")
            }))
        }
    }
}

/// A sheet whose code names its revision.
pub async fn revision(
    State(app): State<App>,
    headers: HeaderMap,
    extensions: Extensions,
    At2(number, revision): At2<CaseNumber, i64>,
) -> Result<Response, WebError> {
    let reader = Reader {
        app,
        headers,
        extensions,
    };
    read(reader, number, Some(revision)).await
}

/// A sheet or a slip of before its code named the revision, or a case number that somebody types.
pub async fn case(
    State(app): State<App>,
    headers: HeaderMap,
    extensions: Extensions,
    At(number): At<CaseNumber>,
) -> Result<Response, WebError> {
    let reader = Reader {
        app,
        headers,
        extensions,
    };
    read(reader, number, None).await
}
