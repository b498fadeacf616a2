//! The days of a house for a calendar program: its address on one's own account page, and what stands under it.

use super::account::{Beside, account_page};
use super::client::Visiting;
use super::done::Done;
use super::error::WebError;
use super::extract::{At, SignedIn, Typed};
use super::feed_part::FeedPart;
use super::frame::{ics, page_with, see_other};
use super::tried::Tried;
use crate::app::{App, AppError, feed};
use axum::extract::State;
use axum::http::{HeaderValue, StatusCode, header};
use axum::response::Response;

/// Makes an address, or another in its place, and shows it this once.
pub async fn make(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    form: Typed,
) -> Result<Response, WebError> {
    let done = async { feed::make(&app, &person, &form.read()?).await };
    let (status, address, tried) = match done.await {
        Ok(address) => (StatusCode::OK.into(), Some(address), Tried::default()),
        Err(error) => {
            let (status, tried) = Tried::of(form.0, error)?;
            (status, None, tried)
        }
    };
    let part = FeedPart::of(&app, &person, address, &tried).await?;
    let beside = Beside::of(&app, &person, part).await?;
    let shown = account_page(&app, &person, &Tried::default(), beside);
    page_with(status, &shown)
}

/// Ends one's own address.
pub async fn end(State(app): State<App>, SignedIn(person): SignedIn) -> Result<Response, WebError> {
    feed::end(&app, &person).await?;
    Ok(see_other(&Done::FeedEnded.at("/account")))
}

/// Answers a calendar program. The address is its key: nobody between keeps the answer, and no page that it leads to
/// hears where it came from.
pub async fn file(
    State(app): State<App>,
    Visiting(visit): Visiting,
    At(name): At<String>,
) -> Result<Response, WebError> {
    let secret = name.strip_suffix(".ics").ok_or(AppError::NotFound)?;
    let text = feed::read(&app, secret, &visit).await;
    let text = text.map_err(WebError::by_address)?;
    let mut answer = ics("days.ics", text.as_ref().clone());
    let headers = answer.headers_mut();
    let fixed = HeaderValue::from_static;
    headers.insert(header::CACHE_CONTROL, fixed("private, no-cache"));
    headers.insert(header::REFERRER_POLICY, fixed("no-referrer"));
    Ok(answer)
}
