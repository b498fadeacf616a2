//! The way in and out.

use super::error::WebError;
use super::extract::{Query, Signed, Typed};
use super::field::{FieldView, fill};
use super::frame::{Frame, page, page_with, see_other};
use super::guard::{cookie, local_path};
use super::typed_form::TypedForm;
use crate::app::sign_in::{self, SignInForm};
use crate::app::{App, AppError};
use crate::domain::values::fault::Fault;
use askama::Template;
use axum::extract::State;
use axum::http::{HeaderValue, StatusCode, header};
use axum::response::Response;

/// The form that begins a session.
#[derive(Template)]
#[template(path = "sign_in.html")]
pub struct SignInPage {
    pub frame: Frame,
    pub fields: Vec<FieldView>,
    pub next: String,
}

impl SignInPage {
    /// The form as typed, with where to go afterwards.
    pub fn new(app: &App, typed: &TypedForm, faults: &[Fault], next: &str) -> SignInPage {
        let field = |spec| FieldView::under(spec, "").needed();
        let login = field(SignInForm::login()).autocomplete("username");
        let password = field(SignInForm::password());
        let mut frame = Frame::bare("Sign in");
        frame.notice.clone_from(&app.settings.notice);
        SignInPage {
            frame,
            fields: fill(vec![login, password], typed, faults),
            next: local_path(next).to_owned(),
        }
    }
}

/// Answers with the empty form.
pub async fn form(State(app): State<App>, query: Query) -> Result<Response, WebError> {
    page(&SignInPage::new(
        &app,
        &TypedForm::new(),
        &[],
        query.text("next"),
    ))
}

/// Begins a session, or gives the form back.
pub async fn enter(State(app): State<App>, form: Typed) -> Result<Response, WebError> {
    let done = async { sign_in::sign_in(&app, &form.read()?).await };
    match done.await {
        Ok(secret) => Ok(with_cookie(
            &app,
            see_other(local_path(form.text("next"))),
            &secret,
        )),
        Err(AppError::Invalid(faults)) => page_with(
            StatusCode::UNPROCESSABLE_ENTITY,
            &SignInPage::new(&app, &form.0, &faults, form.text("next")),
        ),
        Err(other) => Err(other.into()),
    }
}

/// Sets the session cookie on an answer.
pub fn with_cookie(app: &App, mut response: Response, secret: &str) -> Response {
    if let Ok(value) = HeaderValue::from_str(&cookie(app.settings.over_tls, secret)) {
        response.headers_mut().insert(header::SET_COOKIE, value);
    }
    response
}

/// Ends the session of this browser.
pub async fn leave(State(app): State<App>, Signed(person): Signed) -> Result<Response, WebError> {
    sign_in::sign_out(&app, &person).await?;
    Ok(with_cookie(&app, see_other("/sign-in"), ""))
}

/// Ends every session of this account.
pub async fn leave_everywhere(
    State(app): State<App>,
    Signed(person): Signed,
) -> Result<Response, WebError> {
    sign_in::sign_out_everywhere(&app, &person).await?;
    Ok(with_cookie(&app, see_other("/sign-in"), ""))
}
