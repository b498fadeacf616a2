//! What comes in with a request, read strictly: a form is UTF-8, of bounded size, one text per key.

use super::error::WebError;
use super::personal_data_check::unchecked_texts;
use super::typed_form::TypedForm;
use crate::app::typed::command_by;
use crate::app::{App, AppError, Person, PostKey, forms};
use crate::domain::form::{FieldSet, Form};
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::{AccountId, CaseNumber, EventId, HandoffId, PatientCode, Tag};
use axum::body::{Body, Bytes, to_bytes};
use axum::extract::{FromRequest, FromRequestParts, Multipart, Request};
use axum::http::request::Parts;
use axum::http::{StatusCode, header};
use std::str::FromStr;

/// The largest form: a draft of a thousand fields is far below; a 10 MB field is far above.
pub const FORM_BYTES: usize = 2 * 1024 * 1024;

/// A posted form: key to text, as typed; and the path it was posted to.
pub struct Typed(pub TypedForm, String);

impl Typed {
    /// A form that was read otherwise, with the path that it was posted to.
    pub fn posted(form: TypedForm, path: String) -> Typed {
        Typed(form, path)
    }

    /// The key of this post, bound to its path and its content.
    pub fn key(&self) -> Result<PostKey, WebError> {
        self.0
            .get(PostKey::FIELD)
            .and_then(|text| PostKey::parse(text))
            .map(|key| key.bound_to(&self.1, &self.0, forms::is_secret))
            .ok_or_else(|| {
                WebError::request(
                    StatusCode::BAD_REQUEST,
                    "The form came without its key. Open its page again and send it from there.",
                )
            })
    }

    /// The command that the form holds. Whoever reads one also looks whether its texts name somebody.
    pub fn read<F: Form>(&self) -> Result<F, AppError> {
        self.read_as(&F::field_sets(), F::read)
    }

    /// The same for a form whose command hangs on what it is about.
    pub fn read_as<C>(
        &self,
        fields: &[FieldSet],
        read: impl FnOnce(&TypedForm, &mut Vec<Fault>) -> Option<C>,
    ) -> Result<C, AppError> {
        command_by(&self.0, |typed, faults| {
            faults.extend(unchecked_texts(typed, fields));
            read(typed, faults)
        })
    }

    /// The text sent under this key, without blanks at its ends; empty where there is none.
    pub fn text(&self, key: &str) -> &str {
        self.0.get(key).map(|text| text.trim()).unwrap_or_default()
    }

    /// Whether a tick box of this key was sent.
    pub fn is_ticked(&self, key: &str) -> bool {
        self.0.contains_key(key)
    }
}

impl<S: Send + Sync> FromRequest<S> for Typed {
    type Rejection = WebError;

    async fn from_request(request: Request, _: &S) -> Result<Typed, WebError> {
        let kind = request
            .headers()
            .get(header::CONTENT_TYPE)
            .and_then(|value| value.to_str().ok())
            .unwrap_or_default();
        if !kind
            .to_ascii_lowercase()
            .starts_with("application/x-www-form-urlencoded")
        {
            return Err(WebError::request(
                StatusCode::UNSUPPORTED_MEDIA_TYPE,
                "Only forms of this application are taken here.",
            ));
        }
        let path = request.uri().path().to_owned();
        let bytes = whole(request.into_body()).await?;
        parse_form(&bytes).map(|form| Typed(form, path))
    }
}

/// A posted form that may bring a file along, as the pages of lists do.
pub struct WithFile {
    /// The file's text stands under [`WithFile::TEXT`], in place of what was typed there.
    pub form: Typed,
    /// The file is no text in UTF-8.
    pub is_unreadable: bool,
}

impl WithFile {
    /// The box of the file.
    pub const FILE: &str = "file";
    /// The box into which its text could be pasted as well.
    pub const TEXT: &str = "text";
}

impl<S: Send + Sync> FromRequest<S> for WithFile {
    type Rejection = WebError;

    async fn from_request(request: Request, state: &S) -> Result<WithFile, WebError> {
        let kind = request.headers().get(header::CONTENT_TYPE);
        let has_parts =
            kind.is_some_and(|kind| kind.as_bytes().starts_with(b"multipart/form-data"));
        if !has_parts {
            let form = Typed::from_request(request, state).await?;
            return Ok(WithFile {
                form,
                is_unreadable: false,
            });
        }
        let path = request.uri().path().to_owned();
        let (head, body) = request.into_parts();
        let bytes = whole(body).await?;
        let parts = Multipart::from_request(Request::from_parts(head, bytes.into()), state)
            .await
            .map_err(|_| broken_parts())?;
        read_parts(parts, path).await
    }
}

/// What is said of a form in parts that cannot be read.
pub fn broken_parts() -> WebError {
    WebError::request(
        StatusCode::BAD_REQUEST,
        "The form came in pieces that do not fit together. Open its page again and send it from there.",
    )
}

async fn read_parts(mut parts: Multipart, path: String) -> Result<WithFile, WebError> {
    let (mut form, mut file, mut is_unreadable) = (TypedForm::new(), None, false);
    while let Some(part) = parts.next_field().await.map_err(|_| broken_parts())? {
        let key = part.name().unwrap_or_default().to_owned();
        let is_file = part.file_name().is_some();
        let bytes = part.bytes().await.map_err(|_| broken_parts())?;
        // PostgreSQL holds no NUL in a text, and a text in UTF-16 is full of them.
        let text = String::from_utf8(bytes.into()).ok();
        let text = text.filter(|text| !text.contains('\0'));
        let text = text.map(|text| text.replace("\r\n", "\n"));
        match text {
            Some(text) if key == WithFile::FILE => {
                file = Some(text).filter(|text| !text.is_empty())
            }
            None if key == WithFile::FILE => is_unreadable = true,
            // A picture that came with words: whoever is asked to sign in first gets the words back.
            None if is_file => {}
            Some(text) if !form.contains_key(&key) => {
                form.insert(key, text);
            }
            _ => return Err(broken_parts()),
        }
    }
    form.extend(file.map(|text| (WithFile::TEXT.to_owned(), text)));
    Ok(WithFile {
        form: Typed(form, path),
        is_unreadable,
    })
}

/// The body of a form, if it is no longer than one may be.
async fn whole(body: Body) -> Result<Bytes, WebError> {
    to_bytes(body, FORM_BYTES).await.map_err(|_| {
        WebError::request(
            StatusCode::PAYLOAD_TOO_LARGE,
            "This is more than a form can hold (2 MB), or it did not arrive whole.",
        )
    })
}

/// Reads `key=value&…`. Broken UTF-8 and a key sent twice are refused.
pub fn parse_form(bytes: &[u8]) -> Result<TypedForm, WebError> {
    // Read as a whole first: the pairs themselves are read with a stand-in for what is no UTF-8. PostgreSQL
    // holds no NUL in a text, and no person types one.
    let whole = percent_encoding::percent_decode(bytes).decode_utf8();
    if !whole.is_ok_and(|text| !text.contains('\0')) {
        return Err(WebError::request(
            StatusCode::BAD_REQUEST,
            "The form holds bytes that are not text in UTF-8.",
        ));
    }
    let mut form = TypedForm::new();
    for (key, value) in form_urlencoded::parse(bytes) {
        // A browser sends line ends as CR LF, and a script sends LF: one form for both.
        let value = match value.contains('\r') {
            true => value.replace("\r\n", "\n"),
            false => value.into_owned(),
        };
        if form.insert(key.into_owned(), value).is_some() {
            return Err(WebError::request(
                StatusCode::BAD_REQUEST,
                "The form holds one field twice.",
            ));
        }
    }
    Ok(form)
}

/// Percent-encodes a text for use inside a query.
pub fn encode(text: &str) -> String {
    percent_encoding::utf8_percent_encode(text, percent_encoding::NON_ALPHANUMERIC).to_string()
}

/// The query of an address, read like a form.
pub struct Query(pub TypedForm);

impl Query {
    /// The text sent under this key, without blanks at its ends; empty where there is none.
    pub fn text(&self, key: &str) -> &str {
        self.0.get(key).map(|text| text.trim()).unwrap_or_default()
    }
}

impl<S: Send + Sync> FromRequestParts<S> for Query {
    type Rejection = WebError;

    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Query, WebError> {
        parse_form(parts.uri.query().unwrap_or_default().as_bytes()).map(Query)
    }
}

/// The signed-in person; the guard has put it there.
pub struct SignedIn(pub Person);

impl<S: Send + Sync> FromRequestParts<S> for SignedIn {
    type Rejection = WebError;

    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<SignedIn, WebError> {
        parts
            .extensions
            .get::<Person>()
            .cloned()
            .map(SignedIn)
            .ok_or(WebError::SignedOut {
                next: None,
                sent: Vec::new(),
            })
    }
}

/// The values that a path holds, as text: the only place where one is taken out of it. What no page of ours would
/// write into an address (broken percent signs, bytes that are no text, control characters) names nothing that is
/// stored, and PostgreSQL takes no NUL even to look for it.
#[expect(
    clippy::disallowed_types,
    reason = "this is the place that reads paths for all others"
)]
async fn path_values<S: Send + Sync>(
    parts: &mut Parts,
    state: &S,
) -> Result<Vec<String>, WebError> {
    type Pairs = Vec<(String, String)>;
    let not_found = |_| WebError::App(AppError::NotFound);
    let pairs = axum::extract::Path::<Pairs>::from_request_parts(parts, state);
    let values = pairs.await.map_err(not_found)?.0.into_iter();
    let values: Vec<String> = values.map(|(_, text)| text).collect();
    match values.iter().any(|text| text.chars().any(char::is_control)) {
        true => Err(WebError::App(AppError::NotFound)),
        false => Ok(values),
    }
}

/// A value of a path; what cannot be read is not there.
fn value<T: FromStr>(text: &str) -> Result<T, WebError> {
    text.parse().map_err(|_| WebError::App(AppError::NotFound))
}

/// Something that a path names.
pub trait FromPath: Sized {
    /// As the values of the path say; none where they name nothing.
    fn from_values(values: &[String]) -> Option<Self>;
}

macro_rules! from_path {
    ($($one:ty),+) => {$(
        impl FromPath for $one {
            fn from_values(values: &[String]) -> Option<$one> {
                match values {
                    [one] => one.parse().ok(),
                    _ => None,
                }
            }
        }
    )+};
}

from_path!(
    AccountId,
    CaseNumber,
    EventId,
    HandoffId,
    PatientCode,
    String,
    Tag
);

impl<A: FromStr, B: FromStr> FromPath for (A, B) {
    fn from_values(values: &[String]) -> Option<(A, B)> {
        match values {
            [a, b] => Some((a.parse().ok()?, b.parse().ok()?)),
            _ => None,
        }
    }
}

/// Who asks, and about what.
pub struct On<A> {
    pub app: App,
    pub person: Person,
    /// What the path names.
    pub at: A,
    pub query: Query,
}

impl<A, B> On<(A, B)> {
    /// About the first, and the second by itself.
    pub fn apart(self) -> (On<A>, B) {
        let On {
            app,
            person,
            at,
            query,
        } = self;
        let on = On {
            app,
            person,
            at: at.0,
            query,
        };
        (on, at.1)
    }
}

impl<A: FromPath + Send> FromRequestParts<App> for On<A> {
    type Rejection = WebError;

    async fn from_request_parts(parts: &mut Parts, app: &App) -> Result<On<A>, WebError> {
        let SignedIn(person) = SignedIn::from_request_parts(parts, app).await?;
        let values = path_values(parts, app).await?;
        Ok(On {
            app: app.clone(),
            person,
            at: A::from_values(&values).ok_or(WebError::App(AppError::NotFound))?,
            query: Query::from_request_parts(parts, app).await?,
        })
    }
}

/// One value from the path, such as a case number.
pub struct At<T>(pub T);

impl<S: Send + Sync, T: FromStr + Send> FromRequestParts<S> for At<T> {
    type Rejection = WebError;

    async fn from_request_parts(parts: &mut Parts, state: &S) -> Result<At<T>, WebError> {
        match path_values(parts, state).await?.as_slice() {
            [one] => Ok(At(value(one)?)),
            _ => Err(WebError::App(AppError::NotFound)),
        }
    }
}

/// Two values from the path, such as a case number and a revision.
pub struct At2<A, B>(pub A, pub B);

impl<S: Send + Sync, A: FromStr + Send, B: FromStr + Send> FromRequestParts<S> for At2<A, B> {
    type Rejection = WebError;

    async fn from_request_parts(parts: &mut Parts, state: &S) -> Result<At2<A, B>, WebError> {
        match path_values(parts, state).await?.as_slice() {
            [a, b] => Ok(At2(value(a)?, value(b)?)),
            _ => Err(WebError::App(AppError::NotFound)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn forms_are_read_strictly() {
        let form = parse_form("a=1+2&b=%C3%A9%26&c=&d=x%0D%0Ay".as_bytes()).unwrap();
        let pairs: Vec<(&str, &str)> = form.iter().map(|(k, v)| (k.as_str(), v.as_str())).collect();
        assert_eq!(pairs, [("a", "1 2"), ("b", "é&"), ("c", ""), ("d", "x\ny")]);
        let broken = ["a=%FF", "a=%00", "a=1&a=2", "%C3=1"];
        assert!(broken.iter().all(|one| parse_form(one.as_bytes()).is_err()));
    }
}
