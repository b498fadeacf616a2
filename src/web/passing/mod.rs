//! Work passed on to a second laboratory: what is away, the office's word, the way there and back, the paper.

pub mod files;
mod forms;
pub mod guest;
mod page;

use self::page::passing_page;
use super::error::WebError;
use super::extract::{At, At2, Query, Signed, Typed};
use super::frame::{page, page_with, pdf, see_other};
use super::tried::Tried;
use crate::app::{App, AppError, Person, authorization, passing};
use crate::domain::values::ids::{CaseNumber, EventId};
use axum::extract::State;
use axum::response::Response;

/// Shows what is passed on, and what can be done with it.
pub async fn page_of(
    State(app): State<App>,
    Signed(person): Signed,
    At(number): At<CaseNumber>,
    query: Query,
) -> Result<Response, WebError> {
    let mut shown = passing_page(&app, &person, &number, &Tried::default()).await?;
    shown.frame = shown.frame.done(query.text("done"));
    page(&shown)
}

/// Back to the page, or its form again with what is wrong with it.
async fn answered(
    (app, person, number): (&App, &Person, &CaseNumber),
    form: Typed,
    done: Result<&'static str, AppError>,
) -> Result<Response, WebError> {
    let (status, tried) = match done {
        Ok(word) => {
            let path = format!("/cases/{}/passed?done={word}", number.as_str());
            return Ok(see_other(&path));
        }
        Err(error) => Tried::of(form.0, error)?,
    };
    page_with(status, &passing_page(app, person, number, &tried).await?)
}

/// Passes work on.
pub async fn pass_on(
    State(app): State<App>,
    Signed(person): Signed,
    At(number): At<CaseNumber>,
    form: Typed,
) -> Result<Response, WebError> {
    let key = form.key()?;
    let done = async { passing::pass_on(&app, &person, &number, &form.read()?, &key).await };
    let done = done.await.map(|()| "passed_on");
    answered((&app, &person, &number), form, done).await
}

/// Enters what the office says to it.
pub async fn answer(
    State(app): State<App>,
    Signed(person): Signed,
    At(number): At<CaseNumber>,
    form: Typed,
) -> Result<Response, WebError> {
    let key = form.key()?;
    let done = async { passing::answer(&app, &person, &number, &form.read()?, &key).await };
    let done = done.await.map(|()| "pass_answered");
    answered((&app, &person, &number), form, done).await
}

/// Enters a stretch of the way there or back.
pub async fn moved(
    State(app): State<App>,
    Signed(person): Signed,
    At(number): At<CaseNumber>,
    form: Typed,
) -> Result<Response, WebError> {
    let key = form.key()?;
    let done = async { passing::moved(&app, &person, &number, &form.read()?, &key).await };
    let done = done.await.map(|()| "pass_moved");
    answered((&app, &person, &number), form, done).await
}

/// Ends what is passed on.
pub async fn end(
    State(app): State<App>,
    Signed(person): Signed,
    At(number): At<CaseNumber>,
    form: Typed,
) -> Result<Response, WebError> {
    let key = form.key()?;
    let done = async { passing::end(&app, &person, &number, &form.read()?, &key).await };
    let done = done.await.map(|()| "pass_ended");
    answered((&app, &person, &number), form, done).await
}

/// The authorisation as a paper.
pub async fn paper(
    State(app): State<App>,
    Signed(person): Signed,
    At2(number, event): At2<CaseNumber, EventId>,
) -> Result<Response, WebError> {
    let bytes = authorization::pdf(&app, &person, &number, &event).await?;
    let name = format!("authorization-{}.pdf", number.as_str());
    Ok(pdf(&name, bytes))
}
