//! A connection that is watched: it ends when nothing is asked on it, or when what was asked for is not read.

use super::answer::AnswerInPieces;
use super::crowd::{Crowd, Guest, STALLED, Ticket};
use super::no_date::say_so;
use crate::app::Outside;
use axum::body::Body;
use axum::http::{Request, Response, Version};
use axum_server::accept::Accept;
use std::future::{Ready, ready};
use std::io;
use std::pin::Pin;
use std::sync::Arc;
use std::task::{Context, Poll, ready as ready_or_wait};
use tokio::io::{AsyncRead, AsyncWrite, ReadBuf};
use tokio::net::TcpStream;
use tokio::time::{Instant, Sleep, sleep};
use tower::Service;

use crate::web::client::Proxies;

/// Lets connections in, each with its place in the crowd.
#[derive(Debug, Clone)]
pub struct Door {
    pub crowd: Arc<Crowd>,
    pub proxies: Proxies,
    pub outside: Outside,
}

impl<S> Accept<TcpStream, S> for Door {
    type Stream = Watched<TcpStream>;
    type Service = Heard<S>;
    type Future = Ready<io::Result<(Watched<TcpStream>, Heard<S>)>>;

    fn accept(&self, stream: TcpStream, service: S) -> Self::Future {
        ready(self.let_in(stream, service))
    }
}

impl Door {
    fn let_in<S>(
        &self,
        stream: TcpStream,
        service: S,
    ) -> io::Result<(Watched<TcpStream>, Heard<S>)> {
        let address = stream.peer_addr()?.ip();
        stream.set_nodelay(true)?;
        let ticket = self.crowd.enter(address, !self.proxies.holds(address));
        let ticket = ticket.ok_or_else(|| io::Error::other("everybody here is at work"))?;
        if self.outside.http_date().is_none() {
            tokio::spawn(say_so(stream, ticket));
            return Err(io::Error::other("no answer can be dated"));
        }
        let guest = ticket.0.clone();
        Ok((
            Watched::new(stream, ticket),
            Heard {
                inner: service,
                guest,
            },
        ))
    }
}

/// The bytes of a connection.
#[derive(Debug)]
pub struct Watched<I> {
    io: I,
    ticket: Ticket,
    reading: Pin<Box<Sleep>>,
    writing: Pin<Box<Sleep>>,
    /// Since when no byte of the answer has been taken.
    stalled: Option<Instant>,
}

impl<I> Watched<I> {
    /// Watches this connection from now on.
    pub fn new(io: I, ticket: Ticket) -> Watched<I> {
        Watched {
            io,
            ticket,
            reading: Box::pin(sleep(STALLED)),
            writing: Box::pin(sleep(STALLED)),
            stalled: None,
        }
    }

    /// Whether the connection is over, or wakes the reader when it will be.
    fn poll_over(&mut self, cx: &mut Context<'_>) -> Poll<io::Error> {
        let guest = &self.ticket.0;
        guest.wake_when_over(cx.waker());
        if guest.is_sent_away() {
            return Poll::Ready(io::ErrorKind::ConnectionAborted.into());
        }
        let Some(ends) = guest.ends() else {
            return Poll::Pending;
        };
        ready_or_wait!(poll_until(&mut self.reading, ends, cx));
        Poll::Ready(io::ErrorKind::TimedOut.into())
    }

    /// What writing came to, unless it has stood still for too long.
    fn written(
        &mut self,
        cx: &mut Context<'_>,
        done: Poll<io::Result<usize>>,
    ) -> Poll<io::Result<usize>> {
        if done.is_ready() {
            self.stalled = None;
            self.ticket.0.has_written();
            return done;
        }
        let since = *self.stalled.get_or_insert_with(Instant::now);
        let ends = (since + STALLED).min(self.ticket.0.answer_ends());
        ready_or_wait!(poll_until(&mut self.writing, ends, cx));
        Poll::Ready(Err(io::ErrorKind::TimedOut.into()))
    }
}

fn poll_until(timer: &mut Pin<Box<Sleep>>, ends: Instant, cx: &mut Context<'_>) -> Poll<()> {
    if timer.deadline() != ends {
        timer.as_mut().reset(ends);
    }
    timer.as_mut().poll(cx)
}

impl<I: AsyncRead + Unpin> AsyncRead for Watched<I> {
    fn poll_read(
        mut self: Pin<&mut Self>,
        cx: &mut Context<'_>,
        into: &mut ReadBuf<'_>,
    ) -> Poll<io::Result<()>> {
        // First, so that a byte now and then keeps nothing open.
        if let Poll::Ready(over) = self.poll_over(cx) {
            return Poll::Ready(Err(over));
        }
        Pin::new(&mut self.io).poll_read(cx, into)
    }
}

impl<I: AsyncWrite + Unpin> AsyncWrite for Watched<I> {
    fn poll_write(
        mut self: Pin<&mut Self>,
        cx: &mut Context<'_>,
        bytes: &[u8],
    ) -> Poll<io::Result<usize>> {
        let done = Pin::new(&mut self.io).poll_write(cx, bytes);
        self.written(cx, done)
    }

    fn poll_write_vectored(
        mut self: Pin<&mut Self>,
        cx: &mut Context<'_>,
        parts: &[io::IoSlice<'_>],
    ) -> Poll<io::Result<usize>> {
        let done = Pin::new(&mut self.io).poll_write_vectored(cx, parts);
        self.written(cx, done)
    }

    fn is_write_vectored(&self) -> bool {
        self.io.is_write_vectored()
    }

    fn poll_flush(mut self: Pin<&mut Self>, cx: &mut Context<'_>) -> Poll<io::Result<()>> {
        Pin::new(&mut self.io).poll_flush(cx)
    }

    fn poll_shutdown(mut self: Pin<&mut Self>, cx: &mut Context<'_>) -> Poll<io::Result<()>> {
        Pin::new(&mut self.io).poll_shutdown(cx)
    }
}

/// The requests of a connection: each knows on which one it came.
#[derive(Debug, Clone)]
pub struct Heard<S> {
    inner: S,
    guest: Arc<Guest>,
}

impl<S, B> Service<Request<B>> for Heard<S>
where
    S: Service<Request<B>, Response = Response<Body>>,
    S::Future: Send + 'static,
{
    type Response = S::Response;
    type Error = S::Error;
    type Future = Pin<Box<dyn Future<Output = Result<S::Response, S::Error>> + Send>>;

    fn poll_ready(&mut self, cx: &mut Context<'_>) -> Poll<Result<(), S::Error>> {
        self.inner.poll_ready(cx)
    }

    fn call(&mut self, mut request: Request<B>) -> Self::Future {
        let under_way = self.guest.ask();
        let guest = self.guest.clone();
        let is_watched = request.version() == Version::HTTP_2;
        request.extensions_mut().insert(guest.clone());
        let answer = self.inner.call(request);
        Box::pin(async move {
            let answer = answer.await;
            let answer = match is_watched {
                true => answer
                    .map(|whole| whole.map(|body| Body::new(AnswerInPieces::new(body, &guest)))),
                false => answer,
            };
            drop(under_way);
            answer
        })
    }
}

#[cfg(test)]
mod tests {
    use super::super::crowd::{Caps, FIRST, KEPT, READING};
    use super::*;
    use std::time::Duration;
    use tokio::io::{AsyncReadExt, AsyncWriteExt, DuplexStream, duplex};

    const SECOND: Duration = Duration::from_secs(1);

    /// The other end of a connection, and the connection.
    fn connected() -> (DuplexStream, Watched<DuplexStream>) {
        let caps = Caps {
            all: 9,
            per_address: None,
        };
        let ticket = Crowd::new(caps).enter([127, 0, 0, 1].into(), true);
        let (far, near) = duplex(1024);
        (far, Watched::new(near, ticket.unwrap()))
    }

    /// How long it takes until reading ends, with a byte coming every second.
    async fn ends_after(mut near: Watched<DuplexStream>, mut far: DuplexStream) -> Duration {
        let began = Instant::now();
        let trickle = tokio::spawn(async move {
            while far.write_all(b"x").await.is_ok() {
                sleep(SECOND).await;
            }
        });
        let mut one = [0; 1];
        while near.read(&mut one).await.is_ok_and(|count| count > 0) {}
        drop(near);
        trickle.await.unwrap();
        began.elapsed()
    }

    #[tokio::test(start_paused = true)]
    async fn s2_whoever_sends_a_byte_now_and_then_is_gone_after_a_while() {
        let (far, near) = connected();
        let took = ends_after(near, far).await;
        assert!((FIRST..FIRST + 2 * SECOND).contains(&took), "{took:?}");
        // The same after an answer, for the next request.
        let (far, near) = connected();
        drop(near.ticket.0.ask());
        let took = ends_after(near, far).await;
        assert!((KEPT..KEPT + 2 * SECOND).contains(&took), "{took:?}");
    }

    /// The same where each byte is answered by one, as pings of HTTP/2 are.
    async fn ends_with_pings(mut near: Watched<DuplexStream>, far: DuplexStream) -> Duration {
        let began = Instant::now();
        let (mut reads, mut writes) = tokio::io::split(far);
        let pings = tokio::spawn(async move {
            while writes.write_all(b"x").await.is_ok() {
                sleep(SECOND).await;
            }
        });
        let pongs = tokio::spawn(async move {
            while reads.read(&mut [0; 64]).await.is_ok_and(|count| count > 0) {}
        });
        let mut one = [0; 1];
        while near.read(&mut one).await.is_ok_and(|count| count > 0) {
            near.write_all(&one).await.unwrap();
        }
        let took = began.elapsed();
        drop(near);
        pings.await.unwrap();
        pongs.await.unwrap();
        took
    }

    #[tokio::test(start_paused = true)]
    async fn s2_whoever_sends_pings_alone_is_gone_after_a_while() {
        let (far, near) = connected();
        let took = ends_with_pings(near, far).await;
        assert!((FIRST..FIRST + 2 * SECOND).contains(&took), "{took:?}");
        let (far, near) = connected();
        drop(near.ticket.0.ask());
        let took = ends_with_pings(near, far).await;
        assert!(took < READING + 2 * SECOND, "{took:?}");
    }

    #[tokio::test(start_paused = true)]
    async fn s2_a_connection_whose_answer_is_thought_about_is_not_ended() {
        let (_far, mut near) = connected();
        let under_way = near.ticket.0.ask();
        let mut one = [0; 1];
        let waited = tokio::time::timeout(10 * KEPT, near.read(&mut one)).await;
        assert!(waited.is_err(), "still open");
        drop(under_way);
        let ended = tokio::time::timeout(2 * KEPT, near.read(&mut one)).await;
        assert_eq!(ended.unwrap().unwrap_err().kind(), io::ErrorKind::TimedOut);
    }

    #[tokio::test(start_paused = true)]
    async fn s2_whoever_never_reads_the_answer_is_gone_and_a_slow_reader_gets_it() {
        let (_far, mut near) = connected();
        drop(near.ticket.0.ask());
        let began = Instant::now();
        let failed = near.write_all(&[b'x'; 9_000]).await.unwrap_err();
        assert_eq!(failed.kind(), io::ErrorKind::TimedOut);
        assert!(began.elapsed() < STALLED + 2 * SECOND);

        let (mut far, mut near) = connected();
        drop(near.ticket.0.ask());
        let reader = tokio::spawn(async move {
            let (mut some, mut whole) = ([0; 512], 0);
            while whole < 9_000 {
                sleep(10 * SECOND).await;
                whole += far.read(&mut some).await.unwrap();
            }
            whole
        });
        near.write_all(&[b'x'; 9_000]).await.unwrap();
        drop(near);
        assert_eq!(reader.await.unwrap(), 9_000);
    }

    #[tokio::test]
    async fn where_the_clock_shows_a_year_without_a_date_it_is_said() {
        let listener = tokio::net::TcpListener::bind("127.0.0.1:0").await.unwrap();
        let address = listener.local_addr().unwrap();
        let year_10000_ms = 253_402_300_800_000;
        for (now_ms, is_open) in [(0, true), (year_10000_ms, false)] {
            let caps = Caps {
                all: 9,
                per_address: None,
            };
            let door = Door {
                crowd: Crowd::new(caps),
                proxies: Proxies::default(),
                outside: Outside::fixed(now_ms, 1),
            };
            let mut visitor = TcpStream::connect(address).await.unwrap();
            let (stream, _) = listener.accept().await.unwrap();
            assert_eq!(door.let_in(stream, ()).is_ok(), is_open);
            if !is_open {
                visitor.write_all(b"GET / HTTP/1.1\r\n\r\n").await.unwrap();
                let mut said = String::new();
                visitor.read_to_string(&mut said).await.unwrap();
                assert!(said.starts_with("HTTP/1.1 503"), "{said}");
                assert!(said.contains("The clock of this computer"), "{said}");
            }
        }
    }

    #[tokio::test(start_paused = true)]
    async fn s2_who_is_sent_away_is_told_at_once() {
        let caps = Caps {
            all: 1,
            per_address: None,
        };
        let crowd = Crowd::new(caps);
        let ticket = crowd.enter([127, 0, 0, 1].into(), true).unwrap();
        let (_far, near) = duplex(64);
        let mut near = Watched::new(near, ticket);
        let reading = tokio::spawn(async move { near.read(&mut [0; 1]).await });
        tokio::task::yield_now().await;
        let began = Instant::now();
        let _newest = crowd.enter([127, 0, 0, 2].into(), true).unwrap();
        assert!(reading.await.unwrap().is_err());
        assert!(began.elapsed() < SECOND);
    }
}
