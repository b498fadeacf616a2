//! A case: opening it, its page, its history, its signed revisions.

use super::document::{DifferenceView, reasons};
use super::error::WebError;
use super::extract::{At, At2, Query, Signed, Typed};
use super::field::{FieldView, fill};
use super::frame::{Frame, page, page_with, see_other};
use crate::app::case_work::CaseWork;
use crate::app::see_case::{self, Sight};
use crate::app::{App, AppError, Person, open_case, see_record};
use crate::choices_of;
use crate::domain::access::Deed;
use crate::domain::arch::Arch;
use crate::domain::case::{Arches, Case, Place, Side};
use crate::domain::custody::{
    Condition, Custody, Event, Gone, Holder, State, Told, fold, standing,
};
use crate::domain::handoff::{self, Handoff, HandoffState};
use crate::domain::ids::CaseNumber;
use crate::domain::item::Item;
use crate::domain::moment::parse_date;
use crate::domain::mouth;
use crate::domain::party::{Numbering, PartyKind};
use crate::domain::prescription::{PrintedSection, differences};
use crate::domain::revision::{Document, Revision};
use askama::Template;
use axum::extract::State as Shared;
use axum::http::StatusCode;
use axum::response::Response;

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
    faults: &[crate::domain::fault::Fault],
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
    match (state.gone, state.holder) {
        (Some(Gone::UsedUp), _) => "used up".to_owned(),
        (Some(Gone::Destroyed), _) => "destroyed".to_owned(),
        (Some(Gone::WrittenOff), _) => "written off as lost".to_owned(),
        (None, Holder::Office) => work.office.name.clone(),
        (None, Holder::Lab) => work.lab.name.clone(),
        (
            None,
            Holder::Carrier {
                to: PartyKind::Office,
            },
        ) => format!("on the way to {}", work.office.name),
        (None, Holder::Carrier { to: PartyKind::Lab }) => {
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
    if let Some(kept) = &state.withheld {
        say(&format!("kept back, {kept}"), false);
    }
    if item.borrowed {
        say("borrowed", false);
    }
    words
}

pub fn item_views(work: &CaseWork, custody: &Custody) -> Vec<ItemView> {
    let view = |item: &Item| {
        custody.get(&item.tag).map(|state| ItemView {
            tag: item.tag.to_string(),
            path: format!("/items/{}", item.tag.as_str()),
            title: item.title(),
            pieces: item.pieces,
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
    treated(work.case.arches)
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

pub fn treated(arches: Arches) -> &'static [Arch] {
    match arches {
        Arches::Both => &[Arch::Upper, Arch::Lower],
        Arches::Upper => &[Arch::Upper],
        Arches::Lower => &[Arch::Lower],
    }
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
    pub waiting_for: String,
    pub is_office: bool,
    pub actions: Vec<(String, String)>,
    pub in_force: Option<RevisionView>,
    pub earlier: Vec<RevisionView>,
    pub highlights: Vec<(String, String, String)>,
    pub draft: Option<String>,
    pub items: Vec<ItemView>,
    pub handoffs: Vec<HandoffView>,
    pub mouth: Vec<(String, String)>,
    pub lately: Vec<Told>,
    pub post_key: String,
}

/// Entries shown on the case page itself.
const LATELY: usize = 5;

fn revision_view(sight: &Sight, revision: &Revision, person: &Person) -> RevisionView {
    let path = format!(
        "/cases/{}/revisions/{}",
        revision.case.as_str(),
        revision.number
    );
    let acknowledged = sight
        .acknowledgements
        .iter()
        .find(|one| one.revision == revision.number);
    RevisionView {
        number: revision.number,
        signer: revision.signature.name.clone(),
        at: revision.signature.at.to_string(),
        slip: format!("{path}/slip.pdf"),
        may_acknowledge: acknowledged.is_none()
            && person.may(Deed::AcknowledgeRevision)
            && revision.number == sight.work.case.revision,
        acknowledged: acknowledged
            .map(|one| format!("The lab works to it: {}, {}.", one.name, one.at)),
        path,
    }
}

/// What can be done now, the likeliest first.
fn actions(sight: &Sight, person: &Person, handoffs: &[Handoff]) -> Vec<(String, String)> {
    let case = &sight.work.case;
    let at = |rest: &str| format!("/cases/{}/{rest}", case.number.as_str());
    let mut actions = Vec::new();
    for handoff in handoffs
        .iter()
        .filter(|one| one.to == sight.work.house() && !one.outstanding().is_empty())
    {
        actions.push((
            format!("/handoffs/{}", handoff.id),
            "Receive what is on the way".to_owned(),
        ));
    }
    let release = (at("release"), "Hand over".to_owned());
    if sight.work.side == Side::Office {
        let write = match (sight.draft.is_some(), case.revision) {
            (true, _) => "Go on writing",
            (false, 0) => "Write the prescription",
            (false, _) => "Write a new revision",
        };
        let write = (at("write"), write.to_owned());
        let mouth = (at("mouth"), "What the patient wears".to_owned());
        let to_fit = standing(&sight.work.context(), &fold(&sight.work.events), handoffs).to_fit;
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
    } else if person.may(Deed::HandleItems) {
        actions.extend([release, (at("items/new"), "Register an item".to_owned())]);
    }
    actions.push((at("history"), "History".to_owned()));
    actions
}

fn handoff_view(work: &CaseWork, handoff: &Handoff) -> HandoffView {
    let to = if handoff.to == PartyKind::Lab {
        &work.lab.name
    } else {
        &work.office.name
    };
    let outstanding = handoff.outstanding().len();
    let words = match handoff.state() {
        HandoffState::OnTheWay => format!("On the way to {to}: {} item(s)", handoff.sent.len()),
        HandoffState::PartReceived => format!("Received at {to}, {outstanding} item(s) missing"),
        HandoffState::Received => format!("Received at {to}: {} item(s)", handoff.sent.len()),
    };
    let received = match (&handoff.received_by, handoff.received_at) {
        (Some(by), Some(at)) => format!(" Received by {} on {at}.", by.name),
        _ => String::new(),
    };
    HandoffView {
        path: format!("/handoffs/{}", handoff.id),
        words,
        detail: format!(
            "Handed over by {} on {}, carrier {}.{received}",
            handoff.released_by.name, handoff.released_at, handoff.carrier
        ),
        may_receive: handoff.to == work.house() && outstanding > 0,
    }
}

pub fn case_page(app: &App, person: &Person, sight: &Sight) -> Result<CasePage, WebError> {
    let (work, case): (&CaseWork, &Case) = (&sight.work, &sight.work.case);
    let (custody, handoffs) = (fold(&work.events), handoff::fold(&work.events));
    let is_office = work.side == Side::Office;
    let highlights = match sight.in_force() {
        None => Vec::new(),
        Some(revision) => see_highlights(&crate::app::sign::open_revision(revision)?),
    };
    let mut earlier: Vec<RevisionView> = sight
        .revisions
        .iter()
        .rev()
        .skip(1)
        .map(|one| revision_view(sight, one, person))
        .collect();
    earlier
        .iter_mut()
        .for_each(|one| one.may_acknowledge = false);
    let draft = sight.draft.as_ref().map(|(name, at)| {
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
        held: case.held.clone(),
        waiting_for: case.waiting_for.clone(),
        is_office,
        actions: actions(sight, person, &handoffs),
        in_force: sight
            .in_force()
            .map(|revision| revision_view(sight, revision, person)),
        earlier,
        highlights,
        draft,
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
    let sight = see_case::see(&app, &person, &number).await?;
    let mut view = case_page(&app, &person, &sight)?;
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
    pub lines: Vec<EntryView>,
    /// Size and root of a paper, for the proof of the whole history.
    pub proof: FieldView,
}

/// An entry of the history, with its number in the record.
pub struct EntryView {
    pub told: Told,
    pub leaf: Option<u64>,
}

/// Milliseconds of a day and time on this person's wall clock.
fn asked_moment(person: &Person, day: &str, time: &str) -> Result<i64, &'static str> {
    let date = parse_date(day)?;
    let time = if time.is_empty() { "23:59" } else { time };
    let (hour, minute) = time
        .split_once(':')
        .ok_or("Write the time as hours and minutes, such as 14:05.")?;
    let wrong = |_| "Write the time as hours and minutes, such as 14:05.";
    let (hour, minute): (u8, u8) = (
        hour.parse().map_err(wrong)?,
        minute.get(..2).unwrap_or(minute).parse().map_err(wrong)?,
    );
    let local = date
        .with_hms(hour, minute, 59)
        .map_err(|_| "There is no such time of day.")?
        .assume_utc();
    let utc_ms = local.unix_timestamp() * 1000;
    // The offset of that very time; an hour off in the one night in which a clock is set back.
    let near = person.moment(utc_ms);
    Ok(utc_ms - i64::from(near.offset_min) * 60_000 + 999)
}

pub async fn history(
    Shared(app): Shared<App>,
    Signed(person): Signed,
    At(number): At<CaseNumber>,
    query: Query,
) -> Result<Response, WebError> {
    let sight = see_case::see(&app, &person, &number).await?;
    let view = history_page(&app, &person, &sight, &query).await?;
    let status = if view.message.is_some() {
        StatusCode::UNPROCESSABLE_ENTITY
    } else {
        StatusCode::OK
    };
    page_with(status, &view)
}

pub async fn history_page(
    app: &App,
    person: &Person,
    sight: &Sight,
    query: &Query,
) -> Result<HistoryPage, WebError> {
    let number = &sight.work.case.number;
    let (day, time) = (query.text("day").to_owned(), query.text("time").to_owned());
    let asked = if day.is_empty() {
        Ok(None)
    } else {
        asked_moment(person, &day, &time).map(Some)
    };
    let (until, message) = match asked {
        Ok(until) => (until, None),
        Err(message) => (None, Some(message.to_owned())),
    };
    let events = see_case::events_until(&sight.work, until);
    let leaves = see_record::leaves_of_events(app, number).await?;
    let entry = |(told, event): (Told, &Event)| EntryView {
        told,
        leaf: leaves.get(&event.id).copied(),
    };
    let told = see_case::told(&sight.work.items, &events);
    let proof = FieldView::text("paper", "Size and root from a paper")
        .hint("Empty, or as printed: the file then proves the growth from that paper too.");
    Ok(HistoryPage {
        frame: Frame::new(app, person, format!("History of {number}"), ""),
        number: number.to_string(),
        path_number: number.as_str().to_owned(),
        day,
        time,
        asked: until.map(|ms| person.moment(ms).to_string()),
        message,
        places: item_views(&sight.work, &fold(&events)),
        mouth: mouth_words(&sight.work, &events),
        lines: told
            .into_iter()
            .zip(events.iter().rev())
            .map(entry)
            .collect(),
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
    pub differences: Vec<DifferenceView>,
    pub sections: Vec<PrintedSection>,
}

fn printed(document: &Document, numbering: Numbering) -> Vec<PrintedSection> {
    let mut sections = document.prescription.printed(numbering);
    sections.extend(reasons(document));
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
        at: found.signature.at.to_string(),
        meaning: found.signature.meaning,
        hash: found.hash,
        differences: differences.into_iter().map(DifferenceView::from).collect(),
        sections: printed(&document, person.numbering()),
    })
}
