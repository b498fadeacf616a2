//! Serves the application on a listener until it is told to stop.

use super::answer::PIECE;
use super::crowd::{Caps, Crowd};
use super::watched::Door;
use crate::app::Outside;
use crate::web::client::Proxies;
use axum::Router;
use axum_server::tls_rustls::{RustlsAcceptor, RustlsConfig};
use axum_server::{Handle, Server};
use std::io;
use std::net::{SocketAddr, TcpListener};
use std::os::unix::fs::MetadataExt;
use std::path::{Path, PathBuf};
use std::time::Duration;

/// The files of certificate and key are looked at this often.
const POLL_INTERVAL: Duration = Duration::from_secs(5);

/// How many requests a connection of HTTP/2 may have open: a page has its style sheet, some scripts, and its pictures,
/// which wait for each other.
const STREAMS: u32 = 32;
/// How much of what a connection of HTTP/2 sends may wait to be read: 10 MB in a second from 25 ms away.
const RECEIVED: u32 = 256 * 1024;

/// The files of a certificate.
#[derive(Debug, Clone)]
pub struct Tls {
    pub certificate: PathBuf,
    pub key: PathBuf,
}

/// How it is listened.
#[derive(Debug, Clone)]
pub struct Listening {
    pub caps: Caps,
    pub proxies: Proxies,
    pub outside: Outside,
    pub tls: Option<Tls>,
}

/// Serves until `handle` says to stop.
pub async fn serve(
    listener: TcpListener,
    router: Router,
    how: Listening,
    handle: Handle<SocketAddr>,
) -> io::Result<()> {
    let door = Door {
        crowd: Crowd::new(how.caps),
        proxies: how.proxies,
        outside: how.outside,
    };
    let service = router.into_make_service_with_connect_info::<SocketAddr>();
    let mut server: Server<SocketAddr> = axum_server::from_tcp(listener)?.handle(handle);
    // The application dates its answers, by its own clock.
    let builder = server.http_builder();
    builder.http1().auto_date_header(false);
    builder
        .http2()
        .auto_date_header(false)
        .max_concurrent_streams(STREAMS)
        .initial_stream_window_size(RECEIVED)
        .initial_connection_window_size(RECEIVED)
        .max_send_buf_size(PIECE);
    let Some(tls) = how.tls else {
        return server.acceptor(door).serve(service).await;
    };
    let config = RustlsConfig::from_pem_file(&tls.certificate, &tls.key).await?;
    let follows = tokio::spawn(follow(config.clone(), tls));
    let acceptor = RustlsAcceptor::new(config).acceptor(door);
    let done = server.acceptor(acceptor).serve(service).await;
    follows.abort();
    done
}

/// What tells a file from the one that was there before, and from the same one written over.
fn stamp(path: &Path) -> Option<(u64, i64, i64, u64)> {
    let file = std::fs::metadata(path).ok()?;
    Some((file.ino(), file.mtime(), file.mtime_nsec(), file.len()))
}

/// Reads certificate and key again when one of their files has changed. Two that do not fit, as while they are being
/// written one after the other, change nothing: the certificate of before stays.
async fn follow(config: RustlsConfig, tls: Tls) {
    let stamps = || (stamp(&tls.certificate), stamp(&tls.key));
    let mut seen = stamps();
    loop {
        tokio::time::sleep(POLL_INTERVAL).await;
        let now = stamps();
        if now == seen {
            continue;
        }
        seen = now;
        match config
            .reload_from_pem_file(&tls.certificate, &tls.key)
            .await
        {
            Ok(()) => tracing::info!("the TLS certificate has changed and is in use"),
            Err(why) => tracing::error!(%why, "the changed TLS certificate or key cannot be used"),
        }
    }
}
