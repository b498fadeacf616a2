//! A prescription's text in words, as the page for signing and the page of a revision both show it.

use crate::domain::prescription::{Difference, PrintedSection};
use askama::Template;

/// The text itself: every section of the walk over it.
#[derive(Template)]
#[template(path = "partials/document.html")]
pub struct DocumentPart {
    pub sections: Vec<PrintedSection>,
}

/// What a text says otherwise than the one before it; nothing where they say the same.
#[derive(Template)]
#[template(path = "partials/differences.html")]
pub struct DifferencesPart {
    pub title: String,
    pub differences: Vec<Difference>,
}
