//! Headers that every answer carries, each with what it keeps out.

use axum::http::{HeaderMap, HeaderName, HeaderValue, header};

/// Scripts, styles and pictures from here only; forms to here only; in nobody's frame.
const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; \
                      manifest-src 'self'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'; object-src 'none'";

/// Says when the answer was made, where the clock shows a time that HTTP can write.
pub fn date(headers: &mut HeaderMap, now: Option<String>) {
    if let Some(date) = now.and_then(|date| HeaderValue::from_str(&date).ok()) {
        headers.insert(header::DATE, date);
    }
}

/// Sets the headers; an answer that has set its own caching keeps it.
pub fn set(headers: &mut HeaderMap, over_tls: bool) {
    // A picture has a stricter one of its own.
    headers
        .entry(header::CONTENT_SECURITY_POLICY)
        .or_insert(HeaderValue::from_static(POLICY));
    // Case numbers stand in addresses, and stay here. Where the address is a key, the answer has a stricter one.
    headers
        .entry(header::REFERRER_POLICY)
        .or_insert(HeaderValue::from_static("same-origin"));
    let fixed = [
        // A browser must not guess that a text is a script.
        (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (
            HeaderName::from_static("cross-origin-opener-policy"),
            "same-origin",
        ),
        (
            HeaderName::from_static("cross-origin-resource-policy"),
            "same-origin",
        ),
        (
            HeaderName::from_static("permissions-policy"),
            "geolocation=(), microphone=(), camera=()",
        ),
    ];
    for (name, value) in fixed {
        headers.insert(name, HeaderValue::from_static(value));
    }
    if over_tls {
        headers.insert(
            header::STRICT_TRANSPORT_SECURITY,
            HeaderValue::from_static("max-age=31536000"),
        );
    }
    // Pages hold what belongs to a patient, and a shared computer's disk is no place for it.
    headers
        .entry(header::CACHE_CONTROL)
        .or_insert(HeaderValue::from_static("no-store"));
}
