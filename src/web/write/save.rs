//! The buttons of the form: save, check, a kind of work, another row, read and sign, choose one of two texts, give up.

use super::page::{DRAWINGS, write_page};
use super::posted::{Posted, sent_by_its_reader};
use super::review::ENCLOSE;
use crate::app::draft_view::is_ready_to_sign;
use crate::app::write_draft::{self, Base, Begins, Written};
use crate::app::{App, AppError, Person, enclose};
use crate::domain::fill::COURSE;
use crate::domain::form::ShownVersion;
use crate::domain::people::access::Permission;
use crate::domain::prescription::{Course, section_of};
use crate::domain::values::ids::{CaseNumber, Tag};
use crate::web::done::Done;
use crate::web::error::WebError;
use crate::web::extract::{At, On, SignedIn, Typed};
use crate::web::frame::{back_to_case, page_with, see_other};
use crate::web::guard::in_words;
use crate::web::keys::{FIELD, SURE, TAKE};
use crate::web::typed_form::TypedForm;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;

/// How the words of the buttons begin that choose a kind of work.
const KIND_OF_WORK: &str = "course-";

/// Where a saved form leads.
enum Next {
    /// The form again, with the messages for signing where it is `checked`.
    Show { status: StatusCode, checked: bool },
    /// Another page, by its address below the case's own.
    Go(String),
}

fn next(written: &Written, person: &Person, button: &str) -> Next {
    let show = |status, checked| Next::Show { status, checked };
    // The text stands in this answer only: whichever button was pressed, no redirect may drop it.
    if !written.too_long.is_empty() {
        return show(StatusCode::UNPROCESSABLE_ENTITY, false);
    }
    if let Some(list) = list_to_extend(button) {
        let place = match section_of(list) {
            Some(section) => format!("s-{}", section.key),
            None => DRAWINGS.to_owned(),
        };
        return Next::Go(format!("write?more={list}#{place}"));
    }
    match button {
        "look" => show(StatusCode::OK, true),
        "reported" => Next::Go("reported".to_owned()),
        "sign" if person.may(Permission::Sign) => match is_ready_to_sign(written) {
            true => Next::Go("sign".to_owned()),
            false => show(StatusCode::UNPROCESSABLE_ENTITY, true),
        },
        _ if is_saved(written) => {
            // The kind of work shows by what the form asks now.
            Next::Go(match button.starts_with(KIND_OF_WORK) {
                true => "write".to_owned(),
                false => Done::Saved.at("write"),
            })
        }
        _ => show(StatusCode::OK, false),
    }
}

/// The list that a button asks more rows for.
fn list_to_extend(button: &str) -> Option<&str> {
    let is_key = |list: &&str| list.bytes().all(|b| b.is_ascii_lowercase() || b == b'_');
    button.strip_prefix("more-").filter(is_key)
}

/// The thing that a button puts into the list of what is enclosed.
fn to_enclose(button: &str) -> Option<Tag> {
    Tag::parse(button.strip_prefix(ENCLOSE)?).ok()
}

/// Whether all that was sent is stored, and nobody else wrote meanwhile.
fn is_saved(written: &Written) -> bool {
    written.too_long.is_empty() && written.others.is_empty() && written.conflicts.is_empty()
}

/// What was saved, with the thing in the list that the button puts there.
async fn with_enclosed(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    (written, button): (Written, &str),
) -> Result<Written, AppError> {
    match to_enclose(button).filter(|_| is_saved(&written)) {
        Some(tag) => enclose::enclose(app, person, number, written, &tag).await,
        None => Ok(written),
    }
}

/// Whether a draft begins with what was sent, and what was sent with the kind of work that its button chooses.
fn sent(person: &Person, button: &str, mut fields: TypedForm) -> (Begins, TypedForm) {
    let chosen = button.strip_prefix(KIND_OF_WORK);
    if let Some(course) = chosen.and_then(Course::from_word) {
        fields.insert(COURSE.to_owned(), course.word().to_owned());
    }
    match button {
        "sign" if person.may(Permission::Sign) => (Begins::AtOnce, fields),
        _ => (Begins::WithAField, fields),
    }
}

/// Stores what was typed. Of a draft that was signed or given up meanwhile nothing is stored: whoever typed it gets back what
/// the prescription does not say by now.
async fn stored(
    on: &On<CaseNumber>,
    (base, begins): (Base, Begins),
    fields: TypedForm,
) -> Result<Written, WebError> {
    let (app, person, number) = (&on.app, &on.person, &on.at);
    match write_draft::save_as(app, person, number, base, &fields, begins).await {
        Err(AppError::Conflict(happened)) => {
            let now = write_draft::fields_now(app, person, number).await;
            let now = now.unwrap_or_default();
            let is_new = |(key, text): &(String, String)| now.get(key) != Some(text);
            Err(WebError::DraftOver {
                happened,
                sent: in_words(fields.into_iter().filter(is_new).collect()),
                form: format!("/cases/{}/write", number.as_str()),
            })
        }
        saved => Ok(saved?),
    }
}

/// Saves what was typed, whichever button was pressed, and goes where the button leads.
pub async fn save(on: On<CaseNumber>, form: Typed) -> Result<Response, WebError> {
    let (app, person, number) = (&on.app, &on.person, &on.at);
    let button = form.text("go").to_owned();
    let Posted { base, fields } = Posted::of(person, form)?;
    let (begins, fields) = sent(person, &button, fields);
    let written = stored(&on, (base, begins), fields).await?;
    let written = with_enclosed(app, person, number, (written, &button)).await?;
    match next(&written, person, &button) {
        Next::Go(rest) => Ok(see_other(&format!("/cases/{}/{rest}", number.as_str()))),
        Next::Show { status, checked } => {
            let mut view = write_page(app, person, &written, checked, "");
            view.posted = true;
            view.frame = view.frame.on_case(app, person, number).await?;
            view.may_sign &= !view.frame.is_doubted;
            page_with(status, &view)
        }
    }
}

/// Takes one of two texts for a field, and lets the other go.
pub async fn choose_conflict(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    At(number): At<CaseNumber>,
    form: Typed,
) -> Result<Response, WebError> {
    let form = sent_by_its_reader(&person, form)?;
    let version = form
        .text(ShownVersion::version().key)
        .parse()
        .map_err(|_| AppError::NotFound)?;
    let (field, take) = (form.text(FIELD), form.text(TAKE) == "yes");
    write_draft::choose_conflict(&app, &person, &number, version, field, take).await?;
    Ok(see_other(&format!("/cases/{}/write", number.as_str())))
}

/// Gives the draft up, where the form is sure of it.
pub async fn discard(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    At(number): At<CaseNumber>,
    form: Typed,
) -> Result<Response, WebError> {
    let form = sent_by_its_reader(&person, form)?;
    if !form.is_ticked(SURE) {
        return Err(AppError::Refused(vec![
            "Tick “Give this draft up for good” first: its text is gone then.".to_owned(),
        ])
        .into());
    }
    write_draft::discard(&app, &person, &number).await?;
    Ok(back_to_case(&number, Done::Discarded))
}
