//! The checks after the fit: the days proposed, what is looked at, complaints, and what came of them.

use super::done::Done;
use super::entry::{Folded, Unsaved, from_paper, instead, unsaved_words};
use super::error::WebError;
use super::extract::{On, Typed};
use super::field::{FieldView, InputKind, fields_under, fill};
use super::form_page::FormPage;
use super::frame::Frame;
use super::personal_data_check;
use super::tried::Tried;
use crate::app::see_case::CaseView;
use crate::app::{App, AppError, Person, bench, follow_up, see_case};
use crate::domain::custody::follow_up::{ExaminedPoint, FollowUpEntry, complaints_of};
use crate::domain::custody::forms::{FollowUpForm, FollowUpTyped, ShareForm, UndoForm};
use crate::domain::custody::mouth::Check;
use crate::domain::custody::{CaseStep, Offers};
use crate::domain::form::Form;
use crate::domain::people::access::Permission;
use crate::domain::trade::complaint::Complaint;
use crate::domain::values::arch::Arches;
use crate::domain::values::ids::CaseNumber;
use askama::Template;
use axum::response::Response;

/// A check that was entered.
pub struct FollowUpRow {
    pub id: String,
    pub what: String,
    pub who: String,
    pub complaints: Vec<&'static Complaint>,
    pub examined: Vec<&'static str>,
    pub done: String,
    pub outcome: String,
    /// What the lab says to it: who, and the note.
    pub answer: Option<(String, String)>,
    /// Empty where it cannot be answered.
    pub share: Vec<FieldView>,
    pub is_share_tried: bool,
    /// Whether the lab has seen it otherwise, and can only agree.
    pub is_disputed: bool,
    /// Empty where it cannot be withdrawn.
    pub undo: Vec<FieldView>,
    pub is_tried: bool,
    /// Where the complaints lead in the form of the prescription; empty where nothing is to be made.
    pub remedies: String,
}

/// A day on which a check is proposed.
pub struct ProposedRow {
    pub words: String,
    pub is_done: bool,
}

/// The checks after the fit.
#[derive(Template)]
#[template(path = "follow_up.html")]
pub struct FollowUpPage {
    pub frame: Frame,
    pub number: String,
    pub path_number: String,
    pub refusals: Vec<String>,
    pub unsaved: Unsaved,
    /// Why nothing can be entered now; empty where something can.
    pub closed: String,
    pub proposed: Vec<ProposedRow>,
    pub first: Vec<FieldView>,
    pub examined_fields: Vec<FieldView>,
    pub rest: Vec<FieldView>,
    pub late: Folded,
    pub entries: Vec<FollowUpRow>,
    pub may_write: bool,
    pub post_key: String,
}

/// The form that withdraws an entry, with what was typed into it; nothing where it is not offered.
fn undo_fields(offers: &Offers<'_>, tried: &Tried, one: &FollowUpEntry) -> Vec<FieldView> {
    if !offers.has(CaseStep::UndoFollowUp(one)) {
        return Vec::new();
    }
    let field = FieldView::under(UndoForm::undone_why(), "");
    let mut undo = vec![field.filled(&tried.typed, &tried.faults)];
    let sets = UndoForm::field_sets();
    undo.extend(personal_data_check::tick_for(&tried.typed, &sets));
    for field in &mut undo {
        field.scope = format!("{}-", one.event).into();
    }
    undo
}

/// The form in which the lab answers; nothing where it is not offered.
fn share_fields(offers: &Offers<'_>, tried: &Tried, one: &FollowUpEntry) -> Vec<FieldView> {
    if !offers.has(CaseStep::AnswerShare(one)) {
        return Vec::new();
    }
    let field = FieldView::under(ShareForm::share_note(), "");
    let mut share = vec![field.filled(&tried.typed, &tried.faults)];
    let sets = ShareForm::field_sets();
    share.extend(personal_data_check::tick_for(&tried.typed, &sets));
    for field in &mut share {
        field.scope = format!("s-{}-", one.event).into();
    }
    share
}

fn row(view: &CaseView, offers: &Offers<'_>, tried: &Tried, one: &FollowUpEntry) -> FollowUpRow {
    let sent = tried.typed.get(UndoForm::undone().key);
    let is_tried = sent == Some(&one.event.to_string());
    let answered = tried.typed.get(ShareForm::share_of().key);
    let is_share_tried = answered == Some(&one.event.to_string());
    let answer = one.answer.as_ref();
    let complaints = complaints_of(&one.complaints);
    let ticks: Vec<String> = complaints
        .iter()
        .map(|one| format!("c{}=yes", one.number))
        .collect();
    let number = view.work.case.number.as_str();
    FollowUpRow {
        id: one.event.to_string(),
        what: format!("{}, {}", one.check.shown(), one.arches.shown()),
        who: format!("{}, {}", one.by, one.at.in_words()),
        examined: one
            .examined
            .iter()
            .map(|field_of| field_of.shown())
            .collect(),
        done: one.done.clone(),
        outcome: one.words(),
        remedies: match one.followed_by.is_work() && !ticks.is_empty() {
            true => format!("/cases/{number}/reported?{}", ticks.join("&")),
            false => String::new(),
        },
        answer: answer.map(|one| {
            (
                format!("{}, {}", one.by, one.at.in_words()),
                one.note.clone(),
            )
        }),
        share: share_fields(offers, tried.only_if(is_share_tried), one),
        is_share_tried,
        is_disputed: one.is_disputed(),
        undo: undo_fields(offers, tried.only_if(is_tried), one),
        is_tried,
        complaints,
    }
}

/// What was typed into a form that is offered no more.
fn unsaved(
    entries: &[FollowUpEntry],
    offers: &Offers<'_>,
    tried: &Tried,
    is_check_lost: bool,
) -> Vec<(String, String)> {
    let answered = tried.typed.get(ShareForm::share_of().key);
    let mut open = entries
        .iter()
        .filter(|one| one.awaits_answer() && offers.has(CaseStep::AnswerShare(one)));
    let is_lost = answered.is_some_and(|id| open.all(|one| one.event.to_string() != *id));
    match (is_check_lost, is_lost) {
        (true, _) => unsaved_words(&tried.typed, &FollowUpTyped::field_sets()),
        (_, true) => unsaved_words(&tried.typed, &ShareForm::field_sets()),
        _ => Vec::new(),
    }
}

fn proposed(view: &CaseView) -> Vec<ProposedRow> {
    let all = follow_up::proposed(&view.work, &view.office_open).into_iter();
    let row = |(arches, check, is_done): (Arches, Check, bool)| ProposedRow {
        words: format!(
            "{}, {}: {}",
            check.after.shown(),
            arches.shown(),
            check.day_words()
        ),
        is_done,
    };
    all.map(row).collect()
}

fn follow_up_page(
    app: &App,
    person: &Person,
    view: &CaseView,
    tried: &Tried,
) -> Result<FollowUpPage, WebError> {
    let work = &view.work;
    let offers = work.offers(app, person);
    let arches = work.case.arches;
    // A check of one arch is entered though the other waits for its final.
    let mut treated = arches.treated().iter();
    let is_offered = treated.any(|arch| offers.has(CaseStep::FollowUp((*arch).into())));
    let against = match person.may(Permission::TreatPatient) && !is_offered {
        true => offers.against(CaseStep::FollowUp(arches)),
        false => Vec::new(),
    };
    let is_open = person.may(Permission::TreatPatient) && against.is_empty();
    let sent = tried.typed.contains_key(FollowUpForm::follow_up().key);
    // Of the form of another entry nothing stands in this one.
    let own = tried.only_if(sent);
    let fields = fields_under(FollowUpForm::FIELDS, "");
    let mut fields = fill(fields, &own.typed, &own.faults);
    let mut rest = fields.split_off(2.min(fields.len()));
    let sets = FollowUpTyped::field_sets();
    rest.extend(personal_data_check::tick_for(&own.typed, &sets));
    let field_of = |one: &ExaminedPoint| {
        let field = FieldView::new(InputKind::Tick, &FollowUpTyped::key_of(*one), one.shown());
        field.filled(&own.typed, &own.faults)
    };
    let entries = work.follow_ups().iter().rev();
    Ok(FollowUpPage {
        frame: Frame::of_case(app, person, work, "Checks after the fit")?,
        number: work.case.number.to_string(),
        path_number: work.case.number.as_str().to_owned(),
        refusals: tried.refusals.clone(),
        unsaved: Unsaved {
            instead: instead::OF_THE_CASE,
            texts: unsaved(work.follow_ups(), &offers, tried, sent && !is_open),
        },
        closed: match (is_open, against.into_iter().next()) {
            (true, _) => String::new(),
            (false, Some(one)) => one.sentence,
            (false, None) => "The office enters what it finds after the fit.".to_owned(),
        },
        proposed: proposed(view),
        first: fields,
        examined_fields: ExaminedPoint::ALL.iter().map(field_of).collect(),
        rest,
        late: from_paper(&tried.typed, &tried.faults),
        entries: entries.map(|one| row(view, &offers, tried, one)).collect(),
        may_write: person.may(Permission::PrepareCases),
        post_key: app.outside.token().map_err(AppError::from)?,
    })
}

impl FormPage for FollowUpPage {
    type At = CaseNumber;

    fn says_done(number: &CaseNumber) -> String {
        format!("/cases/{}/follow-up", number.as_str())
    }

    fn frame(&mut self) -> &mut Frame {
        &mut self.frame
    }

    async fn draw(on: &On<CaseNumber>, tried: &Tried) -> Result<FollowUpPage, WebError> {
        let view = see_case::see(&on.app, &on.person, &on.at).await?;
        follow_up_page(&on.app, &on.person, &view, tried)
    }
}

/// Shows the checks, and the form.
pub async fn form(on: On<CaseNumber>) -> Result<Response, WebError> {
    FollowUpPage::show(on).await
}

/// Enters a check.
pub async fn enter(on: On<CaseNumber>, form: Typed) -> Result<Response, WebError> {
    FollowUpPage::post(on, form, follow_up::enter, Done::FollowedUp).await
}

/// Enters what the lab says to the part of each house.
pub async fn share(on: On<CaseNumber>, form: Typed) -> Result<Response, WebError> {
    FollowUpPage::post(on, form, follow_up::answer, Done::ShareAnswered).await
}

/// Withdraws an entry that was a mistake.
pub async fn undo(on: On<CaseNumber>, form: Typed) -> Result<Response, WebError> {
    FollowUpPage::post(on, form, bench::undo, Done::FitUndone).await
}
