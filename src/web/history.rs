//! The history of a case, and where everything was at a moment.

use super::case_page::linked_items;
use super::error::WebError;
use super::extract::{At, Query, SignedIn, encode};
use super::field::FieldView;
use super::frame::{Frame, page_with};
use super::keys::PAPER;
use super::linked::Linked;
use super::paged::{PAGE, Paged};
use super::parted::Parted;
use crate::app::custody_words::ItemLine;
use crate::app::see_case::{self, CaseView};
use crate::app::see_history::{EntryLine, HistoryView, entries};
use crate::app::{App, Person};
use crate::domain::people::party::Side;
use crate::domain::values::ids::CaseNumber;
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;

/// Every entry of a case, newest first, under the places of its items at a moment.
#[derive(Template)]
#[template(path = "history.html")]
pub struct HistoryPage {
    pub frame: Frame,
    pub number: String,
    pub path_number: String,
    pub day: String,
    pub time: String,
    pub asked: Option<String>,
    pub message: Option<String>,
    pub places: Parted<Linked<ItemLine>>,
    /// What is said of the items behind the fold.
    pub more_places: String,
    pub mouth: Vec<(String, String)>,
    /// The entries as tables, written already.
    pub rows: String,
    /// Whether a prescription is signed, to which work can be made.
    pub is_signed: bool,
    pub is_lab: bool,
    /// Size and root of a paper, for the proof of the whole history.
    pub proof: FieldView,
}

#[derive(Template)]
#[template(path = "partials/history_rows.html")]
struct HistoryRows<'a> {
    path_number: &'a str,
    lines: Parted<EntryLine>,
    paged: Paged,
}

impl HistoryRows<'_> {
    /// What is said of the entries behind the fold: how many, and how far back they go.
    fn earlier_words(&self) -> String {
        let first = self.lines.rest.last();
        let when = first.map(|line| line.description.when.as_str());
        let count = self.lines.rest.len();
        format!(
            "{count} earlier entries, back to {}",
            when.unwrap_or_default()
        )
    }
}

/// Entries and items that stand unfolded.
const ROWS: usize = 4;

/// Entries on one page, with those behind the fold.
const ON_A_PAGE: usize = 120;

/// The address of the history of now, or of the moment that is asked for.
fn address(view: &CaseView, history: &HistoryView<'_>, query: &Query) -> String {
    let path = format!("/cases/{}/history", view.work.case.number.as_str());
    let (day, time) = (query.text("day"), query.text("time"));
    match history.asked.is_some() {
        true => format!("{path}?day={}&time={}", encode(day), encode(time)),
        false => path,
    }
}

/// The entries as tables, the older ones behind a fold; empty where there are none.
async fn written(
    app: &App,
    view: &CaseView,
    history: &HistoryView<'_>,
    query: &Query,
) -> Result<String, WebError> {
    let lines = entries(app, view, history).await?;
    let paged = Paged::of(
        query,
        (lines.len(), ON_A_PAGE),
        &address(view, history, query),
    );
    let rows = HistoryRows {
        path_number: view.work.case.number.as_str(),
        lines: Parted::of(paged.cut(lines), ROWS),
        paged,
    };
    Ok(rows.render()?)
}

/// The newest rows of now are written once and kept with the case, since they are the same for everybody.
async fn rows(
    app: &App,
    view: &CaseView,
    history: &HistoryView<'_>,
    query: &Query,
) -> Result<String, WebError> {
    if history.asked.is_some() || !query.text(PAGE).is_empty() {
        return written(app, view, history, query).await;
    }
    if let Some(rows) = view.history.get() {
        return Ok(rows.clone());
    }
    let rows = written(app, view, history, query).await?;
    Ok(view.history.get_or_init(|| rows).clone())
}

/// What is no more stands behind what is there.
fn in_order(mut places: Vec<Linked<ItemLine>>) -> Parted<Linked<ItemLine>> {
    places.sort_by_key(|item| item.gone);
    Parted::of(places, ROWS)
}

/// What is said of the items behind the fold.
fn more_words(rest: &[Linked<ItemLine>]) -> String {
    let gone = rest.iter().filter(|item| item.gone).count();
    match gone {
        0 => format!("{} more items", rest.len()),
        gone if gone == rest.len() => format!("{gone} more items that are no more"),
        gone => format!("{} more items, {gone} of them no more", rest.len()),
    }
}

/// The page for the moment that the address asks for.
pub async fn history_page(
    app: &App,
    person: &Person,
    view: &CaseView,
    query: &Query,
) -> Result<HistoryPage, WebError> {
    let number = &view.work.case.number;
    let (day, time) = (query.text("day"), query.text("time"));
    let history = HistoryView::at(person, view, day, time);
    let rows = rows(app, view, &history, query).await?;
    let places = in_order(linked_items(history.places));
    let proof = FieldView::text(PAPER, "Size and root from a paper")
        .hint("Empty, or as printed: the file then proves the growth from that paper too.");
    Ok(HistoryPage {
        frame: Frame::of_case(app, person, &view.work, format!("History of {number}"))?
            .done(query.text("done")),
        number: number.to_string(),
        path_number: number.as_str().to_owned(),
        day: day.to_owned(),
        time: time.to_owned(),
        rows,
        is_signed: view.work.case.revision > 0,
        is_lab: view.work.side == Side::Lab,
        asked: history.asked,
        message: history.message,
        more_places: more_words(&places.rest),
        places,
        mouth: history.mouth,
        proof: proof.filled(&query.0, &[]),
    })
}

/// Answers with the history; 422 where the moment cannot be read.
pub async fn history(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    At(number): At<CaseNumber>,
    query: Query,
) -> Result<Response, WebError> {
    let view = see_case::see(&app, &person, &number).await?;
    let view = history_page(&app, &person, &view, &query).await?;
    let status = match view.message {
        Some(_) => StatusCode::UNPROCESSABLE_ENTITY,
        None => StatusCode::OK,
    };
    page_with(status, &view)
}
