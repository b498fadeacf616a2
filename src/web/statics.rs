//! Style sheet, script and mark: inside the program, so that a copied binary is whole.

use super::error::WebError;
use super::extract::At;
use super::packed::{packed, takes_packed};
use crate::app::AppError;
use axum::body::Bytes;
use axum::http::{HeaderMap, HeaderValue, header};
use axum::response::{IntoResponse, Response};
use std::sync::OnceLock;

struct File {
    name: &'static str,
    kind: &'static str,
    bytes: &'static [u8],
}

const FILES: &[File] = &[
    File {
        name: "vestibule.css",
        kind: "text/css; charset=utf-8",
        bytes: include_bytes!("../../static/vestibule.css"),
    },
    File {
        name: "write.js",
        kind: "text/javascript; charset=utf-8",
        bytes: include_bytes!("../../static/write.js"),
    },
    File {
        name: "unsaved.js",
        kind: "text/javascript; charset=utf-8",
        bytes: include_bytes!("../../static/unsaved.js"),
    },
    File {
        name: "lines.js",
        kind: "text/javascript; charset=utf-8",
        bytes: include_bytes!("../../static/lines.js"),
    },
    File {
        name: "witness.js",
        kind: "text/javascript; charset=utf-8",
        bytes: include_bytes!("../../static/witness.js"),
    },
    File {
        name: "changes.js",
        kind: "text/javascript; charset=utf-8",
        bytes: include_bytes!("../../static/changes.js"),
    },
    File {
        name: "timers.js",
        kind: "text/javascript; charset=utf-8",
        bytes: include_bytes!("../../static/timers.js"),
    },
    File {
        name: "scan.js",
        kind: "text/javascript; charset=utf-8",
        bytes: include_bytes!("../../static/scan.js"),
    },
    File {
        name: "zone.js",
        kind: "text/javascript; charset=utf-8",
        bytes: include_bytes!("../../static/zone.js"),
    },
    File {
        name: "file.js",
        kind: "text/javascript; charset=utf-8",
        bytes: include_bytes!("../../static/file.js"),
    },
    File {
        name: "cut.js",
        kind: "text/javascript; charset=utf-8",
        bytes: include_bytes!("../../static/cut.js"),
    },
    File {
        name: "places.js",
        kind: "text/javascript; charset=utf-8",
        bytes: include_bytes!("../../static/places.js"),
    },
    File {
        name: "sees.js",
        kind: "text/javascript; charset=utf-8",
        bytes: include_bytes!("../../static/sees.js"),
    },
    File {
        name: "send.js",
        kind: "text/javascript; charset=utf-8",
        bytes: include_bytes!("../../static/send.js"),
    },
    File {
        name: "mark.svg",
        kind: "image/svg+xml",
        bytes: include_bytes!("../../static/mark.svg"),
    },
];

/// The files packed, each from the first time that somebody takes it so.
static PACKED: [OnceLock<Bytes>; FILES.len()] = [const { OnceLock::new() }; FILES.len()];

/// Answers with one of the files, for a browser to keep.
pub async fn file(At(name): At<String>, asked: HeaderMap) -> Result<Response, WebError> {
    let mut files = FILES.iter().zip(&PACKED);
    let found = files.find(|(file, _)| file.name == name);
    let (file, slot) = found.ok_or(WebError::App(AppError::NotFound))?;
    let headers = [
        (header::CONTENT_TYPE, HeaderValue::from_static(file.kind)),
        (
            header::CACHE_CONTROL,
            HeaderValue::from_static("max-age=300"),
        ),
        (header::VARY, HeaderValue::from_static("accept-encoding")),
    ];
    if !takes_packed(&asked) {
        return Ok((headers, file.bytes).into_response());
    }
    let as_gzip = [(header::CONTENT_ENCODING, HeaderValue::from_static("gzip"))];
    Ok((headers, as_gzip, of(slot, file)?).into_response())
}

/// A file packed. Two who are first at once both pack it, and one of both is kept.
fn of(slot: &OnceLock<Bytes>, file: &File) -> Result<Bytes, WebError> {
    if let Some(there) = slot.get() {
        return Ok(there.clone());
    }
    let bytes = packed(file.bytes).map_err(|why| AppError::Inner(why.to_string()))?;
    Ok(slot.get_or_init(|| bytes).clone())
}
