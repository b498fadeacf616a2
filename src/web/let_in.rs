//! Who was let into one's own house, and the way back for somebody who has forgotten the password.

use super::done::Done;
use super::error::WebError;
use super::extract::{On, SignedIn, Typed};
use super::field::{FieldView, fields_under, fill};
use super::form_page::FormPage;
use super::frame::{Frame, page, page_with, see_other};
use super::tried::Tried;
use crate::app::let_in::{self, AdmissionRow, LetInAgainForm, WayBackForm};
use crate::app::{App, AppError, Person};
use crate::domain::people::account::Account;
use crate::domain::values::ids::AccountId;
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;

/// What was done about the door, and by whom.
pub struct AdmissionView {
    pub at: String,
    pub name: String,
    pub role: &'static str,
    pub what: &'static str,
    pub by: String,
}

/// Who works in one's own house, and who was let in there.
#[derive(Template)]
#[template(path = "let_in.html")]
pub struct LetInPage {
    pub frame: Frame,
    pub accounts: Vec<Account>,
    pub admissions: Vec<AdmissionView>,
    /// How many others there are that cannot be shown.
    pub missing: usize,
    /// Whether there are some that this person has not read yet.
    pub is_new: bool,
}

/// Answers with one's own house.
pub async fn own_house(
    State(app): State<App>,
    SignedIn(person): SignedIn,
) -> Result<Response, WebError> {
    let house = let_in::own_house(&app, &person).await?;
    let view = |row: AdmissionRow| AdmissionView {
        at: person.moment(row.at_ms).in_words(),
        name: row.name,
        role: row.role.shown(),
        what: row.what.shown(),
        by: row.by_name,
    };
    page(&LetInPage {
        is_new: person.unread > 0,
        frame: Frame::new(&app, &person, "Who is let in", "/account").without_unread(),
        accounts: house.accounts,
        missing: house.missing,
        admissions: house.admissions.into_iter().map(view).collect(),
    })
}

/// Notes that it was read.
pub async fn note_read(
    State(app): State<App>,
    SignedIn(person): SignedIn,
) -> Result<Response, WebError> {
    let_in::note_read(&app, &person).await?;
    Ok(see_other("/"))
}

/// The form that makes a link for a new password, or the link just made.
#[derive(Template)]
#[template(path = "way_back.html")]
pub struct WayBackPage {
    pub frame: Frame,
    pub id: AccountId,
    pub name: String,
    pub login: String,
    pub fields: Vec<FieldView>,
    pub link: Option<String>,
    pub post_key: String,
}

fn way_back_page(
    app: &App,
    person: &Person,
    account: &Account,
    tried: &Tried,
    link: Option<String>,
) -> Result<WayBackPage, WebError> {
    let fields = fields_under(WayBackForm::FIELDS, "");
    Ok(WayBackPage {
        frame: Frame::new(app, person, "A new password", "/people"),
        id: account.id.clone(),
        name: account.name.clone(),
        login: account.login.clone(),
        fields: fill(fields, &tried.typed, &tried.faults),
        link,
        post_key: app.outside.token().map_err(AppError::from)?,
    })
}

/// Answers with the form.
pub async fn way_back_form(on: On<AccountId>) -> Result<Response, WebError> {
    let account = let_in::way_back_for(&on.app, &on.person, &on.at).await?;
    let nothing = Tried::default();
    page(&way_back_page(
        &on.app, &on.person, &account, &nothing, None,
    )?)
}

/// Makes the link and shows it.
pub async fn way_back(on: On<AccountId>, form: Typed) -> Result<Response, WebError> {
    let (app, person, key) = (&on.app, &on.person, form.key()?);
    let account = let_in::way_back_for(app, person, &on.at).await?;
    let done = async { let_in::way_back(app, person, &on.at, &form.read()?, &key).await };
    let (status, tried, link) = match done.await {
        // No redirect: the link is shown in this answer and nowhere else.
        Ok(path) => {
            let link = format!("{}{path}", app.settings.address);
            (StatusCode::OK.into(), Tried::default(), Some(link))
        }
        Err(error) => {
            let (status, tried) = Tried::of(form.0, error)?;
            (status, tried, None)
        }
    };
    page_with(status, &way_back_page(app, person, &account, &tried, link)?)
}

/// The form that lets somebody in again.
#[derive(Template)]
#[template(path = "let_in_again.html")]
pub struct AgainPage {
    pub frame: Frame,
    pub id: AccountId,
    pub name: String,
    pub login: String,
    pub fields: Vec<FieldView>,
    pub post_key: String,
}

async fn again_page(
    app: &App,
    person: &Person,
    id: AccountId,
    tried: &Tried,
) -> Result<AgainPage, WebError> {
    let account = let_in::shut_out_one(app, &id).await?;
    let fields = fields_under(LetInAgainForm::FIELDS, "");
    Ok(AgainPage {
        frame: Frame::new(app, person, "Let in again", "/people"),
        id,
        name: account.name,
        login: account.login,
        fields: fill(fields, &tried.typed, &tried.faults),
        post_key: app.outside.token().map_err(AppError::from)?,
    })
}

impl FormPage for AgainPage {
    type At = AccountId;

    fn says_done(_: &AccountId) -> String {
        "/people".to_owned()
    }

    fn frame(&mut self) -> &mut Frame {
        &mut self.frame
    }

    async fn draw(on: &On<AccountId>, tried: &Tried) -> Result<AgainPage, WebError> {
        again_page(&on.app, &on.person, on.at.clone(), tried).await
    }
}

/// Answers with the form.
pub async fn again_form(on: On<AccountId>) -> Result<Response, WebError> {
    AgainPage::show(on).await
}

/// Lets somebody in again.
pub async fn again(on: On<AccountId>, form: Typed) -> Result<Response, WebError> {
    AgainPage::post(on, form, let_in::again, Done::Saved).await
}
