//! The lab's mould list and the office's shade guides: loaded from a file or a text, looked at, taken home
//! as CSV. The office sees the mould list of the lab that a case names.

use super::TypedForm;
use super::error::{FormErrors, WebError};
use super::extract::{At, At2, Query, Signed, Typed, WithFile, encode};
use super::field::{FieldView, Input, fill};
use super::frame::{Frame, csv, page, page_with, see_other};
use super::personal_data_check::{after_check, tick};
use crate::app::see_lists::{List, Seen, Version};
use crate::app::{App, AppError, Person, load_list, see_lists};
use crate::domain::trade::lists::{Entries, ListKind};
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::CaseNumber;
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;

/// Rows of a list on one page.
const ROWS: usize = 200;

/// Everything that loading takes: the boxes, and what the list must look like.
#[derive(Template)]
#[template(path = "partials/load_list.html")]
pub struct LoadForm {
    pub action: String,
    pub fields: Vec<FieldView>,
    /// Where a text wants a second look.
    pub tick: Option<FieldView>,
    pub columns: &'static [(&'static str, &'static str)],
    pub example: &'static str,
    pub version: String,
    pub post_key: String,
    /// Whether there is one in use that could be taken out.
    pub in_use: bool,
    /// The id of the first box with a message.
    pub first_fault: Option<String>,
}

/// The list in force as a table, a part at a time.
pub struct InForce {
    pub heading: &'static [&'static str],
    /// Each cell under its heading, which a narrow screen shows beside it.
    pub rows: Vec<Vec<(&'static str, String)>>,
    pub words: String,
    /// Which rows these are, where there are more.
    pub part: Option<String>,
    pub before: Option<String>,
    pub after: Option<String>,
}

pub struct VersionView {
    pub number: i64,
    pub words: String,
    pub at: String,
    pub name: String,
    /// Where it can be had as CSV.
    pub href: Option<String>,
}

#[derive(Template)]
#[template(path = "list.html")]
pub struct ListPage {
    pub frame: Frame,
    /// The page this one belongs to.
    pub above: Option<(String, String)>,
    pub intro: &'static str,
    pub refusals: Vec<String>,
    pub in_force: Option<InForce>,
    /// What is said where nothing is in force.
    pub nothing: &'static str,
    pub versions: Vec<VersionView>,
    pub form: Option<LoadForm>,
}

pub struct GuideRow {
    pub href: String,
    pub name: String,
    pub kind: &'static str,
    pub words: String,
}

#[derive(Template)]
#[template(path = "guides.html")]
pub struct GuidesPage {
    pub frame: Frame,
    pub refusals: Vec<String>,
    pub guides: Vec<GuideRow>,
    pub form: LoadForm,
}

/// What came with a form that goes back, or nothing.
struct Beside {
    typed: TypedForm,
    status: StatusCode,
    faults: Vec<Fault>,
    refusals: Vec<String>,
}

impl Beside {
    fn nothing() -> Beside {
        Beside {
            typed: TypedForm::new(),
            status: StatusCode::OK,
            faults: Vec::new(),
            refusals: Vec::new(),
        }
    }

    /// The form with its messages, or a failure that has a page of its own.
    fn of(error: AppError, form: Typed) -> Result<Beside, WebError> {
        let beside = FormErrors::of(error)?;
        Ok(Beside {
            typed: form.0,
            status: beside.status,
            faults: beside.faults,
            refusals: beside.refusals,
        })
    }
}

fn entries(count: usize) -> String {
    match count {
        1 => "1 entry".to_owned(),
        count => format!("{count} entries"),
    }
}

fn load_form(
    app: &App,
    beside: &Beside,
    kind: ListKind,
    action: String,
    seen: Option<&Seen>,
) -> Result<LoadForm, WebError> {
    let mut fields = vec![
        FieldView::new(Input::File, WithFile::FILE, "File of the list")
            .hint("CSV in UTF-8. A file that is chosen is taken in place of the text below."),
        FieldView::new(Input::Long, WithFile::TEXT, "Or the list itself")
            .hint("Paste it, with its heading. Nothing is taken while a line is not clear."),
    ];
    if kind != ListKind::Moulds && seen.is_none() {
        let kinds = [ListKind::ToothGuide, ListKind::BaseGuide];
        let kinds = kinds.map(|kind| (kind.word().to_owned(), kind.shown().to_owned()));
        let name = FieldView::text("guide", "Name of the guide")
            .hint("As it is written on a prescription.");
        fields.splice(
            0..0,
            [
                FieldView::choice("kind", "What its tabs are for", kinds).needed(),
                name.needed(),
            ],
        );
    }
    let fields = fill(fields, &beside.typed, &beside.faults);
    let first_fault = fields.iter().find(|field| !field.messages.is_empty());
    let stands = seen.map_or(0, |seen| seen.list.version).to_string();
    Ok(LoadForm {
        action,
        first_fault: first_fault.map(FieldView::id),
        fields,
        tick: tick(&beside.typed),
        columns: kind.columns(),
        example: kind.example(),
        version: beside.typed.get("version").cloned().unwrap_or(stands),
        post_key: app.outside.token().map_err(AppError::from)?,
        in_use: seen.is_some_and(|seen| seen.entries.is_some()),
    })
}

/// The part of the list from row `from` on.
fn in_force(seen: &Seen, person: &Person, path: &str, from: usize) -> Option<InForce> {
    let all = seen.entries.as_ref()?;
    let count = all.count();
    let from = from.min(count.saturating_sub(1)) / ROWS * ROWS;
    let heading = heading(all);
    let labelled = |cells: Vec<String>| heading.iter().copied().zip(cells).collect();
    let rows: Vec<Vec<_>> = all.cells(from, ROWS).into_iter().map(labelled).collect();
    let last = from + rows.len();
    let loaded = seen.versions.first().map(|version| {
        format!(
            "loaded {} by {}",
            person.moment(version.at_ms),
            version.name
        )
    });
    let at = |from: usize| format!("{path}?from={from}#entries");
    Some(InForce {
        heading,
        words: format!(
            "Version {}, {}, {}.",
            seen.list.version,
            entries(count),
            loaded.unwrap_or_default()
        ),
        part: (count > ROWS).then(|| format!("{} to {last} of {count}", from + 1)),
        before: (from > 0).then(|| at(from - ROWS)),
        after: (last < count).then(|| at(last)),
        rows,
    })
}

fn heading(entries: &Entries) -> &'static [&'static str] {
    match entries {
        Entries::Moulds(_) => &[
            "Code",
            "Arch",
            "Teeth",
            "Width, mm",
            "Measured by",
            "Length, mm",
            "Form",
            "Cusp angle, °",
            "Stock",
        ],
        Entries::Tabs(_) => &["Tab", "L*", "a*", "b*"],
    }
}

/// The versions, each with its address where it can be had: below `path`, if at all.
fn versions(seen: &Seen, person: &Person, path: Option<&str>) -> Vec<VersionView> {
    let view = |version: &Version| VersionView {
        number: version.version,
        words: match version.entries {
            0 => "taken out of use".to_owned(),
            count => entries(usize::try_from(count).unwrap_or_default()),
        },
        at: person.moment(version.at_ms).to_string(),
        name: version.name.clone(),
        href: path
            .filter(|_| version.entries > 0)
            .map(|path| format!("{path}/{}/list.csv", version.version)),
    };
    seen.versions.iter().map(view).collect()
}

/// The row that the address asks for; what is no number is the first.
fn from(query: &Query) -> usize {
    query.text("from").parse().unwrap_or(0)
}

async fn moulds_page(
    app: &App,
    person: &Person,
    query: Option<&Query>,
    beside: &Beside,
) -> Result<ListPage, WebError> {
    const PATH: &str = "/moulds";
    let seen = see_lists::own_moulds(app, person).await?;
    let done = query.map(|query| query.text("done")).unwrap_or_default();
    Ok(ListPage {
        frame: Frame::new(app, person, "Mould list", PATH).done(done),
        above: None,
        intro: "The moulds that this laboratory keeps. Offices whose cases name it see the list, and get hints from it while they write a prescription.",
        refusals: beside.refusals.clone(),
        in_force: seen
            .as_ref()
            .and_then(|seen| in_force(seen, person, PATH, query.map_or(0, from))),
        nothing: "No list is in use. Offices get no hints on moulds until one is loaded.",
        versions: seen
            .as_ref()
            .map(|seen| versions(seen, person, Some(PATH)))
            .unwrap_or_default(),
        form: Some(load_form(
            app,
            beside,
            ListKind::Moulds,
            PATH.to_owned(),
            seen.as_ref(),
        )?),
    })
}

pub async fn moulds(
    State(app): State<App>,
    Signed(person): Signed,
    query: Query,
) -> Result<Response, WebError> {
    page(&moulds_page(&app, &person, Some(&query), &Beside::nothing()).await?)
}

/// Whether the form asks to take the list out of use, and is sure of it.
fn goes_out(form: &Typed) -> Result<bool, AppError> {
    let asked = form.text("go") == "out";
    if asked && !form.is_ticked("sure") {
        return Err(AppError::Refused(vec![
            "Tick “Take this list out of use” first.".to_owned(),
        ]));
    }
    Ok(asked)
}

/// The form of a list, if its file could be read.
fn readable(sent: &WithFile) -> Result<(), AppError> {
    if sent.is_unreadable {
        let message = "This file is no text in UTF-8. Save it as “CSV UTF-8”, or open it and paste its text below.";
        return Err(AppError::field(WithFile::FILE, message));
    }
    Ok(())
}

async fn do_load_moulds(
    app: &App,
    person: &Person,
    sent: &WithFile,
) -> Result<&'static str, WebError> {
    let (typed, key) = (&sent.form.0, sent.form.key()?);
    if goes_out(&sent.form)? {
        load_list::take_moulds_out(app, person, typed, &key).await?;
        return Ok("out");
    }
    readable(sent)?;
    load_list::load_moulds(app, person, typed, &key).await?;
    Ok("loaded")
}

pub async fn load_moulds(
    State(app): State<App>,
    Signed(person): Signed,
    sent: WithFile,
) -> Result<Response, WebError> {
    match do_load_moulds(&app, &person, &sent).await {
        Ok(done) => Ok(see_other(&format!("/moulds?done={done}"))),
        Err(WebError::App(error)) => {
            let beside = Beside::of(error, sent.form)?;
            page_with(
                beside.status,
                &moulds_page(&app, &person, None, &beside).await?,
            )
        }
        Err(other) => Err(other),
    }
}

pub async fn moulds_csv(
    State(app): State<App>,
    Signed(person): Signed,
    At(version): At<i64>,
) -> Result<Response, WebError> {
    let text = see_lists::moulds_csv(&app, &person, version).await?;
    Ok(csv(&format!("mould-list-{version}.csv"), text))
}

async fn guides_page(app: &App, person: &Person, beside: &Beside) -> Result<GuidesPage, WebError> {
    let guides = see_lists::own_guides(app, person).await?;
    let row = |list: List| GuideRow {
        href: format!("/guides/{}", encode(&list.id)),
        kind: list.kind.shown(),
        words: match list.entries {
            0 => "out of use".to_owned(),
            count => format!(
                "version {}, {}",
                list.version,
                entries(usize::try_from(count).unwrap_or_default())
            ),
        },
        name: list.name,
    };
    Ok(GuidesPage {
        frame: Frame::new(app, person, "Shade guides", "/guides"),
        refusals: beside.refusals.clone(),
        guides: guides.into_iter().map(row).collect(),
        form: load_form(
            app,
            beside,
            ListKind::ToothGuide,
            "/guides".to_owned(),
            None,
        )?,
    })
}

pub async fn guides(State(app): State<App>, Signed(person): Signed) -> Result<Response, WebError> {
    page(&guides_page(&app, &person, &Beside::nothing()).await?)
}

async fn do_add_guide(app: &App, person: &Person, sent: &WithFile) -> Result<String, WebError> {
    let key = sent.form.key()?;
    readable(sent)?;
    let add = load_list::add_guide(app, person, &sent.form.0, &key);
    Ok(after_check(&sent.form, add).await?)
}

pub async fn add_guide(
    State(app): State<App>,
    Signed(person): Signed,
    sent: WithFile,
) -> Result<Response, WebError> {
    match do_add_guide(&app, &person, &sent).await {
        Ok(id) => Ok(see_other(&format!("/guides/{}?done=loaded", encode(&id)))),
        Err(WebError::App(error)) => {
            let beside = Beside::of(error, sent.form)?;
            page_with(beside.status, &guides_page(&app, &person, &beside).await?)
        }
        Err(other) => Err(other),
    }
}

async fn guide_page(
    app: &App,
    person: &Person,
    id: &str,
    query: Option<&Query>,
    beside: &Beside,
) -> Result<ListPage, WebError> {
    let seen = see_lists::own_guide(app, person, id).await?;
    let path = format!("/guides/{}", encode(id));
    let done = query.map(|query| query.text("done")).unwrap_or_default();
    let (name, kind) = (&seen.list.name, seen.list.kind.shown());
    Ok(ListPage {
        frame: Frame::new(app, person, format!("{name}, {kind}"), "/guides").done(done),
        above: Some(("/guides".to_owned(), "Shade guides".to_owned())),
        intro: "The tabs of this guide as the office measured them. A reading on a prescription that names the guide is compared with them.",
        refusals: beside.refusals.clone(),
        in_force: in_force(&seen, person, &path, query.map_or(0, from)),
        nothing: "This guide is out of use: no reading is compared with it.",
        versions: versions(&seen, person, Some(&path)),
        form: Some(load_form(app, beside, seen.list.kind, path, Some(&seen))?),
    })
}

pub async fn guide(
    State(app): State<App>,
    Signed(person): Signed,
    At(id): At<String>,
    query: Query,
) -> Result<Response, WebError> {
    page(&guide_page(&app, &person, &id, Some(&query), &Beside::nothing()).await?)
}

async fn do_load_guide(
    app: &App,
    person: &Person,
    id: &str,
    sent: &WithFile,
) -> Result<&'static str, WebError> {
    let (typed, key) = (&sent.form.0, sent.form.key()?);
    if goes_out(&sent.form)? {
        load_list::take_guide_out(app, person, id, typed, &key).await?;
        return Ok("out");
    }
    readable(sent)?;
    load_list::load_guide(app, person, id, typed, &key).await?;
    Ok("loaded")
}

pub async fn load_guide(
    State(app): State<App>,
    Signed(person): Signed,
    At(id): At<String>,
    sent: WithFile,
) -> Result<Response, WebError> {
    match do_load_guide(&app, &person, &id, &sent).await {
        Ok(done) => Ok(see_other(&format!("/guides/{}?done={done}", encode(&id)))),
        Err(WebError::App(error)) => {
            let beside = Beside::of(error, sent.form)?;
            let view = guide_page(&app, &person, &id, None, &beside).await?;
            page_with(beside.status, &view)
        }
        Err(other) => Err(other),
    }
}

pub async fn guide_csv(
    State(app): State<App>,
    Signed(person): Signed,
    At2(id, version): At2<String, i64>,
) -> Result<Response, WebError> {
    let text = see_lists::guide_csv(&app, &person, &id, version).await?;
    Ok(csv(&format!("shade-guide-{version}.csv"), text))
}

/// The list of a case's lab, to be looked at.
pub async fn moulds_of_case(
    State(app): State<App>,
    Signed(person): Signed,
    At(number): At<CaseNumber>,
    query: Query,
) -> Result<Response, WebError> {
    let (lab, seen) = see_lists::moulds_of_case(&app, &person, &number).await?;
    let case = format!("/cases/{}", number.as_str());
    let path = format!("{case}/moulds");
    page(&ListPage {
        frame: Frame::new(&app, &person, format!("Mould list of {}", lab.name), ""),
        above: Some((case, format!("Case {number}"))),
        intro: "As the lab has loaded it. What is in the drawer may be ahead of the list, or behind it: ask where it matters.",
        refusals: Vec::new(),
        in_force: seen
            .as_ref()
            .and_then(|seen| in_force(seen, &person, &path, from(&query))),
        nothing: "The lab has no list in use.",
        versions: Vec::new(),
        form: None,
    })
}
