//! One's own account.

use super::error::WebError;
use super::extract::{Query, Signed, Typed};
use super::field::{FieldView, fields_under, fill};
use super::frame::{self, Frame, page_with, see_other};
use super::sign_in::with_cookie;
use super::typed_form::TypedForm;
use crate::app::own_account::{self, PasswordForm};
use crate::app::{App, AppError, Person};
use crate::domain::values::fault::Fault;
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;

/// One's own sign-in name and licence, and the form for a new password.
#[derive(Template)]
#[template(path = "account.html")]
pub struct AccountPage {
    pub frame: Frame,
    pub login: String,
    pub licence: String,
    pub fields: Vec<FieldView>,
}

impl AccountPage {
    /// The form as typed, with its messages.
    pub fn new(app: &App, person: &Person, typed: &TypedForm, faults: &[Fault]) -> AccountPage {
        AccountPage {
            frame: Frame::new(app, person, "My account", "/account"),
            login: person.account.login.clone(),
            licence: person.account.licence.clone(),
            fields: fill(fields_under(PasswordForm::FIELDS, ""), typed, faults),
        }
    }
}

/// Answers with the account of whoever asks.
pub async fn page(
    State(app): State<App>,
    Signed(person): Signed,
    query: Query,
) -> Result<Response, WebError> {
    let mut account = AccountPage::new(&app, &person, &TypedForm::new(), &[]);
    account.frame = account.frame.done(query.text("done"));
    frame::page(&account)
}

/// Changes the password and begins a fresh session in this browser.
pub async fn change_password(
    State(app): State<App>,
    Signed(person): Signed,
    form: Typed,
) -> Result<Response, WebError> {
    let done = async { own_account::change_password(&app, &person, &form.read()?).await };
    match done.await {
        Ok(secret) => Ok(with_cookie(
            &app,
            see_other("/account?done=password"),
            &secret,
        )),
        Err(AppError::Invalid(faults)) => page_with(
            StatusCode::UNPROCESSABLE_ENTITY,
            &AccountPage::new(&app, &person, &form.0, &faults),
        ),
        Err(other) => Err(other.into()),
    }
}
