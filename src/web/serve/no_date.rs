//! What is said where the clock shows a year that HTTP cannot write: the library, which keeps the date of its answers at
//! hand whether they carry it or not, falls over before anything of ours is asked. A connection that was kept since the clock
//! was right falls over with it, and ends without a byte: a browser then asks again on a new one, a form too, and is told
//! (tried with Chromium).

use super::crowd::Ticket;
use std::io;
use std::time::Duration;
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::TcpStream;

const WORDS: &str =
    "The clock of this computer shows a year that no answer can be dated with: set it right.\n";
/// For the head of a request to come, and for the answer to be taken.
const MOST: Duration = Duration::from_secs(5);

/// Answers whatever is asked first by hand. Where TLS is spoken it is no answer, and the log says it.
pub async fn say_so(stream: TcpStream, ticket: Ticket) {
    tracing::error!("{}", WORDS.trim_end());
    // Who takes longer has gone, or is not to be waited for.
    let _unheard = tokio::time::timeout(MOST, answer(stream)).await;
    drop(ticket);
}

async fn answer(mut stream: TcpStream) -> io::Result<()> {
    let mut asked = [0; 4096];
    if stream.read(&mut asked).await? == 0 {
        return Ok(());
    }
    let length = WORDS.len();
    let whole = format!(
        "HTTP/1.1 503 Service Unavailable\r\nContent-Type: text/plain; charset=utf-8\r\nContent-Length: {length}\r\n\
         Connection: close\r\n\r\n{WORDS}"
    );
    stream.write_all(whole.as_bytes()).await?;
    stream.shutdown().await?;
    // Closed before all is read that was sent, it would be reset, and the answer with it.
    while stream.read(&mut asked).await? > 0 {}
    Ok(())
}
