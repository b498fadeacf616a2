//! Forms with a file, sent field by field as a browser sends them.

use crate::common::Visitor;
use axum::body::Body;
use axum::http::{Request, header};
use std::collections::BTreeMap;

/// A file in a form: the key of its box, its name, what the browser takes it for, and its bytes.
pub struct SentFile<'a> {
    pub key: &'static str,
    pub name: &'a str,
    pub kind: &'static str,
    pub bytes: &'a [u8],
}

/// The form with its file, the last of its fields.
pub fn request(
    path: &str,
    fields: &BTreeMap<String, String>,
    file: &SentFile<'_>,
) -> Request<Body> {
    let mut body = Vec::new();
    for (key, text) in fields {
        let part =
            format!("--border\r\nContent-Disposition: form-data; name=\"{key}\"\r\n\r\n{text}\r\n");
        body.extend(part.bytes());
    }
    let part = format!(
        "--border\r\nContent-Disposition: form-data; name=\"{}\"; filename=\"{}\"\r\nContent-Type: {}\r\n\r\n",
        file.key, file.name, file.kind
    );
    body.extend(part.bytes());
    body.extend(file.bytes);
    body.extend(b"\r\n--border--\r\n");
    Request::post(path)
        .header(header::CONTENT_TYPE, "multipart/form-data; boundary=border")
        .header(header::HOST, "vestibule.test")
        .header(header::ORIGIN, "http://vestibule.test")
        .body(Body::from(body))
        .unwrap()
}

/// What is said in the form that adds something on this page, with the key of the post.
pub async fn fields_of(
    who: &Visitor,
    path: &str,
    said: &[(&str, &str)],
) -> BTreeMap<String, String> {
    let page = who.get(path).await;
    let key = page.attribute("#add input[name=post_key]", "value");
    let key = [("post_key", key.as_str())];
    let said = said.iter().chain(&key);
    said.map(|(key, text)| ((*key).to_owned(), (*text).to_owned()))
        .collect()
}
