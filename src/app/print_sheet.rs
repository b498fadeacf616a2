//! The prescription on paper: the sheet, or the long slip of a text that was signed before there was one, and the
//! full text.

use super::health::refuse_if_forked;
use super::picture_paper::PicturesBeside;
use super::record_mark;
use super::recorded::{about_revision, find_revision};
use super::sign::{Proposal, open_revision, propose};
use super::{App, AppError, Person};
use crate::domain::custody::OutOfForce;
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

/// The paper of a signed revision as PDF: the same revision and paper give the same bytes, since of the record
/// it tells only what was there when it was signed, and the revision before it is as fixed as its own. A copy of
/// what is out of force bears the mark of that, and is the same for the same standing; without `out` it is as it was
/// printed.
pub async fn slip_pdf(
    app: &App,
    revision: &Revision,
    document: &Document,
    paper: Option<Paper>,
    out: Option<&OutOfForce>,
) -> Result<Vec<u8>, AppError> {
    refuse_if_forked(app).await?;
    if document.sheet == 0 {
        let mark = mark(app, revision).await?;
        let content = slip(&slip_of(revision, document, paper, mark.as_ref()));
        return write_slip(
            (&content, None),
            document,
            (revision.signature.at, None),
            out,
        );
    }
    let words = sheet_of(app, revision, document, paper).await?;
    write_sheet(&words, document, revision.signature.at, out)
}

/// The front of the sheet of a signed revision as a picture; none of a text that was signed before there was the
/// sheet.
pub async fn front(
    app: &App,
    revision: &Revision,
    document: &Document,
    out: Option<&OutOfForce>,
) -> Result<String, AppError> {
    if document.sheet == 0 {
        return Err(AppError::NotFound);
    }
    let pages = sheet_pages(&sheet_of(app, revision, document, None).await?, out);
    let front = pages.first().ok_or(AppError::NotFound)?;
    Ok(write_svg(front, "Front of the sheet"))
}

/// The pages of a sheet, marked where they are out of force.
pub fn sheet_pages(words: &Sheet, out: Option<&OutOfForce>) -> Vec<papers::Page> {
    copy(papers::lay_out_sheet(words), out)
}

/// The pages as a copy that says what stands against it.
pub fn copy(pages: Vec<papers::Page>, out: Option<&OutOfForce>) -> Vec<papers::Page> {
    match out {
        Some(out) => papers::marked(pages, out),
        None => pages,
    }
}

/// What the file of a marked copy is called beside its number; nothing of a paper that is in force.
pub fn copy_word(out: Option<&OutOfForce>) -> String {
    out.map_or_else(String::new, |out| {
        format!("-{}", out.word().replace(' ', "-"))
    })
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

/// Every field, the law, the score and the fingerprint of a signed revision, to be read. `beside` is what lies with the
/// case and was not signed: without it, and without `out`, it is as it was printed.
pub async fn full_text_pdf(
    app: &App,
    revision: &Revision,
    document: &Document,
    paper: Option<Paper>,
    (out, beside): (Option<&OutOfForce>, Option<PicturesBeside>),
) -> Result<Vec<u8>, AppError> {
    refuse_if_forked(app).await?;
    let mark = mark(app, revision).await?;
    let mut content = full_text(&slip_of(revision, document, paper, mark.as_ref()));
    let (section, behind) = beside.map(|one| (one.section, one.pages)).unzip();
    content.beside = section;
    let made = (revision.signature.at, Some(LANGUAGE));
    write_slip((&content, behind), document, made, out)
}

/// The draft on paper: DRAFT across every page, and no signature.
pub async fn draft_pdf(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    paper: Option<Paper>,
) -> Result<Vec<u8>, AppError> {
    refuse_if_forked(app).await?;
    let proposal = propose(app, person, number).await?;
    if let Some(doubt) = &proposal.doubt {
        return Err(doubt.refused());
    }
    let document = &proposal.document;
    write_sheet(
        &draft_sheet(&proposal, paper),
        document,
        document.issued,
        None,
    )
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

pub(super) async fn mark(app: &App, revision: &Revision) -> Result<Option<RecordMark>, AppError> {
    let about = about_revision(&revision.case, revision.number);
    record_mark::after(app, LeafKind::Revision, &[about]).await
}

/// The text of an earlier revision, if there is one.
async fn before(app: &App, case: &CaseNumber, number: i64) -> Result<Option<Document>, AppError> {
    let found = find_revision(app, &mut *app.store.read().await?, case, number).await?;
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
    (content, behind): (&SlipContent, Option<Vec<papers::Page>>),
    document: &Document,
    (created, language): (Moment, Option<&'static str>),
    out: Option<&OutOfForce>,
) -> Result<Vec<u8>, AppError> {
    let (title, number) = (&content.title, &content.case_number);
    let meta = papers::Meta {
        title: titled(format!("{title} {number} {}", content.revision), out),
        author: document.office.name.clone(),
        created,
        language,
    };
    let pages = papers::lay_out(content).into_iter();
    let pages = pages.chain(behind.into_iter().flatten()).collect();
    write(&copy(pages, out), &meta)
}

/// A window that shows a copy says in its title what it is.
fn titled(title: String, out: Option<&OutOfForce>) -> String {
    match out {
        Some(out) => format!("{title} ({})", out.word()),
        None => title,
    }
}

pub(super) fn write_sheet(
    words: &Sheet,
    document: &Document,
    created: Moment,
    out: Option<&OutOfForce>,
) -> Result<Vec<u8>, AppError> {
    let title = format!("{}, case {}", words.top.title, words.top.case);
    let meta = papers::Meta {
        title: titled(title, out),
        author: document.office.name.clone(),
        created,
        language: Some(LANGUAGE),
    };
    write(&sheet_pages(words, out), &meta)
}

fn write(pages: &[papers::Page], meta: &papers::Meta) -> Result<Vec<u8>, AppError> {
    papers::write(pages, meta).map_err(|error| AppError::Inner(error.to_string()))
}
