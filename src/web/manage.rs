//! The administrator's pages of offices and labs.

use super::error::WebError;
use super::extract::{At, Query, Signed, Typed};
use super::field::{FieldView, fields_under, fill};
use super::frame::{Frame, page, page_with, see_other};
use super::law;
use super::typed_form::TypedForm;
use crate::app::manage::{self, PartyForm, SideForm};
use crate::app::{App, AppError, Person};
use crate::domain::law::profile::DEFAULT;
use crate::domain::people::party::Party;
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::PartyId;
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;

/// The list of all offices and labs.
#[derive(Template)]
#[template(path = "parties.html")]
pub struct PartiesPage {
    pub frame: Frame,
    pub parties: Vec<Party>,
}

/// Answers with the list of parties.
pub async fn parties(
    State(app): State<App>,
    Signed(person): Signed,
    query: Query,
) -> Result<Response, WebError> {
    let everybody = manage::everybody(&app).await?;
    page(&PartiesPage {
        frame: Frame::new(&app, &person, "Offices and labs", "/parties").done(query.text("done")),
        parties: everybody
            .parties
            .into_iter()
            .map(|(party, _)| party)
            .collect(),
    })
}

/// The form of one party, new or changed.
#[derive(Template)]
#[template(path = "party.html")]
pub struct PartyPage {
    pub frame: Frame,
    pub fields: Vec<FieldView>,
    pub version: String,
    pub post_key: String,
}

impl PartyPage {
    /// The form as typed; what a party is can be chosen only while it is new.
    pub fn new(
        app: &App,
        person: &Person,
        title: &str,
        typed: &TypedForm,
        faults: &[Fault],
        is_new: bool,
    ) -> Result<PartyPage, WebError> {
        let mut fields = match is_new {
            true => fields_under(SideForm::FIELDS, ""),
            false => Vec::new(),
        };
        fields.extend(fields_under(PartyForm::FIELDS, ""));
        let chosen = typed.get("profile").map_or("", String::as_str);
        fields.push(law::profile_field(app, chosen));
        Ok(PartyPage {
            frame: Frame::new(app, person, title, "/parties"),
            fields: fill(fields, typed, faults),
            version: typed.get("version").cloned().unwrap_or_default(),
            post_key: app.outside.token().map_err(AppError::from)?,
        })
    }
}

fn as_typed(party: &Party) -> TypedForm {
    [
        ("kind", party.kind.word()),
        ("name", &party.name),
        ("address", &party.address),
        ("licence", &party.licence),
        ("telephone", &party.telephone),
        ("zone", &party.zone),
        ("paper", party.paper.word()),
        ("numbering", party.numbering.word()),
        ("profile", &party.profile),
        ("version", &party.version.to_string()),
    ]
    .into_iter()
    .map(|(key, text)| (key.to_owned(), text.to_owned()))
    .collect()
}

/// Answers with the empty form.
pub async fn new_party(
    State(app): State<App>,
    Signed(person): Signed,
) -> Result<Response, WebError> {
    page(&PartyPage::new(
        &app,
        &person,
        "New office or lab",
        &TypedForm::from([("profile".to_owned(), DEFAULT.to_owned())]),
        &[],
        true,
    )?)
}

/// Adds a party, or gives the form back with its messages.
pub async fn add_party(
    State(app): State<App>,
    Signed(person): Signed,
    form: Typed,
) -> Result<Response, WebError> {
    let key = form.key()?;
    let done = async { manage::add_party(&app, &person, &form.read()?, &key).await };
    match done.await {
        Ok(_) => Ok(see_other("/parties?done=saved")),
        Err(AppError::Invalid(faults)) => page_with(
            StatusCode::UNPROCESSABLE_ENTITY,
            &PartyPage::new(&app, &person, "New office or lab", &form.0, &faults, true)?,
        ),
        Err(other) => Err(other.into()),
    }
}

/// Answers with a party as it is stored.
pub async fn party(
    State(app): State<App>,
    Signed(person): Signed,
    At(id): At<PartyId>,
) -> Result<Response, WebError> {
    let party = manage::party(&app, &id).await?;
    page(&PartyPage::new(
        &app,
        &person,
        &party.name,
        &as_typed(&party),
        &[],
        false,
    )?)
}

/// Changes a party, or gives the form back with its messages.
pub async fn change_party(
    State(app): State<App>,
    Signed(person): Signed,
    At(id): At<PartyId>,
    form: Typed,
) -> Result<Response, WebError> {
    let key = form.key()?;
    let done = async { manage::change_party(&app, &person, &id, &form.read()?, &key).await };
    match done.await {
        Ok(()) => Ok(see_other("/parties?done=saved")),
        Err(AppError::Invalid(faults)) => {
            let title = manage::party(&app, &id).await?.name;
            let view = PartyPage::new(&app, &person, &title, &form.0, &faults, false)?;
            page_with(StatusCode::UNPROCESSABLE_ENTITY, &view)
        }
        Err(other) => Err(other.into()),
    }
}
