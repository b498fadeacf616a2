//! The page of a case.

use super::changes::NewsLine;
use super::dates::{FoldedDays, folded_days};
use super::error::WebError;
use super::extract::{At, Query, SignedIn};
use super::frame::{Frame, page};
use super::linked::Linked;
use super::pictures::PictureRow;
use super::ribbon::RibbonView;
use super::waiting::Waiting;
use crate::app::agenda::BenchPeople;
use crate::app::as_it_came::is_unlisted_here;
use crate::app::case_overview::{CaseFacts, CaseOverview, HandoffLine, MainAction, RevisionLine};
use crate::app::case_work::CaseWork;
use crate::app::custody_words::ItemLine;
use crate::app::see_case::{self, CaseView};
use crate::app::{App, AppError, Person, dates, patient_wears};
use crate::domain::custody::case_actions::{CaseAction, MainPlace, Writing};
use crate::domain::people::party::Side;
use crate::domain::values::ids::CaseNumber;
use askama::Template;
use axum::extract::State;
use axum::response::Response;
use std::ops::Deref;

/// A signed revision with the addresses of its page, its sheet and its full text.
pub struct RevisionView {
    pub path: String,
    pub slip: String,
    pub text: String,
    /// The front of its sheet as a picture.
    pub front: String,
    line: RevisionLine,
}

impl RevisionView {
    fn new(case: &str, line: RevisionLine) -> RevisionView {
        let path = format!("{case}/revisions/{}", line.number);
        RevisionView {
            slip: format!("{path}/slip.pdf"),
            text: format!("{path}/text.pdf"),
            front: format!("{path}/front.svg"),
            path,
            line,
        }
    }
}

impl Deref for RevisionView {
    type Target = RevisionLine;

    fn deref(&self) -> &RevisionLine {
        &self.line
    }
}

/// Reads the facts of the case as its own fields.
#[derive(Template)]
#[template(path = "case.html")]
pub struct CasePage {
    pub frame: Frame,
    facts: CaseFacts,
    pub path_number: String,
    /// What other cases of the patient say is worn.
    pub elsewhere: Vec<String>,
    pub waiting: Waiting,
    /// The office alone keeps the patient's card.
    pub patient_path: Option<String>,
    /// Pan and technician, for the lab while the case is open.
    pub bench: Option<String>,
    /// Address and words of what waits for whoever reads, in the agenda's words.
    pub main: Option<(String, String)>,
    /// Address and words of what else can be done, the likeliest first.
    pub actions: Vec<(String, &'static str)>,
    pub in_force: Option<RevisionView>,
    pub earlier: Vec<RevisionView>,
    pub items: Vec<Linked<ItemLine>>,
    /// What was used up, destroyed or lost.
    pub gone: Vec<Linked<ItemLine>>,
    /// What is awaited, and the newest of what is not.
    pub handoffs: Vec<Linked<HandoffLine>>,
    pub earlier_handoffs: Vec<Linked<HandoffLine>>,
    /// None before the first item is registered.
    pub ribbon: Option<RibbonView>,
    pub post_key: String,
    /// When the work is back, by the plan; none where nothing is planned.
    pub days: Option<FoldedDays>,
    pub news: NewsLine,
    /// The newest pictures, for one row.
    pub pictures: Vec<PictureRow>,
    /// How many there are in all.
    pub pictures_count: usize,
    pub scans_count: usize,
}

impl Deref for CasePage {
    type Target = CaseFacts;

    fn deref(&self) -> &CaseFacts {
        &self.facts
    }
}

/// The items of a case with the addresses of their pages.
pub fn linked_items(lines: Vec<ItemLine>) -> Vec<Linked<ItemLine>> {
    let linked = |line: ItemLine| Linked::new(format!("/items/{}", line.tag.as_str()), line);
    lines.into_iter().map(linked).collect()
}

/// Where an action leads, and its words.
fn button(case: &str, action: CaseAction) -> (String, &'static str) {
    let (rest, words) = match action {
        CaseAction::Receive(id) => {
            return (format!("/handoffs/{id}"), "Check in the parcel");
        }
        CaseAction::PickUp(id) => {
            return (format!("/handoffs/{id}"), "Packed: the carrier takes it");
        }
        CaseAction::ResolveHold => ("holds", "Answer the problem on arrival"),
        CaseAction::Write(Writing::GoOn) => ("write", "Go on writing"),
        CaseAction::Write(Writing::First) => ("write", "Write the prescription"),
        CaseAction::Write(Writing::NewRevision) => ("write", "Write a new revision"),
        CaseAction::RegisterItem => ("items/set", "Register items"),
        CaseAction::Several => ("items/several", "Disinfect, move or label several"),
        CaseAction::ChangeMouth => ("mouth", "What the patient wears"),
        CaseAction::CheckFit => ("fit", "Check against the prescription"),
        CaseAction::FollowUp => ("follow-up", "Checks after the fit"),
        CaseAction::Release => ("release", "Hand over"),
        CaseAction::Reported => ("reported", "What the patient reports"),
        CaseAction::Moulds => ("moulds", "Mould list"),
        CaseAction::Heed => ("halt", "Acknowledge that the work stands still"),
        CaseAction::Answer => ("questions", "Answer"),
        CaseAction::AnswerDay => ("dates", "Answer the promised day"),
        CaseAction::AnswerPass => ("passed", "Work passed on: say your word"),
        CaseAction::PassOn => ("passed", "Second laboratory"),
        CaseAction::AnswerShare => ("follow-up", "Say how you see the part of each side"),
        CaseAction::Ask => ("questions#ask", "Ask, or note a call"),
        CaseAction::Halt => ("halt", "Stop, pause or cancel"),
        CaseAction::Close => ("close", "Close the case"),
        CaseAction::Reopen => ("close", "How it ended, or reopen it"),
        CaseAction::History => ("history", "History"),
    };
    (format!("{case}/{rest}"), words)
}

/// Where the main action is done.
fn main_path(case: &str, place: MainPlace) -> String {
    match place {
        MainPlace::Action(action) => button(case, action).0,
        MainPlace::Item(tag) => format!("/items/{}", tag.as_str()),
        MainPlace::Revision => "#in-force".to_owned(),
        MainPlace::Scans => format!("{case}/scans"),
    }
}

fn case_page(
    app: &App,
    person: &Person,
    view: &CaseView,
    people: &BenchPeople,
) -> Result<CasePage, WebError> {
    let now = person.moment(app.outside.now_ms());
    let overview = CaseOverview::of(view, person, now)?;
    let facts = overview.facts;
    let case = format!("/cases/{}", facts.number.as_str());
    let revision = |line| RevisionView::new(&case, line);
    let handoff = |line: HandoffLine| Linked::new(format!("/handoffs/{}", line.id), line);
    let frame = Frame::of_case(app, person, &view.work, format!("Case {}", facts.number))?;
    // What stands still is acknowledged on top of the page.
    let in_banner = (frame.halt.as_ref()).is_some_and(|banner| banner.halt.to_heed.is_some());
    let is_there = |one: &CaseAction| in_banner && matches!(one, CaseAction::Heed);
    let mut waits = facts.waits.clone();
    let unheeded = (frame.halt.as_ref()).filter(|banner| banner.halt.heeded.is_none());
    if let Some(banner) = unheeded {
        // The banner says the same, and has its button.
        waits.retain(|line| !line.things.is_empty() || line.why != banner.halt.words);
    }
    let main = overview
        .main
        .filter(|one| !matches!(&one.place, MainPlace::Action(action) if is_there(action)));
    let main = main.map(|MainAction { words, place }| (main_path(&case, place), words));
    let actions = overview.actions.into_iter().filter(|one| !is_there(one));
    let actions = actions.map(|one| button(&case, one));
    let is_main = |path: &str| main.as_ref().is_some_and(|(main, _)| main == path);
    let actions = actions.filter(|(path, _)| !is_main(path)).collect();
    let (gone, mut items): (Vec<ItemLine>, Vec<ItemLine>) =
        overview.items.into_iter().partition(|item| item.gone);
    // What no list names stands above what is expected.
    items.sort_by_key(|item| !is_unlisted_here(&view.work, &item.tag));
    let (newest, others): (Vec<_>, Vec<_>) = (overview.handoffs.into_iter().enumerate())
        .partition(|(place, one)| *place == 0 || !one.is_done);
    let handoffs = |lines: Vec<(usize, HandoffLine)>| -> Vec<Linked<HandoffLine>> {
        lines.into_iter().map(|(_, line)| handoff(line)).collect()
    };
    Ok(CasePage {
        frame,
        path_number: facts.number.as_str().to_owned(),
        elsewhere: Vec::new(),
        waiting: Waiting {
            lines: waits,
            questions: format!("{case}/questions"),
        },
        bench: (view.work.side == Side::Lab && !facts.closed)
            .then(|| people.words(Side::Lab, &view.work.case.agenda.bench)),
        patient_path: (facts.is_office).then(|| format!("/patients/{}", facts.patient.as_str())),
        main,
        actions,
        in_force: overview.in_force.map(revision),
        earlier: overview.earlier.into_iter().map(revision).collect(),
        items: linked_items(items),
        gone: linked_items(gone),
        handoffs: handoffs(newest),
        earlier_handoffs: handoffs(others),
        ribbon: RibbonView::of(&view.work, now),
        news: NewsLine {
            watch: format!("/changes?case={}", facts.number.as_str()),
            mark: view.work.case.version,
        },
        post_key: app.outside.token().map_err(AppError::from)?,
        days: None,
        pictures: newest_pictures(&view.work),
        pictures_count: view.work.pictures().len(),
        scans_count: view.work.scans().len(),
        facts,
    })
}

/// Pictures in the row of the case's page.
const PICTURES_IN_ROW: usize = 8;

fn newest_pictures(work: &CaseWork) -> Vec<PictureRow> {
    let shown = work.pictures_there().take(PICTURES_IN_ROW);
    shown.map(|one| PictureRow::of(work, one)).collect()
}

/// Answers with the page of the case.
pub async fn page_of(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    At(number): At<CaseNumber>,
    query: Query,
) -> Result<Response, WebError> {
    let view = see_case::see(&app, &person, &number).await?;
    let elsewhere = patient_wears::elsewhere(&app, &person, &view.work).await?;
    let people = BenchPeople::of(&app, &person).await?;
    let mut shown = case_page(&app, &person, &view, &people)?;
    shown.days = folded_days(&dates::of_view(&app, &person, view).await?);
    elsewhere.correct(&mut shown.facts.mouth);
    shown.elsewhere = [elsewhere.sentences, elsewhere.besides].concat();
    shown.frame = shown.frame.done(query.text("done"));
    page(&shown)
}
