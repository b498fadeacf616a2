//! Papers as PDF.

use super::error::WebError;
use super::extract::{At, At2, On, Query, SignedIn};
use super::frame::pdf;
use super::sheet_pictures::sheet_page;
use super::sign::shown_before;
use crate::app::case_papers::CasePaperKind;
use crate::app::case_work::CaseWork;
use crate::app::day_list::{ListDays, day_list_pdf};
use crate::app::key_sheet::key_sheet_pdf;
use crate::app::see_case::SeenRevision;
use crate::app::{
    App, AppError, Person, case_papers, draft_front, picture_paper, print_sheet, receive, see_case,
    sign, spare_card,
};
use crate::domain::custody::OutOfForce;
use crate::domain::custody::handoff::Handoff;
use crate::domain::people::party::Paper;
use crate::domain::values::ids::{AccountId, CaseNumber, HandoffId, Tag};
use axum::extract::State;
use axum::http::{HeaderValue, header};
use axum::response::{IntoResponse, Response};

fn svg(picture: String) -> Response {
    let kind = HeaderValue::from_static("image/svg+xml");
    ([(header::CONTENT_TYPE, kind)], picture).into_response()
}

/// The paper asked for in the address, or none.
fn paper(query: &Query) -> Result<Option<Paper>, WebError> {
    match query.text("paper") {
        "" => Ok(None),
        word => Ok(Some(Paper::from_word(word).ok_or(AppError::NotFound)?)),
    }
}

/// What stands against a revision, unless its paper is wanted as it was printed, to be compared.
fn out<'a>(query: &Query, seen: &'a SeenRevision) -> Result<Option<&'a OutOfForce>, WebError> {
    match query.text("as") {
        "" => Ok(seen.out.as_ref()),
        "printed" => Ok(None),
        _ => Err(AppError::NotFound.into()),
    }
}

/// The sheet of a signed revision; the long slip of one that was signed before there was the sheet. A copy of what is
/// out of force says so on each page.
pub async fn slip(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    At2(number, revision): At2<CaseNumber, i64>,
    query: Query,
) -> Result<Response, WebError> {
    let seen = see_case::revision_to_print(&app, &person, &number, revision).await?;
    let (out, paper) = (out(&query, &seen)?, paper(&query)?);
    let bytes = print_sheet::slip_pdf(&app, &seen, paper, out).await?;
    let word = print_sheet::copy_word(out);
    let name = format!("slip-{}-{revision}{word}.pdf", number.as_str());
    Ok(pdf(&name, bytes))
}

/// Everything that was signed, word for word.
pub async fn full_text(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    At2(number, revision): At2<CaseNumber, i64>,
    query: Query,
) -> Result<Response, WebError> {
    let seen = see_case::revision_to_print(&app, &person, &number, revision).await?;
    let (out, paper) = (out(&query, &seen)?, paper(&query)?);
    let size = paper.unwrap_or(seen.document.paper);
    // Asked for as it was printed, it says what was signed and nothing else.
    let beside = match query.text("as") {
        "printed" => None,
        _ => picture_paper::beside(&app, &seen.work, size).await?,
    };
    let bytes = print_sheet::full_text_pdf(&app, &seen, paper, (out, beside)).await?;
    let word = print_sheet::copy_word(out);
    let name = format!("text-{}-{revision}{word}.pdf", number.as_str());
    Ok(pdf(&name, bytes))
}

/// The draft as a sheet that nobody has signed.
pub async fn draft_slip(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    At(number): At<CaseNumber>,
    query: Query,
) -> Result<Response, WebError> {
    let bytes = print_sheet::draft_pdf(&app, &person, &number, paper(&query)?).await?;
    Ok(pdf(&format!("draft-{}.pdf", number.as_str()), bytes))
}

/// The front of the sheet of a signed revision as a picture, for the page of its case; or the page that is asked for,
/// counted from 1.
pub async fn front(on: On<(CaseNumber, i64)>) -> Result<Response, WebError> {
    let (app, (number, revision)) = (&on.app, &on.at);
    let seen = see_case::see_revision(app, &on.person, number, *revision).await?;
    let out = seen.out.as_ref();
    let asked = on.query.text("page").parse::<usize>().ok();
    let picture = match asked.and_then(|page| page.checked_sub(1)) {
        Some(page) if seen.document.sheet != 0 => {
            let sheet = print_sheet::sheet_of(app, &seen, None).await?;
            sheet_page(&sheet, out, page).ok_or(AppError::NotFound)?
        }
        _ => print_sheet::front(app, &seen, out).await?,
    };
    Ok(svg(picture))
}

/// The front of the draft's sheet as a picture, for the page beside it; or a page, counted from 1, of the very text that
/// is read before it is signed.
pub async fn draft_front(on: On<CaseNumber>) -> Result<Response, WebError> {
    let (app, person, number) = (&on.app, &on.person, &on.at);
    let asked = on.query.text("page").parse::<usize>().ok();
    let picture = match (
        asked.and_then(|page| page.checked_sub(1)),
        shown_before(&on.query),
    ) {
        (Some(page), Some(shown)) => {
            let proposal = sign::propose_again(app, person, number, shown).await?;
            let sheet = print_sheet::draft_sheet(&proposal, None);
            sheet_page(&sheet, None, page).ok_or(AppError::NotFound)?
        }
        _ => draft_front::draft_front(app, person, number).await?,
    };
    Ok(svg(picture))
}

/// The whole history of a case.
pub async fn custody_sheet(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    At(number): At<CaseNumber>,
    query: Query,
) -> Result<Response, WebError> {
    let view = see_case::see(&app, &person, &number).await?;
    let with_ribbon = query.text("ribbon") == "yes";
    let paper = paper(&query)?.unwrap_or_else(|| person.paper());
    let bytes = see_case::custody_pdf(&app, &view, paper, with_ribbon).await?;
    Ok(pdf(&format!("custody-{}.pdf", number.as_str()), bytes))
}

/// A paper about a case, named after what it is.
async fn case_paper(
    on: On<CaseNumber>,
    kind: CasePaperKind,
    name: &str,
) -> Result<Response, WebError> {
    let which = (kind, paper(&on.query)?);
    let bytes = case_papers::pdf(&on.app, &on.person, &on.at, which).await?;
    Ok(pdf(&format!("{name}-{}.pdf", on.at.as_str()), bytes))
}

/// What was done, for the invoice: the lab's own.
pub async fn done(on: On<CaseNumber>) -> Result<Response, WebError> {
    case_paper(on, CasePaperKind::Done, "done").await
}

/// Materials and lots of a case.
pub async fn materials(on: On<CaseNumber>) -> Result<Response, WebError> {
    case_paper(on, CasePaperKind::Materials, "materials").await
}

/// The statement for a custom-made device.
pub async fn statement(on: On<CaseNumber>) -> Result<Response, WebError> {
    case_paper(on, CasePaperKind::Statement, "statement").await
}

/// The pictures of a case that print with its prescription.
pub async fn pictures(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    At(number): At<CaseNumber>,
) -> Result<Response, WebError> {
    let bytes = picture_paper::pictures_pdf(&app, &person, &number).await?;
    Ok(pdf(&format!("pictures-{}.pdf", number.as_str()), bytes))
}

/// A handoff with its case; what was taken back travels no more, and has no papers.
async fn travelling(
    app: &App,
    person: &Person,
    id: &HandoffId,
) -> Result<(CaseWork, Handoff), WebError> {
    let found = receive::see(app, person, id).await?;
    match found.1.voided {
        Some(_) => Err(AppError::NotFound.into()),
        None => Ok(found),
    }
}

/// The note that travels in the parcel of a handoff.
pub async fn parcel_note(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    At(id): At<HandoffId>,
) -> Result<Response, WebError> {
    let (work, handoff) = travelling(&app, &person, &id).await?;
    let address = &app.settings.address;
    let bytes = see_case::parcel_note_pdf(&app, &work, &handoff, person.paper(), address).await?;
    Ok(pdf(
        &format!("parcel-{}.pdf", work.case.number.as_str()),
        bytes,
    ))
}

/// What is stuck on the outside of the parcels of a handoff.
pub async fn outside_label(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    At(id): At<HandoffId>,
) -> Result<Response, WebError> {
    let (work, handoff) = travelling(&app, &person, &id).await?;
    let bytes = see_case::outside_label_pdf(&app, &work, &handoff, person.paper()).await?;
    Ok(pdf("parcel-outside.pdf", bytes))
}

/// The card that the patient keeps with a spare.
pub async fn spare_card(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    At(tag): At<Tag>,
) -> Result<Response, WebError> {
    let (work, item) = see_case::see_item(&app, &person, &tag).await?;
    let bytes = spare_card::pdf(&app, &person, &work, &item).await?;
    Ok(pdf(&format!("card-{}.pdf", tag.as_str()), bytes))
}

/// What is to be done today, or in the next seven days.
pub async fn day_list(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    query: Query,
) -> Result<Response, WebError> {
    let span = match query.text("for") {
        "week" => ListDays::Week,
        _ => ListDays::Today,
    };
    let whose = Some(query.text("technician")).filter(|id| !id.is_empty());
    let whose = whose.map(AccountId::new);
    let asked = (span, whose.as_ref());
    let bytes = day_list_pdf(&app, &person, asked, paper(&query)?).await?;
    Ok(pdf("day-list.pdf", bytes))
}

/// The office's codes, with room for the names that are written by hand.
pub async fn key_sheet(
    State(app): State<App>,
    SignedIn(person): SignedIn,
) -> Result<Response, WebError> {
    Ok(pdf("key-sheet.pdf", key_sheet_pdf(&app, &person).await?))
}
