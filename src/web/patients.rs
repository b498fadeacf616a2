//! Patients' cards, by pseudonym.

use super::error::WebError;
use super::extract::{At, Query, Signed, Typed};
use super::field::{FieldView, Input, fill};
use super::frame::{Frame, page, page_with, see_other};
use super::ribbon::worn_words;
use super::write::view_of;
use super::typed_form::TypedForm;
use crate::app::add_patient::{self, LIST_PATIENTS};
use crate::app::{App, AppError, Person, see_case};
use crate::domain::custody::case::Case;
use crate::domain::custody::mouth;
use crate::domain::people::patient;
use crate::domain::people::privacy::looks_personal;
use crate::domain::values::arch::Arch;
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::PatientCode;
use crate::domain::values::moment::Moment;
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use std::collections::BTreeMap;

/// One line of the list.
pub struct CardView {
    pub path: String,
    pub code: String,
    pub facts: String,
    pub day: String,
}

#[derive(Template)]
#[template(path = "patients.html")]
pub struct PatientsPage {
    pub frame: Frame,
    pub cards: Vec<CardView>,
    pub before: Option<String>,
    pub after: Option<String>,
}

pub async fn list(
    State(app): State<App>,
    Signed(person): Signed,
    query: Query,
) -> Result<Response, WebError> {
    let number: i64 = query.text("page").parse().unwrap_or(0).clamp(0, 100_000);
    let cards = add_patient::list(&app, &person, number).await?;
    let is_full = i64::try_from(cards.len()).unwrap_or(0) == LIST_PATIENTS;
    let view = |card: add_patient::Card| CardView {
        path: format!("/patients/{}", card.code.as_str()),
        code: card.code.to_string(),
        facts: card
            .patient
            .facts()
            .into_iter()
            .map(|(label, words)| format!("{label}: {words}"))
            .collect::<Vec<_>>()
            .join(" · "),
        day: person.moment(card.made_ms).day(),
    };
    page(&PatientsPage {
        frame: Frame::new(&app, &person, "Patients", "/patients"),
        cards: cards.into_iter().map(view).collect(),
        before: (number > 0).then(|| format!("/patients?page={}", number - 1)),
        after: is_full.then(|| format!("/patients?page={}", number + 1)),
    })
}

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
}

impl PatientPage {
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
            .filter(|field| matches!(field.input, Input::Text | Input::Long))
        {
            field.warnings = looks_personal(&field.value)
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
            version: typed.get("version").cloned().unwrap_or_default(),
            post_key: app.outside.token().map_err(AppError::from)?,
            open_case: code.map(|code| format!("/cases/new?patient={}", code.as_str())),
            worn: Vec::new(),
            cases: Vec::new(),
        })
    }
}

pub async fn new(State(app): State<App>, Signed(person): Signed) -> Result<Response, WebError> {
    page(&PatientPage::new(
        &app,
        &person,
        None,
        &TypedForm::new(),
        &[],
    )?)
}

pub async fn add(
    State(app): State<App>,
    Signed(person): Signed,
    form: Typed,
) -> Result<Response, WebError> {
    match add_patient::add(&app, &person, &form.0, &form.key()?).await {
        Ok(code) => Ok(see_other(&format!(
            "/patients/{}?done=saved",
            code.as_str()
        ))),
        Err(AppError::Invalid(faults)) => page_with(
            StatusCode::UNPROCESSABLE_ENTITY,
            &PatientPage::new(&app, &person, None, &form.0, &faults)?,
        ),
        Err(other) => Err(other.into()),
    }
}

/// What the patient wears by the newest word of any case, an arch to a sentence.
async fn worn(app: &App, person: &Person, cases: &[Case]) -> Result<Vec<String>, WebError> {
    let mut newest: BTreeMap<Arch, (Option<Moment>, String)> = BTreeMap::new();
    for case in cases {
        let view = see_case::see(app, person, &case.number).await?;
        let work = &view.work;
        for &arch in case.arches.treated() {
            let stretch = mouth::worn_now(&work.items, &work.events, arch);
            let said = worn_words(work, &stretch.wears);
            let entry = newest.entry(arch).or_insert((None, said.clone()));
            let is_newer = stretch.from.map(|at| at.unix_ms) > entry.0.map(|at| at.unix_ms);
            if is_newer {
                *entry = (stretch.from, said);
            }
        }
    }
    let sentence = |(arch, (since, said)): (Arch, (Option<Moment>, String))| {
        let since = since.map_or_else(String::new, |at| format!(" since {at}"));
        let name = match arch {
            Arch::Upper => "Upper",
            Arch::Lower => "Lower",
        };
        format!("{name}: {said}{since}.")
    };
    Ok(newest.into_iter().map(sentence).collect())
}

pub async fn page_of(
    State(app): State<App>,
    Signed(person): Signed,
    At(code): At<PatientCode>,
    query: Query,
) -> Result<Response, WebError> {
    let (card, cases) = add_patient::see(&app, &person, &code).await?;
    let mut typed = card.typed;
    typed.insert("version".to_owned(), card.version.to_string());
    let mut view = PatientPage::new(&app, &person, Some(&code), &typed, &[])?;
    view.frame = view.frame.done(query.text("done"));
    view.worn = worn(&app, &person, &cases).await?;
    view.cases = cases
        .iter()
        .map(|case| {
            (
                format!("/cases/{}", case.number.as_str()),
                case.number.to_string(),
                case.summary.clone(),
            )
        })
        .collect();
    page(&view)
}

pub async fn change(
    State(app): State<App>,
    Signed(person): Signed,
    At(code): At<PatientCode>,
    form: Typed,
) -> Result<Response, WebError> {
    match add_patient::change(&app, &person, &code, &form.0, &form.key()?).await {
        Ok(()) => Ok(see_other(&format!(
            "/patients/{}?done=saved",
            code.as_str()
        ))),
        Err(AppError::Invalid(faults)) => page_with(
            StatusCode::UNPROCESSABLE_ENTITY,
            &PatientPage::new(&app, &person, Some(&code), &form.0, &faults)?,
        ),
        Err(other) => Err(other.into()),
    }
}
