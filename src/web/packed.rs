//! Answers go out packed, and are packed whole before their first byte goes: an encoder has tables of 300 KB, and one
//! that waited for its reader would keep them for as long as somebody does not read.

use super::error::WebError;
use crate::app::AppError;
use axum::body::{Body, Bytes, HttpBody, to_bytes};
use axum::extract::Request;
use axum::http::{HeaderMap, Method, Response as Answer, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use flate2::{Compression, write::GzEncoder};
use std::io::{self, Write};
use tower_http::compression::CompressionLayer;
use tower_http::compression::predicate::{DefaultPredicate, NotForContentType, Predicate};

/// Pages and papers are far smaller; what is larger is a scan or a stream, and goes out as it is.
const MOST: u64 = 4 * 1024 * 1024;

#[derive(Debug, Clone, Copy)]
struct OfBoundedSize;

impl Predicate for OfBoundedSize {
    fn should_compress<B: HttpBody>(&self, response: &Answer<B>) -> bool {
        let most = response.body().size_hint().upper();
        most.is_some_and(|most| most <= MOST)
    }
}

/// What is worth it. A paper is packed already, and would take as long again for a twentieth less.
fn is_worth_it() -> impl Predicate {
    let no_paper = NotForContentType::const_new("application/pdf");
    DefaultPredicate::new().and(no_paper).and(OfBoundedSize)
}

/// Packs what is worth it, for whoever takes it so.
pub fn packing() -> CompressionLayer<impl Predicate> {
    CompressionLayer::new().compress_when(is_worth_it())
}

/// Holds a packed answer as its bytes. Outside of `packing`.
pub async fn packed_whole(request: Request, next: Next) -> Response {
    // There is no body to be packed, and its length is the one that stands in the head already.
    let is_head = request.method() == Method::HEAD;
    let response = next.run(request).await;
    let is_whole = response.body().size_hint().exact().is_some();
    if is_head || is_whole || !response.headers().contains_key(header::CONTENT_ENCODING) {
        return response;
    }
    let (head, body) = response.into_parts();
    match to_bytes(body, usize::MAX).await {
        Ok(bytes) => Response::from_parts(head, Body::from(bytes)),
        Err(why) => WebError::App(AppError::Inner(why.to_string())).into_response(),
    }
}

/// A file that never changes, packed once.
pub fn packed(bytes: &[u8]) -> io::Result<Bytes> {
    let mut into = GzEncoder::new(Vec::new(), Compression::best());
    into.write_all(bytes)?;
    into.finish().map(Bytes::from)
}

/// Whether somebody takes an answer so packed: RFC 9110, section 12.5.3.
pub fn takes_packed(headers: &HeaderMap) -> bool {
    let said = headers.get_all(header::ACCEPT_ENCODING).iter();
    let mut said = said
        .filter_map(|text| text.to_str().ok())
        .flat_map(|text| text.split(','));
    said.any(|one| {
        let (name, weight) = one.split_once(';').unwrap_or((one, "q=1"));
        let weight = weight.trim().strip_prefix("q=");
        let is_wanted = weight.and_then(|weight| weight.parse::<f64>().ok()) > Some(0.0);
        is_wanted && name.trim().eq_ignore_ascii_case("gzip")
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn s2_a_file_goes_packed_to_whoever_says_that_he_takes_it() {
        for (said, takes) in [
            ("gzip", true),
            ("br, GZIP;q=0.5", true),
            ("gzip;q=0", false),
            ("gzip;q=0.000", false),
            ("br", false),
            ("", false),
        ] {
            let headers = HeaderMap::from_iter([(header::ACCEPT_ENCODING, said.parse().unwrap())]);
            assert_eq!(takes_packed(&headers), takes, "{said}");
        }
        assert!(!takes_packed(&HeaderMap::new()));
    }

    #[test]
    fn a_page_and_a_picture_of_lines_are_packed_and_a_paper_is_not_packed_twice() {
        for (kind, is_packed) in [
            ("text/html; charset=utf-8", true),
            ("image/svg+xml", true),
            ("application/pdf", false),
            ("image/jpeg", false),
        ] {
            let answer = Answer::builder().header(header::CONTENT_TYPE, kind);
            let answer = answer.body(Body::from(vec![b' '; 40_000])).unwrap();
            assert_eq!(is_worth_it().should_compress(&answer), is_packed, "{kind}");
        }
    }
}
