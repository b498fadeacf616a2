//! The page on which work is stopped, paused, cancelled or let go on.

use super::done::Done;
use super::error::WebError;
use super::extract::{On, Typed};
use super::field::FieldView;
use super::form_page::FormPage;
use super::frame::{Frame, back_to_case};
use super::keys::HALTED_BY;
use super::personal_data_check::fields_of;
use super::tried::Tried;
use crate::app::case_work::CaseWork;
use crate::app::custody_words::title_and_tag;
use crate::app::halt_work::FateAsked;
use crate::app::{App, AppError, Person, halt_work, see_case};
use crate::domain::custody::case_actions::halts;
use crate::domain::custody::forms::{FateForm, HaltForm, HaltKind, HaltReasonForm};
use crate::domain::form::Form;
use crate::domain::values::ids::{CaseNumber, EventId};
use askama::Template;
use axum::response::Response;

/// A thing of which is said what becomes of it.
pub struct FateRow {
    pub words: String,
    pub field: FieldView,
    /// Of what is the patient's.
    pub consent: Option<FieldView>,
    /// Where the arch would have none left.
    pub last: Option<FieldView>,
}

/// One decision with its form.
pub struct HaltChoice {
    pub word: &'static str,
    pub title: &'static str,
    pub open: bool,
    pub rows: Vec<FateRow>,
    pub fields: Vec<FieldView>,
    pub meaning: &'static str,
}

/// The forms that stop, pause or cancel work, or let it go on.
#[derive(Template)]
#[template(path = "halt.html")]
pub struct HaltPage {
    pub frame: Frame,
    pub number: String,
    pub path_number: String,
    pub refusals: Vec<String>,
    pub forms: Vec<HaltChoice>,
    pub post_key: String,
}

/// The words of a decision, and what sets the ids of its form apart.
fn words_of(kind: HaltKind) -> (&'static str, &'static str) {
    match kind {
        HaltKind::Stop => ("Stop the work now", "stop-"),
        HaltKind::Pause => ("Pause the work", "pause-"),
        HaltKind::GoOn => ("Resume the work", "on-"),
        HaltKind::Cancel => ("Cancel the work", "cancel-"),
    }
}

fn fate_rows(work: &CaseWork, tried: &Tried, scope: &'static str) -> Vec<FateRow> {
    let row = |asked: FateAsked| {
        let under = format!("{}.", asked.tag.as_str());
        let filled = |field: FieldView| {
            let mut field = field.filled(&tried.typed, &tried.faults);
            field.scope = scope.into();
            field
        };
        let fates = asked.fates.iter();
        let fates = fates.map(|fate| (fate.word().to_owned(), fate.shown().to_owned()));
        let field = FieldView::under(FateForm::fate(), &under).chosen_from(fates);
        let consent = FieldView::under(FateForm::fate_consent(), &under);
        let last = filled(FieldView::under(FateForm::fate_last(), &under));
        FateRow {
            words: title_and_tag(work, &asked.tag),
            field: filled(field),
            consent: asked.asks_consent.then(|| filled(consent)),
            last: Some(last).filter(FieldView::is_raised),
        }
    };
    halt_work::fates_asked(work).into_iter().map(row).collect()
}

fn choice(work: &CaseWork, kind: HaltKind, tried: &Tried) -> HaltChoice {
    let (title, scope) = words_of(kind);
    let sent = tried.typed.get(HaltReasonForm::halt().key);
    let is_sent = sent.is_some_and(|word| word == kind.word());
    let tried = tried.only_if(is_sent);
    let specs = [*HaltReasonForm::reason(), *HaltReasonForm::password()];
    let mut fields = fields_of(&specs, &HaltForm::field_sets(), tried);
    for field in &mut fields {
        field.scope = scope.into();
    }
    let is_cancel = kind == HaltKind::Cancel;
    HaltChoice {
        word: kind.word(),
        title,
        open: is_sent,
        rows: if is_cancel {
            fate_rows(work, tried, scope)
        } else {
            Vec::new()
        },
        fields,
        meaning: halt_work::means(kind),
    }
}

fn halt_page(
    app: &App,
    person: &Person,
    work: &CaseWork,
    tried: &Tried,
) -> Result<HaltPage, WebError> {
    let open = halts(&work.offers(app, person), work.case.revision).into_iter();
    let forms: Vec<HaltChoice> = open.map(|kind| choice(work, kind, tried)).collect();
    let mut refusals = tried.refusals.clone();
    // A decision that is offered no more has no form to stand beside.
    if !forms.iter().any(|form| form.open) {
        refusals.extend(tried.faults.iter().map(|fault| fault.message.clone()));
    }
    Ok(HaltPage {
        frame: Frame::of_case(app, person, work, "Stop, pause or cancel")?,
        number: work.case.number.to_string(),
        path_number: work.case.number.as_str().to_owned(),
        refusals,
        forms,
        post_key: app.outside.token().map_err(AppError::from)?,
    })
}

impl FormPage for HaltPage {
    type At = CaseNumber;

    fn says_done(number: &CaseNumber) -> String {
        format!("/cases/{}", number.as_str())
    }

    fn frame(&mut self) -> &mut Frame {
        &mut self.frame
    }

    async fn draw(on: &On<CaseNumber>, tried: &Tried) -> Result<HaltPage, WebError> {
        let view = see_case::see(&on.app, &on.person, &on.at).await?;
        halt_page(&on.app, &on.person, &view.work, tried)
    }
}

/// Shows what can be decided.
pub async fn form(on: On<CaseNumber>) -> Result<Response, WebError> {
    HaltPage::show(on).await
}

/// Enters the decision and leads back to the case, or shows its form with what is wrong.
pub async fn halt(on: On<CaseNumber>, form: Typed) -> Result<Response, WebError> {
    HaltPage::post(on, form, halt_work::halt, Done::Halted).await
}

/// Takes notice for the lab, and leads back to the case.
pub async fn heed(on: On<CaseNumber>, form: Typed) -> Result<Response, WebError> {
    let key = form.key()?;
    let event = form.0.get(HALTED_BY).cloned().unwrap_or_default();
    halt_work::heed(&on.app, &on.person, &on.at, &EventId::new(event), &key).await?;
    Ok(back_to_case(&on.at, Done::Heeded))
}
