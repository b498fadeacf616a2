//! The days of a case: one sentence, the strip, the same as a table, and the day that the lab names.

mod folded;
mod page;
mod promise;
mod strip;
mod waits;
mod words;

pub use self::folded::{FoldedDays, folded_days};
use self::page::{DatesPage, dates_page};
use super::done::Done;
use super::error::WebError;
use super::extract::{On, Typed};
use super::form_page::FormPage;
use super::frame::{Frame, ics};
use super::tried::Tried;
use crate::app::{dates, promises};
use crate::domain::values::ids::CaseNumber;
use axum::response::Response;

impl FormPage for DatesPage {
    type At = CaseNumber;

    fn says_done(number: &CaseNumber) -> String {
        format!("/cases/{}/dates", number.as_str())
    }

    fn frame(&mut self) -> &mut Frame {
        &mut self.frame
    }

    async fn draw(on: &On<CaseNumber>, tried: &Tried) -> Result<DatesPage, WebError> {
        let dates = dates::of_case(&on.app, &on.person, &on.at).await?;
        dates_page(&on.app, &on.person, &dates, tried)
    }
}

/// Answers with the days of the case.
pub async fn page_of(on: On<CaseNumber>) -> Result<Response, WebError> {
    DatesPage::show(on).await
}

/// Enters the day that the lab names.
pub async fn promise(on: On<CaseNumber>, form: Typed) -> Result<Response, WebError> {
    DatesPage::post(on, form, promises::promise, Done::Promised).await
}

/// Enters what the office says to it.
pub async fn answer(on: On<CaseNumber>, form: Typed) -> Result<Response, WebError> {
    DatesPage::post(on, form, promises::answer, Done::DayAnswered).await
}

/// Answers with the days that are signed as a file for calendars.
pub async fn file(on: On<CaseNumber>) -> Result<Response, WebError> {
    let text = dates::file_of_case(&on.app, &on.person, &on.at).await?;
    Ok(ics(&format!("{}.ics", on.at.as_str()), text))
}
