//! Patients' cards, by pseudonym.

use super::done::Done;
use super::error::WebError;
use super::extract::{At, On, Query, SignedIn, Typed};
use super::field::{FieldView, InputKind, fill};
use super::frame::{Frame, page, page_with, see_other};
use super::typed_form::TypedForm;
use super::write::view_of;
use crate::app::add_patient::{self, CardForm};
use crate::app::{App, AppError, Person, patient_wears};
use crate::domain::custody::case::{Case, Step};
use crate::domain::form::ShownVersion;
use crate::domain::people::patient;
use crate::domain::people::privacy::personal_data_warnings;
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::PatientCode;
use crate::domain::values::moment::whole_day;
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;

/// One line of the list.
pub struct CardView {
    pub path: String,
    pub code: String,
    pub facts: String,
    pub day: String,
}

impl CardView {
    fn new(person: &Person, card: add_patient::Card) -> CardView {
        let facts = card.patient.facts().into_iter();
        let facts: Vec<String> = facts
            .map(|(label, words)| format!("{label}: {words}"))
            .collect();
        CardView {
            path: format!("/patients/{}", card.code.as_str()),
            code: card.code.to_string(),
            facts: facts.join(" · "),
            day: whole_day(person.moment(card.made_ms).date()),
        }
    }
}

/// A part of the office's list of cards.
#[derive(Template)]
#[template(path = "patients.html")]
pub struct PatientsPage {
    pub frame: Frame,
    pub cards: Vec<CardView>,
    pub unread: usize,
    pub gone: String,
    pub before: Option<String>,
    pub after: Option<String>,
}

/// Answers with a part of the list.
pub async fn list(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    query: Query,
) -> Result<Response, WebError> {
    let number: i64 = query.text("page").parse().unwrap_or(0).clamp(0, 100_000);
    let list = add_patient::list(&app, &person, number).await?;
    let is_full = list.is_full();
    page(&PatientsPage {
        frame: Frame::new(&app, &person, "Patients", "/patients"),
        unread: list.unread,
        gone: list.gone,
        cards: (list.cards.into_iter())
            .map(|card| CardView::new(&person, card))
            .collect(),
        before: (number > 0).then(|| format!("/patients?page={}", number - 1)),
        after: is_full.then(|| format!("/patients?page={}", number + 1)),
    })
}

/// One card as a form, with the patient's cases.
#[derive(Template)]
#[template(path = "patient.html")]
pub struct PatientPage {
    pub frame: Frame,
    pub code: Option<String>,
    pub fields: Vec<FieldView>,
    pub version: String,
    pub post_key: String,
    pub open_case: Option<String>,
    /// What each arch wears and since when; empty before the first case.
    pub worn: Vec<String>,
    pub cases: Vec<(String, String, String)>,
    /// What is said of cases that are not among them; empty for most.
    pub not_shown: String,
    /// Open cases whose signed revision says otherwise what is to be avoided, with their addresses.
    pub to_revise: Vec<(String, String)>,
}

impl PatientPage {
    /// The form as typed; free texts that look personal are warned of.
    pub fn new(
        app: &App,
        person: &Person,
        code: Option<&PatientCode>,
        typed: &TypedForm,
        faults: &[Fault],
    ) -> Result<PatientPage, WebError> {
        let mut fields: Vec<FieldView> = fill(
            patient::fields()
                .iter()
                .map(|spec| view_of(spec, None, person.numbering()))
                .collect(),
            typed,
            faults,
        );
        for field in fields
            .iter_mut()
            .filter(|field| matches!(field.input, InputKind::Text | InputKind::Long))
        {
            field.warnings = personal_data_warnings(&field.value)
                .iter()
                .map(|warning| warning.sentence())
                .collect();
        }
        Ok(PatientPage {
            frame: Frame::new(
                app,
                person,
                code.map_or("New patient code".to_owned(), ToString::to_string),
                "/patients",
            ),
            code: code.map(ToString::to_string),
            fields,
            version: typed
                .get(ShownVersion::version().key)
                .cloned()
                .unwrap_or_default(),
            post_key: app.outside.token().map_err(AppError::from)?,
            open_case: code.map(|code| format!("/cases/new?patient={}", code.as_str())),
            worn: Vec::new(),
            cases: Vec::new(),
            not_shown: String::new(),
            to_revise: Vec::new(),
        })
    }
}

/// Answers with the empty form.
pub async fn new(State(app): State<App>, SignedIn(person): SignedIn) -> Result<Response, WebError> {
    page(&PatientPage::new(
        &app,
        &person,
        None,
        &TypedForm::new(),
        &[],
    )?)
}

/// The card that was typed. What in it looks personal stops nothing: the page says so beside the field each time
/// it shows the card, and the dentist reads it once more before signing.
fn card_in(form: &Typed) -> Result<CardForm, AppError> {
    form.read_as(&[], CardForm::read)
}

fn saved(code: &PatientCode) -> Response {
    see_other(&Done::Saved.at(&format!("/patients/{}", code.as_str())))
}

/// Draws a code for a new card.
pub async fn add(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    form: Typed,
) -> Result<Response, WebError> {
    let key = form.key()?;
    let done = async { add_patient::add(&app, &person, &card_in(&form)?, &key).await };
    match done.await {
        Ok(code) => Ok(saved(&code)),
        Err(AppError::Invalid(faults)) => page_with(
            StatusCode::UNPROCESSABLE_ENTITY,
            &PatientPage::new(&app, &person, None, &form.0, &faults)?,
        ),
        Err(other) => Err(other.into()),
    }
}

/// Address and number of a case.
fn linked(case: &Case) -> (String, String) {
    let path = format!("/cases/{}", case.number.as_str());
    (path, case.number.to_string())
}

/// Answers with a card as it is stored.
pub async fn page_of(on: On<PatientCode>) -> Result<Response, WebError> {
    let (app, person, code) = (&on.app, &on.person, &on.at);
    let seen = add_patient::see(app, person, code).await?;
    let mut typed = seen.card.typed;
    let version = ShownVersion::version().key.to_owned();
    typed.insert(version, seen.card.version.to_string());
    let mut view = PatientPage::new(app, person, Some(code), &typed, &[])?;
    view.frame = view.frame.done(on.query.text("done"));
    view.worn = patient_wears::worn(app, person, &seen.cases).await?;
    let row = |case: &Case| {
        let (path, number) = linked(case);
        (path, number, case.summary.clone())
    };
    view.cases = seen.cases.iter().map(row).collect();
    view.not_shown = seen.not_shown;
    let to_revise = seen.cases.iter().filter(|case| case.asks(Step::Revise));
    view.to_revise = to_revise.map(linked).collect();
    page(&view)
}

/// Changes a card, or gives the form back with its messages.
pub async fn change(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    At(code): At<PatientCode>,
    form: Typed,
) -> Result<Response, WebError> {
    let key = form.key()?;
    let done = async { add_patient::change(&app, &person, &code, &card_in(&form)?, &key).await };
    match done.await {
        Ok(()) => Ok(saved(&code)),
        Err(AppError::Invalid(faults)) => page_with(
            StatusCode::UNPROCESSABLE_ENTITY,
            &PatientPage::new(&app, &person, Some(&code), &form.0, &faults)?,
        ),
        Err(other) => Err(other.into()),
    }
}
