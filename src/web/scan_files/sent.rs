//! A form that brings a scan along: the scan goes to the disk as it comes, piece by piece.

use crate::app::AppError;
use crate::app::scan_files::{SCAN_FILE, SentScan};
use crate::domain::values::ids::CaseNumber;
use crate::web::error::WebError;
use crate::web::extract::{FORM_BYTES, On, Typed, broken_parts};
use crate::web::typed_form::TypedForm;
use axum::extract::multipart::Field;
use axum::extract::{DefaultBodyLimit, FromRequest, Multipart, Request};
use axum::http::header;
use std::time::Duration;
use tokio::time::{Instant, timeout};

/// A scan of which nothing comes for this long is not waited for: it keeps its place from others.
const NOTHING_FOR: Duration = Duration::from_secs(20);
/// Bytes that have to come of it in each second after that.
const LEAST_A_SECOND: u64 = 8 * 1024;

/// The key under which the form holds the SHA-256 of what was sent: another scan is another post.
const SENT_HASH: &str = "scan_hash";

/// What was typed, and the scan as it was sent, if one was.
pub struct ScanParts {
    pub form: Typed,
    pub scan: Option<SentScan>,
    /// There is more of it than a scan may have: it was not read to its end.
    pub is_too_large: bool,
}

impl ScanParts {
    /// Reads what somebody sends for this case.
    pub async fn take(on: &On<CaseNumber>, mut request: Request) -> Result<ScanParts, WebError> {
        let kind = request.headers().get(header::CONTENT_TYPE);
        let has_parts =
            kind.is_some_and(|kind| kind.as_bytes().starts_with(b"multipart/form-data"));
        if !has_parts {
            return Ok(ScanParts {
                form: Typed::from_request(request, &on.app).await?,
                scan: None,
                is_too_large: false,
            });
        }
        let path = request.uri().path().to_owned();
        // Each part is bounded as it is read.
        DefaultBodyLimit::disable().apply(&mut request);
        let parts = Multipart::from_request(request, &on.app).await;
        read(on, parts.map_err(|_| broken_parts())?, path).await
    }
}

async fn read(
    on: &On<CaseNumber>,
    mut parts: Multipart,
    path: String,
) -> Result<ScanParts, WebError> {
    let (mut form, mut left) = (TypedForm::new(), FORM_BYTES);
    let (mut scan, mut is_too_large, mut is_chosen) = (None, false, false);
    while let Some(part) = parts.next_field().await.map_err(|_| broken_parts())? {
        let key = part.name().unwrap_or_default().to_owned();
        if key == SCAN_FILE {
            if scan.is_some() {
                return Err(broken_parts());
            }
            // A box in which nothing is chosen sends a file without a name.
            is_chosen = part.file_name().is_some_and(|name| !name.is_empty());
            scan = scan_of(on, part).await?;
            // What comes behind it is lost, and the tick has to be set again for another scan.
            if scan.is_none() {
                is_too_large = true;
                break;
            }
            continue;
        }
        let text = text(part, left).await?;
        left -= text.len();
        let is_second = form.insert(key, text.replace("\r\n", "\n")).is_some();
        if is_second || text.contains('\0') {
            return Err(broken_parts());
        }
    }
    let hash = scan.as_ref().map(SentScan::sha256).unwrap_or_default();
    form.insert(SENT_HASH.to_owned(), hash);
    Ok(ScanParts {
        form: Typed::posted(form, path),
        scan: scan.filter(|scan| is_chosen || !scan.is_empty()),
        is_too_large,
    })
}

/// The scan, as far as it may be; none where there is more of it.
async fn scan_of(on: &On<CaseNumber>, mut part: Field<'_>) -> Result<Option<SentScan>, AppError> {
    let mut scan = SentScan::begin(&on.app, &on.person.account.id).await?;
    let refused = |sentence: &str| AppError::Refused(vec![sentence.to_owned()]);
    let too_slow = || refused("This scan came in too slowly: send it again on a faster line.");
    let began = Instant::now();
    loop {
        let chunk = timeout(NOTHING_FOR, part.chunk()).await;
        let chunk = chunk.map_err(|_| too_slow())?;
        let chunk = chunk.map_err(|_| refused("This scan did not arrive whole: send it again."))?;
        let counted = began.elapsed().saturating_sub(NOTHING_FOR);
        if scan.length() < counted.as_secs() * LEAST_A_SECOND {
            return Err(too_slow());
        }
        match chunk {
            None => return Ok(Some(scan)),
            Some(chunk) if scan.push(&chunk).await? => {}
            Some(_) => return Ok(None),
        }
    }
}

/// A part that somebody typed; none where there is more than `most`.
async fn text(mut part: Field<'_>, most: usize) -> Result<String, WebError> {
    let mut bytes = Vec::new();
    while let Some(chunk) = part.chunk().await.map_err(|_| broken_parts())? {
        if bytes.len() + chunk.len() > most {
            return Err(broken_parts());
        }
        bytes.extend_from_slice(&chunk);
    }
    String::from_utf8(bytes).map_err(|_| broken_parts())
}
