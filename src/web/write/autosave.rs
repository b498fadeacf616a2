//! Saving by the script at every pause in typing: only what was sent is answered for, and the parts of the page
//! that follow from the draft come back as HTML.

use super::fields::NumbersPart;
use super::jump::{OnPage, card_field};
use super::lines::LinePart;
use super::posted::Posted;
use super::review::ReviewView;
use crate::app::draft_lines::{LineState, standings};
use crate::app::draft_view::{DraftView, personal_data};
use crate::app::write_draft::{self, Base, Edit, Written};
use crate::app::{App, Person};
use crate::domain::form::split_row_key;
use crate::domain::prescription::draft::Fields;
use crate::domain::values::ids::CaseNumber;
use crate::domain::values::moment::Moment;
use crate::web::drawing::Drawings;
use crate::web::error::WebError;
use crate::web::extract::{At, SignedIn, Typed};
use crate::web::turned::written_out;
use askama::Template;
use axum::Json;
use axum::extract::State;
use axum::response::{IntoResponse, Response};
use serde::Serialize;
use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};
use time::Date;

/// What the script gets back after saving some fields.
#[derive(Serialize)]
struct Autosaved {
    base: String,
    at: String,
    others: Vec<OtherField>,
    /// What the server took out or put back by itself.
    turned: Fields,
    /// Fields with two texts: neither is changed on the page until one is chosen.
    conflicts: Vec<String>,
    faults: BTreeMap<String, String>,
    /// Fields whose text is too long to be stored.
    unsaved: Vec<String>,
    warnings: BTreeMap<String, String>,
    /// The review as HTML of our own template, and its count.
    review: String,
    counts: String,
    /// The numbers of each section, and the drawings, in the same way.
    numbers: BTreeMap<&'static str, String>,
    drawings: String,
    /// The line of each section.
    lines: BTreeMap<&'static str, String>,
    /// What nobody typed, with where it comes from; and what was filled in and is the writer's own by this save, or
    /// somebody else's by theirs, which comes from nowhere and stands as it is stored.
    given: BTreeMap<String, (String, Cow<'static, str>)>,
}

#[derive(Serialize)]
struct OtherField {
    field: String,
    text: String,
    /// Empty for a text of one's own, from another window.
    name: String,
}

impl Autosaved {
    /// What has become of the draft since the page showed it, and messages for the fields just `sent`.
    fn new(
        person: &Person,
        written: Written,
        sent: &Fields,
        now: Moment,
    ) -> Result<Autosaved, askama::Error> {
        let view = DraftView::of(&written, false);
        let states = standings(&written, &view, person);
        let card = |key: &str| card_field(person, &written.about.patient, key);
        let review = ReviewView::new(&written.reviewed, &states, &OnPage::default(), &card);
        let given = given(&written, sent);
        let conflicts = written.conflicts.into_iter();
        let others = written.others.into_iter();
        Ok(Autosaved {
            counts: review.counts(),
            review: part(&review)?,
            numbers: numbers_html(&view, now.date())?,
            drawings: drawings_html(&view)?,
            lines: lines_html(&states)?,
            given,
            unsaved: written
                .too_long
                .into_iter()
                .map(|fault| fault.key)
                .collect(),
            base: Base::of(&written.draft).to_string(),
            at: now.clock(),
            others: others.map(|edit| OtherField::new(person, edit)).collect(),
            turned: written.turned,
            conflicts: conflicts.map(|edit| edit.field).collect(),
            faults: (view.faults.into_iter())
                .filter(|fault| sent.contains_key(&fault.key))
                .map(|fault| (fault.key, fault.message))
                .collect(),
            warnings: personal_data(sent),
        })
    }
}

impl OtherField {
    fn new(person: &Person, edit: Edit) -> OtherField {
        let is_own = edit.account == person.account.id;
        OtherField {
            field: edit.field,
            text: edit.text,
            name: match is_own {
                true => String::new(),
                false => written_out(&edit.name).into_owned(),
            },
        }
    }
}

/// A part of the page, as the whole of it would show it.
fn part(template: &impl Template) -> Result<String, askama::Error> {
    Ok(written_out(&template.render()?).into_owned())
}

fn numbers_html(
    view: &DraftView,
    today: Date,
) -> Result<BTreeMap<&'static str, String>, askama::Error> {
    let numbers = view.numbers(today).into_iter();
    numbers
        .map(|(key, numbers)| Ok((key, part(&NumbersPart { numbers })?)))
        .collect()
}

fn lines_html(
    states: &BTreeMap<&'static str, LineState>,
) -> Result<BTreeMap<&'static str, String>, askama::Error> {
    let states = states.iter();
    states
        .map(|(key, state)| Ok((*key, part(&LinePart::of(key, state))?)))
        .collect()
}

fn given(written: &Written, sent: &Fields) -> BTreeMap<String, (String, Cow<'static, str>)> {
    let list_of = |key: &str| split_row_key(key).map(|(list, ..)| list.to_owned());
    // With the first text in a list all of its rows are stored: the page held them as filled in.
    let lists: BTreeSet<String> = sent.keys().filter_map(|key| list_of(key)).collect();
    let by_others: BTreeSet<&String> = written.others.iter().map(|edit| &edit.field).collect();
    let is_own_now = |key: &String| {
        by_others.contains(key) || list_of(key).is_some_and(|list| lists.contains(&list))
    };
    let text = |key| written.filled.fields.get(key).cloned().unwrap_or_default();
    let stored = written.draft.fields.iter();
    let own = stored.filter(|(key, text)| is_own_now(key) && !text.trim().is_empty());
    let mut given: BTreeMap<String, (String, Cow<'static, str>)> = own
        .map(|(key, text)| (key.clone(), (text.clone(), Cow::Borrowed(""))))
        .collect();
    let from = written.filled.from.iter();
    given.extend(from.map(|(key, source)| (key.clone(), (text(key), source.shown()))));
    given
}

fn drawings_html(view: &DraftView) -> Result<String, askama::Error> {
    part(&Drawings::of(&view.document))
}

/// Saves the fields that the script sends.
pub async fn autosave(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    At(number): At<CaseNumber>,
    form: Typed,
) -> Result<Response, WebError> {
    let Posted { base, fields } = Posted::of(&person, form)?;
    let written = write_draft::save(&app, &person, &number, base, &fields).await?;
    let now = person.moment(app.outside.now_ms());
    Ok(Json(Autosaved::new(&person, written, &fields, now)?).into_response())
}
