//! The days of a house for a calendar program: its address on one's own account page, and what stands under it.

use super::account::{Beside, account_page};
use super::client::Visiting;
use super::error::WebError;
use super::extract::{At, Signed, Typed};
use super::field::{FieldView, fields_under, fill};
use super::frame::{ics, page, page_with, see_other};
use super::tried::Tried;
use crate::app::{App, AppError, Person, feed};
use crate::domain::form::Proof;
use crate::domain::people::access::Permission;
use askama::Template;
use axum::extract::State;
use axum::http::{HeaderValue, header};
use axum::response::Response;

/// The part of the account page about one's own address.
#[derive(Template)]
#[template(path = "partials/feed.html")]
pub struct FeedPart {
    /// Since when there is one.
    pub made: Option<String>,
    /// The address just made, shown once.
    pub address: Option<String>,
    pub refusals: Vec<String>,
    pub fields: Vec<FieldView>,
}

impl FeedPart {
    /// The part with its form as typed; none for those who read no cases.
    pub async fn of(
        app: &App,
        person: &Person,
        address: Option<String>,
        tried: &Tried,
    ) -> Result<Option<FeedPart>, WebError> {
        if !person.may(Permission::ReadCases) {
            return Ok(None);
        }
        let fields = fields_under(Proof::FIELDS, "");
        let mut fields = fill(fields, &tried.typed, &tried.faults);
        for field in &mut fields {
            field.scope = "feed-".into();
        }
        let made = feed::made(app, person).await?;
        Ok(Some(FeedPart {
            made: made.map(|ms| person.moment(ms).to_string()),
            address,
            refusals: tried.refusals.clone(),
            fields,
        }))
    }
}

/// Makes an address, or another in its place, and shows it this once.
pub async fn make(
    State(app): State<App>,
    Signed(person): Signed,
    form: Typed,
) -> Result<Response, WebError> {
    let done = async { feed::make(&app, &person, &form.read()?).await };
    match done.await {
        Ok(address) => {
            let part = FeedPart::of(&app, &person, Some(address), &Tried::default()).await?;
            let beside = Beside::of(&app, &person, part).await?;
            page(&account_page(&app, &person, &Tried::default(), beside))
        }
        Err(error) => {
            let (status, tried) = Tried::of(form.0, error)?;
            let part = FeedPart::of(&app, &person, None, &tried).await?;
            let beside = Beside::of(&app, &person, part).await?;
            let shown = account_page(&app, &person, &Tried::default(), beside);
            page_with(status, &shown)
        }
    }
}

/// Ends one's own address.
pub async fn end(State(app): State<App>, Signed(person): Signed) -> Result<Response, WebError> {
    feed::end(&app, &person).await?;
    Ok(see_other("/account?done=feed_ended"))
}

/// Answers a calendar program. The address is its key: nobody between keeps the answer, and no page that it leads to
/// hears where it came from.
pub async fn file(
    State(app): State<App>,
    Visiting(visit): Visiting,
    At(name): At<String>,
) -> Result<Response, WebError> {
    let secret = name.strip_suffix(".ics").ok_or(AppError::NotFound)?;
    let text = feed::read(&app, secret, &visit).await?;
    let mut answer = ics("days.ics", text.as_ref().clone());
    let headers = answer.headers_mut();
    let fixed = HeaderValue::from_static;
    headers.insert(header::CACHE_CONTROL, fixed("private, no-cache"));
    headers.insert(header::REFERRER_POLICY, fixed("no-referrer"));
    Ok(answer)
}
