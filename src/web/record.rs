//! The record itself: how far it has come, who keeps it, alarms, and the proofs to take away. The page works
//! without scripts; `static/witness.js` compares and cosigns by itself.

use super::cases;
use super::error::{FormErrors, WebError};
use super::extract::{At, At2, Query, Signed, Typed};
use super::field::{FieldView, Input, fill};
use super::frame::{Frame, page_with, see_other};
use super::personal_data_check::{after_check, tick};
use crate::app::see_record::{AlarmTold, PartyKeeps, RecordView};
use crate::app::witness::Reported;
use crate::app::{App, AppError, Person, clear_alarm, prove, see_case, see_record, witness};
use crate::domain::people::access::Permission;
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::CaseNumber;
use crate::papers::layout::qr::QrBox;
use crate::record::archive::tar;
use crate::record::words::PaperRoot;
use askama::Template;
use axum::Json;
use axum::extract::State;
use axum::http::{HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};
use serde::Serialize;

/// A row of the table of those who keep the record.
pub struct KeepsRow {
    pub name: String,
    pub is_own: bool,
    pub seen: String,
    pub keys: Vec<String>,
}

/// An alarm on the page.
#[derive(Template)]
#[template(path = "partials/alarm.html")]
pub struct AlarmView {
    pub what: String,
    pub who: String,
    pub kept: String,
    pub found: String,
    pub settled: Option<String>,
}

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
    pub settled: Vec<AlarmView>,
    pub paper: FieldView,
    /// What came of comparing: whether it fits, and the sentence.
    pub compared: Option<(bool, String)>,
    pub growth: Vec<FieldView>,
    pub settle: Option<SettleForm>,
}

/// The form that settles the open alarms.
pub struct SettleForm {
    pub fields: Vec<FieldView>,
    pub refusals: Vec<String>,
    pub alarms: String,
    pub post_key: String,
}

/// A QR code as one path, one unit a module.
pub struct QrView {
    pub side: usize,
    pub path: String,
}

fn qr(text: &str) -> Option<QrView> {
    /// Free border around the modules (ISO/IEC 18004: four modules).
    const QUIET: usize = 4;
    let code = QrBox::encode(text)?;
    let mut path = String::new();
    for (y, row) in code.rows().iter().enumerate() {
        for (x, _) in row.iter().enumerate().filter(|(_, dark)| **dark) {
            path += &format!("M{} {}h1v1h-1z", x + QUIET, y + QUIET);
        }
    }
    Some(QrView {
        side: code.rows().len() + 2 * QUIET,
        path,
    })
}

fn keeps_row(person: &Person, keeps: PartyKeeps) -> KeepsRow {
    let at = |ms| person.moment(ms);
    let key = |key: &see_record::KeyKept| {
        let cosigned = match key.size {
            0 => "nothing since the last alarm was settled".to_owned(),
            size => format!("{size} entries, {}", at(key.at_ms)),
        };
        format!(
            "{}: cosigned {cosigned}; first used on {} by {}",
            key.id,
            at(key.first_ms),
            key.first_by
        )
    };
    KeepsRow {
        seen: match keeps.seen {
            Some((size, ms)) => format!("{size} entries, {}", at(ms)),
            None => "nothing yet".to_owned(),
        },
        keys: keeps.keys.iter().map(key).collect(),
        name: keeps.name,
        is_own: keeps.is_own,
    }
}

fn alarm_view(person: &Person, alarm: AlarmTold) -> AlarmView {
    AlarmView {
        who: format!("{}, {}", person.moment(alarm.at_ms), alarm.who),
        what: alarm.what,
        kept: alarm.kept,
        found: alarm.found,
        settled: alarm.settled.map(|(sentence, name, ms)| {
            format!("Settled by {name} on {}: {sentence}", person.moment(ms))
        }),
    }
}

/// What was typed on the page, and what came of it.
#[derive(Default)]
struct Asked {
    typed: super::TypedForm,
    faults: Vec<Fault>,
    refusals: Vec<String>,
    compared: Option<(bool, String)>,
}

fn settle_form(
    app: &App,
    person: &Person,
    view: &RecordView,
    asked: &Asked,
) -> Result<Option<SettleForm>, WebError> {
    if view.open.is_empty() || !person.may(Permission::ManageInstallation) {
        return Ok(None);
    }
    let password = FieldView::new(Input::Password, "password", "Your password again");
    let fields = vec![
        FieldView::new(
            Input::Long,
            "reason",
            "What has happened, and what was done about it",
        )
        .hint("Kept for good, with your name, and shown to everybody.")
        .needed(),
        password.needed().autocomplete("current-password"),
    ];
    let mut fields = fill(fields, &asked.typed, &asked.faults);
    fields.extend(tick(&asked.typed));
    Ok(Some(SettleForm {
        fields,
        refusals: asked.refusals.clone(),
        alarms: view.open_named.clone(),
        post_key: app.outside.token().map_err(AppError::from)?,
    }))
}

async fn record_page(app: &App, person: &Person, asked: Asked) -> Result<RecordPage, WebError> {
    let view = see_record::see(app, person).await?;
    let settle = settle_form(app, person, &view, &asked)?;
    let key = app.store.key();
    let paper = FieldView::text("paper", "Size and root from a paper")
        .hint("As printed, such as 412:8C27F0A1 and so on. At least 16 digits of the root.")
        .needed();
    let growth = vec![
        FieldView::new(Input::Number, "from", "From so many entries").needed(),
        FieldView::new(Input::Number, "to", "To so many entries").hint("Empty: to the newest."),
    ];
    let shown = |alarm: AlarmTold| alarm_view(person, alarm);
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
        settled: view.settled.into_iter().map(shown).collect(),
        paper: paper.filled(&asked.typed, &asked.faults),
        growth: fill(growth, &asked.typed, &asked.faults),
        compared: asked.compared,
        settle,
    })
}

/// The page; with `paper` in the address it compares.
pub async fn page(
    State(app): State<App>,
    Signed(person): Signed,
    query: Query,
) -> Result<Response, WebError> {
    let mut asked = Asked {
        typed: query.0.clone(),
        ..Asked::default()
    };
    let mut status = StatusCode::OK;
    if query.0.contains_key("paper") {
        match see_record::compare_paper(&app, query.text("paper")).await {
            Ok(Ok(fits)) => asked.compared = Some((true, fits)),
            Ok(Err(differs)) => asked.compared = Some((false, differs)),
            Err(other) => (status, asked.faults) = beside(other)?,
        }
    }
    let mut view = record_page(&app, &person, asked).await?;
    view.frame = view.frame.done(query.text("done"));
    page_with(status, &view)
}

fn beside(error: AppError) -> Result<(StatusCode, Vec<Fault>), WebError> {
    let beside = FormErrors::of(error)?;
    Ok((beside.status, beside.faults))
}

/// A file to be kept under `name` (ASCII).
fn file(name: &str, kind: &'static str, bytes: Vec<u8>) -> Response {
    let disposition = HeaderValue::from_str(&format!("attachment; filename=\"{name}\""))
        .unwrap_or(HeaderValue::from_static("attachment"));
    let headers = [
        (header::CONTENT_TYPE, HeaderValue::from_static(kind)),
        (header::CONTENT_DISPOSITION, disposition),
    ];
    (headers, bytes).into_response()
}

const TEXT: &str = "text/plain; charset=utf-8";

pub async fn checkpoint(State(app): State<App>, Signed(_): Signed) -> Result<Response, WebError> {
    let note = see_record::checkpoint(&app).await?;
    Ok(file("checkpoint.txt", TEXT, note.into_bytes()))
}

pub async fn growth(
    State(app): State<App>,
    Signed(person): Signed,
    query: Query,
) -> Result<Response, WebError> {
    match see_record::growth(&app, query.text("from"), query.text("to")).await {
        Ok((to, proof)) => {
            let name = format!("growth-{}-{to}.txt", proof.old);
            Ok(file(&name, TEXT, proof.to_string().into_bytes()))
        }
        Err(other) => {
            let (status, faults) = beside(other)?;
            let asked = Asked {
                typed: query.0,
                faults,
                ..Asked::default()
            };
            page_with(status, &record_page(&app, &person, asked).await?)
        }
    }
}

pub async fn entry(
    State(app): State<App>,
    Signed(person): Signed,
    At2(number, leaf): At2<CaseNumber, u64>,
) -> Result<Response, WebError> {
    let (body, _) = see_record::entry(&app, &person, &number, leaf).await?;
    let name = format!("leaf-{leaf:08}.json");
    Ok(file(&name, "application/json", body.into_bytes()))
}

pub async fn proof(
    State(app): State<App>,
    Signed(person): Signed,
    At2(number, leaf): At2<CaseNumber, u64>,
) -> Result<Response, WebError> {
    let (_, proof) = see_record::entry(&app, &person, &number, leaf).await?;
    let name = format!("leaf-{leaf:08}.tlog-proof");
    Ok(file(&name, TEXT, proof.to_string().into_bytes()))
}

/// The bundle of a case in one file; with `paper` in the address it shows the growth from there.
pub async fn bundle(
    State(app): State<App>,
    Signed(person): Signed,
    At(number): At<CaseNumber>,
    query: Query,
) -> Result<Response, WebError> {
    match packed(&app, &person, &number, query.text("paper")).await {
        Ok(bytes) => {
            let name = format!("record-{}.tar", number.as_str());
            Ok(file(&name, "application/x-tar", bytes))
        }
        Err(error @ (AppError::Invalid(_) | AppError::Refused(_))) => {
            let said = FormErrors::of(error)?;
            let faults = said.faults.into_iter().map(|fault| fault.message);
            let messages: Vec<String> = faults.chain(said.refusals).collect();
            let view = see_case::see(&app, &person, &number).await?;
            let mut view = cases::history_page(&app, &person, &view, &query).await?;
            view.proof.messages = messages;
            page_with(said.status, &view)
        }
        Err(other) => Err(other.into()),
    }
}

async fn packed(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    paper: &str,
) -> Result<Vec<u8>, AppError> {
    let case = see_record::own(app, person, number).await?;
    let paper = match paper {
        "" => None,
        typed => {
            Some(PaperRoot::parse(typed).map_err(|why| AppError::field("paper", why.to_string()))?)
        }
    };
    let files = prove::bundle(app, &case, paper.as_ref()).await?;
    tar(&format!("record-{}", number.as_str()), &files).ok_or_else(|| {
        AppError::Inner("a file of the bundle does not go into an archive".to_owned())
    })
}

/// A browser's cosignature.
pub async fn cosign(
    State(app): State<App>,
    Signed(person): Signed,
    form: Typed,
) -> Result<Response, WebError> {
    let text = |key: &str| form.0.get(key).cloned().unwrap_or_default();
    let (note, key, line) = (text("checkpoint"), text("key"), text("line"));
    witness::cosign(&app, &person, &note, &key, &line).await?;
    Ok(StatusCode::NO_CONTENT.into_response())
}

/// What a browser is told of its alarm.
#[derive(Serialize)]
struct Told {
    /// Whether this program finds the kept checkpoint contained.
    contained: bool,
    settled: Option<String>,
}

pub async fn alarm(
    State(app): State<App>,
    Signed(person): Signed,
    form: Typed,
) -> Result<Response, WebError> {
    let kept = form.0.get("kept").cloned().unwrap_or_default();
    let told = match witness::report(&app, &person, &kept).await? {
        Reported::Contained => (true, None),
        Reported::Raised => (false, None),
        Reported::Settled(word) => {
            let at = person.moment(word.at_ms);
            let said = format!("Settled by {} on {at}: {}", word.name, word.sentence);
            (false, Some(said))
        }
    };
    let (contained, settled) = told;
    Ok(Json(Told { contained, settled }).into_response())
}

pub async fn settle(
    State(app): State<App>,
    Signed(person): Signed,
    form: Typed,
) -> Result<Response, WebError> {
    let key = form.key()?;
    let command = clear_alarm::clear(&app, &person, &form.0, &key);
    match after_check(&form, command).await {
        Ok(()) => Ok(see_other("/record?done=alarms_settled")),
        Err(other) => {
            let said = FormErrors::of(other)?;
            let asked = Asked {
                typed: form.0,
                faults: said.faults,
                refusals: said.refusals,
                ..Asked::default()
            };
            page_with(said.status, &record_page(&app, &person, asked).await?)
        }
    }
}
