//! Registering several things at once: the usual set of a kind of work, ticked.

use super::disinfection::disinfection_fields;
use crate::app::see_case::{self, CaseView};
use crate::app::{App, AppError, Person, add_set};
use crate::domain::custody::case_actions::is_registering_open;
use crate::domain::custody::forms::{ITEMS, ItemPlace, PutForm, SetForm, SetRowForm, SetShownForm};
use crate::domain::fill::SetRow;
use crate::domain::people::party::Side;
use crate::domain::prescription::Course;
use crate::domain::values::ids::{CaseNumber, Tag};
use crate::web::done::Done;
use crate::web::entry::{Folded, from_paper};
use crate::web::error::WebError;
use crate::web::extract::{On, Typed};
use crate::web::field::{Choice, FieldView, fields_under, fill};
use crate::web::form_page::{FormPage, Onward};
use crate::web::frame::Frame;
use crate::web::keys::COURSE;
use crate::web::labels::labels_path;
use crate::web::personal_data_check;
use crate::web::tried::Tried;
use askama::Template;
use axum::response::Response;

/// A thing that can be registered.
pub struct SetLine {
    pub key: String,
    pub title: String,
    /// Of the same kind and arch, and there already.
    pub there: Vec<String>,
    pub taken: bool,
    /// Where a denture is: here, or in the mouth.
    pub place: Option<FieldView>,
}

/// The things of a kind of work with their ticks.
#[derive(Template)]
#[template(path = "item_set.html")]
pub struct SetPage {
    pub frame: Frame,
    pub number: String,
    pub path_number: String,
    pub is_office: bool,
    pub refusals: Vec<String>,
    /// The kind of work that the things are of.
    pub course: &'static str,
    pub courses: Vec<Choice>,
    pub lines: Vec<SetLine>,
    /// What is there only sometimes.
    pub others: Vec<SetLine>,
    pub disinfection: Vec<FieldView>,
    pub put: Vec<FieldView>,
    pub folds: Vec<Folded>,
    /// How many things there were when this page was made first.
    pub shown: String,
    /// The tick for one more of what is there by now; none where nothing was asked.
    pub another: Vec<FieldView>,
    pub post_key: String,
}

/// The tick that was asked for.
fn another(tried: &Tried) -> Vec<FieldView> {
    let field = FieldView::under(SetShownForm::another(), "");
    let field = field.filled(&tried.typed, &tried.faults);
    let is_asked = !field.messages.is_empty() || field.is_ticked();
    Vec::from_iter(is_asked.then_some(field))
}

fn line(view: &CaseView, row: &SetRow, tried: &Tried) -> SetLine {
    let work = &view.work;
    let key = row.key();
    let same = work.alike(row.kind, row.arch).into_iter();
    let there: Vec<String> = same.map(|item| item.tag.to_string()).collect();
    let under = format!("{key}.");
    let tick = FieldView::under(SetRowForm::take(), &under).filled(&tried.typed, &tried.faults);
    let place = (work.side == Side::Office && row.kind.is_denture()).then(|| {
        let places = ItemPlace::ALL.iter();
        let places = places.map(|one| (one.word().to_owned(), one.shown().to_owned()));
        let mut field = FieldView::under(SetRowForm::place(), &under).chosen_from(places);
        field.label = format!("Where it is now: {}", row.kind.title(row.arch));
        let mut typed = tried.typed.clone();
        let first = ItemPlace::usual(row.kind);
        typed
            .entry(field.key.clone())
            .or_insert_with(|| first.word().to_owned());
        field.filled(&typed, &tried.faults)
    });
    SetLine {
        taken: tick.is_ticked() || tried.typed.is_empty() && add_set::is_proposed(work, row),
        title: row.kind.title(row.arch),
        there,
        place,
        key,
    }
}

fn set_page(
    app: &App,
    person: &Person,
    view: &CaseView,
    course: Course,
    tried: &Tried,
) -> Result<SetPage, WebError> {
    let (work, typed, faults) = (&view.work, &tried.typed, &tried.faults);
    let rows = add_set::rows(view, course);
    let (usual, others): (Vec<SetRow>, Vec<SetRow>) =
        rows.into_iter().partition(|row| row.is_usual);
    let lines = |rows: &[SetRow]| rows.iter().map(|row| line(view, row, tried)).collect();
    let courses = Course::ALL.iter().map(|one| Choice {
        chosen: *one == course,
        ..Choice::new(one.word(), one.shown())
    });
    let mut refusals = tried.refusals.clone();
    let of_all = faults.iter().filter(|fault| fault.key == ITEMS);
    refusals.extend(of_all.map(|fault| fault.message.clone()));
    if !is_registering_open(&work.offers(app, person)) {
        refusals.push("Nothing can be registered in this case as it stands now.".to_owned());
    }
    Ok(SetPage {
        frame: Frame::of_case(app, person, work, "Register several items")?,
        number: work.case.number.to_string(),
        path_number: work.case.number.as_str().to_owned(),
        is_office: work.side == Side::Office,
        refusals,
        course: course.word(),
        courses: courses.collect(),
        lines: lines(&usual),
        others: lines(&others),
        disinfection: fill(disinfection_fields(work), typed, faults),
        put: fill(fields_under(PutForm::FIELDS, ""), typed, faults)
            .into_iter()
            .chain(personal_data_check::tick_for(
                typed,
                &<SetForm as crate::domain::form::Form>::field_sets(),
            ))
            .collect(),
        folds: vec![from_paper(typed, faults)],
        shown: (typed.get(SetShownForm::set_shown().key).cloned())
            .unwrap_or_else(|| work.items.len().to_string()),
        another: another(tried),
        post_key: app.outside.token().map_err(AppError::from)?,
    })
}

/// The kind of work of the address, or the one that is written; a copy of a worn pattern where nobody has said one.
async fn course(
    app: &App,
    person: &Person,
    view: &CaseView,
    asked: &str,
) -> Result<Course, AppError> {
    match Course::from_word(asked) {
        Some(course) => Ok(course),
        None => Ok(add_set::course_of(app, person, view)
            .await?
            .unwrap_or(Course::Copy)),
    }
}

impl FormPage for SetPage {
    type At = CaseNumber;

    fn says_done(number: &CaseNumber) -> String {
        format!("/cases/{}", number.as_str())
    }

    fn frame(&mut self) -> &mut Frame {
        &mut self.frame
    }

    async fn draw(on: &On<CaseNumber>, tried: &Tried) -> Result<SetPage, WebError> {
        let view = see_case::see(&on.app, &on.person, &on.at).await?;
        let sent = tried.typed.get(COURSE);
        let asked = sent.map_or(on.query.text(COURSE), |text| text.trim());
        let course = course(&on.app, &on.person, &view, asked).await?;
        set_page(&on.app, &on.person, &view, course, tried)
    }
}

/// Shows the things of the kind of work, the usual ones ticked.
pub async fn set(on: On<CaseNumber>) -> Result<Response, WebError> {
    SetPage::show(on).await
}

/// Registers what is ticked and leads to its labels, or shows the form with what is wrong.
pub async fn add_set(on: On<CaseNumber>, form: Typed) -> Result<Response, WebError> {
    let number = on.at.clone();
    let to_labels = |_: &Typed, _: &SetForm, tags: Vec<Tag>| match tags.is_empty() {
        true => Onward::To(Done::Recorded.on_case(&number)),
        false => Onward::To(Done::Set.at(&labels_path(&number, &tags))),
    };
    SetPage::post_then(on, form, add_set::add, to_labels).await
}
