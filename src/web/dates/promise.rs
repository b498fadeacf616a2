//! The day that the lab names, and the word of the office, on the page of a case's days.

use crate::app::dates::CaseDates;
use crate::app::{App, AppError, Person, promises};
use crate::domain::custody::CaseStep;
use crate::domain::custody::forms::{DayAnswerForm, PromiseForm};
use crate::domain::form::Form;
use crate::domain::people::access::Permission;
use crate::domain::trade::calendar::doubts_of_day;
use crate::domain::values::moment::show_date;
use crate::web::entry::{Unsaved, instead, unsaved_words};
use crate::web::error::WebError;
use crate::web::field::FieldView;
use crate::web::personal_data_check::fields_of;
use crate::web::tried::Tried;
use askama::Template;
use time::Date;

/// What is named, and what can be said now.
#[derive(Template)]
#[template(path = "partials/promised.html")]
pub struct PromisedDay {
    pub path_number: String,
    /// The revision that a day is named for.
    pub revision: i64,
    /// What is named and what was said to it, a sentence each.
    pub words: Vec<String>,
    /// What was said with it, as typed.
    pub notes: Vec<String>,
    /// What speaks against the day that is named.
    pub cautions: Vec<String>,
    pub refusals: Vec<String>,
    pub unsaved: Unsaved,
    /// Empty where no day can be named now.
    pub name: Vec<FieldView>,
    /// Whether the form to name a day comes back with what was typed.
    pub names_now: bool,
    /// The entry that is answered; none where nothing is to be answered.
    pub to_answer: Option<String>,
    pub answer: Vec<FieldView>,
    pub post_key: String,
}

/// What is to be thought of with a day, said to both houses beside it.
fn cautions(dates: &CaseDates, day: Date) -> Vec<String> {
    let (office, lab) = (dates.lists.office_open(), dates.lists.lab_open());
    let earliest = dates.planned.as_ref().map(|planned| planned.plan.in_hands);
    doubts_of_day(day, (&office, &lab), earliest)
}

/// The day field holds what was typed; before that, the earliest day by the plan where nothing is named yet.
fn name_fields(dates: &CaseDates, tried: &Tried) -> Vec<FieldView> {
    let specs = [*PromiseForm::promised_day(), *PromiseForm::promise_note()];
    let mut fields = fields_of(&specs, &PromiseForm::field_sets(), tried);
    let planned = dates.planned.as_ref();
    let fresh = !tried.typed.contains_key(PromiseForm::promised_day().key);
    if let (Some(planned), Some(field), true) = (planned, fields.first_mut(), fresh) {
        field.value = show_date(planned.plan.in_hands);
    }
    let meant = FieldView::under(PromiseForm::day_meant(), "").filled(&tried.typed, &tried.faults);
    let asked = FieldView::under(PromiseForm::day_asked(), "").filled(&tried.typed, &tried.faults);
    let day = tried.typed.get(PromiseForm::promised_day().key);
    fields.extend(FieldView::asked_of(meant, asked, day));
    fields
}

/// What the page shows of it.
pub fn promised_day(
    app: &App,
    person: &Person,
    dates: &CaseDates,
    tried: &Tried,
) -> Result<PromisedDay, WebError> {
    let work = &dates.view.work;
    let offers = work.offers(app, person);
    let (named, current) = (work.promise(), work.named_day());
    let may = person.may(Permission::HandleItems);
    let can_name = may && promises::is_to_be_named(work) && offers.has(CaseStep::Promise);
    let open = current.filter(|one| may && offers.has(CaseStep::AnswerDay(one)));
    let was_sent = |key: &str| tried.typed.contains_key(key);
    let names_now = was_sent(PromiseForm::promised_day().key);
    let answers_now = was_sent(DayAnswerForm::promise().key);
    let specs = [*DayAnswerForm::will_do(), *DayAnswerForm::day_note()];
    let is_over = answers_now && open.is_none() || names_now && !can_name;
    let sets = [PromiseForm::field_sets(), DayAnswerForm::field_sets()].concat();
    let answer_sets = DayAnswerForm::field_sets();
    let notes = named.map(|one| {
        let answer = one.answer.as_ref().map(|answer| answer.note.clone());
        [Some(one.note.clone()), answer]
    });
    let notes = notes.into_iter().flatten().flatten();
    Ok(PromisedDay {
        path_number: work.case.number.as_str().to_owned(),
        revision: work.case.revision,
        words: named.map_or_else(Vec::new, |one| promises::words(dates, one)),
        notes: notes.filter(|note| !note.is_empty()).collect(),
        cautions: current.map_or_else(Vec::new, |one| cautions(dates, one.day)),
        refusals: tried.refusals.clone(),
        unsaved: Unsaved {
            instead: instead::OF_THE_CASE,
            texts: match is_over {
                true => unsaved_words(&tried.typed, &sets),
                false => Vec::new(),
            },
        },
        name: match can_name {
            true => name_fields(dates, tried.only_if(names_now)),
            false => Vec::new(),
        },
        names_now,
        to_answer: open.map(|one| one.event.to_string()),
        answer: match open.is_some() {
            true => fields_of(&specs, &answer_sets, tried.only_if(answers_now)),
            false => Vec::new(),
        },
        post_key: app.outside.token().map_err(AppError::from)?,
    })
}

impl PromisedDay {
    /// Whether there is anything to show.
    pub fn is_shown(&self) -> bool {
        let nothing = self.words.is_empty() && self.name.is_empty();
        !(nothing && self.refusals.is_empty() && self.unsaved.texts.is_empty())
    }
}
