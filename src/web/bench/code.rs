//! Coming in by a code on a device of the lab, and going on with the password from there.

use crate::app::bench_code::{self, ByCodeForm, NOT_ALLOWED};
use crate::app::{App, Person};
use crate::domain::form::Proof;
use crate::domain::values::ids::AccountId;
use crate::web::client::Visiting;
use crate::web::cookies::{cookie_name, cookie_value, entered};
use crate::web::error::WebError;
use crate::web::extract::{Query, SignedIn, Typed, encode};
use crate::web::field::FieldView;
use crate::web::frame::{Frame, page, page_with, see_other};
use crate::web::guard::local_path;
use crate::web::keys::NEXT;
use crate::web::tried::Tried;
use askama::Template;
use axum::extract::State;
use axum::http::HeaderMap;
use axum::response::Response;

/// Who stands at the bench: the people of the house, and the code.
#[derive(Template)]
#[template(path = "bench_who.html")]
pub struct WhoPage {
    pub frame: Frame,
    /// What the lab calls the device; empty where codes are not taken on it.
    pub device: String,
    pub refusals: Vec<String>,
    /// What is wrong with the code.
    pub messages: Vec<String>,
    pub people: Vec<(AccountId, String)>,
    pub next: String,
}

impl WhoPage {
    /// Where to go afterwards, as it stands in an address.
    fn next_encoded(&self) -> String {
        encode(&self.next)
    }
}

async fn who_page(
    app: &App,
    visit: &Visiting,
    tried: Tried,
    next: &str,
) -> Result<WhoPage, WebError> {
    let mut frame = Frame::bare("Who is at the bench?");
    frame.notice.clone_from(&app.settings.notice);
    let at = bench_code::who(app, &visit.0).await?;
    let mut refusals = tried.refusals;
    if at.is_none() && refusals.is_empty() {
        refusals.push(NOT_ALLOWED.to_owned());
    }
    let (device, people) = match at {
        Some(at) => (at.device.name, at.people),
        None => (String::new(), Vec::new()),
    };
    Ok(WhoPage {
        frame,
        device,
        refusals,
        messages: tried.faults.into_iter().map(|one| one.message).collect(),
        people,
        next: match next {
            "" => "/bench".to_owned(),
            next => local_path(next).to_owned(),
        },
    })
}

/// Asks who is at the bench.
pub async fn who(
    State(app): State<App>,
    visit: Visiting,
    query: Query,
) -> Result<Response, WebError> {
    page(&who_page(&app, &visit, Tried::default(), query.text(NEXT)).await?)
}

/// Where to go on.
fn next_of(form: &Typed) -> String {
    match form.text(NEXT) {
        "" => "/bench".to_owned(),
        next => local_path(next).to_owned(),
    }
}

/// Begins a session by a code, or says why not.
pub async fn enter_by_code(
    State(app): State<App>,
    visit: Visiting,
    headers: HeaderMap,
    form: Typed,
) -> Result<Response, WebError> {
    let before = cookie_value(&headers, cookie_name(app.settings.over_tls));
    let done = async {
        let command: ByCodeForm = form.read()?;
        bench_code::enter(&app, &command, &visit.0, before.as_deref()).await
    };
    let (done, next) = (done.await, next_of(&form));
    let error = match done {
        Ok(with) => return Ok(entered(app.settings.over_tls, see_other(&next), &with)),
        Err(error) => error,
    };
    let (status, tried) = Tried::of(form.0, error)?;
    page_with(status, &who_page(&app, &visit, tried, &next).await?)
}

/// Asks whoever came by a code for the password.
#[derive(Template)]
#[template(path = "bench_password.html")]
pub struct PasswordPage {
    pub frame: Frame,
    pub refusals: Vec<String>,
    pub field: FieldView,
    pub next: String,
}

fn password_page(app: &App, person: &Person, tried: &Tried, next: &str) -> PasswordPage {
    let field = FieldView::under(Proof::password(), "").needed();
    PasswordPage {
        frame: Frame::new(app, person, "Your password", ""),
        refusals: tried.refusals.clone(),
        field: field.filled(&tried.typed, &tried.faults),
        next: local_path(next).to_owned(),
    }
}

/// Asks for the password of whoever is here by a code; anybody else is led on.
pub async fn password_form(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    query: Query,
) -> Result<Response, WebError> {
    let next = query.text(NEXT);
    if person.by_code.is_none() {
        return Ok(see_other(local_path(next)));
    }
    page(&password_page(&app, &person, &Tried::default(), next))
}

/// Takes the password, and leads on to what was wanted.
pub async fn go_on_with_password(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    form: Typed,
) -> Result<Response, WebError> {
    let next = local_path(form.text(NEXT)).to_owned();
    if person.by_code.is_none() {
        return Ok(see_other(&next));
    }
    let done = async { bench_code::with_password(&app, &person, &form.read()?).await };
    let error = match done.await {
        Ok(with) => return Ok(entered(app.settings.over_tls, see_other(&next), &with)),
        Err(error) => error,
    };
    let (status, tried) = Tried::of(form.0, error)?;
    page_with(status, &password_page(&app, &person, &tried, &next))
}
