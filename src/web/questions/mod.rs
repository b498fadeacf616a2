//! Questions of a case: shown, asked, answered; telephone calls written down and confirmed.

mod page;

use self::page::{About, Input, questions_page};
use super::error::WebError;
use super::extract::{At, Query, Signed, Typed};
use super::frame::{page, page_with, see_other};
use super::tried::Tried;
use crate::app::{App, AppError, Person, questions, see_case};
use crate::domain::custody::forms::{AnswerForm, AskForm, CallForm, ConfirmForm};
use crate::domain::values::ids::CaseNumber;
use axum::extract::State;
use axum::response::Response;

/// Shows what is asked, and the forms.
pub async fn form(
    State(app): State<App>,
    Signed(person): Signed,
    At(number): At<CaseNumber>,
    query: Query,
) -> Result<Response, WebError> {
    let view = see_case::see(&app, &person, &number).await?;
    let about = About {
        section: query.text("section").to_owned(),
        line: query.text("line").to_owned(),
        revision: query.text("revision").to_owned(),
        item: query.text("item").to_owned(),
    };
    let tried = Tried::default();
    let input = Input {
        app: &app,
        person: &person,
        view: &view,
        tried: &tried,
    };
    let mut shown = questions_page(&input, &about)?;
    shown.frame = shown.frame.done(query.text("done"));
    page(&shown)
}

/// Back to the page of questions, or the form again with what is wrong with it.
async fn answered(
    (app, person, number): (&App, &Person, &CaseNumber),
    form: Typed,
    done: Result<String, AppError>,
) -> Result<Response, WebError> {
    let (status, tried) = match done {
        Ok(to) => return Ok(see_other(&format!("/cases/{}/{to}", number.as_str()))),
        Err(error) => Tried::of(form.0, error)?,
    };
    let view = see_case::see(app, person, number).await?;
    let input = Input {
        app,
        person,
        view: &view,
        tried: &tried,
    };
    page_with(status, &questions_page(&input, &About::default())?)
}

/// Enters a question.
pub async fn ask(
    State(app): State<App>,
    Signed(person): Signed,
    At(number): At<CaseNumber>,
    form: Typed,
) -> Result<Response, WebError> {
    let key = form.key()?;
    let done = async {
        let command: AskForm = form.read()?;
        questions::ask(&app, &person, &number, &command, &key).await?;
        Ok("questions?done=asked".to_owned())
    };
    let done = done.await;
    answered((&app, &person, &number), form, done).await
}

/// Enters an answer; with the other button the draft is opened at the section that was asked about.
pub async fn answer(
    State(app): State<App>,
    Signed(person): Signed,
    At(number): At<CaseNumber>,
    form: Typed,
) -> Result<Response, WebError> {
    let key = form.key()?;
    let done = async {
        let command: AnswerForm = form.read()?;
        let section = questions::answer(&app, &person, &number, &command, &key).await?;
        let goes_on = form.text("go") == "write";
        Ok(match (goes_on, section, command.taken_back) {
            (true, Some(section), _) => format!("write#s-{section}"),
            (true, None, _) => "write".to_owned(),
            (_, _, true) => "questions?done=taken_back".to_owned(),
            _ => "questions?done=answered".to_owned(),
        })
    };
    let done = done.await;
    answered((&app, &person, &number), form, done).await
}

/// Enters a telephone call.
pub async fn telephoned(
    State(app): State<App>,
    Signed(person): Signed,
    At(number): At<CaseNumber>,
    form: Typed,
) -> Result<Response, WebError> {
    let key = form.key()?;
    let done = async {
        let command: CallForm = form.read()?;
        questions::telephoned(&app, &person, &number, &command, &key).await?;
        Ok("questions?done=telephoned".to_owned())
    };
    let done = done.await;
    answered((&app, &person, &number), form, done).await
}

/// Enters whether a call was so.
pub async fn confirm(
    State(app): State<App>,
    Signed(person): Signed,
    At(number): At<CaseNumber>,
    form: Typed,
) -> Result<Response, WebError> {
    let key = form.key()?;
    let done = async {
        let command: ConfirmForm = form.read()?;
        questions::confirm(&app, &person, &number, &command, &key).await?;
        Ok(match command.not_so {
            true => "questions?done=not_so",
            false => "questions?done=confirmed",
        }
        .to_owned())
    };
    let done = done.await;
    answered((&app, &person, &number), form, done).await
}
