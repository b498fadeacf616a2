//! Before any handler: where an unsafe request comes from, who asks, and whether that role may.

use super::client::visit;
use super::cookies::{cookie_name, cookie_value};
use super::error::WebError;
use super::error_page::with_frame;
use super::extract::{WithFile, encode};
use super::frame::{Frame, see_other};
use super::serve::Guest;
use super::typed_form::TypedForm;
use crate::app::forms::{self, Called};
use crate::app::security::{Happened, happened};
use crate::app::{App, AppError, Person, clock_doubt, sign_in};
use crate::domain::people::access::{Permission, by_code, why_not};
use axum::extract::{FromRequest, Request, State};
use axum::http::uri::Authority;
use axum::http::{Extensions, HeaderMap, Method, header};
use axum::http::{StatusCode, Uri};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use std::sync::Arc;

/// What the guard of one route knows.
#[derive(Clone)]
pub struct Watch {
    pub app: App,
    pub permission: Permission,
}

/// Lets a request through to its handler, or says why not.
pub async fn guard(
    State(watch): State<Watch>,
    mut request: Request,
    next: Next,
) -> Result<Response, WebError> {
    let asked = Asked {
        authority: request.uri().authority().map(Authority::as_str),
        over_tls: watch.app.settings.over_tls,
    };
    if !is_safe(request.method()) && !is_own_origin(request.headers(), asked) {
        let from = visit(request.headers(), request.extensions());
        happened(Happened::RefusedOrigin, None, &from, request.uri().path());
        return Err(WebError::ForeignOrigin);
    }
    if watch.permission == Permission::Anybody {
        return Ok(next.run(request).await);
    }
    let found = visitor(&watch.app, request.headers(), request.extensions()).await;
    let found = match found {
        Ok(found) => found,
        Err(why) => return Err(not_carried_out(why, request).await),
    };
    let Some(person) = found else {
        let next = is_safe(request.method()).then(|| request.uri().to_string());
        let sent = match next {
            Some(_) => Vec::new(),
            None => what_was_sent(request).await,
        };
        return Err(WebError::SignedOut { next, sent });
    };
    if let Some(guest) = request.extensions().get::<Arc<Guest>>() {
        guest.is_known_from_now();
    }
    if let Err(why) = clock_doubt::look(&watch.app).await {
        return Err(not_carried_out(why, request).await);
    }
    let path = request.uri().path().to_owned();
    let refused = |what| happened(what, Some(&person.account), &person.visit, &path);
    if person.by_code.is_some() && person.may(watch.permission) && !by_code(watch.permission) {
        return with_password(&person, request).await;
    }
    let no_cases = person.refuse_if_no_cases(watch.permission);
    let answer = match (person.may(watch.permission), no_cases) {
        (true, Ok(())) => {
            request.extensions_mut().insert(person.clone());
            next.run(request).await
        }
        (true, Err(why)) => not_carried_out(why, request).await.into_response(),
        (false, _) => {
            refused(Happened::RefusedByRole);
            WebError::from(AppError::Denied(why_not(watch.permission))).into_response()
        }
    };
    if answer.status() == StatusCode::NOT_FOUND {
        refused(Happened::RefusedObject);
    }
    Ok(with_frame(answer, |title| {
        Frame::new(&watch.app, &person, title, "")
    }))
}

/// Why a request is not let through; with what was typed, where it was to enter something.
async fn not_carried_out(why: AppError, request: Request) -> WebError {
    if is_safe(request.method()) {
        return why.into();
    }
    let sent = what_was_sent(request).await;
    let why = Box::new(WebError::from(why));
    WebError::NotCarriedOut { why, sent }
}

/// Where a code is not enough: the page that asks for the password, and leads on to what was wanted.
async fn with_password(person: &Person, request: Request) -> Result<Response, WebError> {
    if is_safe(request.method()) {
        let next = encode(&request.uri().to_string());
        return Ok(see_other(&format!("/bench/password?next={next}")));
    }
    happened(
        Happened::RefusedByCode,
        Some(&person.account),
        &person.visit,
        request.uri().path(),
    );
    let sent = what_was_sent(request).await;
    Err(WebError::NeedsPassword { sent })
}

/// Whoever is signed in in the browser that asks.
pub async fn visitor(
    app: &App,
    headers: &HeaderMap,
    extensions: &Extensions,
) -> Result<Option<Person>, AppError> {
    let Some(secret) = cookie_value(headers, cookie_name(app.settings.over_tls)) else {
        return Ok(None);
    };
    let person = match asks_by_itself(headers) {
        true => sign_in::onlooker(app, &secret).await?,
        false => sign_in::person(app, &secret).await?,
    };
    Ok(person.map(|person| Person {
        visit: visit(headers, extensions),
        ..person
    }))
}

/// Whether a page that is open asks by itself: for its stream of changes, or to renew itself.
fn asks_by_itself(headers: &HeaderMap) -> bool {
    let is_stream = headers
        .get(header::ACCEPT)
        .is_some_and(|kind| kind == "text/event-stream");
    is_stream || headers.contains_key("vestibule-renewal")
}

/// What a form held that is not carried out: whoever was signed out while typing copies it from the answer.
async fn what_was_sent(request: Request) -> Vec<(String, String)> {
    match WithFile::from_request(request, &()).await {
        Ok(WithFile { form, .. }) => in_words(form.0),
        Err(_) => Vec::new(),
    }
}

/// What was typed into a form, with the labels of its fields. Passwords and what the form itself carries stay out.
pub fn in_words(form: TypedForm) -> Vec<(String, String)> {
    let typed = form.into_iter().filter(|(_, text)| !text.trim().is_empty());
    let said = typed.filter_map(|(key, text)| match forms::called(&key)? {
        Called::Words(words) => Some((words, text)),
        Called::Nothing => None,
    });
    said.collect()
}

/// Where to go afterwards: a path of this installation, nothing else. Browsers drop tabs and line ends
/// from an address, so that what stands behind them would come to the front.
pub fn local_path(next: &str) -> &str {
    let strays = |c: char| c == '\\' || c.is_control() || c.is_whitespace();
    let is_local = next.starts_with('/') && !next.starts_with("//") && !next.contains(strays);
    if is_local { next } else { "/" }
}

/// The page of our own that a request says it comes from, as a path.
pub fn came_from(headers: &HeaderMap, authority: Option<&str>) -> Option<String> {
    let text = |name: &str| headers.get(name).and_then(|value| value.to_str().ok());
    let from: Uri = text("referer")?.parse().ok()?;
    let host = text("host").or(authority)?;
    if !from.authority()?.as_str().eq_ignore_ascii_case(host) {
        return None;
    }
    let path = from.path_and_query()?.as_str();
    (local_path(path) == path).then(|| path.to_owned())
}

fn is_safe(method: &Method) -> bool {
    matches!(*method, Method::GET | Method::HEAD)
}

/// What was asked: the host where HTTP/2 puts it, into the address, and whether over TLS.
#[derive(Clone, Copy)]
struct Asked<'a> {
    authority: Option<&'a str>,
    over_tls: bool,
}

/// Whether an unsafe request comes from a page of our own: by what the browser says of the fetch, or else by its
/// Origin, scheme and host, against what was asked (in the order of the OWASP CSRF cheat sheet, 2026). A request that
/// says neither comes from no browser page, and is refused.
fn is_own_origin(headers: &HeaderMap, asked: Asked<'_>) -> bool {
    let text = |name: &str| headers.get(name).and_then(|value| value.to_str().ok());
    if let Some(site) = text("sec-fetch-site") {
        return site == "same-origin";
    }
    let (Some(origin), Some(host)) = (text("origin"), text("host").or(asked.authority)) else {
        return false;
    };
    let own = if asked.over_tls { "https" } else { "http" };
    origin.split_once("://").is_some_and(|(scheme, rest)| {
        scheme.eq_ignore_ascii_case(own) && rest.eq_ignore_ascii_case(host)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn headers(pairs: &[(&'static str, &'static str)]) -> HeaderMap {
        pairs
            .iter()
            .map(|(name, value)| (name.parse().unwrap(), value.parse().unwrap()))
            .collect()
    }

    #[test]
    fn only_our_own_pages_may_change_things() {
        let table: [(&[(&str, &str)], bool); 8] = [
            (&[("sec-fetch-site", "same-origin")], true),
            (
                &[
                    ("sec-fetch-site", "cross-site"),
                    ("origin", "http://a.example"),
                    ("host", "a.example"),
                ],
                false,
            ),
            (&[("sec-fetch-site", "same-site")], false),
            (&[("sec-fetch-site", "none")], false),
            (
                &[
                    ("origin", "http://127.0.0.1:8080"),
                    ("host", "127.0.0.1:8080"),
                ],
                true,
            ),
            (
                &[
                    ("origin", "http://evil.example"),
                    ("host", "127.0.0.1:8080"),
                ],
                false,
            ),
            (&[("origin", "null"), ("host", "127.0.0.1:8080")], false),
            (&[("host", "127.0.0.1:8080")], false),
        ];
        for (pairs, own) in table {
            let asked = Asked {
                authority: None,
                over_tls: false,
            };
            assert_eq!(is_own_origin(&headers(pairs), asked), own, "{pairs:?}");
        }
    }

    #[test]
    fn s14_a_page_of_the_same_host_without_tls_is_not_our_own() {
        let own = |origin, host, over_tls| {
            let asked = Asked {
                authority: Some(host),
                over_tls,
            };
            is_own_origin(&headers(&[("origin", origin)]), asked)
        };
        assert!(own("https://a.example:8443", "a.example:8443", true));
        assert!(!own("https://a.example:8443", "b.example:8443", true));
        assert!(!own("http://a.example:8443", "a.example:8443", true));
        assert!(!own("https://127.0.0.1:8080", "127.0.0.1:8080", false));
        assert!(own("http://127.0.0.1:8080", "127.0.0.1:8080", false));
    }

    #[test]
    fn the_way_back_leads_to_our_own_pages_only() {
        let table = [
            ("http://a.example/cases/C1?x=1", Some("/cases/C1?x=1")),
            ("http://A.example/", Some("/")),
            ("http://b.example/cases/C1", None),
            ("http://a.example//b.example", None),
            ("/cases/C1", None),
            ("about:blank", None),
            ("", None),
        ];
        for (referer, path) in table {
            let headers = headers(&[("host", "a.example"), ("referer", referer)]);
            assert_eq!(came_from(&headers, None).as_deref(), path, "{referer}");
        }
    }

    #[test]
    fn signing_in_leads_nowhere_else() {
        let table = [
            ("/cases/C1?x=1", "/cases/C1?x=1"),
            ("", "/"),
            ("//evil.example", "/"),
            ("https://evil.example", "/"),
            ("/\\evil.example", "/"),
            ("/a\r\nSet-Cookie: x", "/"),
            ("/\t/evil.example", "/"),
            ("/\u{b}/evil.example", "/"),
            ("/a\u{2028}b", "/"),
            ("/ /evil.example", "/"),
        ];
        for (next, path) in table {
            assert_eq!(local_path(next), path, "{next:?}");
        }
    }
}
