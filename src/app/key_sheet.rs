//! The key sheet of an office: its patients' codes on paper, beside which somebody writes the names by hand.

use super::health::refuse_if_forked;
use super::recorded::reference::hold;
use super::{App, AppError, Person, add_patient, counted, record_mark};
use crate::papers::key_sheet::{KeySheet, lay_out};
use crate::papers::{Meta, write};
use crate::store::reference::ReferenceData;

/// Rows left for codes that are drawn later.
const BLANK_ROWS: usize = 8;

/// What the sheet says of cards that are in no list; nothing where there is none.
fn missing_words(gone: &str) -> String {
    match gone {
        "" => String::new(),
        gone => format!("{gone} Not all codes of this office stand below."),
    }
}

/// The newest codes of one's own office as PDF.
pub async fn key_sheet_pdf(app: &App, person: &Person) -> Result<Vec<u8>, AppError> {
    refuse_if_forked(app).await?;
    let mut conn = app.store.read_at_once().await?;
    let _held = hold(app, &mut conn, ReferenceData::Party, person.party_id()).await?;
    drop(conn);
    counted::look_for_cards(app, person.party_id()).await?;
    let cards = add_patient::newest_codes(app, person).await?;
    let office = person.party.as_ref().map(|party| party.name.clone());
    let content = KeySheet {
        paper: person.paper(),
        office: office.unwrap_or_default(),
        codes: cards.iter().map(|(code, _)| code.to_string()).collect(),
        missing: missing_words(&counted::cards_gone_words(app, person.party_id())),
        blank_rows: BLANK_ROWS,
        record: record_mark::now(app).await?,
    };
    // The newest code dates the sheet, so that the same codes give the same file.
    let newest = cards.iter().map(|(_, made_ms)| *made_ms).max();
    let meta = Meta {
        title: "Key sheet".to_owned(),
        author: content.office.clone(),
        created: person.moment(newest.unwrap_or_default()),
        language: Some(crate::papers::LANGUAGE),
    };
    write(&lay_out(&content), &meta).map_err(|error| AppError::Inner(error.to_string()))
}
