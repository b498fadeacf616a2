//! Opening a case.

use super::done::Done;
use super::error::WebError;
use super::extract::{Query, SignedIn, Typed};
use super::field::{FieldView, fill};
use super::frame::{Frame, back_to_case, page, page_with};
use super::typed_form::TypedForm;
use crate::app::open_case::{self, OpenCaseForm};
use crate::app::{App, AppError, Person};
use crate::domain::values::fault::Fault;
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;

/// The form that opens a case.
#[derive(Template)]
#[template(path = "case_new.html")]
pub struct NewCasePage {
    pub frame: Frame,
    pub fields: Vec<FieldView>,
    pub labs_missing: bool,
    pub post_key: String,
}

async fn new_page(
    app: &App,
    person: &Person,
    typed: &TypedForm,
    faults: &[Fault],
) -> Result<NewCasePage, WebError> {
    let labs: Vec<(String, String)> = open_case::labs(app)
        .await?
        .into_iter()
        .map(|lab| (lab.id.to_string(), lab.name))
        .collect();
    let labs_missing = labs.is_empty();
    let mut typed = typed.clone();
    // Where there is one lab, nobody has to choose it.
    if let [(only, _)] = labs.as_slice() {
        typed
            .entry(OpenCaseForm::lab().key.to_owned())
            .or_insert_with(|| only.clone());
    }
    let field = |spec| FieldView::under(spec, "");
    let fields = vec![
        field(OpenCaseForm::patient()),
        field(OpenCaseForm::arches()),
        field(OpenCaseForm::lab()).chosen_from(labs),
    ];
    Ok(NewCasePage {
        frame: Frame::new(app, person, "New case", "/cases/new"),
        fields: fill(fields, &typed, faults),
        labs_missing,
        post_key: app.outside.token().map_err(AppError::from)?,
    })
}

/// The empty form, with the patient that the address names.
pub async fn new(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    query: Query,
) -> Result<Response, WebError> {
    let patient = OpenCaseForm::patient().key;
    let typed = TypedForm::from([(patient.to_owned(), query.text(patient).to_owned())]);
    page(&new_page(&app, &person, &typed, &[]).await?)
}

/// Opens the case, or gives the form back with its messages.
pub async fn open(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    form: Typed,
) -> Result<Response, WebError> {
    let key = form.key()?;
    let done = async { open_case::open(&app, &person, &form.read()?, &key).await };
    match done.await {
        Ok(number) => Ok(back_to_case(&number, Done::Opened)),
        Err(AppError::Invalid(faults)) => page_with(
            StatusCode::UNPROCESSABLE_ENTITY,
            &new_page(&app, &person, &form.0, &faults).await?,
        ),
        Err(other) => Err(other.into()),
    }
}
