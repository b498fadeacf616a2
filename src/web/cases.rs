//! A case: opening it, its page, its history, its signed revisions.

use super::document::{DifferenceView, reasons, score};
use super::drawing::Drawings;
use super::error::WebError;
use super::extract::{At, At2, Query, Signed, Typed};
use super::field::{FieldView, fill};
use super::frame::{Frame, page, page_with, see_other};
use super::ribbon::RibbonView;
use crate::app::case_work::CaseWork;
use crate::app::entry::end_of_minute;
use crate::app::see_case::{self, CaseView};
use crate::app::{App, AppError, Person, open_case, see_record};
use crate::choices_of;
use crate::domain::custody::case::{Case, Place};
use crate::domain::custody::handoff::{self, Handoff, HandoffState};
use crate::domain::custody::item::Item;
use crate::domain::custody::mouth::{self, SpareState};
use crate::domain::custody::{
    Condition, Custody, Description, Event, Gone, Hold, Holder, State, dispositions, fold,
    open_holds, overdue, standing,
};
use crate::domain::law::retention::{self, Kept};
use crate::domain::people::access::Permission;
use crate::domain::people::party::Side;
use crate::domain::prescription::revision::{Document, MissingPoint, Revision};
use crate::domain::prescription::{PrintedSection, differences};
use crate::domain::trade::calendar::OpenDays;
use crate::domain::values::arch::Arches;
use crate::domain::values::ids::{CaseNumber, Tag};
use crate::domain::values::moment::show_date;
use crate::domain::values::tooth::Numbering;
use askama::Template;
use axum::extract::State as Shared;
use axum::http::StatusCode;
use axum::response::Response;
use std::collections::BTreeMap;
use time::Date;

#[derive(Template)]
#[template(path = "case_new.html")]
pub struct NewCasePage {
    pub frame: Frame,
    pub fields: Vec<FieldView>,
    pub labs_missing: bool,
    pub post_key: String,
}

async fn new_page(
    app: &App,
    person: &Person,
    typed: &super::TypedForm,
    faults: &[crate::domain::values::fault::Fault],
) -> Result<NewCasePage, WebError> {
    let labs: Vec<(String, String)> = open_case::labs(app)
        .await?
        .into_iter()
        .map(|lab| (lab.id, lab.name))
        .collect();
    let labs_missing = labs.is_empty();
    let fields = vec![
        FieldView::text("patient", "Patient code")
            .hint("From the patient's card or the key sheet.")
            .needed(),
        FieldView::choice("arches", "Which jaws are treated", choices_of!(Arches)).needed(),
        FieldView::choice("lab", "Laboratory", labs).needed(),
    ];
    Ok(NewCasePage {
        frame: Frame::new(app, person, "New case", "/cases/new"),
        fields: fill(fields, typed, faults),
        labs_missing,
        post_key: app.outside.token().map_err(AppError::from)?,
    })
}

pub async fn new(
    Shared(app): Shared<App>,
    Signed(person): Signed,
    query: Query,
) -> Result<Response, WebError> {
    let typed = super::TypedForm::from([("patient".to_owned(), query.text("patient").to_owned())]);
    page(&new_page(&app, &person, &typed, &[]).await?)
}

pub async fn open(
    Shared(app): Shared<App>,
    Signed(person): Signed,
    form: Typed,
) -> Result<Response, WebError> {
    match open_case::open(&app, &person, &form.0, &form.key()?).await {
        Ok(number) => Ok(see_other(&format!(
            "/cases/{}?done=opened",
            number.as_str()
        ))),
        Err(AppError::Invalid(faults)) => page_with(
            StatusCode::UNPROCESSABLE_ENTITY,
            &new_page(&app, &person, &form.0, &faults).await?,
        ),
        Err(other) => Err(other.into()),
    }
}

/// A word of an item's state; the bad ones are marked by more than colour.
pub struct StateWord {
    pub words: String,
    pub bad: bool,
}

/// An item in a table.
pub struct ItemView {
    pub tag: String,
    pub path: String,
    pub title: String,
    pub pieces: u32,
    pub holder: String,
    pub answers: String,
    pub states: Vec<StateWord>,
    pub gone: bool,
}

/// Where an item is, with the names of the two houses.
pub fn holder_words(state: &State, work: &CaseWork) -> String {
    let words = house_words(state, work);
    match (&state.place, state.gone) {
        (Some(place), None) => format!("{words}, {place}"),
        _ => words,
    }
}

fn house_words(state: &State, work: &CaseWork) -> String {
    match (state.gone, state.holder) {
        (Some(Gone::UsedUp), _) => "used up".to_owned(),
        (Some(Gone::Destroyed), _) => "destroyed".to_owned(),
        (Some(Gone::WrittenOff), _) => "written off as lost".to_owned(),
        (None, Holder::Office) => work.office.name.clone(),
        (None, Holder::Lab) => work.lab.name.clone(),
        (None, Holder::Carrier { to: Side::Office }) => {
            format!("on the way to {}", work.office.name)
        }
        (None, Holder::Carrier { to: Side::Lab }) => {
            format!("on the way to {}", work.lab.name)
        }
        (None, Holder::Patient) if state.worn => "in the patient's mouth".to_owned(),
        (None, Holder::Patient) => "with the patient".to_owned(),
    }
}

/// The rest of an item's state in words.
pub fn state_words(item: &Item, state: &State) -> Vec<StateWord> {
    let mut words = Vec::new();
    let mut say = |text: &str, bad: bool| {
        words.push(StateWord {
            words: text.to_owned(),
            bad,
        })
    };
    if state.missing {
        say("missing from the box", true);
    }
    match state.condition {
        Condition::Sound => {}
        Condition::Damaged => say("damaged", true),
        Condition::NotAsDescribed => say("not as described", true),
    }
    if item.kind.needs_disinfection() && state.gone.is_none() {
        if state.held_for_disinfection {
            say("held: disinfect and record it", true);
        } else if state.disinfected {
            say("disinfected", false);
        }
    }
    if state.spare {
        say("the spare", false);
    }
    if state.given_back {
        say("given back to the patient", false);
    }
    if let Some(kept) = &state.withheld {
        say(&format!("kept back, {kept}"), false);
    }
    if item.borrowed {
        match &state.due_back {
            Some(day) => say(&format!("borrowed, due back {day}"), false),
            None => say("borrowed", false),
        }
    }
    words
}

pub fn item_views(work: &CaseWork, custody: &Custody) -> Vec<ItemView> {
    let view = |item: &Item| {
        custody.get(&item.tag).map(|state| ItemView {
            tag: item.tag.to_string(),
            path: format!("/items/{}", item.tag.as_str()),
            title: item.title(),
            pieces: state.pieces.unwrap_or(item.pieces),
            holder: holder_words(state, work),
            answers: state.answers.clone(),
            states: state_words(item, state),
            gone: state.gone.is_some(),
        })
    };
    work.items.iter().filter_map(view).collect()
}

/// What is worn in each treated arch at the end of `events`.
pub fn mouth_words(work: &CaseWork, events: &[Event]) -> Vec<(String, String)> {
    let line = mouth::fold(&work.items, events);
    work.case
        .arches
        .treated()
        .iter()
        .map(|&arch| {
            let worn = mouth::worn_in(&line, arch);
            let item = work.items.iter().find(|item| Some(&item.tag) == worn);
            let words = item.map_or("nothing recorded".to_owned(), |item| {
                format!("{} {}", item.kind.shown(), item.tag)
            });
            (arch.shown().to_owned(), words)
        })
        .collect()
}

/// A revision in a list.
pub struct RevisionView {
    pub number: i64,
    pub signer: String,
    pub at: String,
    pub path: String,
    pub slip: String,
    pub acknowledged: Option<String>,
    pub may_acknowledge: bool,
}

pub struct HandoffView {
    pub path: String,
    pub words: String,
    /// What it goes there for.
    pub purpose: String,
    pub detail: String,
    pub may_receive: bool,
}

#[derive(Template)]
#[template(path = "case.html")]
pub struct CasePage {
    pub frame: Frame,
    pub number: String,
    pub path_number: String,
    pub summary: String,
    pub arches: String,
    pub patient: String,
    pub patient_path: Option<String>,
    pub office: String,
    pub lab: String,
    pub held: String,
    /// What is to be settled, and by whom.
    pub tasks: Vec<String>,
    pub reminders: Vec<String>,
    pub closed: bool,
    pub waiting_for: String,
    pub is_office: bool,
    /// Whether this person may take texts out of the entries.
    pub may_erase: bool,
    pub actions: Vec<(String, String)>,
    pub in_force: Option<RevisionView>,
    pub earlier: Vec<RevisionView>,
    pub highlights: Vec<(String, String, String)>,
    /// Until when office and lab keep what is signed; empty while nothing is.
    pub kept: String,
    /// How many of the points that labs look for are said, and those that are not, with the reasons.
    pub score: String,
    pub missing: Vec<MissingPoint>,
    pub draft: Option<String>,
    /// None before the first item is registered.
    pub ribbon: Option<RibbonView>,
    pub items: Vec<ItemView>,
    pub handoffs: Vec<HandoffView>,
    pub mouth: Vec<(String, String)>,
    pub lately: Vec<Description>,
    pub post_key: String,
}

/// Entries shown on the case page itself.
const LATELY: usize = 5;

fn revision_view(view: &CaseView, revision: &Revision, person: &Person) -> RevisionView {
    let path = format!(
        "/cases/{}/revisions/{}",
        revision.case.as_str(),
        revision.number
    );
    let acknowledged = view
        .acknowledgements
        .iter()
        .find(|one| one.revision == revision.number);
    RevisionView {
        number: revision.number,
        signer: revision.signature.name.clone(),
        at: revision.signature.at.to_string(),
        slip: format!("{path}/slip.pdf"),
        may_acknowledge: acknowledged.is_none()
            && person.may(Permission::AcknowledgeRevision)
            && revision.number == view.work.case.revision,
        acknowledged: acknowledged
            .map(|one| format!("The lab works to it: {}, {}.", one.name, one.at)),
        path,
    }
}

/// Every open hold with the house that has to answer.
fn tasks(work: &CaseWork, holds: &[Hold]) -> Vec<String> {
    let name = |side| match side {
        Side::Office => &work.office.name,
        Side::Lab => &work.lab.name,
    };
    let words = |hold: &Hold| {
        format!(
            "{}: {} has to answer.",
            hold.words(&work.items),
            name(hold.side)
        )
    };
    holds.iter().map(words).collect()
}

/// What is to be thought of: the spare, the checks after the final, and what is lent and late.
pub fn reminders(work: &CaseWork, custody: &Custody, today: Date) -> Vec<String> {
    let mut words = Vec::new();
    let title = |tag: &Tag| {
        let item = work.items.iter().find(|item| item.tag == *tag);
        format!("{} {tag}", item.map(Item::title).unwrap_or_default())
    };
    for one in overdue(&work.items, custody, today) {
        let house = &work.party(one.side).name;
        let due = show_date(one.due);
        words.push(format!(
            "{} is lent and was due back on {due}: {house} sends it back.",
            title(&one.tag)
        ));
    }
    for &arch in work
        .case
        .arches
        .treated()
        .iter()
        .filter(|_| work.side == Side::Office)
    {
        for spare in mouth::spares(&work.items, &work.events, arch) {
            words.push(spare_words(&spare, &title));
        }
    }
    if work.side == Side::Office {
        words.extend(check_words(work));
    }
    words
}

/// The proposed checks; both finals in one sentence where they were fitted on one day.
fn check_words(work: &CaseWork) -> Vec<String> {
    let mut fitted: BTreeMap<Date, Vec<&str>> = BTreeMap::new();
    for &arch in work.case.arches.treated() {
        if let Some(at) = mouth::final_fitted(&work.items, &work.events, arch) {
            fitted.entry(at.date()).or_default().push(arch.shown());
        }
    }
    let words = |(day, arches): (Date, Vec<&str>)| {
        let checks = mouth::checks(day, &OpenDays::weekdays([]));
        let days: Vec<String> = checks
            .iter()
            .map(|one| format!("{} {}", one.after, show_date(one.day)))
            .collect();
        format!(
            "Hint, checks of the {} final fitted on {}: {}.",
            arches.join(" and "),
            show_date(day),
            days.join(", ")
        )
    };
    fitted.into_iter().map(words).collect()
}

fn spare_words(spare: &SpareState, title: &impl Fn(&Tag) -> String) -> String {
    match spare {
        SpareState::ToGive(tag) => format!(
            "{} becomes the spare: mark it, put it in water, and record it on its page when it is given to the patient.",
            title(tag)
        ),
        SpareState::Given { tag, since, kept } => {
            let kept = kept.as_ref().map_or_else(String::new, |kept| {
                let water = if kept.in_water {
                    "in water"
                } else {
                    "not in water"
                };
                format!(
                    ", marked “{}”, kept {water}: {}, by {}",
                    kept.mark, kept.place, kept.keeper
                )
            });
            format!("{} is the spare since {}{kept}.", title(tag), since.day())
        }
    }
}

/// What can be done now, the likeliest first.
fn actions(view: &CaseView, person: &Person, handoffs: &[Handoff]) -> Vec<(String, String)> {
    let case = &view.work.case;
    let at = |rest: &str| format!("/cases/{}/{rest}", case.number.as_str());
    let mut actions = Vec::new();
    let history = (at("history"), "History".to_owned());
    if case.closed {
        return vec![history];
    }
    let holds = open_holds(&view.work.events);
    if holds.iter().any(|hold| hold.side == view.work.house()) {
        actions.push((at("settle"), "Settle what was found wrong".to_owned()));
    }
    for handoff in handoffs
        .iter()
        .filter(|one| one.to == view.work.house() && !one.outstanding().is_empty())
    {
        actions.push((
            format!("/handoffs/{}", handoff.id),
            "Receive what is on the way".to_owned(),
        ));
    }
    let release = (at("release"), "Hand over".to_owned());
    if view.work.side == Side::Office {
        let write = match (view.draft.is_some(), case.revision) {
            (true, _) => "Go on writing",
            (false, 0) => "Write the prescription",
            (false, _) => "Write a new revision",
        };
        let write = (at("write"), write.to_owned());
        let mouth = (at("mouth"), "What the patient wears".to_owned());
        let to_fit = standing(&view.work.context(), &fold(&view.work.events), handoffs).to_fit;
        if to_fit || case.place == Place::Lab || case.place == Place::Patient {
            actions.extend([
                mouth,
                (at("items/new"), "Register an item".to_owned()),
                write,
                release,
            ]);
        } else if case.revision == 0 {
            actions.extend([
                write,
                (at("items/new"), "Register an item".to_owned()),
                mouth,
                release,
            ]);
        } else {
            actions.extend([
                release,
                mouth,
                (at("items/new"), "Register an item".to_owned()),
                write,
            ]);
        }
    } else if person.may(Permission::HandleItems) {
        actions.extend([release, (at("items/new"), "Register an item".to_owned())]);
    }
    if person.may(Permission::PrepareCases) {
        actions.push((at("reported"), "What the patient reports".to_owned()));
    }
    actions.push((at("moulds"), "Mould list of the lab".to_owned()));
    if view.work.side == Side::Office && dispositions(&view.work.context()).is_ok() {
        actions.push((at("close"), "Close the case".to_owned()));
    }
    actions.push(history);
    actions
}

fn counted(count: usize, one: &str, many: &str) -> String {
    let word = if count == 1 { one } else { many };
    format!("{count} {word}")
}

fn handoff_view(work: &CaseWork, handoff: &Handoff) -> HandoffView {
    let to = if handoff.to == Side::Lab {
        &work.lab.name
    } else {
        &work.office.name
    };
    let outstanding = handoff.outstanding().len();
    let boxes = handoff.waiting().len();
    let items = |count| counted(count, "item", "items");
    let words = match handoff.state() {
        HandoffState::Voided => "Taken back, it never left".to_owned(),
        HandoffState::PartReceived if boxes > 0 => {
            let boxes = counted(boxes, "box", "boxes");
            format!("Received at {to} in part, {boxes} not here yet")
        }
        HandoffState::OnTheWay => format!("On the way to {to}: {}", items(handoff.sent.len())),
        HandoffState::PartReceived => format!("Received at {to}, {} missing", items(outstanding)),
        HandoffState::Received => format!("Received at {to}: {}", items(handoff.sent.len())),
    };
    let received = match (&handoff.received_by, handoff.received_at) {
        (Some(by), Some(at)) => format!(" Received by {} on {at}.", by.name),
        _ => String::new(),
    };
    HandoffView {
        path: format!("/handoffs/{}", handoff.id),
        words,
        purpose: handoff.purpose.clone(),
        detail: format!(
            "Handed over by {} on {}, carrier {}.{received}",
            handoff.released_by.name, handoff.released_at, handoff.carrier
        ),
        may_receive: handoff.to == work.house() && outstanding > 0,
    }
}

pub fn case_page(app: &App, person: &Person, view: &CaseView) -> Result<CasePage, WebError> {
    let (work, case): (&CaseWork, &Case) = (&view.work, &view.work.case);
    let (custody, handoffs) = (fold(&work.events), handoff::fold(&work.events));
    let is_office = work.side == Side::Office;
    let document = view.in_force().map(crate::app::sign::open_revision);
    let document = document.transpose()?;
    let mut earlier: Vec<RevisionView> = view
        .revisions
        .iter()
        .rev()
        .skip(1)
        .map(|one| revision_view(view, one, person))
        .collect();
    earlier
        .iter_mut()
        .for_each(|one| one.may_acknowledge = false);
    let draft = view.draft.as_ref().map(|(name, at)| {
        format!(
            "A draft of the next revision is under way: {name} wrote last, {}.",
            person.moment(*at)
        )
    });
    Ok(CasePage {
        frame: Frame::new(app, person, format!("Case {}", case.number), ""),
        number: case.number.to_string(),
        path_number: case.number.as_str().to_owned(),
        summary: case.summary.clone(),
        arches: case.arches.shown().to_owned(),
        patient: case.patient.to_string(),
        patient_path: is_office.then(|| format!("/patients/{}", case.patient.as_str())),
        office: work.office.name.clone(),
        lab: work.lab.name.clone(),
        held: case.held_shown(),
        tasks: tasks(work, &open_holds(&work.events)),
        reminders: reminders(work, &custody, person.moment(app.outside.now_ms()).date()),
        closed: case.closed,
        waiting_for: case.waiting_for_shown(),
        is_office,
        may_erase: person.may(Permission::EraseTexts),
        actions: actions(view, person, &handoffs),
        in_force: view
            .in_force()
            .map(|revision| revision_view(view, revision, person)),
        earlier,
        highlights: document.as_ref().map(see_highlights).unwrap_or_default(),
        score: document.as_ref().map(Document::score).unwrap_or_default(),
        missing: document.map(|one| one.missing).unwrap_or_default(),
        kept: kept_words(view)?,
        draft,
        ribbon: RibbonView::of(work, person.moment(app.outside.now_ms())),
        items: item_views(work, &custody),
        handoffs: handoffs
            .iter()
            .rev()
            .map(|one| handoff_view(work, one))
            .collect(),
        mouth: mouth_words(work, &work.events),
        lately: see_case::told(&work.items, &work.events)
            .into_iter()
            .take(LATELY)
            .collect(),
        post_key: app.outside.token().map_err(AppError::from)?,
    })
}

/// Until when both sides keep the case: the latest day that any of its revisions asks for. Nothing is
/// ever deleted when it comes.
fn kept_words(view: &CaseView) -> Result<String, WebError> {
    let mut longest = None;
    for revision in &view.revisions {
        let document = crate::app::sign::open_revision(revision)?;
        let kept = retention::kept(revision.signature.at.date(), &document.law).unwrap_or_default();
        longest = Some(match longest {
            None => kept,
            Some(before) => kept.longer(before),
        });
    }
    Ok(longest.map_or_else(String::new, |kept: Kept| kept.words()))
}

fn see_highlights(document: &Document) -> Vec<(String, String, String)> {
    document
        .prescription
        .highlights()
        .into_iter()
        .map(|one| (one.label.to_owned(), one.value, one.unit.to_owned()))
        .collect()
}

pub async fn page_of(
    Shared(app): Shared<App>,
    Signed(person): Signed,
    At(number): At<CaseNumber>,
    query: Query,
) -> Result<Response, WebError> {
    let view = see_case::see(&app, &person, &number).await?;
    let mut view = case_page(&app, &person, &view)?;
    view.frame = view.frame.done(query.text("done"));
    page(&view)
}

/// The short address that a slip's QR code holds.
pub async fn short(Signed(_): Signed, At(number): At<CaseNumber>) -> Response {
    see_other(&format!("/cases/{}", number.as_str()))
}

#[derive(Template)]
#[template(path = "history.html")]
pub struct HistoryPage {
    pub frame: Frame,
    pub number: String,
    pub path_number: String,
    pub day: String,
    pub time: String,
    pub asked: Option<String>,
    pub message: Option<String>,
    pub places: Vec<ItemView>,
    pub mouth: Vec<(String, String)>,
    /// The entries, written already.
    pub rows: String,
    /// Size and root of a paper, for the proof of the whole history.
    pub proof: FieldView,
}

/// An entry of the history, with its number in the record.
pub struct EntryView {
    pub told: Description,
    pub leaf: Option<u64>,
}

pub async fn history(
    Shared(app): Shared<App>,
    Signed(person): Signed,
    At(number): At<CaseNumber>,
    query: Query,
) -> Result<Response, WebError> {
    let view = see_case::see(&app, &person, &number).await?;
    let view = history_page(&app, &person, &view, &query).await?;
    let status = if view.message.is_some() {
        StatusCode::UNPROCESSABLE_ENTITY
    } else {
        StatusCode::OK
    };
    page_with(status, &view)
}

#[derive(Template)]
#[template(path = "partials/history_rows.html")]
struct HistoryRows<'a> {
    path_number: &'a str,
    lines: Vec<EntryView>,
}

/// The entries as rows of the table, the newest first; empty where there are none.
async fn history_rows(app: &App, view: &CaseView, events: &[Event]) -> Result<String, WebError> {
    let number = &view.work.case.number;
    let leaves = see_record::leaves_of_events(app, number).await?;
    let entry = |(told, event): (Description, &Event)| EntryView {
        told,
        leaf: leaves.get(&event.id).copied(),
    };
    let told = see_case::told(&view.work.items, events).into_iter();
    let rows = HistoryRows {
        path_number: number.as_str(),
        lines: told.zip(events.iter().rev()).map(entry).collect(),
    };
    Ok(rows.render()?)
}

pub async fn history_page(
    app: &App,
    person: &Person,
    view: &CaseView,
    query: &Query,
) -> Result<HistoryPage, WebError> {
    let number = &view.work.case.number;
    let (day, time) = (query.text("day").to_owned(), query.text("time").to_owned());
    let asked = if day.is_empty() {
        Ok(None)
    } else {
        let time = if time.is_empty() { "23:59" } else { &time };
        end_of_minute(person, &day, time).map(Some)
    };
    let (until, message) = match asked {
        Ok(until) => (until, None),
        Err(message) => (None, Some(message.to_owned())),
    };
    let events = see_case::events_until(&view.work, until);
    let rows = match until {
        Some(_) => history_rows(app, view, &events).await?,
        None => match view.history.get() {
            Some(rows) => rows.clone(),
            None => {
                let rows = history_rows(app, view, &events).await?;
                view.history.get_or_init(|| rows).clone()
            }
        },
    };
    let proof = FieldView::text("paper", "Size and root from a paper")
        .hint("Empty, or as printed: the file then proves the growth from that paper too.");
    Ok(HistoryPage {
        frame: Frame::new(app, person, format!("History of {number}"), "").done(query.text("done")),
        number: number.to_string(),
        path_number: number.as_str().to_owned(),
        day,
        time,
        asked: until.map(|ms| person.moment(ms).to_string()),
        message,
        places: item_views(&view.work, &fold(&events)),
        mouth: mouth_words(&view.work, &events),
        rows,
        proof: proof.filled(&query.0, &[]),
    })
}

#[derive(Template)]
#[template(path = "revision.html")]
pub struct RevisionPage {
    pub frame: Frame,
    pub number: String,
    pub path_number: String,
    pub revision: i64,
    pub in_force: bool,
    pub signer: String,
    pub licence: String,
    pub at: String,
    pub meaning: String,
    pub hash: String,
    /// Local law: profiles, and until when the text is kept.
    pub law: Vec<(&'static str, String)>,
    pub differences: Vec<DifferenceView>,
    pub sections: Vec<PrintedSection>,
    pub drawings: Drawings,
}

fn printed(document: &Document, numbering: Numbering) -> Vec<PrintedSection> {
    let mut sections = vec![score(document)];
    sections.extend(reasons(document));
    sections.extend(document.prescription.printed(numbering));
    sections
}

pub async fn revision(
    Shared(app): Shared<App>,
    Signed(person): Signed,
    At2(number, revision): At2<CaseNumber, i64>,
) -> Result<Response, WebError> {
    let (work, found, before) = see_case::see_revision(&app, &person, &number, revision).await?;
    let document = crate::app::sign::open_revision(&found)?;
    let differences = match before {
        None => Vec::new(),
        Some(before) => {
            let before = crate::app::sign::open_revision(&before)?;
            differences(
                &before.prescription,
                &document.prescription,
                person.numbering(),
            )
        }
    };
    page(&RevisionPage {
        frame: Frame::new(
            &app,
            &person,
            format!("Revision {revision} of {number}"),
            "",
        ),
        number: number.to_string(),
        path_number: number.as_str().to_owned(),
        revision,
        in_force: work.case.revision == revision,
        signer: found.signature.name,
        licence: found.signature.licence,
        law: document.law_lines(found.signature.at.date()),
        at: found.signature.at.to_string(),
        meaning: found.signature.meaning,
        hash: found.hash,
        differences: differences.into_iter().map(DifferenceView::from).collect(),
        sections: printed(&document, person.numbering()),
        drawings: Drawings::of(&document.prescription),
    })
}
