//! The days of a case: one sentence, the strip, the same as a table, and the day that the lab names.

mod folded;
mod page;
mod promise;
mod strip;
mod words;

pub use self::folded::{FoldedDays, folded_days};
use self::page::dates_page;
use super::error::WebError;
use super::extract::{At, Query, Signed, Typed};
use super::frame::{ics, page, page_with, see_other};
use super::tried::Tried;
use crate::app::{App, AppError, Person, dates, promises};
use crate::domain::custody::forms::{DayAnswerForm, PromiseForm};
use crate::domain::values::ids::CaseNumber;
use axum::extract::State;
use axum::response::Response;

/// Answers with the days of the case.
pub async fn page_of(
    State(app): State<App>,
    Signed(person): Signed,
    At(number): At<CaseNumber>,
    query: Query,
) -> Result<Response, WebError> {
    let dates = dates::of_case(&app, &person, &number).await?;
    let mut shown = dates_page(&app, &person, &dates, &Tried::default())?;
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
            let path = format!("/cases/{}/dates?done={word}", number.as_str());
            return Ok(see_other(&path));
        }
        Err(error) => Tried::of(form.0, error)?,
    };
    let dates = dates::of_case(app, person, number).await?;
    page_with(status, &dates_page(app, person, &dates, &tried)?)
}

/// Enters the day that the lab names.
pub async fn promise(
    State(app): State<App>,
    Signed(person): Signed,
    At(number): At<CaseNumber>,
    form: Typed,
) -> Result<Response, WebError> {
    let key = form.key()?;
    let done = async {
        let command: PromiseForm = form.read()?;
        promises::promise(&app, &person, &number, &command, &key).await?;
        Ok("promised")
    };
    let done = done.await;
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
    let done = async {
        let command: DayAnswerForm = form.read()?;
        promises::answer(&app, &person, &number, &command, &key).await?;
        Ok("day_answered")
    };
    let done = done.await;
    answered((&app, &person, &number), form, done).await
}

/// Answers with the days that are signed as a file for calendars.
pub async fn file(
    State(app): State<App>,
    Signed(person): Signed,
    At(number): At<CaseNumber>,
) -> Result<Response, WebError> {
    let text = dates::file_of_case(&app, &person, &number).await?;
    Ok(ics(&format!("{}.ics", number.as_str()), text))
}
