//! The way in and out.

use super::client::Visiting;
use super::cookies::{cookie_name, cookie_value, entered, left};
use super::error::WebError;
use super::extract::{Query, SignedIn, Typed, encode};
use super::field::{FieldView, fill};
use super::frame::{Frame, page, page_with, see_other};
use super::guard::local_path;
use super::keys::NEXT;
use super::tried::Tried;
use super::typed_form::TypedForm;
use crate::app::sign_in::{self, SignInForm};
use crate::app::{App, AppError, manage};
use crate::domain::values::fault::Fault;
use askama::Template;
use axum::extract::State;
use axum::http::HeaderMap;
use axum::response::{IntoResponse, Response};

/// The form that begins a session.
#[derive(Template)]
#[template(path = "sign_in.html")]
pub struct SignInPage {
    pub frame: Frame,
    pub fields: Vec<FieldView>,
    /// What stands against it besides the fields.
    pub refusals: Vec<String>,
    pub next: String,
    /// Nobody has an account yet.
    pub is_new: bool,
    /// Where somebody comes in by a code; empty on a device that is none of a bench.
    pub by_code: String,
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
            refusals: Vec::new(),
            next: local_path(next).to_owned(),
            is_new: false,
            by_code: String::new(),
        }
    }
}

/// Answers with the empty form.
pub async fn form(
    State(app): State<App>,
    Visiting(visit): Visiting,
    query: Query,
) -> Result<Response, WebError> {
    let view = SignInPage::new(&app, &TypedForm::new(), &[], query.text(NEXT));
    page(&SignInPage {
        is_new: manage::is_empty(&app).await?,
        by_code: match visit.device {
            Some(_) => format!("/bench/who?next={}", encode(local_path(query.text(NEXT)))),
            None => String::new(),
        },
        ..view
    })
}

/// Begins a session, or gives the form back.
pub async fn enter(
    State(app): State<App>,
    Visiting(visit): Visiting,
    headers: HeaderMap,
    form: Typed,
) -> Result<Response, WebError> {
    let over_tls = app.settings.over_tls;
    let before = cookie_value(&headers, cookie_name(over_tls));
    let done = async { sign_in::sign_in(&app, &form.read()?, &visit, before.as_deref()).await };
    let next = form.text(NEXT).to_owned();
    match done.await {
        Ok(with) => Ok(entered(over_tls, see_other(local_path(&next)), &with)),
        Err(error) => {
            let (status, tried) = Tried::of(form.0, error)?;
            let mut view = SignInPage::new(&app, &tried.typed, &tried.faults, &next);
            view.refusals = tried.refusals;
            page_with(status, &view)
        }
    }
}

/// Ends the session of this browser.
pub async fn leave(
    State(app): State<App>,
    SignedIn(person): SignedIn,
) -> Result<Response, WebError> {
    Ok(gone(&app, sign_in::sign_out(&app, &person).await))
}

/// Ends every session of this account.
pub async fn leave_everywhere(
    State(app): State<App>,
    SignedIn(person): SignedIn,
) -> Result<Response, WebError> {
    Ok(gone(
        &app,
        sign_in::sign_out_everywhere(&app, &person).await,
    ))
}

/// The browser forgets the session in either case, also where the database could not.
fn gone(app: &App, done: Result<(), AppError>) -> Response {
    let answer = match done {
        Ok(()) => see_other("/sign-in"),
        Err(error) => WebError::NotEnded(error).into_response(),
    };
    left(app.settings.over_tls, answer)
}
