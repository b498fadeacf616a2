//! The administrator's pages of offices and labs.

use super::done::Done;
use super::error::WebError;
use super::extract::{At, Query, SignedIn, Typed};
use super::field::{FieldView, fields_under, fill};
use super::frame::{Frame, page, page_with, see_other};
use super::law;
use super::setting_up::SettingUp;
use super::typed_form::TypedForm;
use crate::app::choose_law::LawForm;
use crate::app::manage::{self, PartyForm, SideForm};
use crate::app::{App, AppError, Person};
use crate::domain::form::ShownVersion;
use crate::domain::law::profile::DEFAULT;
use crate::domain::people::party::{Paper, Party};
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::PartyId;
use crate::domain::values::tooth::Numbering;
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;

/// The list of all offices and labs.
#[derive(Template)]
#[template(path = "parties.html")]
pub struct PartiesPage {
    pub frame: Frame,
    pub setting_up: SettingUp,
    pub parties: Vec<Party>,
}

/// Answers with the list of parties.
pub async fn parties(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    query: Query,
) -> Result<Response, WebError> {
    let everybody = manage::everybody(&app).await?;
    page(&PartiesPage {
        frame: Frame::new(&app, &person, "Offices and labs", "/parties").done(query.text("done")),
        setting_up: SettingUp::of(&app).await?,
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
        let chosen = typed.get(LawForm::profile().key).map_or("", String::as_str);
        fields.push(law::profile_field(app, chosen));
        Ok(PartyPage {
            frame: Frame::new(app, person, title, "/parties"),
            fields: fill(fields, typed, faults),
            version: typed
                .get(ShownVersion::version().key)
                .cloned()
                .unwrap_or_default(),
            post_key: app.outside.token().map_err(AppError::from)?,
        })
    }
}

fn as_typed(party: &Party) -> TypedForm {
    [
        (SideForm::kind(), party.kind.word()),
        (PartyForm::name(), &party.name),
        (PartyForm::address(), &party.address),
        (PartyForm::licence(), &party.licence),
        (PartyForm::telephone(), &party.telephone),
        (PartyForm::zone(), &party.zone),
        (PartyForm::paper(), party.paper.word()),
        (PartyForm::numbering(), party.numbering.word()),
        (LawForm::profile(), &party.profile),
        (ShownVersion::version(), &party.version.to_string()),
    ]
    .into_iter()
    .map(|(spec, text)| (spec.key.to_owned(), text.to_owned()))
    .collect()
}

/// What a new house mostly is like: the one that is there already, and otherwise what most of the world has.
fn first_guess(known: Option<&Party>, kind: &str) -> TypedForm {
    let zone = known.map_or("", |party| party.zone.as_str());
    let paper = known.map_or(Paper::A4, |party| party.paper);
    let numbering = known.map_or(Numbering::Iso3950, |party| party.numbering);
    let profile = known.map_or(DEFAULT, |party| party.profile.as_str());
    [
        (SideForm::kind(), kind),
        (PartyForm::zone(), zone),
        (PartyForm::paper(), paper.word()),
        (PartyForm::numbering(), numbering.word()),
        (LawForm::profile(), profile),
    ]
    .into_iter()
    .map(|(spec, text)| (spec.key.to_owned(), text.to_owned()))
    .collect()
}

/// Answers with the form and what can be guessed; `kind` in the address says what kind of house it is.
pub async fn new_party(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    query: Query,
) -> Result<Response, WebError> {
    let everybody = manage::everybody(&app).await?;
    let known = everybody.parties.first().map(|(party, _)| party);
    let typed = first_guess(known, query.text(SideForm::kind().key));
    let title = "New office or lab";
    page(&PartyPage::new(&app, &person, title, &typed, &[], true)?)
}

/// Adds a party, or gives the form back with its messages.
pub async fn add_party(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    form: Typed,
) -> Result<Response, WebError> {
    let key = form.key()?;
    let done = async { manage::add_party(&app, &person, &form.read()?, &key).await };
    match done.await {
        Ok(_) => Ok(see_other(&Done::Saved.at("/parties"))),
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
    SignedIn(person): SignedIn,
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
    SignedIn(person): SignedIn,
    At(id): At<PartyId>,
    form: Typed,
) -> Result<Response, WebError> {
    let key = form.key()?;
    let done = async { manage::change_party(&app, &person, &id, &form.read()?, &key).await };
    match done.await {
        Ok(()) => Ok(see_other(&Done::Saved.at("/parties"))),
        Err(AppError::Invalid(faults)) => {
            let title = manage::party(&app, &id).await?.name;
            let view = PartyPage::new(&app, &person, &title, &form.0, &faults, false)?;
            page_with(StatusCode::UNPROCESSABLE_ENTITY, &view)
        }
        Err(other) => Err(other.into()),
    }
}
