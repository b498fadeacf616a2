//! A case at a glance: what its page says, and what can be done from there.

use super::agenda::{RETURN_LOAN, step_words};
use super::case_work::CaseWork;
use super::custody_words::{ItemLine, item_lines, mouth_now};
use super::reminders::reminders;
use super::see_case::CaseView;
use super::waiting::{self, WaitLine};
use super::{AppError, Person};
use crate::domain::custody::agenda::WhoseTurn;
use crate::domain::custody::case::Step;
use crate::domain::custody::case_actions::{CaseAction, case_actions};
use crate::domain::custody::handoff::{Handoff, HandoffState};
use crate::domain::custody::{CaseStep, Description, Offers, describe_in};
use crate::domain::law::retention::{self, Kept};
use crate::domain::people::access::Permission;
use crate::domain::people::party::Side;
use crate::domain::prescription::revision::{Document, MissingPoint, Revision};
use crate::domain::values::ids::{CaseNumber, EventId, HandoffId, PatientCode, Tag};
use crate::domain::values::moment::Moment;
use crate::domain::values::words::counted;

/// Entries of the history that the page itself shows.
const LATEST: usize = 5;

/// What is said of a case in words and numbers.
#[derive(Debug, Clone)]
pub struct CaseFacts {
    pub number: CaseNumber,
    pub summary: String,
    pub arches: &'static str,
    pub patient: PatientCode,
    pub office: String,
    pub lab: String,
    pub held: String,
    /// The work is stopped, paused or cancelled.
    pub halt: Option<HaltWords>,
    /// What waits, for whom and why.
    pub waits: Vec<WaitLine>,
    pub has_holds: bool,
    pub reminders: Vec<String>,
    pub closed: bool,
    pub waiting_for: String,
    pub is_office: bool,
    /// Whether this person may take texts out of the entries.
    pub may_erase: bool,
    /// The numbers that matter most, each as label, value and unit.
    pub highlights: Vec<(String, String, String)>,
    /// Until when office and lab keep what is signed; empty while nothing is.
    pub kept: String,
    /// How many of the points that labs look for are said, and those that are not, with the reasons.
    pub score: String,
    pub missing: Vec<MissingPoint>,
    pub draft: Option<String>,
    /// What each treated arch wears.
    pub mouth: Vec<(String, String)>,
    pub lately: Vec<Description>,
}

/// A standstill as every page of the case shows it.
#[derive(Debug, Clone)]
pub struct HaltWords {
    pub words: String,
    pub reason: String,
    /// Who took notice of it for the lab; none while nobody has.
    pub heeded: Option<String>,
    /// The entry, for whoever can take notice of it.
    pub to_heed: Option<EventId>,
}

/// The standstill of a case in words; none where the work goes on.
pub fn halt_words(work: &CaseWork, person: &Person) -> Option<HaltWords> {
    let halt = work.state.standstill.as_ref()?;
    let may = work.side == Side::Lab && person.may(Permission::AcknowledgeRevision);
    let heeded = halt.heeded.as_ref();
    Some(HaltWords {
        words: halt.words(),
        reason: halt.reason.clone(),
        to_heed: (may && heeded.is_none()).then(|| halt.event.clone()),
        heeded: heeded.map(|(who, at)| format!("{who} has taken notice of it on {at}.")),
    })
}

/// The facts of a case with the lists whose lines lead to pages of their own.
#[derive(Debug, Clone)]
pub struct CaseOverview {
    pub facts: CaseFacts,
    /// The main action first.
    pub actions: Vec<CaseAction>,
    /// What the agenda says is to be done here, where this person can do it.
    pub main: Option<MainAction>,
    pub in_force: Option<RevisionLine>,
    /// Newest first.
    pub earlier: Vec<RevisionLine>,
    pub items: Vec<ItemLine>,
    /// Newest first.
    pub handoffs: Vec<HandoffLine>,
}

/// The first thing that waits for this side, and where it is done.
#[derive(Debug, Clone)]
pub struct MainAction {
    /// The same words as in the agenda.
    pub words: String,
    pub place: MainPlace,
}

/// Where the main action is done.
#[derive(Debug, Clone)]
pub enum MainPlace {
    Action(CaseAction),
    /// On the page of this item.
    Item(Tag),
    /// Beside the revision in force, on the page itself.
    Revision,
}

fn main_action(view: &CaseView, person: &Person, actions: &[CaseAction]) -> Option<MainAction> {
    let work = &view.work;
    let mut tasks = work.case.waiting_for.iter();
    let Some(task) = tasks.find(|task| task.side == work.side) else {
        let is_lent = work.case.agenda.of(work.side).turn == WhoseTurn::Yours;
        let send = actions.iter().find(|one| **one == CaseAction::Release)?;
        return is_lent.then(|| MainAction {
            words: RETURN_LOAN.to_owned(),
            place: MainPlace::Action(send.clone()),
        });
    };
    let place = match task.step {
        Step::Acknowledge if person.may(Permission::AcknowledgeRevision) => MainPlace::Revision,
        Step::Acknowledge => return None,
        Step::Disinfect => {
            let mut items = work.items.iter();
            let item = items.find(|item| {
                let state = work.state.item(&item.tag);
                state.is_some_and(|one| one.held_for_disinfection && one.is_in_hand(work.side))
            })?;
            MainPlace::Item(item.tag.clone())
        }
        step => {
            let mut actions = actions.iter();
            MainPlace::Action(actions.find(|one| does(one, step))?.clone())
        }
    };
    Some(MainAction {
        words: step_words(task.step),
        place,
    })
}

/// Whether the step is done by this action.
fn does(action: &CaseAction, step: Step) -> bool {
    match step {
        Step::Resolve => *action == CaseAction::ResolveHold,
        Step::Receive => matches!(action, CaseAction::Receive(_)),
        Step::PickUp => matches!(action, CaseAction::PickUp(_)),
        Step::Heed => *action == CaseAction::Heed,
        Step::Decide => *action == CaseAction::Halt,
        Step::Close => *action == CaseAction::Close,
        Step::Write => matches!(action, CaseAction::Write(_)),
        Step::Fit => *action == CaseAction::ChangeMouth,
        Step::WindUp | Step::Enclose | Step::Make | Step::HandOver => {
            *action == CaseAction::Release
        }
        Step::Acknowledge | Step::Disinfect => false,
    }
}

/// A signed revision as a line of a list.
#[derive(Debug, Clone)]
pub struct RevisionLine {
    pub number: i64,
    pub signer: String,
    pub at: String,
    /// Who acknowledged it for the lab, in words.
    pub acknowledged: Option<String>,
    pub may_acknowledge: bool,
}

/// A handoff as a line of a list.
#[derive(Debug, Clone)]
pub struct HandoffLine {
    pub id: HandoffId,
    pub words: String,
    /// What it goes there for.
    pub purpose: String,
    pub detail: String,
    pub may_receive: bool,
    pub may_take_back: bool,
}

impl CaseOverview {
    /// The case as this person sees it at `now`.
    pub fn of(view: &CaseView, person: &Person, now: Moment) -> Result<CaseOverview, AppError> {
        let work = &view.work;
        let offers = work.offers_at(person, now);
        let line = |revision: &Revision| revision_line(view, revision, person);
        let handoff_line = |handoff: &Handoff| handoff_line(work, &offers, handoff);
        let handoffs = work.state.handoffs.iter().rev();
        let actions = case_actions(&offers, view.draft.is_some(), work.case.revision);
        Ok(CaseOverview {
            facts: facts(view, person, now)?,
            main: main_action(view, person, &actions),
            actions,
            in_force: view.in_force().map(line),
            earlier: view.revisions.iter().rev().skip(1).map(line).collect(),
            items: item_lines(work, &work.state.custody, Some(now.date())),
            handoffs: handoffs.map(handoff_line).collect(),
        })
    }
}

fn facts(view: &CaseView, person: &Person, now: Moment) -> Result<CaseFacts, AppError> {
    let (work, case) = (&view.work, &view.work.case);
    let documents = view.documents()?;
    let document = documents.last();
    let latest = work.events.iter().rev().take(LATEST);
    Ok(CaseFacts {
        number: case.number.clone(),
        summary: case.summary.clone(),
        arches: case.arches.shown(),
        patient: case.patient.clone(),
        office: work.office.name.clone(),
        lab: work.lab.name.clone(),
        held: case.held_shown(),
        halt: halt_words(work, person),
        waits: waiting::of_case(work, now.date()),
        has_holds: work.state.open_holds().next().is_some(),
        reminders: reminders(work, &view.office_open, now.date()),
        closed: case.closed,
        waiting_for: case.waiting_for_shown(),
        is_office: work.side == Side::Office,
        may_erase: person.may(Permission::EraseTexts),
        highlights: document.map(highlights).unwrap_or_default(),
        kept: kept_words(&view.revisions, &documents),
        score: document.map(Document::score).unwrap_or_default(),
        missing: document.map(|one| one.missing.clone()).unwrap_or_default(),
        draft: draft_words(view, person),
        mouth: mouth_now(work),
        lately: latest
            .map(|event| describe_in(&work.items, &work.state, event))
            .collect(),
    })
}

fn draft_words(view: &CaseView, person: &Person) -> Option<String> {
    let (name, at_ms) = view.draft.as_ref()?;
    let at = person.moment(*at_ms);
    Some(format!(
        "A draft of the next revision is under way: {name} wrote last, {at}."
    ))
}

fn highlights(document: &Document) -> Vec<(String, String, String)> {
    let highlights = document.prescription.highlights().into_iter();
    highlights
        .map(|one| (one.label.to_owned(), one.value, one.unit.to_owned()))
        .collect()
}

/// Until when both sides keep the case: the latest day that any of its revisions asks for. Nothing is
/// ever deleted when it comes.
fn kept_words(revisions: &[Revision], documents: &[Document]) -> String {
    let days = revisions.iter().map(|one| one.signature.at.date());
    let kept = days.zip(documents);
    let kept = kept.map(|(day, document)| retention::kept(day, &document.law).unwrap_or_default());
    let longest = kept.reduce(Kept::longer);
    longest.map_or_else(String::new, |kept| kept.words())
}

/// Only the revision in force can be acknowledged.
fn revision_line(view: &CaseView, revision: &Revision, person: &Person) -> RevisionLine {
    let mut acknowledgements = view.acknowledgements.iter();
    let acknowledged = acknowledgements.find(|one| one.revision == revision.number);
    RevisionLine {
        number: revision.number,
        signer: revision.signature.name.clone(),
        at: revision.signature.at.to_string(),
        may_acknowledge: acknowledged.is_none()
            && person.may(Permission::AcknowledgeRevision)
            && revision.number == view.work.case.revision,
        acknowledged: acknowledged
            .map(|one| format!("The lab works to it: {}, {}.", one.name, one.at)),
    }
}

fn handoff_line(work: &CaseWork, offers: &Offers<'_>, handoff: &Handoff) -> HandoffLine {
    let received = match (&handoff.received_by, handoff.received_at) {
        (Some(by), Some(at)) => format!(" Received by {} on {at}.", by.name),
        _ => String::new(),
    };
    let done = if handoff.is_packed() {
        "Packed"
    } else {
        "Handed over"
    };
    let picked_up = pick_up_words(handoff).map_or_else(String::new, |words| format!(" {words}"));
    HandoffLine {
        id: handoff.id.clone(),
        words: handoff_words(work, handoff),
        purpose: handoff.purpose.clone(),
        detail: format!(
            "{done} by {} on {}, carrier {}.{picked_up}{received}",
            handoff.released_by.name, handoff.released_at, handoff.carrier
        ),
        may_receive: offers.has(CaseStep::Receive(handoff)),
        may_take_back: offers.has(CaseStep::TakeBack(handoff)),
    }
}

/// What is said of the carrier's pick-up; nothing while it is awaited, nor of a release from before pick-ups were
/// written down.
pub fn pick_up_words(handoff: &Handoff) -> Option<String> {
    match &handoff.picked_up {
        Some(one) => Some(format!(
            "Picked up by {} on {}, handed out by {}.",
            one.person, one.at, one.handed_out_by
        )),
        None if handoff.awaits_pickup && handoff.received_at.is_some() => {
            Some("No pick-up was entered.".to_owned())
        }
        None => None,
    }
}

/// How far a handoff has come.
fn handoff_words(work: &CaseWork, handoff: &Handoff) -> String {
    let to = &work.party(handoff.to).name;
    let parcels = handoff.waiting().len();
    let sent = counted(handoff.sent.len(), "item");
    match handoff.state() {
        HandoffState::Voided => "Taken back, it never left".to_owned(),
        HandoffState::PartReceived if parcels > 0 => {
            let parcels = counted(parcels, "parcel");
            format!("Received at {to} in part, {parcels} not here yet")
        }
        HandoffState::Packed => format!("Packed for {to}, waits for the carrier: {sent}"),
        HandoffState::OnTheWay => format!("On the way to {to}: {sent}"),
        HandoffState::PartReceived => {
            let missing = counted(handoff.outstanding().len(), "item");
            format!("Received at {to}, {missing} missing")
        }
        HandoffState::Received => format!("Received at {to}: {sent}"),
    }
}
