//! How the work of a house went by month, what lies in the house, and both as files for a spreadsheet.

mod chart;
mod files;
mod house;
mod page;
mod words;

pub use house::{in_house, in_house_csv};

use self::page::ReportPage;
use super::error::WebError;
use super::extract::{Query, SignedIn};
use super::frame::{csv, page_with};
use crate::app::{App, AppError, Person, done_steps, doubted, reports};
use crate::domain::report::month::CalendarMonth;
use crate::domain::report::tally::MonthTally;
use crate::domain::values::ids::CaseNumber;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use std::collections::BTreeMap;

/// The month that is asked for: this one where none is. None where it is no month.
fn asked(app: &App, person: &Person, query: &Query) -> Option<CalendarMonth> {
    match query.text("month") {
        "" => Some(reports::this_month(app, person)),
        text => CalendarMonth::from_word(text),
    }
}

/// Answers with a month.
pub async fn month(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    query: Query,
) -> Result<Response, WebError> {
    let asked = asked(&app, &person, &query);
    let shown = asked.unwrap_or(reports::this_month(&app, &person));
    let tally = reports::month(&app, &person, shown).await?;
    let wrong = asked.is_none().then(|| query.text("month").to_owned());
    let status = match wrong {
        Some(_) => StatusCode::UNPROCESSABLE_ENTITY,
        None => StatusCode::OK,
    };
    let report = ReportPage {
        other_clock: doubted::clock_words(&app, &person).await?,
        unlisted: doubted::taken_away_words(&app, &person).await?,
        ..ReportPage::of(&app, &person, shown, &tally, wrong)?
    };
    page_with(status, &report)
}

/// The houses of the returns, where the file names them.
async fn houses(
    (app, person): (&App, &Person),
    table: files::ReportTable,
    tally: &MonthTally,
) -> Result<BTreeMap<CaseNumber, String>, AppError> {
    match table {
        files::ReportTable::Returns => reports::houses_of(app, person, tally).await,
        _ => Ok(BTreeMap::new()),
    }
}

/// In place of a table: the lab's own list of steps.
const DONE: &str = "done";

async fn done_csv(app: &App, person: &Person, month: CalendarMonth) -> Result<Response, WebError> {
    let steps = done_steps::of_month(app, person, month).await?;
    let name = format!("{DONE}-{}.csv", month.word());
    Ok(csv(&name, files::done(&steps)))
}

/// Answers with one table of a month as a file.
pub async fn month_csv(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    query: Query,
) -> Result<Response, WebError> {
    let month = asked(&app, &person, &query).ok_or(AppError::NotFound)?;
    let table = match query.text("table") {
        DONE => return done_csv(&app, &person, month).await,
        "" => files::ReportTable::Returns,
        word => files::ReportTable::from_word(word).ok_or(AppError::NotFound)?,
    };
    let tally = reports::month_for_file(&app, &person, month).await?;
    let name = format!("{}-{}.csv", table.word(), month.word());
    let houses = houses((&app, &person), table, &tally).await?;
    Ok(csv(&name, files::file(table, &tally, &houses)))
}
