//! Style sheet, script and mark: inside the program, so that a copied binary is whole.

use super::error::WebError;
use super::extract::At;
use crate::app::AppError;
use axum::http::{HeaderValue, header};
use axum::response::{IntoResponse, Response};

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

/// Answers with one of the files, for a browser to keep.
pub async fn file(At(name): At<String>) -> Result<Response, WebError> {
    let file = FILES
        .iter()
        .find(|file| file.name == name)
        .ok_or(WebError::App(AppError::NotFound))?;
    let headers = [
        (header::CONTENT_TYPE, HeaderValue::from_static(file.kind)),
        (
            header::CACHE_CONTROL,
            HeaderValue::from_static("max-age=300"),
        ),
    ];
    Ok((headers, file.bytes).into_response())
}
