//! What the other side does, told to pages that are open: a stream of events that a script listens to. Pages work
//! without it.

use super::error::WebError;
use super::extract::{Query, SignedIn};
use crate::app::watching::{self, News};
use crate::app::{App, AppError};
use crate::domain::values::ids::CaseNumber;
use askama::Template;
use axum::body::{Body, Bytes, HttpBody};
use axum::extract::State;
use axum::http::{HeaderValue, header};
use axum::response::{IntoResponse, Response};
use http_body::Frame;
use std::pin::Pin;
use std::task::{Context, Poll};
use tokio::sync::mpsc::Receiver;

/// The line of a page that says that something has changed, and of what a script has to listen to.
#[derive(Template)]
#[template(path = "partials/news.html")]
pub struct NewsLine {
    pub watch: String,
    /// The counter of what the page shows.
    pub mark: i64,
}

/// The body of an answer that goes on as long as somebody listens.
struct Stream {
    from: Receiver<News>,
}

/// As the HTML standard writes server-sent events (WHATWG HTML, section 9.2): a block of lines, an empty one behind.
fn event(news: News) -> String {
    match news {
        // After a break the browser asks again in five seconds.
        News::Mark(mark) => format!("retry: 5000\ndata: {mark}\n\n"),
        News::Beat => ":\n\n".to_owned(),
    }
}

impl HttpBody for Stream {
    type Data = Bytes;
    type Error = AppError;

    fn poll_frame(
        mut self: Pin<&mut Self>,
        cx: &mut Context<'_>,
    ) -> Poll<Option<Result<Frame<Bytes>, AppError>>> {
        let news = self.from.poll_recv(cx);
        news.map(|news| news.map(|news| Ok(Frame::data(Bytes::from(event(news))))))
    }
}

/// Answers with a stream of what changes: of the whole agenda, or of the case that is named.
pub async fn stream(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    query: Query,
) -> Result<Response, WebError> {
    let case = match query.text("case") {
        "" => None,
        number => Some(CaseNumber::parse(number).map_err(|_| AppError::NotFound)?),
    };
    let from = watching::watch(&app, &person, case).await?;
    let kind = HeaderValue::from_static("text/event-stream");
    let body = Body::new(Stream { from });
    Ok(([(header::CONTENT_TYPE, kind)], body).into_response())
}
