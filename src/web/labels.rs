//! Printing labels: which items, on which sheet, how far moved. All of it stands in the address.

use super::error::WebError;
use super::extract::{On, Query, encode};
use super::field::{FieldView, fields_under, fill};
use super::frame::{Frame, page_with, pdf, see_other};
use super::keys::CHOSEN;
use super::scan::{self, ScanView};
use super::tried::Tried;
use super::typed_form::TypedForm;
use crate::app::case_work::CaseWork;
use crate::app::custody_words::where_it_is;
use crate::app::print_labels::{
    ChosenItems, GridForm, LabelsForm, OWN, OffsetForm, OwnGridForm, SINGLE, SingleForm, StartForm,
    first_grid, labels_pdf, living, pan_pdf, test_pdf,
};
use crate::app::typed::command_by;
use crate::app::{App, AppError, Person, see_case};
use crate::domain::custody::Wanted;
use crate::domain::custody::forms::ITEMS;
use crate::domain::custody::item::Item;
use crate::domain::custody::sets::set_name;
use crate::domain::form::FieldSpec;
use crate::domain::people::party::Side;
use crate::domain::values::ids::{CaseNumber, Tag};
use crate::papers::layout::grid::READY;
use askama::Template;
use axum::response::Response;

/// An item that can have a label.
pub struct LabelRow {
    pub key: String,
    pub tag: String,
    pub title: String,
    pub set: String,
    pub holder: String,
    pub taken: bool,
}

/// The form that chooses items, sheet and place.
#[derive(Template)]
#[template(path = "labels.html")]
pub struct LabelsPage {
    pub frame: Frame,
    pub number: String,
    pub path_number: String,
    pub scan: ScanView,
    pub refusals: Vec<String>,
    pub rows: Vec<LabelRow>,
    pub grid: FieldView,
    pub sheet: Vec<FieldView>,
    pub own: Vec<FieldView>,
    pub own_open: bool,
    pub single: Vec<FieldView>,
    pub single_open: bool,
    /// Whether the label of the pan is had here: by the lab.
    pub has_pan: bool,
}

fn rows(work: &CaseWork, typed: &TypedForm) -> Vec<LabelRow> {
    let chosen = ChosenItems::of(typed);
    let row = |item: &Item| LabelRow {
        key: ChosenItems::key(&item.tag),
        tag: item.tag.to_string(),
        title: item.title(),
        set: set_name(&work.items, &item.tag)
            .map(|name| name.to_lowercase())
            .unwrap_or_default(),
        holder: where_it_is(work, &item.tag),
        taken: chosen.has(work, item),
    };
    living(work).into_iter().map(row).collect()
}

fn grid_field() -> FieldView {
    let grids = READY
        .iter()
        .map(|ready| (ready.word, ready.shown))
        .chain([
            (SINGLE, "One label on each page, for a label printer"),
            (OWN, "Custom sheet size"),
        ])
        .map(|(word, shown)| (word.to_owned(), shown.to_owned()));
    FieldView::under(GridForm::grid(), "")
        .chosen_from(grids)
        .needed()
}

fn sheet_fields() -> Vec<FieldView> {
    let specs = [*StartForm::start(), *OffsetForm::dx(), *OffsetForm::dy()];
    fields_under(&specs, "")
}

/// Measures that are needed only where their kind of sheet is chosen, and so are not marked as needed.
fn optional(specs: &[FieldSpec]) -> Vec<FieldView> {
    let mut fields = fields_under(specs, "");
    for field in &mut fields {
        field.needed = false;
    }
    fields
}

fn labels_page(
    app: &App,
    person: &Person,
    work: &CaseWork,
    tried: &Tried,
    scan: ScanView,
) -> Result<LabelsPage, WebError> {
    let (typed, faults) = (&tried.typed, &tried.faults);
    let mut filled = typed.clone();
    let first = || first_grid(person.paper()).to_owned();
    let grid = filled
        .entry(GridForm::grid().key.to_owned())
        .or_insert_with(first)
        .clone();
    filled
        .entry(OwnGridForm::paper().key.to_owned())
        .or_insert_with(|| person.paper().word().to_owned());
    Ok(LabelsPage {
        frame: Frame::of_case(app, person, work, "Labels")?,
        number: work.case.number.to_string(),
        path_number: work.case.number.as_str().to_owned(),
        scan,
        refusals: faults
            .iter()
            .filter(|fault| fault.key == ITEMS)
            .map(|fault| fault.message.clone())
            .chain(tried.refusals.iter().cloned())
            .collect(),
        rows: rows(work, typed),
        grid: grid_field().filled(&filled, faults),
        sheet: fill(sheet_fields(), &filled, faults),
        own: fill(optional(OwnGridForm::FIELDS), &filled, faults),
        own_open: grid == OWN,
        single: fill(optional(SingleForm::FIELDS), &filled, faults),
        single_open: grid == SINGLE,
        has_pan: work.side == Side::Lab,
    })
}

/// Answers with the form, after a scan if one was asked for.
pub async fn form(on: On<CaseNumber>) -> Result<Response, WebError> {
    let (app, person) = (&on.app, &on.person);
    let view = see_case::see(app, person, &on.at).await?;
    let mut typed = on.query.0.clone();
    let scan = match scan::asked(&typed).is_some_and(|text| !text.is_empty()) {
        true => {
            let (work, wanted) = (&view.work, Wanted::ToLabel);
            scan::take(app, person, work, wanted, &mut typed, scan::take_tick).await?
        }
        false => ScanView::waiting(),
    };
    let status = scan.status();
    let done = typed.remove("done").unwrap_or_default();
    let mut view = labels_page(&on.app, &on.person, &view.work, &Tried::shown(typed), scan)?;
    view.frame = view.frame.done(&done);
    page_with(status, &view)
}

/// Sheet, place and items as the address says them.
fn asked_for(person: &Person, query: &Query) -> Result<LabelsForm, AppError> {
    command_by(&query.0, |typed, faults| {
        LabelsForm::read_on(person.paper(), typed, faults)
    })
}

/// The same address without the scan gives the same bytes; what is wrong comes back as the form.
pub async fn sheet(on: On<CaseNumber>) -> Result<Response, WebError> {
    if scan::asked(&on.query.0).is_some() {
        return Ok(see_other(&address(&on.at, &on.query.0)));
    }
    let view = see_case::see(&on.app, &on.person, &on.at).await?;
    let made = async { labels_pdf(&on.app, &view.work, &asked_for(&on.person, &on.query)?).await };
    match made.await {
        Ok(bytes) => Ok(pdf(&format!("labels-{}.pdf", on.at.as_str()), bytes)),
        Err(error) => sent_back(&on.app, &on.person, &view.work, on.query.0.clone(), error),
    }
}

/// A page for plain paper that shows where the labels would lie.
pub async fn test(on: On<CaseNumber>) -> Result<Response, WebError> {
    let view = see_case::see(&on.app, &on.person, &on.at).await?;
    let made = async { test_pdf(&on.app, &asked_for(&on.person, &on.query)?).await };
    match made.await {
        Ok(bytes) => Ok(pdf("labels-test.pdf", bytes)),
        Err(error) => sent_back(&on.app, &on.person, &view.work, on.query.0.clone(), error),
    }
}

/// The label of the pan: where a sheet is chosen there, otherwise on a page of its own.
pub async fn pan(on: On<CaseNumber>) -> Result<Response, WebError> {
    let view = see_case::see(&on.app, &on.person, &on.at).await?;
    if view.work.side != Side::Lab {
        return Err(AppError::NotFound.into());
    }
    let made = || {
        let has_sheet = !on.query.text(GridForm::grid().key).is_empty();
        let form = has_sheet
            .then(|| asked_for(&on.person, &on.query))
            .transpose()?;
        pan_pdf(&on.app, &view.work, view.document(), form.as_ref())
    };
    match made() {
        Ok(bytes) => Ok(pdf(&format!("pan-{}.pdf", on.at.as_str()), bytes)),
        Err(error) => sent_back(&on.app, &on.person, &view.work, on.query.0.clone(), error),
    }
}

fn sent_back(
    app: &App,
    person: &Person,
    work: &CaseWork,
    typed: TypedForm,
    error: AppError,
) -> Result<Response, WebError> {
    let (status, tried) = Tried::of(typed, error)?;
    let view = labels_page(app, person, work, &tried, ScanView::default())?;
    page_with(status, &view)
}

/// The address of the form with the ticks of these alone.
pub fn labels_path(number: &CaseNumber, tags: &[Tag]) -> String {
    let ticks = tags
        .iter()
        .map(|tag| format!("&{}=yes", ChosenItems::key(tag)));
    let ticks: String = ticks.collect();
    format!("/cases/{}/labels?{CHOSEN}=yes{ticks}", number.as_str())
}

/// The form's address with what it holds.
fn address(number: &CaseNumber, typed: &TypedForm) -> String {
    let pairs: Vec<String> = typed
        .iter()
        .map(|(key, text)| format!("{}={}", encode(key), encode(text)))
        .collect();
    format!("/cases/{}/labels?{}", number.as_str(), pairs.join("&"))
}
