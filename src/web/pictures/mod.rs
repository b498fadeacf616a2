//! Pictures of a case: shown, added, and their bytes.

mod file;
mod page;
mod sent;

use self::page::{About, pictures_page};
use super::error::WebError;
use super::extract::{At, At2, Query, Signed, Typed};
use super::frame::{page, page_with, see_other};
use super::tried::Tried;
use crate::app::case_work::CaseWork;
use crate::app::pictures::{self, PictureFile};
use crate::app::{App, AppError};
use crate::domain::custody::forms::PictureForm;
use crate::domain::values::ids::{CaseNumber, EventId};
use axum::extract::State;
use axum::http::{HeaderMap, HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};

pub use self::file::PictureFileView;
pub use self::page::PictureRow;
pub use self::sent::SentPicture;

/// What is sent with the button that says it.
pub const FOR_LAB: &str = "marked_for_lab";

/// Shows the pictures of a case, and the form for another one.
pub async fn page_of(
    State(app): State<App>,
    Signed(person): Signed,
    At(number): At<CaseNumber>,
    query: Query,
) -> Result<Response, WebError> {
    let work = CaseWork::see(&app, &person, &number).await?;
    let about = About::of(&query);
    let mut shown = pictures_page((&app, &person), &work, &about, &Tried::default())?;
    shown.frame = shown.frame.done(query.text("done"));
    page(&shown)
}

/// Adds the picture that was sent; otherwise the form with what is wrong.
pub async fn add(
    State(app): State<App>,
    Signed(person): Signed,
    At(number): At<CaseNumber>,
    query: Query,
    sent: SentPicture,
) -> Result<Response, WebError> {
    let (key, about) = (sent.form.key()?, About::of(&query));
    let question = sent.form.text(PictureForm::of_question().key).to_owned();
    let size = sent.refuse_too_large();
    let done = async {
        size?;
        let command: PictureForm = sent.form.read()?;
        pictures::add(&app, &person, &number, (&command, sent.bytes), &key).await
    };
    let (status, mut tried) = match done.await {
        Ok(()) => {
            if !question.is_empty() {
                let path = format!(
                    "/cases/{}/questions?done=shown#q-{question}",
                    number.as_str()
                );
                return Ok(see_other(&path));
            }
            let path = format!("/cases/{}/pictures", number.as_str());
            return Ok(see_other(&format!(
                "{path}?done=pictured{}",
                about.to_go_back()
            )));
        }
        Err(error) => Tried::of(sent.form.0, error)?,
    };
    // A browser sends no file a second time by itself, and the word given was of that one.
    tried.typed.remove(PictureForm::mouth_only().key);
    let work = CaseWork::see(&app, &person, &number).await?;
    page_with(
        status,
        &pictures_page((&app, &person), &work, &about, &tried)?,
    )
}

/// Says of a picture that it is for the lab, or is not any more.
pub async fn mark(
    State(app): State<App>,
    Signed(person): Signed,
    At2(number, id): At2<CaseNumber, String>,
    form: Typed,
) -> Result<Response, WebError> {
    let for_lab = form.0.get(FOR_LAB).is_some_and(|word| word == "yes");
    let (key, marked) = (form.key()?, (&EventId::new(id), for_lab));
    let done = pictures::mark_for_lab(&app, &person, &number, marked, &key).await;
    let (status, tried) = match done {
        Ok(()) => {
            let path = format!("/cases/{}/pictures?done=marked", number.as_str());
            return Ok(see_other(&path));
        }
        Err(error) => Tried::of(form.0, error)?,
    };
    let work = CaseWork::see(&app, &person, &number).await?;
    let shown = pictures_page((&app, &person), &work, &About::default(), &tried)?;
    page_with(status, &shown)
}

/// A picture as it is kept.
pub async fn picture(
    State(app): State<App>,
    Signed(person): Signed,
    At2(number, id): At2<CaseNumber, String>,
    headers: HeaderMap,
) -> Result<Response, WebError> {
    let file = pictures::find(&app, &person, &number, &EventId::new(id)).await?;
    jpeg(&app, &file, &headers, false).await
}

/// The same, small.
pub async fn small(
    State(app): State<App>,
    Signed(person): Signed,
    At2(number, id): At2<CaseNumber, String>,
    headers: HeaderMap,
) -> Result<Response, WebError> {
    let file = pictures::find(&app, &person, &number, &EventId::new(id)).await?;
    jpeg(&app, &file, &headers, true).await
}

/// A picture and nothing else: no page, no script, asked for again each time, since it may be erased.
pub async fn jpeg(
    app: &App,
    file: &PictureFile,
    asked: &HeaderMap,
    is_small: bool,
) -> Result<Response, WebError> {
    const POLICY: &str = "default-src 'none'; frame-ancestors 'none'; sandbox";
    let tag = match is_small {
        true => format!("\"{}-small\"", file.hash),
        false => format!("\"{}\"", file.hash),
    };
    let text =
        |text: &str| HeaderValue::from_str(text).map_err(|why| AppError::Inner(why.to_string()));
    let headers = [
        (header::CONTENT_TYPE, HeaderValue::from_static("image/jpeg")),
        (
            header::CONTENT_DISPOSITION,
            text(&format!("inline; filename=\"{}\"", file.name))?,
        ),
        (
            header::CONTENT_SECURITY_POLICY,
            HeaderValue::from_static(POLICY),
        ),
        (
            header::CACHE_CONTROL,
            HeaderValue::from_static("private, no-cache"),
        ),
        (header::ETAG, text(&tag)?),
    ];
    let known = asked.get(header::IF_NONE_MATCH);
    if known.is_some_and(|known| known.as_bytes() == tag.as_bytes()) {
        return Ok((StatusCode::NOT_MODIFIED, headers).into_response());
    }
    let bytes = pictures::bytes(app, file, is_small).await?;
    Ok((headers, bytes).into_response())
}
