//! Where things are: the first page, the long list behind a column, the scan box, and the heartbeat.

use super::error::WebError;
use super::extract::{At, Query, Signed};
use super::frame::{Frame, page, page_with, see_other};
use crate::app::board::{self, COLUMN_CASES, COUNT_MOST, LIST_CASES};
use crate::app::find::{self, Found};
use crate::app::{App, AppError, Person};
use crate::domain::custody::case::{Case, Place};
use crate::domain::people::access::Permission;
use crate::domain::people::party::Side;
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};

/// A case as a card of a column.
#[derive(Debug, Clone, Template)]
#[template(path = "partials/card.html")]
pub struct Card {
    pub number: String,
    pub path: String,
    pub patient: String,
    pub summary: String,
    pub due: String,
    pub late: bool,
    /// Something lent is due back then; empty where nothing is.
    pub lent: String,
    pub lent_late: bool,
    pub held: String,
    pub waiting_for: String,
    /// Whether the next step is one's own.
    pub mine: bool,
}

impl Card {
    pub fn new(case: &Case, side: Side, today: &str) -> Card {
        Card {
            number: case.number.to_string(),
            path: format!("/cases/{}", case.number.as_str()),
            patient: case.patient.to_string(),
            summary: case.summary.clone(),
            late: !case.due.is_empty() && case.due.as_str() < today && case.place != Place::Patient,
            due: case.due.clone(),
            lent: case.lent_due.clone(),
            lent_late: !case.lent_due.is_empty() && case.lent_due.as_str() <= today,
            held: case.held.clone(),
            waiting_for: case.waiting_for.clone(),
            mine: case.waits_for(side),
        }
    }
}

pub struct ColumnView {
    pub title: &'static str,
    pub word: &'static str,
    pub count: String,
    pub cards: Vec<Card>,
    pub more: bool,
}

#[derive(Template)]
#[template(path = "home.html")]
pub struct HomePage {
    pub frame: Frame,
    pub columns: Vec<ColumnView>,
    pub is_office: bool,
    pub is_empty: bool,
}

fn count_words(count: i64) -> String {
    if count >= COUNT_MOST {
        format!("{} and more", COUNT_MOST - 1)
    } else {
        count.to_string()
    }
}

pub async fn page_of_columns(app: &App, person: &Person) -> Result<HomePage, WebError> {
    let side = board::side(person)?;
    let today = person.moment(app.outside.now_ms()).day();
    let columns: Vec<ColumnView> = board::board(app, person)
        .await?
        .iter()
        .map(|column| ColumnView {
            title: column.place.shown(),
            word: column.place.word(),
            count: count_words(column.count),
            more: column.count > COLUMN_CASES,
            cards: column
                .cases
                .iter()
                .map(|case| Card::new(case, side, &today))
                .collect(),
        })
        .collect();
    Ok(HomePage {
        frame: Frame::new(app, person, "Where things are", "/"),
        is_office: side == Side::Office,
        is_empty: columns.iter().all(|column| column.cards.is_empty()),
        columns,
    })
}

pub async fn home(State(app): State<App>, Signed(person): Signed) -> Result<Response, WebError> {
    if !person.may(Permission::ReadCases) {
        return Ok(see_other("/parties"));
    }
    page(&page_of_columns(&app, &person).await?)
}

#[derive(Template)]
#[template(path = "column.html")]
pub struct ColumnPage {
    pub frame: Frame,
    pub cards: Vec<Card>,
    pub before: Option<String>,
    pub after: Option<String>,
}

pub async fn column(
    State(app): State<App>,
    Signed(person): Signed,
    At(place): At<String>,
    query: Query,
) -> Result<Response, WebError> {
    let place = Place::from_word(&place).ok_or(AppError::NotFound)?;
    let number: i64 = query.text("page").parse().unwrap_or(0).clamp(0, 100_000);
    let side = board::side(&person)?;
    let today = person.moment(app.outside.now_ms()).day();
    let cases = board::column(&app, &person, place, number).await?;
    let link = |number: i64| format!("/where/{}?page={number}", place.word());
    let is_full = i64::try_from(cases.len()).unwrap_or(0) == LIST_CASES;
    page(&ColumnPage {
        frame: Frame::new(&app, &person, place.shown(), "/"),
        cards: cases
            .iter()
            .map(|case| Card::new(case, side, &today))
            .collect(),
        before: (number > 0).then(|| link(number - 1)),
        after: is_full.then(|| link(number + 1)),
    })
}

#[derive(Template)]
#[template(path = "find.html")]
pub struct FindPage {
    pub frame: Frame,
    pub typed: String,
    pub message: String,
}

pub async fn find(
    State(app): State<App>,
    Signed(person): Signed,
    query: Query,
) -> Result<Response, WebError> {
    let typed = query.text("q").to_owned();
    match find::find(&app, &person, &typed).await {
        Ok(Found::Case(number)) => Ok(see_other(&format!("/cases/{}", number.as_str()))),
        Ok(Found::Patient(code)) => Ok(see_other(&format!("/patients/{}", code.as_str()))),
        Ok(Found::Item(tag)) => Ok(see_other(&format!("/items/{}", tag.as_str()))),
        Ok(Found::Handoff(id)) => Ok(see_other(&format!("/handoffs/{id}"))),
        Err(AppError::Invalid(faults)) => page_with(
            StatusCode::NOT_FOUND,
            &FindPage {
                frame: Frame::new(&app, &person, "Not found", ""),
                typed,
                message: faults.into_iter().map(|fault| fault.message).collect(),
            },
        ),
        Err(other) => Err(other.into()),
    }
}

/// Whether the program and its database answer.
pub async fn healthz(State(app): State<App>) -> Response {
    match app.store.ping().await {
        Ok(()) => (StatusCode::OK, "ok\n").into_response(),
        Err(error) => {
            tracing::error!(%error, "health check");
            (
                StatusCode::SERVICE_UNAVAILABLE,
                "the database does not answer\n",
            )
                .into_response()
        }
    }
}
