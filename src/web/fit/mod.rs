//! What came back against what was asked: looked at, worked out, entered, withdrawn.

mod input;
mod page;
mod rows;

use self::input::FitInput;
use self::page::{FitPage, fit_page};
use super::done::Done;
use super::error::WebError;
use super::extract::{On, Typed};
use super::form_page::FormPage;
use super::frame::{Frame, page};
use super::tried::Tried;
use super::typed_form::TypedForm;
use crate::app::{bench, fit, see_case};
use crate::domain::custody::forms::{CheckFitForm, FitRowForm};
use crate::domain::form::Form;
use crate::domain::values::ids::CaseNumber;
use axum::response::Response;

impl FormPage for FitPage {
    type At = CaseNumber;

    fn says_done(number: &CaseNumber) -> String {
        format!("/cases/{}/fit", number.as_str())
    }

    fn frame(&mut self) -> &mut Frame {
        &mut self.frame
    }

    async fn draw(on: &On<CaseNumber>, tried: &Tried) -> Result<FitPage, WebError> {
        let view = see_case::see(&on.app, &on.person, &on.at).await?;
        let lines = fit::lines_of(&view);
        let input = FitInput {
            app: &on.app,
            person: &on.person,
            view: &view,
            lines: &lines,
            tried,
        };
        fit_page(&input)
    }
}

/// Shows what is asked, and room for what is found.
pub async fn form(on: On<CaseNumber>) -> Result<Response, WebError> {
    FitPage::show(on).await
}

/// What was typed with what is wrong with its numbers; a word that is still missing is not.
fn worked_out(typed: TypedForm) -> Tried {
    let mut faults = Vec::new();
    CheckFitForm::read(&typed, &mut faults);
    let is_unsaid = |key: &str| {
        let word = FitRowForm::verdict().key;
        key.ends_with(word) && typed.get(key).is_none_or(|text| text.is_empty())
    };
    faults.retain(|fault| !is_unsaid(&fault.key));
    Tried {
        faults,
        ..Tried::shown(typed)
    }
}

/// Enters what was found; with the other button only what the readings come to is shown.
pub async fn enter(on: On<CaseNumber>, form: Typed) -> Result<Response, WebError> {
    if form.text("go") == "work_out" {
        return page(&FitPage::draw(&on, &worked_out(form.0)).await?);
    }
    FitPage::post(on, form, fit::enter, Done::FitChecked).await
}

/// Withdraws an entry that was a mistake.
pub async fn undo(on: On<CaseNumber>, form: Typed) -> Result<Response, WebError> {
    FitPage::post(on, form, bench::undo, Done::FitUndone).await
}
