//! Where things are: the first page, the long list behind a column, the scan box, and the heartbeat.

use super::error::WebError;
use super::extract::{At, Query, Signed};
use super::frame::{Frame, page, page_with, see_other};
use crate::app::board::{self, BoardColumn, Card};
use crate::app::find::{self, Destination};
use crate::app::{App, AppError, Outage, Person, health};
use crate::domain::custody::case::Place;
use crate::domain::people::access::Permission;
use crate::domain::people::party::Side;
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};

/// A case as a card, with the address of its page.
#[derive(Template)]
#[template(path = "partials/card.html")]
pub struct CardView {
    pub path: String,
    pub card: Card,
}

fn linked(cards: Vec<Card>) -> Vec<CardView> {
    let linked = |card: Card| CardView {
        path: format!("/cases/{}", card.number.as_str()),
        card,
    };
    cards.into_iter().map(linked).collect()
}

/// A column of the first page.
pub struct ColumnView {
    pub title: &'static str,
    pub word: &'static str,
    pub count: String,
    pub cards: Vec<CardView>,
    pub more: bool,
}

/// The first page of an office or a lab.
#[derive(Template)]
#[template(path = "home.html")]
pub struct HomePage {
    pub frame: Frame,
    pub columns: Vec<ColumnView>,
    pub is_office: bool,
    pub is_empty: bool,
}

async fn home_page(app: &App, person: &Person) -> Result<HomePage, WebError> {
    let view = |column: &BoardColumn| {
        Ok(ColumnView {
            title: column.place.shown(),
            word: column.place.word(),
            count: column.count_words(),
            more: column.has_more(),
            cards: linked(board::cards(app, person, &column.cases)?),
        })
    };
    let columns = board::board(app, person).await?;
    let columns: Result<Vec<ColumnView>, AppError> = columns.iter().map(view).collect();
    let columns = columns?;
    Ok(HomePage {
        frame: Frame::new(app, person, "Where things are", "/"),
        is_office: board::side(person)? == Side::Office,
        is_empty: columns.iter().all(|column| column.cards.is_empty()),
        columns,
    })
}

/// Answers with the cases, or leads an administrator to the parties.
pub async fn home(State(app): State<App>, Signed(person): Signed) -> Result<Response, WebError> {
    if !person.may(Permission::ReadCases) {
        return Ok(see_other("/parties"));
    }
    page(&home_page(&app, &person).await?)
}

/// A part of the long list behind a column.
#[derive(Template)]
#[template(path = "column.html")]
pub struct ColumnPage {
    pub frame: Frame,
    pub cards: Vec<CardView>,
    pub before: Option<String>,
    pub after: Option<String>,
}

/// Answers with a part of the list of all cases that stand in a place.
pub async fn column(
    State(app): State<App>,
    Signed(person): Signed,
    At(place): At<String>,
    query: Query,
) -> Result<Response, WebError> {
    let place = Place::from_word(&place).ok_or(AppError::NotFound)?;
    let number: i64 = query.text("page").parse().unwrap_or(0).clamp(0, 100_000);
    let (cards, is_full) = board::column(&app, &person, place, number).await?;
    let link = |number: i64| format!("/where/{}?page={number}", place.word());
    page(&ColumnPage {
        frame: Frame::new(&app, &person, place.shown(), "/"),
        cards: linked(cards),
        before: (number > 0).then(|| link(number - 1)),
        after: is_full.then(|| link(number + 1)),
    })
}

/// The page for a code that leads nowhere.
#[derive(Template)]
#[template(path = "find.html")]
pub struct FindPage {
    pub frame: Frame,
    pub typed: String,
    pub message: String,
}

/// The address of what a code names.
fn address(found: Destination) -> String {
    match found {
        Destination::Case(number) => format!("/cases/{}", number.as_str()),
        Destination::Patient(code) => format!("/patients/{}", code.as_str()),
        Destination::Item(tag) => format!("/items/{}", tag.as_str()),
        Destination::Handoff(id) => format!("/handoffs/{id}"),
    }
}

/// Leads to what was typed or scanned, or says why it leads nowhere.
pub async fn find(
    State(app): State<App>,
    Signed(person): Signed,
    query: Query,
) -> Result<Response, WebError> {
    let typed = query.text("q").to_owned();
    match find::find(&app, &person, &typed).await {
        Ok(found) => Ok(see_other(&address(found))),
        Err(AppError::Invalid(faults)) => {
            let view = FindPage {
                frame: Frame::new(&app, &person, "Not found", ""),
                typed,
                message: faults.into_iter().map(|fault| fault.message).collect(),
            };
            page_with(StatusCode::NOT_FOUND, &view)
        }
        Err(other) => Err(other.into()),
    }
}

/// Whether the program can do its work: it tries a write that leaves nothing.
pub async fn healthz(State(app): State<App>) -> Response {
    let (status, words) = match health::probe(&app).await {
        Ok(()) => (StatusCode::OK, "ok\n"),
        Err(Outage::DiskFull) => (StatusCode::SERVICE_UNAVAILABLE, "the disk is full\n"),
        Err(Outage::Gone | Outage::Other) => (
            StatusCode::SERVICE_UNAVAILABLE,
            "the database does not answer\n",
        ),
    };
    (status, words).into_response()
}
