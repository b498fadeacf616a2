//! A signed revision as office and lab read it.

use super::document::{DifferencesPart, DocumentPart};
use super::drawing::Drawings;
use super::error::WebError;
use super::extract::{At2, SignedIn};
use super::frame::{Frame, page};
use super::sheet_pictures::SheetPictures;
use crate::app::print_sheet::sheet_of;
use crate::app::see_case::{SeenRevision, see_revision};
use crate::app::{App, Person};
use crate::domain::prescription::PrintedSection;
use crate::domain::prescription::revision::Signature;
use crate::domain::prescription::sections::keys;
use crate::domain::values::ids::CaseNumber;
use askama::Template;
use axum::extract::State;
use axum::response::Response;

#[derive(Template)]
#[template(path = "revision.html")]
struct RevisionPage {
    frame: Frame,
    number: String,
    path_number: String,
    revision: i64,
    /// That it is superseded, and by which revision.
    superseded: Option<(String, i64)>,
    /// The paper as it was printed, where a copy is marked.
    as_printed: Option<String>,
    signature: Signature,
    hash: String,
    /// Where the sheet is, and the full text.
    slip: String,
    text: String,
    /// The pages of the sheet; none for a text that was signed before there was one.
    sheet: Option<SheetPictures>,
    /// What changed against the revision before.
    differences: DifferencesPart,
    /// What is read before the drawings, as on the slip: for whom it is, and what must not come near the patient.
    foremost: DocumentPart,
    drawings: Drawings,
    document: DocumentPart,
}

impl RevisionPage {
    fn new(
        app: &App,
        person: &Person,
        seen: SeenRevision,
        sheet: Option<SheetPictures>,
    ) -> Result<RevisionPage, WebError> {
        let (case, number) = (&seen.work.case, seen.revision.number);
        let sections = seen.sections();
        let is_foremost = |one: &PrintedSection| [keys::HEAD, keys::PATIENT].contains(&one.key);
        let (foremost, sections) = sections.into_iter().partition(is_foremost);
        let title = format!("Revision {number} of {}", case.number);
        let out = seen.out.as_ref();
        let path = case.number.as_str();
        let slip = format!("/cases/{path}/revisions/{number}/slip.pdf");
        Ok(RevisionPage {
            frame: Frame::of_case(app, person, &seen.work, title)?,
            number: case.number.to_string(),
            path_number: case.number.as_str().to_owned(),
            revision: number,
            superseded: out.and_then(|out| Some((out.newer_words()?, out.newer?.0))),
            as_printed: out.map(|_| format!("{slip}?as=printed")),
            slip,
            text: format!(
                "/cases/{}/revisions/{number}/text.pdf",
                case.number.as_str()
            ),
            differences: DifferencesPart::new(
                "What changed against the revision before".to_owned(),
                seen.differences(),
                &seen.changed(),
            ),
            foremost: DocumentPart {
                sections: foremost,
                ask: String::new(),
            },
            drawings: match sheet {
                Some(_) => Drawings::in_words(&seen.document.prescription),
                None => Drawings::of(&seen.document.prescription),
            },
            document: DocumentPart {
                sections,
                ask: asking(&case.number, number),
            },
            sheet,
            signature: seen.revision.signature,
            hash: seen.revision.hash,
        })
    }
}

/// Where something of a revision is asked about.
fn asking(number: &CaseNumber, revision: i64) -> String {
    format!("/cases/{}/questions?revision={revision}", number.as_str())
}

/// Shows a revision; 404 where the case is not one’s own or has no such revision.
pub async fn revision(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    At2(number, revision): At2<CaseNumber, i64>,
) -> Result<Response, WebError> {
    let seen = see_revision(&app, &person, &number, revision).await?;
    let sheet = match seen.document.sheet {
        0 => None,
        _ => Some(sheet_of(&app, &seen, None).await?),
    };
    let ask = asking(&number, revision);
    let front = format!(
        "/cases/{}/revisions/{revision}/front.svg?page=",
        number.as_str()
    );
    let pictures = sheet.as_ref();
    let pictures =
        pictures.map(|sheet| SheetPictures::touched(sheet, seen.out.as_ref(), ask, &front));
    page(&RevisionPage::new(&app, &person, seen, pictures)?)
}
