//! Questions of a case: shown, asked, answered; telephone calls written down and confirmed.

mod about;
mod calls;
mod chosen;
mod input;
mod page;
mod second_lab;
mod value;

use self::input::Input;
use self::page::{About, questions_page};
use self::value::{draft_for, value_sets};
use super::bench::refuse_of_another;
use super::error::WebError;
use super::extract::{At, Query, Signed, Typed};
use super::frame::{page, page_with, see_other};
use super::pictures::SentPicture;
use super::tried::Tried;
use crate::app::answer_value::TypedValue;
use crate::app::case_work::CaseWork;
use crate::app::pictures::PICTURE_FILE;
use crate::app::write_draft::Base;
use crate::app::{App, AppError, Person, pass_questions, questions, see_case};
use crate::domain::custody::PictureOf;
use crate::domain::custody::forms::{
    AnswerForm, AskForm, CallForm, ConfirmForm, PassReplyForm, PictureForm,
};
use crate::domain::form::Form;
use crate::domain::people::party::Side;
use crate::domain::values::ids::{CaseNumber, EventId};
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
        question: asked_by_second(&view.work, query.text("second")),
    };
    let tried = Tried::default();
    let taken = query.text("taken");
    let draft = draft_for(&app, &person, &view, taken).await?;
    let input = Input {
        app: &app,
        person: &person,
        view: &view,
        tried: &tried,
        draft: draft.as_ref(),
        taken,
    };
    let mut shown = questions_page(&input, &about)?;
    shown.frame = shown.frame.done(query.text("done"));
    page(&shown)
}

/// What a second laboratory has asked, for the first one to ask the office.
fn asked_by_second(work: &CaseWork, entry: &str) -> String {
    let found = work.state.pass_question(&EventId::new(entry));
    let found = found.filter(|_| work.side == Side::Lab);
    found.map_or_else(String::new, |(_, one)| one.text.clone())
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
    let draft = draft_for(app, person, &view, "").await?;
    let input = Input {
        app,
        person,
        view: &view,
        tried: &tried,
        draft: draft.as_ref(),
        taken: "",
    };
    page_with(status, &questions_page(&input, &About::default())?)
}

/// What is said of a picture whose question was not entered.
const PICTURE_AGAIN: &str = "Choose the picture again: a browser sends none a second time.";

/// A picture that goes with a question.
type PictureAlong = Option<(PictureForm, Vec<u8>)>;

/// The button that goes on to a picture.
const SHOW: &str = "picture";

/// Where a picture is added to a question: at the camera at once.
fn picture_of(question: &str) -> String {
    format!("pictures?back=questions&question={question}#add")
}

/// The picture that was sent along with a question, as the form of pictures says it.
fn picture_along(sent: &mut SentPicture, command: &AskForm) -> Result<PictureAlong, AppError> {
    sent.refuse_too_large()?;
    if sent.bytes.is_empty() {
        return Ok(None);
    }
    let mut typed = sent.form.0.clone();
    let said = [
        (PictureForm::shows().key, PictureOf::AskedAbout.word()),
        (PictureForm::shown_item().key, &command.asked_item),
    ];
    typed.extend(said.map(|(key, text)| (key.to_owned(), text.to_owned())));
    let mut faults = Vec::new();
    let picture = PictureForm::read(&typed, &mut faults);
    let picture = picture.ok_or(AppError::Invalid(faults))?;
    Ok(Some((picture, std::mem::take(&mut sent.bytes))))
}

/// Enters a question, and the picture that was sent with it.
pub async fn ask(
    State(app): State<App>,
    Signed(person): Signed,
    At(number): At<CaseNumber>,
    mut sent: SentPicture,
) -> Result<Response, WebError> {
    let (key, has_picture) = (sent.form.key()?, !sent.bytes.is_empty());
    let done = async {
        refuse_of_another(&person, &sent.form)?;
        let command: AskForm = sent.form.read()?;
        let asked = (&command, picture_along(&mut sent, &command)?);
        questions::ask(&app, &person, &number, asked, &key).await?;
        Ok("questions?done=asked".to_owned())
    };
    let done = done.await.map_err(|error: AppError| match has_picture {
        true => error.and_field(PICTURE_FILE, PICTURE_AGAIN),
        false => error,
    });
    // The word given was of the picture that was sent.
    sent.form.0.remove(PictureForm::mouth_only().key);
    answered((&app, &person, &number), sent.form, done).await
}

/// Enters an answer, with a new value for the draft where one was typed; with the other button the draft is opened at
/// what was asked about.
pub async fn answer(
    State(app): State<App>,
    Signed(person): Signed,
    At(number): At<CaseNumber>,
    form: Typed,
) -> Result<Response, WebError> {
    let key = form.key()?;
    let done = async {
        let sets = [AnswerForm::field_sets(), value_sets()].concat();
        let command: AnswerForm = form.read_as(&sets, AnswerForm::read)?;
        let value = TypedValue {
            base: Base::parse(form.text("base")).unwrap_or(Base::NONE),
            fields: form.0.clone(),
        };
        let said = (&command, &value);
        let about = questions::answer(&app, &person, &number, said, &key).await?;
        if form.text("go") == SHOW {
            return Ok(picture_of(&command.asked_by));
        }
        let goes_on = form.text("go") == "write";
        Ok(match (goes_on, about.taken, about.section) {
            (true, Some(field), _) => format!("write#f-{}", field.replace('.', "-")),
            (true, None, Some(section)) => format!("write#s-{section}"),
            (true, None, None) => "write".to_owned(),
            (false, Some(_), _) => {
                let question = &command.asked_by;
                format!("questions?done=answered&taken={question}#taken")
            }
            _ if command.taken_back => "questions?done=taken_back".to_owned(),
            _ => "questions?done=answered".to_owned(),
        })
    };
    let done = done.await;
    answered((&app, &person, &number), form, done).await
}

/// Answers a second laboratory.
pub async fn answer_lab(
    State(app): State<App>,
    Signed(person): Signed,
    At(number): At<CaseNumber>,
    form: Typed,
) -> Result<Response, WebError> {
    let key = form.key()?;
    let done = async {
        let command: PassReplyForm = form.read()?;
        pass_questions::answer(&app, &person, &number, &command, &key).await?;
        Ok("questions?done=pass_replied".to_owned())
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
