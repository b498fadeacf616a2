//! What of a request's body nobody wanted is read all the same, within bounds: a browser that is still sending hears
//! no answer, and shows a broken connection where our page says what was wrong.

use axum::body::{Body, Bytes, HttpBody};
use axum::extract::Request;
use axum::http::request::Parts;
use axum::middleware::Next;
use axum::response::Response;
use http_body::{Frame, SizeHint};
use std::future::poll_fn;
use std::pin::Pin;
use std::sync::{Arc, Mutex, PoisonError};
use std::task::{Context, Poll};
use std::time::Duration;

/// As much as somebody may send by mistake: a scan of both jaws, say.
const DRAINED_BYTES: usize = 256 * 1024 * 1024;
/// And for as long as that takes on an office's network.
const DRAINED_FOR: Duration = Duration::from_secs(20);

/// A body that its reader may let go of before its end.
#[derive(Clone)]
struct Shared(Arc<Mutex<Body>>);

impl HttpBody for Shared {
    type Data = Bytes;
    type Error = axum::Error;

    fn poll_frame(
        self: Pin<&mut Self>,
        cx: &mut Context<'_>,
    ) -> Poll<Option<Result<Frame<Bytes>, axum::Error>>> {
        let mut body = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        Pin::new(&mut *body).poll_frame(cx)
    }

    fn is_end_stream(&self) -> bool {
        let body = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        body.is_end_stream()
    }

    fn size_hint(&self) -> SizeHint {
        let body = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        body.size_hint()
    }
}

/// Answers when the request has been read to its end, or to where nobody sends so much by mistake.
pub async fn read_to_the_end(request: Request, next: Next) -> Response {
    let (head, body): (Parts, Body) = request.into_parts();
    if body.is_end_stream() {
        return next.run(Request::from_parts(head, body)).await;
    }
    let body = Shared(Arc::new(Mutex::new(body)));
    let for_handler = Body::new(body.clone());
    let answer = next.run(Request::from_parts(head, for_handler)).await;
    // Whoever is slower than that is a broken connection, which ends by itself.
    let _unread = tokio::time::timeout(DRAINED_FOR, drain(body)).await;
    answer
}

async fn drain(mut body: Shared) {
    let mut left = DRAINED_BYTES;
    while !body.is_end_stream() {
        let frame = poll_fn(|cx| Pin::new(&mut body).poll_frame(cx)).await;
        let Some(Ok(frame)) = frame else { return };
        let length = frame.data_ref().map_or(0, Bytes::len);
        match left.checked_sub(length) {
            Some(rest) => left = rest,
            None => return,
        }
    }
}
