//! Under which name this installation is asked. A page elsewhere can make a name of its own lead to this machine, and
//! the browser then takes its scripts for ours: so only the name that the operator gave is answered, and addresses,
//! which nobody can make lead elsewhere.

use super::client::visit;
use super::error::WebError;
use crate::app::security::{Happened, happened};
use axum::extract::{Request, State};
use axum::http::header;
use axum::http::uri::Authority;
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use std::net::{IpAddr, Ipv6Addr};
use std::sync::Arc;

/// The name in the address under which browsers reach this installation.
#[derive(Debug, Clone)]
pub struct OwnName(Arc<str>);

impl OwnName {
    /// Of an address, such as `https://vestibule.office.example:8443`.
    pub fn of(address: &str) -> OwnName {
        let host = address.split_once("://").map_or(address, |(_, host)| host);
        OwnName(without_port(host).to_ascii_lowercase().into())
    }

    /// Whether a request for this host is meant for us.
    fn fits(&self, host: &str) -> bool {
        let name = without_port(host);
        let bare = name.trim_start_matches('[').trim_end_matches(']');
        name.eq_ignore_ascii_case(&self.0)
            || name.eq_ignore_ascii_case("localhost")
            || bare.parse::<IpAddr>().is_ok()
    }
}

/// `[::1]:8080` has colons in its name.
fn without_port(host: &str) -> &str {
    match host.rsplit_once(':') {
        Some((name, port)) if port.bytes().all(|byte| byte.is_ascii_digit()) => {
            match name.parse::<Ipv6Addr>() {
                Ok(_) => host,
                Err(_) => name,
            }
        }
        _ => host,
    }
}

/// Lets through what is asked under our own name. A request that names no host comes from no browser.
pub async fn own_name(State(own): State<OwnName>, request: Request, next: Next) -> Response {
    let headers = request.headers().get_all(header::HOST).iter();
    let named: Vec<Option<&str>> = headers.map(|value| value.to_str().ok()).collect();
    let in_address = request.uri().authority().map(Authority::as_str);
    let mut hosts = named.into_iter().chain(in_address.map(Some));
    match hosts.all(|host| host.is_some_and(|host| own.fits(host))) {
        true => next.run(request).await,
        false => {
            let from = visit(request.headers(), request.extensions());
            happened(Happened::RefusedHost, None, &from, "");
            WebError::ForeignHost.into_response()
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn s14_only_the_own_name_and_addresses_are_answered() {
        let own = OwnName::of("https://Vestibule.office.example:8443");
        for host in [
            "vestibule.office.example",
            "vestibule.office.example:443",
            "VESTIBULE.OFFICE.EXAMPLE:8443",
            "127.0.0.1:8080",
            "192.0.2.7",
            "[::1]:8080",
            "[2001:db8::1]",
            "localhost:8080",
        ] {
            assert!(own.fits(host), "{host}");
        }
        for host in [
            "",
            "evil.example",
            "vestibule.office.example.evil.example",
            "evil.example:8443",
            "127.0.0.1.evil.example",
            "vestibule.office.example:80:80",
            "vestibule.office.example@evil.example",
        ] {
            assert!(!own.fits(host), "{host}");
        }
        assert!(OwnName::of("http://[::1]:80").fits("[::1]"));
    }
}
