//! What came back against what was asked: looked at, worked out, entered, withdrawn.

mod input;
mod page;
mod rows;

use self::input::Input;
use self::page::fit_page;
use super::error::WebError;
use super::extract::{At, Query, Signed, Typed};
use super::frame::{page, page_with, see_other};
use super::tried::Tried;
use super::typed_form::TypedForm;
use crate::app::{App, AppError, Person, bench, fit, see_case};
use crate::domain::custody::forms::{CheckFitForm, FitRowForm, UndoForm};
use crate::domain::form::Form;
use crate::domain::values::ids::CaseNumber;
use axum::extract::State;
use axum::response::Response;

async fn shown(
    (app, person, number): (&App, &Person, &CaseNumber),
    tried: &Tried,
) -> Result<page::FitPage, WebError> {
    let view = see_case::see(app, person, number).await?;
    let lines = fit::lines_of(&view)?;
    let input = Input {
        app,
        person,
        view: &view,
        lines: &lines,
        tried,
    };
    fit_page(&input)
}

/// Shows what is asked, and room for what is found.
pub async fn form(
    State(app): State<App>,
    Signed(person): Signed,
    At(number): At<CaseNumber>,
    query: Query,
) -> Result<Response, WebError> {
    let mut shown = shown((&app, &person, &number), &Tried::default()).await?;
    shown.frame = shown.frame.done(query.text("done"));
    page(&shown)
}

/// Back to the page, or the form again with what is wrong with it.
async fn answered(
    (app, person, number): (&App, &Person, &CaseNumber),
    form: Typed,
    done: Result<&'static str, AppError>,
) -> Result<Response, WebError> {
    let (status, tried) = match done {
        Ok(word) => {
            let path = format!("/cases/{}/fit?done={word}", number.as_str());
            return Ok(see_other(&path));
        }
        Err(error) => Tried::of(form.0, error)?,
    };
    page_with(status, &shown((app, person, number), &tried).await?)
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
pub async fn enter(
    State(app): State<App>,
    Signed(person): Signed,
    At(number): At<CaseNumber>,
    form: Typed,
) -> Result<Response, WebError> {
    if form.text("go") == "work_out" {
        let tried = worked_out(form.0);
        return page(&shown((&app, &person, &number), &tried).await?);
    }
    let key = form.key()?;
    let done = async {
        let command: CheckFitForm = form.read()?;
        fit::enter(&app, &person, &number, &command, &key).await?;
        Ok("fit_checked")
    };
    let done = done.await;
    answered((&app, &person, &number), form, done).await
}

/// Withdraws an entry that was a mistake.
pub async fn undo(
    State(app): State<App>,
    Signed(person): Signed,
    At(number): At<CaseNumber>,
    form: Typed,
) -> Result<Response, WebError> {
    let key = form.key()?;
    let done = async {
        let command: UndoForm = form.read()?;
        bench::undo(&app, &person, &number, &command, &key).await?;
        Ok("fit_undone")
    };
    let done = done.await;
    answered((&app, &person, &number), form, done).await
}
