//! One's own account.

use super::client::browser_words;
use super::cookies::entered;
use super::done::Done;
use super::error::WebError;
use super::extract::{Query, SignedIn, Typed};
use super::feed_part::FeedPart;
use super::field::{FieldView, fields_under, fill};
use super::frame::{self, Frame, page_with, see_other};
use super::tried::Tried;
use crate::app::bench_code::{self, CodeForm};
use crate::app::own_account::{self, PasswordForm};
use crate::app::sign_in::{self, SessionLine};
use crate::app::{App, AppError, Person};
use crate::domain::people::access::Permission;
use askama::Template;
use axum::extract::State;
use axum::response::Response;

/// One of one's own sessions.
pub struct SessionView {
    pub session: String,
    pub since: String,
    pub seen: String,
    pub address: String,
    pub browser: String,
    pub is_here: bool,
}

/// One's own sign-in name and licence, the form for a new password, and where one is signed in.
#[derive(Template)]
#[template(path = "account.html")]
pub struct AccountPage {
    pub frame: Frame,
    pub login: String,
    pub licence: String,
    pub fields: Vec<FieldView>,
    pub refusals: Vec<String>,
    pub sessions: Vec<SessionView>,
    /// The form for a code at the bench; empty for those who have no bench.
    pub code: Vec<FieldView>,
    pub has_code: bool,
    /// The address for a calendar; none for those who read no cases.
    pub feed: Option<FeedPart>,
}

/// The page with the form for a new password as typed, and its messages.
pub fn account_page(app: &App, person: &Person, tried: &Tried, beside: Beside) -> AccountPage {
    let view = |line: &SessionLine| SessionView {
        session: line.secret_hash.clone(),
        since: person.moment(line.began_ms).in_words(),
        seen: person.moment(line.seen_ms).in_words(),
        address: line.address.clone(),
        browser: browser_words(&line.browser),
        is_here: line.secret_hash == person.session,
    };
    let fields = fields_under(PasswordForm::FIELDS, "");
    AccountPage {
        frame: Frame::new(app, person, "My account", "/account"),
        login: person.account.login.clone(),
        licence: person.account.licence.clone(),
        fields: fill(fields, &tried.typed, &tried.faults),
        refusals: tried.refusals.clone(),
        sessions: beside.sessions.iter().map(view).collect(),
        code: code_fields(person, &Tried::default()),
        has_code: beside.has_code,
        feed: beside.feed,
    }
}

/// The fields of a code, apart from those of a new password.
fn code_fields(person: &Person, tried: &Tried) -> Vec<FieldView> {
    if !person.may(Permission::WorkAtBench) {
        return Vec::new();
    }
    let fields = fields_under(CodeForm::FIELDS, "");
    let mut fields = fill(fields, &tried.typed, &tried.faults);
    for field in &mut fields {
        field.scope = "code-".into();
    }
    fields
}

/// What stands on the page beside the form for a new password.
pub struct Beside {
    sessions: Vec<SessionLine>,
    has_code: bool,
    feed: Option<FeedPart>,
}

impl Beside {
    /// As it is stored, with the part about one's address for a calendar.
    pub async fn of(
        app: &App,
        person: &Person,
        feed: Option<FeedPart>,
    ) -> Result<Beside, WebError> {
        Ok(Beside {
            sessions: sign_in::sessions(app, person).await?,
            has_code: bench_code::has_code(app, person).await?,
            feed,
        })
    }
}

/// The page with this tried of the form for a new password.
async fn shown(app: &App, person: &Person, tried: &Tried) -> Result<AccountPage, WebError> {
    let feed = FeedPart::of(app, person, None, &Tried::default()).await?;
    let beside = Beside::of(app, person, feed).await?;
    Ok(account_page(app, person, tried, beside))
}

/// Answers with the account of whoever asks.
pub async fn page(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    query: Query,
) -> Result<Response, WebError> {
    let mut account = shown(&app, &person, &Tried::default()).await?;
    account.frame = account.frame.done(query.text("done"));
    frame::page(&account)
}

/// Changes the password and begins a fresh session in this browser.
pub async fn change_password(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    form: Typed,
) -> Result<Response, WebError> {
    let done = async { own_account::change_password(&app, &person, &form.read()?).await };
    match done.await {
        Ok(with) => {
            let to_account = see_other(&Done::Password.at("/account"));
            Ok(entered(app.settings.over_tls, to_account, &with))
        }
        Err(error) => {
            let (status, tried) = Tried::of(form.0, error)?;
            page_with(status, &shown(&app, &person, &tried).await?)
        }
    }
}

/// Sets one's own code for the bench.
pub async fn set_code(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    form: Typed,
) -> Result<Response, WebError> {
    let done = async { bench_code::set_code(&app, &person, &form.read()?).await };
    let done = done.await;
    answer_of_code(&app, &person, form, done.map(|()| Done::Code)).await
}

/// Takes one's own code away.
pub async fn drop_code(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    form: Typed,
) -> Result<Response, WebError> {
    let done = async { bench_code::drop_code(&app, &person, &form.read()?).await };
    let done = done.await;
    answer_of_code(&app, &person, form, done.map(|()| Done::NoCode)).await
}

async fn answer_of_code(
    app: &App,
    person: &Person,
    form: Typed,
    done: Result<Done, AppError>,
) -> Result<Response, WebError> {
    let error = match done {
        Ok(done) => return Ok(see_other(&done.at("/account"))),
        Err(error) => error,
    };
    let (status, tried) = Tried::of(form.0, error)?;
    let mut view = shown(app, person, &Tried::default()).await?;
    view.refusals.clone_from(&tried.refusals);
    view.code = code_fields(person, &tried);
    page_with(status, &view)
}

/// Ends one of one's own sessions.
pub async fn end_session(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    form: Typed,
) -> Result<Response, WebError> {
    sign_in::end_session(&app, &person, &form.read()?).await?;
    Ok(see_other(&Done::Ended.at("/account")))
}
