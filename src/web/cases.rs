//! A signed revision of a case, read on the screen.

use super::document::{DifferenceView, reasons, score};
use super::drawing::Drawings;
use super::error::WebError;
use super::extract::{At2, Signed};
use super::frame::{Frame, page};
use crate::app::{App, see_case};
use crate::domain::prescription::revision::Document;
use crate::domain::prescription::{PrintedSection, differences};
use crate::domain::values::ids::CaseNumber;
use crate::domain::values::tooth::Numbering;
use askama::Template;
use axum::extract::State as Shared;
use axum::response::Response;

#[derive(Template)]
#[template(path = "revision.html")]
pub struct RevisionPage {
    pub frame: Frame,
    pub number: String,
    pub path_number: String,
    pub revision: i64,
    pub in_force: bool,
    pub signer: String,
    pub licence: String,
    pub at: String,
    pub meaning: String,
    pub hash: String,
    /// Local law: profiles, and until when the text is kept.
    pub law: Vec<(&'static str, String)>,
    pub differences: Vec<DifferenceView>,
    pub sections: Vec<PrintedSection>,
    pub drawings: Drawings,
}

fn printed(document: &Document, numbering: Numbering) -> Vec<PrintedSection> {
    let mut sections = vec![score(document)];
    sections.extend(reasons(document));
    sections.extend(document.prescription.printed(numbering));
    sections
}

pub async fn revision(
    Shared(app): Shared<App>,
    Signed(person): Signed,
    At2(number, revision): At2<CaseNumber, i64>,
) -> Result<Response, WebError> {
    let (work, found, before) = see_case::see_revision(&app, &person, &number, revision).await?;
    let document = crate::app::sign::open_revision(&found)?;
    let differences = match before {
        None => Vec::new(),
        Some(before) => {
            let before = crate::app::sign::open_revision(&before)?;
            differences(
                &before.prescription,
                &document.prescription,
                person.numbering(),
            )
        }
    };
    page(&RevisionPage {
        frame: Frame::new(
            &app,
            &person,
            format!("Revision {revision} of {number}"),
            "",
        ),
        number: number.to_string(),
        path_number: number.as_str().to_owned(),
        revision,
        in_force: work.case.revision == revision,
        signer: found.signature.name,
        licence: found.signature.licence,
        law: document.law_lines(found.signature.at.date()),
        at: found.signature.at.to_string(),
        meaning: found.signature.meaning,
        hash: found.hash,
        differences: differences.into_iter().map(DifferenceView::from).collect(),
        sections: printed(&document, person.numbering()),
        drawings: Drawings::of(&document.prescription),
    })
}
