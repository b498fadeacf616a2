//! Several things at once: disinfected, put somewhere, labelled.

use super::disinfection::disinfection_fields;
use crate::app::custody_words::disinfection_words;
use crate::app::see_case::{self, CaseView};
use crate::app::{App, AppError, Person, several as at_once};
use crate::domain::custody::Wanted;
use crate::domain::custody::forms::{ITEMS, PutForm, SeveralForm, SeveralRowForm};
use crate::domain::custody::item::Item;
use crate::domain::form::{Form, rows_with};
use crate::domain::values::ids::{CaseNumber, Tag};
use crate::web::done::Done;
use crate::web::entry::{Folded, from_paper};
use crate::web::error::WebError;
use crate::web::extract::{On, Typed};
use crate::web::field::{FieldView, fields_under, fill};
use crate::web::form_page::FormPage;
use crate::web::frame::{Frame, page, page_with, see_other};
use crate::web::labels::labels_path;
use crate::web::personal_data_check;
use crate::web::scan::{self, ScanView};
use crate::web::tried::Tried;
use crate::web::typed_form::TypedForm;
use askama::Template;
use axum::response::Response;

/// A thing in hand, with its tick.
pub struct SeveralLine {
    pub key: String,
    pub tag: String,
    pub title: String,
    pub state: &'static str,
    pub place: String,
    pub taken: bool,
}

/// What is in hand, and what is done with all that is ticked.
#[derive(Template)]
#[template(path = "several.html")]
pub struct SeveralPage {
    pub frame: Frame,
    pub number: String,
    pub path_number: String,
    pub refusals: Vec<String>,
    pub scan: ScanView,
    pub lines: Vec<SeveralLine>,
    pub disinfection: Vec<FieldView>,
    pub put: Vec<FieldView>,
    pub folds: Vec<Folded>,
    pub post_key: String,
}

fn line(view: &CaseView, item: &Item, tried: &Tried) -> SeveralLine {
    let work = &view.work;
    let under = format!("{}.", item.tag.as_str());
    let tick = FieldView::under(SeveralRowForm::take(), &under).filled(&tried.typed, &tried.faults);
    SeveralLine {
        taken: tick.is_ticked(),
        key: tick.key,
        tag: item.tag.to_string(),
        title: item.title(),
        state: disinfection_words(work, item),
        place: work.shelf(&item.tag).unwrap_or_default().to_owned(),
    }
}

fn several_page(
    app: &App,
    person: &Person,
    view: &CaseView,
    tried: &Tried,
) -> Result<SeveralPage, WebError> {
    let (work, typed, faults) = (&view.work, &tried.typed, &tried.faults);
    let offers = work.offers(app, person);
    let items = at_once::in_hand(work, &offers).into_iter();
    let mut refusals = tried.refusals.clone();
    let of_all = faults.iter().filter(|fault| fault.key == ITEMS);
    refusals.extend(of_all.map(|fault| fault.message.clone()));
    Ok(SeveralPage {
        frame: Frame::of_case(app, person, work, "Several items at once")?,
        number: work.case.number.to_string(),
        path_number: work.case.number.as_str().to_owned(),
        refusals,
        scan: ScanView::waiting(),
        lines: items.map(|item| line(view, item, tried)).collect(),
        disinfection: fill(disinfection_fields(work), typed, faults),
        put: fill(fields_under(PutForm::FIELDS, ""), typed, faults)
            .into_iter()
            .chain(personal_data_check::tick_for(
                typed,
                &SeveralForm::field_sets(),
            ))
            .collect(),
        folds: vec![from_paper(typed, faults)],
        post_key: app.outside.token().map_err(AppError::from)?,
    })
}

impl FormPage for SeveralPage {
    type At = CaseNumber;

    fn says_done(number: &CaseNumber) -> String {
        format!("/cases/{}", number.as_str())
    }

    fn frame(&mut self) -> &mut Frame {
        &mut self.frame
    }

    async fn draw(on: &On<CaseNumber>, tried: &Tried) -> Result<SeveralPage, WebError> {
        let view = see_case::see(&on.app, &on.person, &on.at).await?;
        several_page(&on.app, &on.person, &view, tried)
    }
}

/// Shows what is in hand; all of it ticked, where the address asks for that.
pub async fn several(on: On<CaseNumber>) -> Result<Response, WebError> {
    let view = see_case::see(&on.app, &on.person, &on.at).await?;
    let mut typed = TypedForm::new();
    if on.query.text("all") == "yes" {
        let offers = view.work.offers(&on.app, &on.person);
        let items = at_once::in_hand(&view.work, &offers).into_iter();
        typed.extend(items.map(scan::take_tick));
    }
    page(&several_page(
        &on.app,
        &on.person,
        &view,
        &Tried::shown(typed),
    )?)
}

/// Enters what was done and leads back to the case; a scan only ticks its item, and labels are printed of what is
/// ticked. Otherwise the form with what is wrong.
pub async fn record_several(on: On<CaseNumber>, form: Typed) -> Result<Response, WebError> {
    if scan::asked(&form.0).is_some() {
        return scanned(&on, form.0).await;
    }
    if form.text("go") == "labels" {
        return Ok(see_other(&labels_path(&on.at, &ticked(&form.0))));
    }
    SeveralPage::post(on, form, at_once::record, Done::Recorded).await
}

fn ticked(typed: &TypedForm) -> Vec<Tag> {
    let rows = rows_with(typed, SeveralRowForm::take().key);
    rows.filter_map(|row| Tag::parse(row).ok()).collect()
}

async fn scanned(on: &On<CaseNumber>, mut typed: TypedForm) -> Result<Response, WebError> {
    let (app, person) = (&on.app, &on.person);
    let view = see_case::see(app, person, &on.at).await?;
    let (work, wanted) = (&view.work, Wanted::InHand(view.work.side));
    let scan = scan::take(app, person, work, wanted, &mut typed, scan::take_tick).await?;
    let mut shown = several_page(app, person, &view, &Tried::shown(typed))?;
    let status = scan.status();
    shown.scan = scan;
    page_with(status, &shown)
}
