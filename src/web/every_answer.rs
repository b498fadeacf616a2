//! What every answer gets, whichever route gives it: how long it may take, how long somebody has to wait, the way back,
//! and a page in place of bare text.

use super::error::{ForMachines, WebError};
use super::error_page::with_way_back;
use super::guard::came_from;
use crate::app::AppError;
use axum::extract::Request;
use axum::http::uri::Authority;
use axum::http::{HeaderValue, Method, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use std::time::Duration;

/// Whoever has to wait is told for how long: a minute, where nothing else is said.
pub async fn when_again(request: Request, next: Next) -> Response {
    let mut response = next.run(request).await;
    let waits = [
        StatusCode::TOO_MANY_REQUESTS,
        StatusCode::SERVICE_UNAVAILABLE,
    ];
    if waits.contains(&response.status()) {
        let after = response.headers_mut().entry(header::RETRY_AFTER);
        after.or_insert(HeaderValue::from_static("60"));
    }
    response
}

/// A request that takes half a minute is a broken connection, or a database that somebody holds up. A scan has the time
/// that its bytes take on a slow line.
pub async fn in_time(request: Request, next: Next) -> Response {
    const MOST: Duration = Duration::from_secs(30);
    const OF_A_SCAN: Duration = Duration::from_secs(300);
    let is_scan = request.method() == Method::POST && request.uri().path().ends_with("/scans");
    let most = if is_scan { OF_A_SCAN } else { MOST };
    match tokio::time::timeout(most, next.run(request)).await {
        Ok(response) => response,
        Err(_) => WebError::TooSlow.into_response(),
    }
}

/// Answers that axum itself writes (a path with broken percent signs, say) are turned into our page.
pub async fn plain_bodies(request: Request, next: Next) -> Response {
    let response = next.run(request).await;
    let is_ours = response.extensions().get::<ForMachines>().is_some()
        || response
            .headers()
            .get(header::CONTENT_TYPE)
            .is_some_and(|kind| kind != "text/plain; charset=utf-8");
    if (response.status().is_client_error() || response.status().is_server_error()) && !is_ours {
        return WebError::request(
            response.status(),
            "The request is not one that this application takes.",
        )
        .into_response();
    }
    response
}

/// Error pages lead back to the page that the request came from.
pub async fn way_back(request: Request, next: Next) -> Response {
    let authority = request.uri().authority().map(Authority::as_str);
    let from = came_from(request.headers(), authority);
    let response = next.run(request).await;
    match from {
        Some(from) => with_way_back(response, &from),
        None => response,
    }
}

/// What is answered where a handler panicked.
pub fn panicked(_: Box<dyn std::any::Any + Send>) -> Response {
    WebError::App(AppError::Inner("a handler panicked".to_owned())).into_response()
}
