//! The prescription on paper: the sheet, or the long slip of a text that was signed before there was one, and the
//! full text.

use super::case_work::CaseWork;
use super::health::refuse_if_forked;
use super::picture_paper::PicturesBeside;
use super::record_mark;
use super::recorded::about_revision;
use super::see_case::{SeenRevision, case_named, revision_of};
use super::sign::{Proposal, propose};
use super::{App, AppError, Person};
use crate::domain::custody::OutOfForce;
use crate::domain::people::party::{Paper, Side};
use crate::domain::prescription::revision::{Document, Signature};
use crate::domain::values::ids::CaseNumber;
use crate::domain::values::moment::Moment;
use crate::papers::content::SlipContent;
use crate::papers::record_mark::RecordMark;
use crate::papers::sheet::{Sheet, SheetOf, sheet};
use crate::papers::slip_of::{SlipOf, full_text, slip};
use crate::papers::svg::write_svg;
use crate::papers::{self, LANGUAGE};
use crate::record::entry::LeafKind;
use crate::store::cases;

/// The paper of a signed revision as PDF: the same revision and paper give the same bytes, since of the record
/// it tells only what was there when it was signed, and the revision before it is as fixed as its own. A copy of
/// what is out of force bears the mark of that, and is the same for the same standing; without `out` it is as it was
/// printed. Whoever asks has looked whether the record is the signed one, and then read.
pub async fn slip_pdf(
    app: &App,
    seen: &SeenRevision,
    paper: Option<Paper>,
    out: Option<&OutOfForce>,
) -> Result<Vec<u8>, AppError> {
    let (document, signed_at) = (&seen.document, seen.revision.signature.at);
    if document.sheet == 0 {
        let mark = mark(app, seen).await?;
        let content = slip(&slip_of(seen, paper, mark.as_ref()));
        return write_slip((&content, None), document, (signed_at, None), out);
    }
    let words = sheet_of(app, seen, paper).await?;
    write_sheet(&words, document, signed_at, out)
}

/// The slip of a case for the command line, where whoever runs it holds the database itself: marked where it is out
/// of force, unless it is wanted as it was printed.
pub async fn slip_for(
    app: &App,
    typed: &str,
    revision: Option<i64>,
    paper: Option<&str>,
    as_printed: bool,
) -> Result<Vec<u8>, AppError> {
    let paper = match paper {
        None => None,
        Some(word) => Some(Paper::from_word(&word.to_lowercase()).ok_or_else(|| {
            AppError::Refused(vec![format!("{word} is no paper size: write a4 or letter")])
        })?),
    };
    let number = case_named(app, typed).await?.number;
    refuse_if_forked(app).await?;
    let mut conn = app.store.read_at_once().await?;
    let case = cases::find_case(&mut conn, &number).await?;
    let case = case.ok_or(AppError::NotFound)?;
    let wanted = revision.unwrap_or(case.revision);
    let newest = case.revision;
    let work = CaseWork::of(app, &mut conn, case, Side::Office).await?;
    work.hold(app, &mut conn).await?;
    drop(conn);
    if work.signed.of(wanted).is_none() {
        return Err(AppError::Refused(vec![match newest {
            0 => format!("case {number} has no signed revision yet"),
            newest => format!("case {number} has revisions 1 to {newest}, and no {wanted}"),
        }]));
    }
    let seen = revision_of(work, wanted)?;
    let out = seen.out.as_ref().filter(|_| !as_printed);
    slip_pdf(app, &seen, paper, out).await
}

/// The front of the sheet of a signed revision as a picture; none of a text that was signed before there was the
/// sheet.
pub async fn front(
    app: &App,
    seen: &SeenRevision,
    out: Option<&OutOfForce>,
) -> Result<String, AppError> {
    if seen.document.sheet == 0 {
        return Err(AppError::NotFound);
    }
    let pages = sheet_pages(&sheet_of(app, seen, None).await?, out);
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
    seen: &SeenRevision,
    paper: Option<Paper>,
) -> Result<Sheet, AppError> {
    let mark = mark(app, seen).await?;
    let document = &seen.document;
    Ok(sheet(&SheetOf {
        document,
        before: seen.before.as_ref(),
        signature: Some(&seen.revision.signature),
        paper: paper.unwrap_or(document.paper),
        record: mark.as_ref(),
    }))
}

/// Every field, the law, the score and the fingerprint of a signed revision, to be read. `beside` is what lies with the
/// case and was not signed: without it, and without `out`, it is as it was printed. As of the sheet, whoever asks has
/// looked before.
pub async fn full_text_pdf(
    app: &App,
    seen: &SeenRevision,
    paper: Option<Paper>,
    (out, beside): (Option<&OutOfForce>, Option<PicturesBeside>),
) -> Result<Vec<u8>, AppError> {
    let mark = mark(app, seen).await?;
    let mut content = full_text(&slip_of(seen, paper, mark.as_ref()));
    let (section, behind) = beside.map(|one| (one.section, one.pages)).unzip();
    content.beside = section;
    let made = (seen.revision.signature.at, Some(LANGUAGE));
    write_slip((&content, behind), &seen.document, made, out)
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

pub(super) async fn mark(app: &App, seen: &SeenRevision) -> Result<Option<RecordMark>, AppError> {
    if let Some(entry) = seen.entry {
        return record_mark::with(app, entry).await.map(Some);
    }
    let about = about_revision(&seen.revision.case, seen.revision.number);
    record_mark::after(app, LeafKind::Revision, &[about]).await
}

fn slip_of<'a>(
    seen: &'a SeenRevision,
    paper: Option<Paper>,
    record: Option<&'a RecordMark>,
) -> SlipOf<'a> {
    let signature: (&Signature, &str) = (&seen.revision.signature, &seen.revision.hash);
    SlipOf {
        document: &seen.document,
        signature: Some(signature),
        paper: paper.unwrap_or(seen.document.paper),
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
