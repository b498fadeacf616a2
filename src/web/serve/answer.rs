//! An answer of HTTP/2, in pieces that are watched. Its bytes are held until the other side opens its window for them,
//! and whether they are read cannot be told from what the connection writes: it answers pings too.

use super::crowd::{Guest, Unread};
use axum::body::{Body, Bytes, HttpBody};
use http_body::{Frame, SizeHint};
use std::pin::Pin;
use std::sync::Arc;
use std::task::{Context, Poll, ready};

/// So much is handed out at once: a frame of the size that everybody takes.
pub const PIECE: usize = 16 * 1024;

/// The body of an answer.
#[derive(Debug)]
pub struct AnswerInPieces {
    inner: Body,
    rest: Bytes,
    guest: Arc<Guest>,
    /// What was handed out last is taken when the next is asked for.
    unread: Option<Unread>,
}

impl AnswerInPieces {
    /// Watches this body from now on.
    pub fn new(inner: Body, guest: &Arc<Guest>) -> AnswerInPieces {
        AnswerInPieces {
            inner,
            rest: Bytes::new(),
            unread: Some(guest.hand_out()),
            guest: guest.clone(),
        }
    }

    fn hand_out(&mut self) -> Bytes {
        let whole = self.rest.len();
        // The last byte goes alone: what comes with the end of an answer is not asked about any more.
        let piece = match whole <= PIECE && self.inner.is_end_stream() {
            true => (whole - 1).max(1),
            false => whole.min(PIECE),
        };
        self.unread = Some(self.guest.hand_out());
        self.rest.split_to(piece)
    }
}

impl HttpBody for AnswerInPieces {
    type Data = Bytes;
    type Error = axum::Error;

    fn poll_frame(
        mut self: Pin<&mut Self>,
        cx: &mut Context<'_>,
    ) -> Poll<Option<Result<Frame<Bytes>, axum::Error>>> {
        self.unread = None;
        while self.rest.is_empty() {
            let frame = ready!(Pin::new(&mut self.inner).poll_frame(cx));
            match frame.map(|frame| frame.map(Frame::into_data)) {
                Some(Ok(Ok(bytes))) => self.rest = bytes,
                Some(Ok(Err(other))) => return Poll::Ready(Some(Ok(other))),
                Some(Err(why)) => return Poll::Ready(Some(Err(why))),
                None => return Poll::Ready(None),
            }
        }
        Poll::Ready(Some(Ok(Frame::data(self.hand_out()))))
    }

    fn is_end_stream(&self) -> bool {
        self.rest.is_empty() && self.inner.is_end_stream()
    }

    fn size_hint(&self) -> SizeHint {
        self.inner.size_hint() + SizeHint::with_exact(self.rest.len() as u64)
    }
}

#[cfg(test)]
mod tests {
    use super::super::crowd::{Caps, Crowd, STALLED, Ticket};
    use super::*;
    use std::future::poll_fn;
    use std::time::Duration;
    use tokio::time::{Instant, sleep};

    fn connected() -> Ticket {
        let caps = Caps {
            all: 9,
            per_address: None,
        };
        let ticket = Crowd::new(caps).enter([127, 0, 0, 1].into(), true);
        let ticket = ticket.unwrap();
        drop(ticket.0.ask());
        ticket
    }

    async fn next(body: &mut AnswerInPieces) -> Option<Bytes> {
        let frame = poll_fn(|cx| Pin::new(&mut *body).poll_frame(cx)).await?;
        Some(frame.unwrap().into_data().unwrap())
    }

    #[tokio::test(start_paused = true)]
    async fn s2_an_answer_comes_whole_in_pieces_and_its_last_byte_alone() {
        let ticket = connected();
        for length in [0, 1, 2, PIECE, PIECE + 1, 5 * PIECE] {
            let bytes: Vec<u8> = (0..length).map(|place| (place % 251) as u8).collect();
            let mut body = AnswerInPieces::new(Body::from(bytes.clone()), &ticket.0);
            let (mut whole, mut last) = (Vec::new(), 0);
            assert_eq!(body.is_end_stream(), length == 0);
            while !body.is_end_stream() {
                let left = body.size_hint().exact();
                assert_eq!(left, Some((length - whole.len()) as u64));
                let piece = next(&mut body).await.unwrap();
                assert!((1..=PIECE).contains(&piece.len()));
                last = piece.len();
                whole.extend(piece);
            }
            assert_eq!(whole, bytes);
            assert_eq!(last, length.min(1));
        }
    }

    #[tokio::test(start_paused = true)]
    async fn s2_a_connection_whose_answers_stand_still_is_over_whatever_it_writes() {
        let ticket = connected();
        let mut body = AnswerInPieces::new(Body::from(vec![b'x'; 3 * PIECE]), &ticket.0);
        next(&mut body).await.unwrap();
        for _ in 0..19 {
            sleep(Duration::from_secs(1)).await;
            ticket.0.has_written();
        }
        assert!(ticket.0.ends().unwrap() > Instant::now());
        // Somebody who takes a piece now and then is read to the end.
        next(&mut body).await.unwrap();
        let began = Instant::now();
        ticket.0.has_written();
        assert_eq!(ticket.0.ends(), Some(began + STALLED));
        // The same while another request is thought about.
        let under_way = ticket.0.ask();
        assert_eq!(ticket.0.ends(), Some(began + STALLED));
        drop(body);
        assert_eq!(ticket.0.ends(), None, "nothing is unread");
        drop(under_way);
        assert!(ticket.0.ends() > Some(began + STALLED));
    }
}
