//! What the patient reports: complaints with possible causes and remedies, and the way to the fields of the
//! form that they touch. A reminder for the chair, not a diagnosis; what is ticked is not stored.

use super::done::Done;
use super::error::WebError;
use super::extract::{At, Query, SignedIn, Typed};
use super::field::id_of;
use super::frame::{Frame, page, see_other};
use super::write::rows_of;
use crate::app::sign::label;
use crate::app::{App, Person, take_remedy, write_draft};
use crate::domain::form::MOST_ROWS;
use crate::domain::prescription::catalogue;
use crate::domain::prescription::draft::Fields;
use crate::domain::trade::complaint::{COMPLAINTS, Complaint, search};
use crate::domain::values::ids::CaseNumber;
use askama::Template;
use axum::extract::State;
use axum::response::Response;

/// One complaint in the list.
pub struct TickView {
    pub key: String,
    pub words: &'static str,
    pub is_ticked: bool,
}

/// A field that a complaint touches: where it is in the form, and its name.
pub struct TouchedView {
    pub href: String,
    pub label: String,
}

/// A ticked complaint in full.
pub struct ComplaintView {
    pub number: u8,
    pub complaint: &'static str,
    pub causes: &'static [&'static str],
    pub remedies: Vec<(usize, &'static str)>,
    pub touched: Vec<TouchedView>,
    pub source: String,
}

/// The list of complaints, and those that are ticked in full.
#[derive(Template)]
#[template(path = "reported.html")]
pub struct ReportedPage {
    pub frame: Frame,
    pub number: String,
    pub path_number: String,
    pub words: String,
    pub ticks: Vec<TickView>,
    pub chosen: Vec<ComplaintView>,
}

fn key_of(one: &Complaint) -> String {
    format!("c{}", one.number)
}

/// The id of the box in the form; of a list, the first box of the next empty row.
fn id_in_form(key: &str, fields: &Fields) -> String {
    let mut groups = catalogue().iter().flat_map(|section| section.groups);
    let box_of_row = groups.find(|group| group.key == key).and_then(|group| {
        let row = rows_of(group, fields);
        let first = group.fields.first().filter(|_| row < MOST_ROWS)?;
        Some(first.at(Some(row)))
    });
    id_of("", box_of_row.as_deref().unwrap_or(key))
}

/// `Occlusal plane: Depth of the compensating curve`; a list by its title.
fn name_in_form(key: &str) -> String {
    let section = key.split_once('.').map_or(key, |(first, _)| first);
    let found = catalogue().iter().find(|one| one.key == section);
    found.map_or_else(
        || label(key),
        |section| format!("{}: {}", section.title, label(key)),
    )
}

fn view(one: &Complaint, number: &CaseNumber, fields: &Fields) -> ComplaintView {
    let touched = |key: &&str| TouchedView {
        href: format!(
            "/cases/{}/write?at={}#{}",
            number.as_str(),
            key.split('.').next().unwrap_or_default(),
            id_in_form(key, fields)
        ),
        label: name_in_form(key),
    };
    ComplaintView {
        number: one.number,
        complaint: one.complaint,
        causes: one.causes,
        remedies: one.remedies.iter().copied().enumerate().collect(),
        touched: one.fields.iter().map(touched).collect(),
        source: one.source.to_string(),
    }
}

fn reported_page(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    query: &Query,
    fields: &Fields,
) -> ReportedPage {
    let words = query.text("words");
    let is_ticked = |one: &Complaint| query.0.contains_key(&key_of(one));
    let found = search(words);
    let listed = |one: &&Complaint| is_ticked(one) || found.contains(one);
    let tick = |one: &Complaint| TickView {
        key: key_of(one),
        words: one.complaint,
        is_ticked: is_ticked(one),
    };
    ReportedPage {
        frame: Frame::new(app, person, "What the patient reports", ""),
        number: number.to_string(),
        path_number: number.as_str().to_owned(),
        words: words.to_owned(),
        ticks: COMPLAINTS.iter().filter(listed).map(tick).collect(),
        chosen: COMPLAINTS
            .iter()
            .filter(|one| is_ticked(one))
            .map(|one| view(one, number, fields))
            .collect(),
    }
}

/// Answers with what the address searches for and ticks.
pub async fn page_of(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    At(number): At<CaseNumber>,
    query: Query,
) -> Result<Response, WebError> {
    let fields = write_draft::fields_now(&app, &person, &number).await?;
    let mut view = reported_page(&app, &person, &number, &query, &fields);
    view.frame = view.frame.on_case(&app, &person, &number).await?;
    page(&view)
}

/// Takes a remedy into the draft and leads to its field.
pub async fn take(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    At(number): At<CaseNumber>,
    form: Typed,
) -> Result<Response, WebError> {
    take_remedy::take(&app, &person, &number, &form.read()?).await?;
    let id = take_remedy::INTO.replace('.', "-");
    let part = take_remedy::INTO.split('.').next().unwrap_or_default();
    let write = format!("/cases/{}/write?at={part}", number.as_str());
    Ok(see_other(&format!("{}#f-{id}", Done::Taken.at(&write))))
}
