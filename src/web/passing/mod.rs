//! Work passed on to a second laboratory: what is away, the office's word, the way there and back, the paper.

pub mod files;
mod forms;
pub mod guest;
mod page;
mod pass_form;
mod sees;

use self::page::{PassingPage, passing_page};
use super::done::Done;
use super::error::WebError;
use super::extract::{On, Typed};
use super::form_page::FormPage;
use super::frame::{Frame, pdf};
use super::tried::Tried;
use crate::app::{authorization, passed_sheet, passing};
use crate::domain::values::ids::{CaseNumber, EventId};
use axum::response::Response;

impl FormPage for PassingPage {
    type At = CaseNumber;

    fn says_done(number: &CaseNumber) -> String {
        format!("/cases/{}/passed", number.as_str())
    }

    fn frame(&mut self) -> &mut Frame {
        &mut self.frame
    }

    async fn draw(on: &On<CaseNumber>, tried: &Tried) -> Result<PassingPage, WebError> {
        passing_page(&on.app, &on.person, &on.at, tried).await
    }
}

/// Shows what is passed on, and what can be done with it.
pub async fn page_of(on: On<CaseNumber>) -> Result<Response, WebError> {
    PassingPage::show(on).await
}

/// Passes work on.
pub async fn pass_on(on: On<CaseNumber>, form: Typed) -> Result<Response, WebError> {
    PassingPage::post(on, form, passing::pass_on, Done::PassedOn).await
}

/// Enters what the office says to it.
pub async fn answer(on: On<CaseNumber>, form: Typed) -> Result<Response, WebError> {
    PassingPage::post(on, form, passing::answer, Done::PassAnswered).await
}

/// Enters a stretch of the way there or back.
pub async fn moved(on: On<CaseNumber>, form: Typed) -> Result<Response, WebError> {
    PassingPage::post(on, form, passing::moved, Done::PassMoved).await
}

/// Ends what is passed on.
pub async fn end(on: On<CaseNumber>, form: Typed) -> Result<Response, WebError> {
    PassingPage::post(on, form, passing::end, Done::PassEnded).await
}

/// The authorisation as a paper.
pub async fn paper(on: On<(CaseNumber, EventId)>) -> Result<Response, WebError> {
    let (on, event) = on.apart();
    let bytes = authorization::pdf(&on.app, &on.person, &on.at, &event).await?;
    let name = format!("authorization-{}.pdf", on.at.as_str());
    Ok(pdf(&name, bytes))
}

/// The sheet of the second laboratory, for one that is given it on paper.
pub async fn sheet(on: On<(CaseNumber, EventId)>) -> Result<Response, WebError> {
    let (on, event) = on.apart();
    let bytes = passed_sheet::of_case(&on.app, &on.person, &on.at, &event).await?;
    let name = format!("second-laboratory-{}.pdf", on.at.as_str());
    Ok(pdf(&name, bytes))
}
