//! A form that brings a picture along, read as it comes: fields that stand before the picture are there, however large it
//! is.

use crate::app::AppError;
use crate::app::pictures::{PICTURE_FILE, PICTURE_SHOT};
use crate::app::written_again::SENT_MOST;
use crate::domain::values::digest::sha256_hex;
use crate::domain::values::fault::Fault;
use crate::web::error::WebError;
use crate::web::extract::{FORM_BYTES, Typed, broken_parts};
use crate::web::typed_form::TypedForm;
use axum::extract::multipart::Field;
use axum::extract::{DefaultBodyLimit, FromRequest, Multipart, Request};
use axum::http::header;

/// The key under which the form holds the SHA-256 of what was sent: another picture is another post.
const SENT_HASH: &str = "picture_hash";

/// What was typed, and the picture as it was sent; empty where none was.
pub struct SentPicture {
    pub form: Typed,
    pub bytes: Vec<u8>,
    /// There is more of it than a picture may have: it was not read to its end.
    pub is_too_large: bool,
    /// One was taken and another one chosen: which of them is meant, nobody here knows.
    pub are_two: bool,
}

/// What is said of a picture whose form was not carried out.
const PICTURE_AGAIN: &str = "Choose the picture again: a browser sends none a second time.";

impl SentPicture {
    /// Refuses what is more than one picture, or more than a picture may have.
    pub fn refuse_unfit(&self) -> Result<(), AppError> {
        let message = match (self.is_too_large, self.are_two) {
            (true, _) => {
                "A picture takes at most 15 MB: set the camera to smaller pictures, or send another one."
            }
            (_, true) => "Two pictures came. Send one, then the other.",
            _ => return Ok(()),
        };
        Err(AppError::field(PICTURE_FILE, message))
    }

    /// Whether a picture came along.
    pub fn has_picture(&self) -> bool {
        !self.bytes.is_empty() || self.is_too_large
    }
}

/// The message of a form that comes back for another reason, and had brought a picture along.
pub fn picture_again() -> Fault {
    Fault::new(PICTURE_FILE, PICTURE_AGAIN)
}

/// What comes of a form that had brought a file along: where it was not carried out, the box of this key says that the file is
/// chosen again.
pub fn with_file_again<T>(
    done: Result<T, AppError>,
    had_file: bool,
    (key, again): (&str, &str),
) -> Result<T, AppError> {
    done.map_err(|error| match had_file {
        true => error.and_field(key, again),
        false => error,
    })
}

/// The same of a picture.
pub fn with_picture_again<T>(done: Result<T, AppError>, had_picture: bool) -> Result<T, AppError> {
    with_file_again(done, had_picture, (PICTURE_FILE, PICTURE_AGAIN))
}

impl<S: Send + Sync> FromRequest<S> for SentPicture {
    type Rejection = WebError;

    async fn from_request(mut request: Request, state: &S) -> Result<SentPicture, WebError> {
        let kind = request.headers().get(header::CONTENT_TYPE);
        let has_parts =
            kind.is_some_and(|kind| kind.as_bytes().starts_with(b"multipart/form-data"));
        if !has_parts {
            return Ok(SentPicture {
                form: Typed::from_request(request, state).await?,
                bytes: Vec::new(),
                is_too_large: false,
                are_two: false,
            });
        }
        let path = request.uri().path().to_owned();
        // Each part is bounded as it is read.
        DefaultBodyLimit::disable().apply(&mut request);
        let parts = Multipart::from_request(request, state).await;
        read(parts.map_err(|_| broken_parts())?, path).await
    }
}

async fn read(mut parts: Multipart, path: String) -> Result<SentPicture, WebError> {
    let (mut form, mut bytes, mut left) = (TypedForm::new(), Vec::new(), FORM_BYTES);
    let (mut is_too_large, mut are_two) = (false, false);
    while let Some(part) = parts.next_field().await.map_err(|_| broken_parts())? {
        let key = part.name().unwrap_or_default().to_owned();
        if key == PICTURE_FILE || key == PICTURE_SHOT {
            match whole(part, SENT_MOST).await? {
                Some(read) if read.is_empty() => {}
                Some(read) => {
                    are_two |= !bytes.is_empty() && bytes != read;
                    bytes = read;
                }
                // What comes behind it is lost, and the tick has to be set again for another picture.
                None => {
                    is_too_large = true;
                    break;
                }
            }
            continue;
        }
        let read = whole(part, left).await?.ok_or_else(broken_parts)?;
        left -= read.len();
        let text = String::from_utf8(read).map_err(|_| broken_parts())?;
        let is_second = form.insert(key, text.replace("\r\n", "\n")).is_some();
        if is_second || text.contains('\0') {
            return Err(broken_parts());
        }
    }
    form.insert(SENT_HASH.to_owned(), sha256_hex(&bytes));
    Ok(SentPicture {
        form: Typed::posted(form, path),
        bytes,
        is_too_large,
        are_two,
    })
}

/// A part's bytes; none where there are more than `most`.
async fn whole(mut part: Field<'_>, most: usize) -> Result<Option<Vec<u8>>, WebError> {
    let mut bytes = Vec::new();
    while let Some(chunk) = part.chunk().await.map_err(|_| broken_parts())? {
        if bytes.len() + chunk.len() > most {
            return Ok(None);
        }
        bytes.extend_from_slice(&chunk);
    }
    Ok(Some(bytes))
}
