//! The prescription on paper: the sheet, or the long slip of a text that was signed before there was one, and the
//! full text.

use super::record_mark;
use super::recorded::about_revision;
use super::sign::{Proposal, open_revision, propose};
use super::{App, AppError, Person};
use crate::domain::people::party::Paper;
use crate::domain::prescription::revision::{Document, Revision, Signature};
use crate::domain::values::ids::CaseNumber;
use crate::domain::values::moment::Moment;
use crate::papers::content::SlipContent;
use crate::papers::record_mark::RecordMark;
use crate::papers::sheet::{Sheet, SheetOf, sheet};
use crate::papers::slip_of::{SlipOf, full_text, slip};
use crate::papers::svg::write_svg;
use crate::papers::{self, LANGUAGE};
use crate::record::entry::LeafKind;
use crate::store::revisions;

/// The paper of a signed revision as PDF: the same revision and paper give the same bytes, since of the record
/// it tells only what was there when it was signed, and the revision before it is as fixed as its own.
pub async fn slip_pdf(
    app: &App,
    revision: &Revision,
    document: &Document,
    paper: Option<Paper>,
) -> Result<Vec<u8>, AppError> {
    if document.sheet == 0 {
        let mark = mark(app, revision).await?;
        let content = slip(&slip_of(revision, document, paper, mark.as_ref()));
        return write_slip(&content, document, revision.signature.at, None);
    }
    write_sheet(
        &sheet_of(app, revision, document, paper).await?,
        document,
        revision.signature.at,
    )
}

/// The front of the sheet of a signed revision as a picture; none of a text that was signed before there was the
/// sheet.
pub async fn front(
    app: &App,
    revision: &Revision,
    document: &Document,
) -> Result<String, AppError> {
    if document.sheet == 0 {
        return Err(AppError::NotFound);
    }
    let pages = papers::lay_out_sheet(&sheet_of(app, revision, document, None).await?);
    let front = pages.first().ok_or(AppError::NotFound)?;
    Ok(write_svg(front, "Front of the sheet"))
}

/// The words of the sheet of a signed revision.
pub async fn sheet_of(
    app: &App,
    revision: &Revision,
    document: &Document,
    paper: Option<Paper>,
) -> Result<Sheet, AppError> {
    let mark = mark(app, revision).await?;
    let before = before(app, &revision.case, revision.number - 1).await?;
    Ok(sheet(&SheetOf {
        document,
        before: before.as_ref(),
        signature: Some(&revision.signature),
        paper: paper.unwrap_or(document.paper),
        record: mark.as_ref(),
    }))
}

/// Every field, the law, the score and the fingerprint of a signed revision, to be read.
pub async fn full_text_pdf(
    app: &App,
    revision: &Revision,
    document: &Document,
    paper: Option<Paper>,
) -> Result<Vec<u8>, AppError> {
    let mark = mark(app, revision).await?;
    let content = full_text(&slip_of(revision, document, paper, mark.as_ref()));
    write_slip(&content, document, revision.signature.at, Some(LANGUAGE))
}

/// The draft on paper: DRAFT across every page, and no signature.
pub async fn draft_pdf(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    paper: Option<Paper>,
) -> Result<Vec<u8>, AppError> {
    let proposal = propose(app, person, number).await?;
    let document = &proposal.document;
    write_sheet(&draft_sheet(&proposal, paper), document, document.issued)
}

/// The words of the sheet of a text that is not signed.
pub fn draft_sheet(proposal: &Proposal, paper: Option<Paper>) -> Sheet {
    let document = &proposal.document;
    sheet(&SheetOf {
        document,
        before: proposal.before.as_ref(),
        signature: None,
        paper: paper.unwrap_or(document.paper),
        record: None,
    })
}

async fn mark(app: &App, revision: &Revision) -> Result<Option<RecordMark>, AppError> {
    let about = about_revision(&revision.case, revision.number);
    record_mark::after(app, LeafKind::Revision, &[about]).await
}

/// The text of an earlier revision, if there is one.
async fn before(app: &App, case: &CaseNumber, number: i64) -> Result<Option<Document>, AppError> {
    let found = revisions::find(&mut *app.store.read().await?, case, number).await?;
    found.as_ref().map(open_revision).transpose()
}

fn slip_of<'a>(
    revision: &'a Revision,
    document: &'a Document,
    paper: Option<Paper>,
    record: Option<&'a RecordMark>,
) -> SlipOf<'a> {
    let signature: (&Signature, &str) = (&revision.signature, &revision.hash);
    SlipOf {
        document,
        signature: Some(signature),
        paper: paper.unwrap_or(document.paper),
        record,
    }
}

fn write_slip(
    content: &SlipContent,
    document: &Document,
    created: Moment,
    language: Option<&'static str>,
) -> Result<Vec<u8>, AppError> {
    let meta = papers::Meta {
        title: format!(
            "{} {} {}",
            content.title, content.case_number, content.revision
        ),
        author: document.office.name.clone(),
        created,
        language,
    };
    write(&papers::lay_out(content), &meta)
}

fn write_sheet(words: &Sheet, document: &Document, created: Moment) -> Result<Vec<u8>, AppError> {
    let meta = papers::Meta {
        title: format!("{}, case {}", words.top.title, words.top.case),
        author: document.office.name.clone(),
        created,
        language: Some(LANGUAGE),
    };
    write(&papers::lay_out_sheet(words), &meta)
}

fn write(pages: &[papers::Page], meta: &papers::Meta) -> Result<Vec<u8>, AppError> {
    papers::write(pages, meta).map_err(|error| AppError::Inner(error.to_string()))
}
