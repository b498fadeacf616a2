//! The days of a case: one sentence, the strip, and the same as a table.

mod page;
mod strip;
mod words;

use self::page::dates_page;
use super::error::WebError;
use super::extract::{At, Signed};
use super::frame::{ics, page};
use crate::app::{App, dates};
use crate::domain::values::ids::CaseNumber;
use axum::extract::State;
use axum::response::Response;

/// Answers with the days of the case.
pub async fn page_of(
    State(app): State<App>,
    Signed(person): Signed,
    At(number): At<CaseNumber>,
) -> Result<Response, WebError> {
    let dates = dates::of_case(&app, &person, &number).await?;
    page(&dates_page(&app, &person, &dates)?)
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
