//! A prescription's text in words, as the page for signing and the page of a revision both show it.

use super::write::section_name;
use crate::domain::prescription::{Difference, PrintedSection};
use askama::Template;

/// The text itself: every section of the walk over it.
#[derive(Template)]
#[template(path = "partials/document.html")]
pub struct DocumentPart {
    pub sections: Vec<PrintedSection>,
    /// The page on which a section is asked about; empty where nothing is asked.
    pub ask: String,
}

impl DocumentPart {
    /// Where this section is asked about; none where it is no part of the prescription.
    fn ask_about(&self, key: &str) -> Option<String> {
        let is_one = !self.ask.is_empty() && !section_name(key).is_empty();
        is_one.then(|| format!("{}&section={key}#ask", self.ask))
    }
}

/// What a text says otherwise than the one before it; nothing where they say the same.
#[derive(Template)]
#[template(path = "partials/differences.html")]
pub struct DifferencesPart {
    pub title: String,
    pub differences: Vec<Difference>,
}
