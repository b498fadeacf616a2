//! The page of the record, with the forms on it.

use super::proofs::{TEXT, file};
use super::qr::{QrView, qr};
use super::views::{AlarmView, KeepsRow, ResumedView, alarm_view, keeps_row, resumed_view};
use crate::app::clear_alarm::ClearAlarmForm;
use crate::app::clock_word::{self, ClockForm};
use crate::app::see_record::{AlarmDescription, GrowthForm, PaperForm, RecordView};
use crate::app::typed::command;
use crate::app::{App, AppError, Person, clear_alarm, see_record};
use crate::domain::form::Form;
use crate::domain::people::access::Permission;
use crate::domain::values::fault::Fault;
use crate::record::words::PaperRoot;
use crate::web::done::Done;
use crate::web::error::{FormErrors, PageStatus, WebError};
use crate::web::extract::{Query, SignedIn, Typed};
use crate::web::field::{FieldView, fields_under, fill};
use crate::web::frame::{Frame, page_with, see_other};
use crate::web::personal_data_check::tick_for;
use crate::web::typed_form::TypedForm;
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;

/// How far the record has come, who keeps it, and what is wrong with it.
#[derive(Template)]
#[template(path = "record.html")]
pub struct RecordPage {
    pub frame: Frame,
    /// Entries, and size and root as on a paper.
    pub newest: Option<(u64, String)>,
    pub key: String,
    pub key_id: String,
    pub qr: Option<QrView>,
    pub keeps: Vec<KeepsRow>,
    pub open: Vec<AlarmView>,
    pub cleared: Vec<AlarmView>,
    pub resumed: Vec<ResumedView>,
    pub clock_question: Option<ClockQuestion>,
    pub clock_ahead: Option<String>,
    pub paper: FieldView,
    /// What came of comparing: whether it fits, and the sentence.
    pub compared: Option<(bool, String)>,
    pub growth: Vec<FieldView>,
    pub clear: Option<ClearForm>,
}

/// The form that clears the open alarms.
pub struct ClearForm {
    pub fields: Vec<FieldView>,
    pub refusals: Vec<String>,
    pub alarms: String,
    pub post_key: String,
}

/// The question about the clock, with the box for the password of whoever answers it.
pub struct ClockQuestion {
    pub sentence: String,
    pub password: FieldView,
    pub refusals: Vec<String>,
}

/// What was typed on the page, and what came of it.
#[derive(Default)]
struct Asked {
    typed: TypedForm,
    faults: Vec<Fault>,
    refusals: Vec<String>,
    compared: Option<(bool, String)>,
}

impl Asked {
    fn of(typed: TypedForm) -> Asked {
        Asked {
            typed,
            ..Asked::default()
        }
    }
}

/// Only an administrator clears alarms, and only where one is open; nothing is entered before the clock is right.
fn clear_form(
    app: &App,
    person: &Person,
    view: &RecordView,
    asked: &Asked,
) -> Result<Option<ClearForm>, WebError> {
    if view.open.is_empty()
        || view.clock_question.is_some()
        || !person.may(Permission::ManageInstallation)
    {
        return Ok(None);
    }
    let specs = [*ClearAlarmForm::reason(), *ClearAlarmForm::password()];
    let mut fields = fill(fields_under(&specs, ""), &asked.typed, &asked.faults);
    fields.extend(tick_for(&asked.typed, &ClearAlarmForm::field_sets()));
    Ok(Some(ClearForm {
        fields,
        refusals: asked.refusals.clone(),
        alarms: view.open_named.clone(),
        post_key: app.outside.token().map_err(AppError::from)?,
    }))
}

async fn record_page(app: &App, person: &Person, asked: Asked) -> Result<RecordPage, WebError> {
    let view = see_record::see(app, person).await?;
    let clear = clear_form(app, person, &view, &asked)?;
    let key = app.store.key();
    let paper = FieldView::under(PaperForm::paper(), "");
    let growth = fields_under(GrowthForm::FIELDS, "");
    let shown = |alarm: AlarmDescription| alarm_view(person, alarm);
    let password = FieldView::under(ClockForm::password(), "");
    let clock_question = view.clock_question.map(|sentence| ClockQuestion {
        sentence,
        password: password.filled(&asked.typed, &asked.faults),
        refusals: asked.refusals.clone(),
    });
    Ok(RecordPage {
        frame: Frame::new(app, person, "Record", "/record"),
        newest: view.newest.map(|seen| {
            let words = PaperRoot::new(seen.size, &seen.root).to_string();
            (seen.size, words)
        }),
        key_id: key.id().to_string(),
        qr: qr(&key.to_string()),
        key: key.to_string(),
        keeps: view
            .parties
            .into_iter()
            .map(|keeps| keeps_row(person, keeps))
            .collect(),
        open: view.open.into_iter().map(shown).collect(),
        cleared: view.cleared.into_iter().map(shown).collect(),
        resumed: view
            .resumed
            .into_iter()
            .map(|word| resumed_view(person, word))
            .collect(),
        clock_question,
        clock_ahead: view.clock_ahead,
        paper: paper.filled(&asked.typed, &asked.faults),
        growth: fill(growth, &asked.typed, &asked.faults),
        compared: asked.compared,
        clear,
    })
}

/// What the address asks, and what comes of it.
async fn asked(app: &App, query: Query) -> Result<(PageStatus, Asked), WebError> {
    let mut asked = Asked::of(query.0);
    let mut status = StatusCode::OK.into();
    if asked.typed.contains_key(PaperForm::paper().key) {
        let done = async { see_record::compare_paper(app, &command(&asked.typed)?).await };
        match done.await {
            Ok(Ok(fits)) => asked.compared = Some((true, fits)),
            Ok(Err(differs)) => asked.compared = Some((false, differs)),
            Err(other) => (status, asked.faults) = beside(other)?,
        }
    }
    Ok((status, asked))
}

/// The page; with `paper` in the address it compares.
pub async fn page(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    query: Query,
) -> Result<Response, WebError> {
    let done = query.text("done").to_owned();
    let (status, asked) = asked(&app, query).await?;
    let mut view = record_page(&app, &person, asked).await?;
    view.frame = view.frame.done(&done);
    page_with(status, &view)
}

/// Takes the word of whoever has looked at a clock on the wall, by password.
pub async fn trust_clock(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    form: Typed,
) -> Result<Response, WebError> {
    let done = async { clock_word::say_right(&app, &person, &form.read()?).await };
    match done.await {
        Ok(()) => Ok(see_other(&Done::Clock.at("/record"))),
        Err(other) => page_again(&app, &person, form.0, other).await,
    }
}

/// The page once more, with what was typed and what is wrong with it.
async fn page_again(
    app: &App,
    person: &Person,
    typed: TypedForm,
    error: AppError,
) -> Result<Response, WebError> {
    let said = FormErrors::of(error)?;
    let asked = Asked {
        typed,
        faults: said.faults,
        refusals: said.refusals,
        ..Asked::default()
    };
    page_with(said.status, &record_page(app, person, asked).await?)
}

/// Status and messages for the boxes of the page.
fn beside(error: AppError) -> Result<(PageStatus, Vec<Fault>), WebError> {
    let beside = FormErrors::of(error)?;
    Ok((beside.status, beside.faults))
}

/// Answers with the proof between two sizes, or with the page and its messages.
pub async fn growth(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    query: Query,
) -> Result<Response, WebError> {
    let done = async { see_record::growth(&app, &command(&query.0)?).await };
    match done.await {
        Ok((to, proof)) => {
            let name = format!("growth-{}-{to}.txt", proof.old);
            Ok(file(&name, TEXT, proof.to_string().into_bytes()))
        }
        Err(other) => {
            let (status, faults) = beside(other)?;
            let mut asked = Asked::of(query.0);
            asked.faults = faults;
            page_with(status, &record_page(&app, &person, asked).await?)
        }
    }
}

/// Clears the open alarms with the sentence that says what has happened.
pub async fn clear_alarms(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    form: Typed,
) -> Result<Response, WebError> {
    let key = form.key()?;
    let done = async {
        let command: ClearAlarmForm = form.read()?;
        clear_alarm::clear(&app, &person, &command, &key).await
    };
    match done.await {
        Ok(()) => Ok(see_other(&Done::AlarmsCleared.at("/record"))),
        Err(other) => page_again(&app, &person, form.0, other).await,
    }
}
