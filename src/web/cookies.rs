//! The cookies: one for the session, one by which a browser is known in which somebody has signed in before, and one of a
//! device at the bench of a lab.

use crate::app::sign_in::{Entered, KNOWN_MS, WHOLE_MS};
use axum::http::{HeaderMap, HeaderValue, header};
use axum::response::Response;
use cookie::Cookie;

/// The session cookie's name; over TLS the browser itself then keeps it to this host and to HTTPS.
pub fn cookie_name(over_tls: bool) -> &'static str {
    if over_tls {
        "__Host-vestibule"
    } else {
        "vestibule"
    }
}

/// The names of the cookie that says that a browser is known, over TLS and without.
pub fn known_names() -> [&'static str; 2] {
    ["__Host-vestibule-known", "vestibule-known"]
}

/// The names of the cookie of a device at the bench, over TLS and without.
pub fn device_names() -> [&'static str; 2] {
    ["__Host-vestibule-device", "vestibule-device"]
}

/// The cookie that begins a session, or ends it when `secret` is empty.
fn session_cookie(over_tls: bool, secret: &str) -> String {
    let age = if secret.is_empty() {
        0
    } else {
        WHOLE_MS / 1000
    };
    let name = cookie_name(over_tls);
    format!(
        "{name}={secret}; Path=/; HttpOnly; SameSite=Lax; Max-Age={age}{}",
        secure(over_tls)
    )
}

/// The cookie of a known browser: no other site ever sends it along.
fn known_cookie(over_tls: bool, secret: &str) -> String {
    let [with_tls, without] = known_names();
    let name = if over_tls { with_tls } else { without };
    let age = KNOWN_MS / 1000;
    format!(
        "{name}={secret}; Path=/; HttpOnly; SameSite=Strict; Max-Age={age}{}",
        secure(over_tls)
    )
}

fn secure(over_tls: bool) -> &'static str {
    if over_tls { "; Secure" } else { "" }
}

fn with(mut response: Response, cookie: &str) -> Response {
    if let Ok(value) = HeaderValue::from_str(cookie) {
        response.headers_mut().append(header::SET_COOKIE, value);
    }
    response
}

/// Gives the browser what it comes in with.
pub fn entered(over_tls: bool, response: Response, with_what: &Entered) -> Response {
    let response = with(response, &session_cookie(over_tls, &with_what.session));
    match &with_what.browser {
        Some(browser) => with(response, &known_cookie(over_tls, browser)),
        None => response,
    }
}

/// Gives a device what it is allowed by: for as long as browsers keep a cookie, and kept from scripts and other sites.
pub fn allowed_device(over_tls: bool, response: Response, secret: &str) -> Response {
    let [with_tls, without] = device_names();
    let name = if over_tls { with_tls } else { without };
    let age = KNOWN_MS / 1000;
    let cookie = format!(
        "{name}={secret}; Path=/; HttpOnly; SameSite=Strict; Max-Age={age}{}",
        secure(over_tls)
    );
    with(response, &cookie)
}

/// Takes the session away; the browser stays known.
pub fn left(over_tls: bool, response: Response) -> Response {
    with(response, &session_cookie(over_tls, ""))
}

/// What the browser sends under this name.
pub fn cookie_value(headers: &HeaderMap, name: &str) -> Option<String> {
    headers
        .get_all(header::COOKIE)
        .iter()
        .filter_map(|value| value.to_str().ok())
        .flat_map(Cookie::split_parse)
        .filter_map(Result::ok)
        .find(|cookie| cookie.name() == name)
        .map(|cookie| cookie.value().to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn over_tls_the_cookie_is_bound_to_this_host() {
        let cookie = session_cookie;
        assert!(
            cookie(true, "x").starts_with("__Host-vestibule=x; Path=/; HttpOnly; SameSite=Lax")
        );
        assert!(cookie(true, "x").ends_with("; Secure") && !cookie(false, "x").contains("Secure"));
        assert!(cookie(false, "").contains("Max-Age=0"));
    }

    #[test]
    fn s3_the_mark_of_a_known_browser_is_kept_from_scripts_and_from_other_sites() {
        assert_eq!(
            known_cookie(true, "x"),
            "__Host-vestibule-known=x; Path=/; HttpOnly; SameSite=Strict; Max-Age=31536000; Secure"
        );
        assert!(known_cookie(false, "x").starts_with("vestibule-known=x; "));
    }
}
