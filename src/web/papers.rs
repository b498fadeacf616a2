//! Papers as PDF.

use super::error::WebError;
use super::extract::{At, At2, Query, Signed};
use super::frame::pdf;
use crate::app::{App, AppError, add_patient, receive, record_mark, see_case};
use crate::domain::people::party::Paper;
use crate::domain::values::ids::CaseNumber;
use crate::papers::{Meta, key_sheet as sheet, write};
use axum::extract::State;
use axum::response::Response;

/// The paper asked for in the address, or none.
fn paper(query: &Query) -> Result<Option<Paper>, WebError> {
    match query.text("paper") {
        "" => Ok(None),
        word => Ok(Some(Paper::from_word(word).ok_or(AppError::NotFound)?)),
    }
}

pub async fn slip(
    State(app): State<App>,
    Signed(person): Signed,
    At2(number, revision): At2<CaseNumber, i64>,
    query: Query,
) -> Result<Response, WebError> {
    let seen = see_case::see_revision(&app, &person, &number, revision).await?;
    let bytes = see_case::slip_pdf(&app, &seen.revision, &seen.document, paper(&query)?).await?;
    Ok(pdf(
        &format!("slip-{}-{revision}.pdf", number.as_str()),
        bytes,
    ))
}

pub async fn draft_slip(
    State(app): State<App>,
    Signed(person): Signed,
    At(number): At<CaseNumber>,
    query: Query,
) -> Result<Response, WebError> {
    let bytes = see_case::draft_pdf(&app, &person, &number, paper(&query)?).await?;
    Ok(pdf(&format!("draft-{}.pdf", number.as_str()), bytes))
}

pub async fn custody_sheet(
    State(app): State<App>,
    Signed(person): Signed,
    At(number): At<CaseNumber>,
) -> Result<Response, WebError> {
    let view = see_case::see(&app, &person, &number).await?;
    let bytes = see_case::custody_pdf(&app, &view.work, person.paper()).await?;
    Ok(pdf(&format!("custody-{}.pdf", number.as_str()), bytes))
}

pub async fn parcel_note(
    State(app): State<App>,
    Signed(person): Signed,
    At(id): At<String>,
) -> Result<Response, WebError> {
    let (work, handoff) = receive::see(&app, &person, &id).await?;
    let address = &app.settings.address;
    let bytes = see_case::parcel_note_pdf(&app, &work, &handoff, person.paper(), address).await?;
    Ok(pdf(
        &format!("box-{}.pdf", work.case.number.as_str()),
        bytes,
    ))
}

/// Rows left for codes that are drawn later.
const BLANK_ROWS: usize = 8;

pub async fn key_sheet(
    State(app): State<App>,
    Signed(person): Signed,
) -> Result<Response, WebError> {
    let cards = add_patient::list(&app, &person, 0).await?;
    let content = sheet::KeySheet {
        paper: person.paper(),
        office: person
            .party
            .as_ref()
            .map(|party| party.name.clone())
            .unwrap_or_default(),
        codes: cards.iter().map(|card| card.code.to_string()).collect(),
        blank_rows: BLANK_ROWS,
        record: record_mark::now(&app).await?,
    };
    // The newest code dates the sheet, so that the same codes give the same file.
    let newest = cards
        .iter()
        .map(|card| card.made_ms)
        .max()
        .unwrap_or_default();
    let meta = Meta {
        title: "Key sheet".to_owned(),
        author: content.office.clone(),
        created: person.moment(newest),
    };
    let bytes = write(&sheet::lay_out(&content), &meta)
        .map_err(|error| AppError::Inner(error.to_string()))?;
    Ok(pdf("key-sheet.pdf", bytes))
}
