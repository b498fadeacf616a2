//! A case at a glance: what its page says, and what can be done from there.

use super::agenda::{MAKE_CHECK, answered_words};
use super::case_work::CaseWork;
use super::changed_at_chair::changed_at_the_chair;
use super::custody_words::{ItemLine, item_lines, mouth_now};
use super::fit;
use super::follow_up;
use super::papers_noted::kept_of;
use super::passing;
use super::reminders::spares_and_checks;
use super::see_case::CaseView;
use super::signed_words::signed;
use super::stated_of_flaws::stated_at_the_lab;
use super::template;
use super::waiting::{self, WaitLine};
use super::{AppError, Person};
use crate::domain::custody::case::Place;
use crate::domain::custody::case_actions::{
    CaseAction, MainPlace, case_actions, is_asked_for, main_place,
};
use crate::domain::custody::handoff::{Handoff, HandoffState};
use crate::domain::custody::item::Item;
use crate::domain::custody::to_do::ToDo;
use crate::domain::custody::{
    CaseStep, Description, Found, Holder, Offers, Outcome, describe_in, is_done, named_check,
};
use crate::domain::people::access::Permission;
use crate::domain::people::party::Side;
use crate::domain::prescription::revision::{Document, MissingPoint, Revision};
use crate::domain::prescription::{Difference, HEIGHT, HEIGHT_ORDER, WANTED};
use crate::domain::values::ids::{CaseNumber, EventId, HandoffId, PatientCode};
use crate::domain::values::moment::{Moment, day_in_words, days_off};
use crate::domain::values::words::{capitalised, counted, lowered};
use time::Date;

/// Entries of the history that the page itself shows.
const LATEST: usize = 3;

/// What is said of a case in words and numbers.
#[derive(Debug, Clone)]
pub struct CaseFacts {
    pub number: CaseNumber,
    pub summary: String,
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
    /// That an answer has come which this house has not gone on from.
    pub answered: Option<String>,
    /// What either house has found against the prescription.
    pub fit: Vec<String>,
    /// Work that is passed on to a second laboratory, or was.
    pub passed: Vec<String>,
    /// The last check after the fit.
    pub follow_up: Option<String>,
    pub closed: bool,
    /// Where it is, whom it waits for, and when it is due, in a sentence each.
    pub stands: String,
    pub is_office: bool,
    /// Whether this person may take texts out of the entries.
    pub may_erase: bool,
    /// The numbers that matter most, each as label, value and unit.
    pub highlights: Vec<(String, String, String)>,
    /// Until when office and lab keep what is signed; empty while nothing is.
    pub kept: String,
    /// Since when, by whom and why the office keeps the papers longer.
    pub kept_longer: Option<String>,
    /// How many of the points that labs look for are said, and those that are not, with the reasons.
    pub score: String,
    pub missing: Vec<MissingPoint>,
    /// Whether the revision in force prints as a sheet: one that was signed before there was the sheet does not.
    pub has_sheet: bool,
    /// What the revision in force says otherwise than the one before.
    pub changes: Vec<Difference>,
    pub draft: Option<String>,
    /// What each treated arch wears.
    pub mouth: Vec<(String, String)>,
    pub lately: Vec<Description>,
}

/// A standstill as every page of the case shows it.
#[derive(Debug, Clone)]
pub struct HaltWords {
    /// What the work is: stopped, paused or cancelled.
    pub halt: &'static str,
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
        halt: halt.halt.shown(),
        words: halt.words(),
        reason: halt.reason.clone(),
        to_heed: (may && heeded.is_none()).then(|| halt.event.clone()),
        heeded: heeded.map(|(who, at)| format!("{who} acknowledged it on {}.", at.in_words())),
    })
}

/// The facts of a case with the lists whose lines lead to pages of their own.
#[derive(Debug, Clone)]
pub struct CaseOverview {
    pub facts: CaseFacts,
    /// The likeliest first.
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

/// The first thing of the agenda's line of this case, where this person is the one to do it.
fn main_action(
    work: &CaseWork,
    (offers, today): (&Offers<'_>, Date),
    actions: &[CaseAction],
) -> Option<MainAction> {
    let Some(first) = ToDo::of(&work.case, work.side).into_iter().next() else {
        let may = actions.contains(&CaseAction::FollowUp) && !work.case.closed;
        let is_due = work.case.agenda.of(work.side).is_check_due(today);
        return (may && is_due).then(|| MainAction {
            words: MAKE_CHECK.to_owned(),
            place: MainPlace::Action(CaseAction::FollowUp),
        });
    };
    Some(MainAction {
        words: first.words(),
        place: main_place((offers, &work.ordered), first, actions)?,
    })
}

/// Where something is already of what is still on the way there.
fn partly_at(work: &CaseWork) -> Option<String> {
    let is_under_way = |one: &&Handoff| !one.is_packed() && !one.waiting().is_empty();
    let open = work.state.handoffs.iter().find(is_under_way)?;
    let there = Holder::of(open.to);
    let came = |item: &Item| {
        let state = work.state.item(&item.tag);
        state.is_some_and(|one| one.home == open.from && one.is_in_hand(open.to))
    };
    let is_partly = open.received_at.is_some() || open.to == Side::Lab;
    (is_partly && work.items.iter().any(came)).then(|| there.place())
}

/// "make the check after the fit (one week), due Wed 4 Nov, 27 days late"; none before its day.
fn check_due(work: &CaseWork, side: Side, today: Date) -> Option<String> {
    let on = work.case.agenda.of(side);
    let day = on.check.filter(|_| on.is_check_due(today))?;
    let treated = work.case.arches.treated();
    let named = named_check(&work.items, &work.state, treated);
    let which = named.map_or_else(String::new, |one| format!(" ({})", one.after.shown()));
    let (make, off) = (lowered(MAKE_CHECK), days_off(day, today));
    Some(format!(
        "{make}{which}, due {}, {off}",
        day_in_words(day, today)
    ))
}

/// "At the lab. Your turn: acknowledge the prescription. Due Wed 25 Nov, 4 days late."
fn stands(work: &CaseWork, today: Date) -> String {
    let case = &work.case;
    if case.closed {
        return String::new();
    }
    let places = [Some(case.place), case.also].into_iter().flatten();
    let mut places = places.map(|place| match (place, partly_at(work)) {
        (Place::OnTheWay, Some(there)) => format!("Partly on the way, partly {there}"),
        _ => place.shown().to_owned(),
    });
    let first = places.next().into_iter();
    let places: Vec<String> = first.chain(places.map(|place| lowered(&place))).collect();
    let mut sentences = vec![format!("{}.", places.join(", and "))];
    for side in [work.side, work.side.other()] {
        let words = ToDo::of(case, side).into_iter().map(ToDo::words);
        let words = words.map(|one| lowered(&one));
        let words: Vec<String> = words.chain(check_due(work, side, today)).collect();
        let whom = match side == work.side {
            true => "Your turn",
            false => work.party(side).name.as_str(),
        };
        if !words.is_empty() {
            sentences.push(format!("{whom}: {}.", words.join("; ")));
        }
    }
    let is_done = is_done(case, &work.items, &work.state, &work.ordered);
    if is_done || work.state.is_cancelled() {
        return sentences.join(" ");
    }
    let due = work.day_due();
    if let Some(due) = due {
        let (day, off) = (day_in_words(due, today), days_off(due, today));
        let how = match work.agreed_day() {
            Some(_) => "Agreed for",
            None => "Due",
        };
        sentences.push(format!("{how} {day}, {off}."));
    }
    let named = work.state.named_day(case.revision);
    if let Some(named) = named.filter(|one| !one.is_agreed()) {
        let day = day_in_words(named.day, today);
        let how = match named.is_refused() {
            true => "that will not do",
            false if due.is_some_and(|due| named.day <= due) => "in time",
            false => "not agreed yet",
        };
        sentences.push(format!("The lab has named {day}: {how}."));
    }
    sentences.join(" ")
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
    /// Nothing of it is awaited any more.
    pub is_done: bool,
    pub may_receive: bool,
    pub may_take_back: bool,
}

impl CaseOverview {
    /// The case as this person sees it at `now`.
    pub fn of(view: &CaseView, person: &Person, now: Moment) -> Result<CaseOverview, AppError> {
        let work = &view.work;
        let offers = work.offers_at(person, now);
        // Of what is not as the record says, nothing is offered that would be refused.
        let is_sound = work.doubt.is_none();
        let line = |revision: &Revision| {
            let line = revision_line(view, revision, person);
            RevisionLine {
                may_acknowledge: is_sound && !work.state.is_cancelled() && line.may_acknowledge,
                ..line
            }
        };
        let handoff_line = |handoff: &Handoff| {
            let line = handoff_line(work, &offers, handoff);
            HandoffLine {
                may_receive: is_sound && line.may_receive,
                may_take_back: is_sound && line.may_take_back,
                ..line
            }
        };
        let handoffs = work.state.handoffs.iter().rev();
        let actions = match is_sound {
            true => {
                let all = case_actions(&offers, view.draft.is_some(), work.case.revision);
                let asked = all.into_iter().filter(|one| is_asked_for(&work.case, one));
                asked.collect()
            }
            false => vec![CaseAction::History],
        };
        let main = main_action(work, (&offers, now.date()), &actions);
        Ok(CaseOverview {
            facts: facts(view, person, now)?,
            main: main.filter(|_| is_sound),
            actions,
            in_force: view.in_force().map(line),
            earlier: view.revisions().iter().rev().skip(1).map(line).collect(),
            items: item_lines(work, &work.state.custody, Some(now.date())),
            handoffs: handoffs.map(handoff_line).collect(),
        })
    }
}

fn facts(view: &CaseView, person: &Person, now: Moment) -> Result<CaseFacts, AppError> {
    let (work, case) = (&view.work, &view.work.case);
    let document = view.document();
    Ok(CaseFacts {
        number: case.number.clone(),
        summary: case.title(),
        patient: case.patient.clone(),
        office: work.office.name.clone(),
        lab: work.lab.name.clone(),
        held: case.held_shown(),
        halt: halt_words(work, person),
        waits: waiting::of_case(work, now.date()),
        has_holds: work.state.open_holds().next().is_some(),
        reminders: [
            stated_at_the_lab(work),
            changed_at_the_chair(work),
            Vec::from_iter(template::not_come(work)),
            spares_and_checks(work, &view.office_open),
        ]
        .concat(),
        answered: answered_words(case.agenda.of(work.side), person, now.date()),
        fit: fit::sentences(work),
        passed: passing::sentences(work, now.date()),
        follow_up: follow_up::sentence(work),
        closed: case.closed,
        stands: stands(work, now.date()),
        is_office: work.side == Side::Office,
        may_erase: person.may(Permission::EraseTexts),
        highlights: document.map(highlights).unwrap_or_default(),
        kept: kept_of(&work.signed).map_or_else(String::new, |kept| kept.words()),
        kept_longer: work.state.kept_longer.words(),
        score: document.map(Document::score).unwrap_or_default(),
        missing: document.map(|one| one.missing.clone()).unwrap_or_default(),
        has_sheet: document.is_some_and(|one| one.sheet != 0),
        changes: changes(view.documents()),
        draft: draft_words(view, person),
        mouth: mouth_now(work),
        lately: lately(view),
    })
}

/// What was done, signed and acknowledged last, the newest first.
fn lately(view: &CaseView) -> Vec<Description> {
    let work = &view.work;
    let entries = work.events.iter().rev().take(LATEST);
    let entries = entries.map(|event| {
        let description = describe_in(&work.items, &work.state, event);
        (event.entered_at.unix_ms, description)
    });
    let signed = signed(work, view.revisions(), &view.acknowledgements, None);
    let signed = signed.into_iter().rev().take(LATEST);
    let signed = signed.map(|(at, description)| (at.unix_ms, description));
    let mut all: Vec<(i64, Description)> = entries.chain(signed).collect();
    all.sort_by_key(|(at, _)| std::cmp::Reverse(*at));
    let newest = all.into_iter().take(LATEST);
    newest.map(|(_, description)| description).collect()
}

/// What the newest of these says otherwise than the one before.
fn changes(documents: &[Document]) -> Vec<Difference> {
    let mut newest_first = documents.iter().rev();
    let newest = newest_first.next().zip(newest_first.next());
    newest.map_or_else(Vec::new, |(newest, before)| {
        newest.changed_since(before, newest.numbering)
    })
}

fn draft_words(view: &CaseView, person: &Person) -> Option<String> {
    let (name, at_ms) = view.draft.as_ref()?;
    let at = person.moment(*at_ms).in_words();
    let what = match view.work.case.revision {
        0 => "the prescription",
        _ => "the next revision",
    };
    Some(format!(
        "A draft of {what} is under way: {name} wrote last, {at}."
    ))
}

fn highlights(document: &Document) -> Vec<(String, String, String)> {
    let all = document.prescription.highlights(document.sheet);
    let order = all.iter().find(|one| one.label == HEIGHT_ORDER);
    let order = order.map_or_else(String::new, |one| format!(" ({})", one.value));
    let has_height = all.iter().any(|one| one.label == HEIGHT);
    // The day stands on top of the page; what is done to the height stands behind it.
    let is_shown = |label: &str| label != WANTED && !(has_height && label == HEIGHT_ORDER);
    let line = |label: &str, value: String, unit: &str| match label {
        HEIGHT => ("OVD".to_owned(), value, format!("{unit}{order}")),
        HEIGHT_ORDER => ("OVD".to_owned(), value, unit.to_owned()),
        label => (label.to_owned(), value, unit.to_owned()),
    };
    let shown = all.into_iter().filter(|one| is_shown(one.label));
    shown
        .map(|one| line(one.label, one.value, one.unit))
        .collect()
}

/// Only the revision in force can be acknowledged.
fn revision_line(view: &CaseView, revision: &Revision, person: &Person) -> RevisionLine {
    let mut acknowledgements = view.acknowledgements.iter();
    let acknowledged = acknowledgements.find(|one| one.revision == revision.number);
    RevisionLine {
        number: revision.number,
        signer: revision.signature.name.clone(),
        at: revision.signature.at.in_words(),
        may_acknowledge: acknowledged.is_none()
            && !view.work.state.closed
            && person.may(Permission::AcknowledgeRevision)
            && revision.number == view.work.case.revision,
        acknowledged: acknowledged
            .map(|one| format!("The lab works to it: {}, {}.", one.name, one.at.in_words())),
    }
}

fn handoff_line(work: &CaseWork, offers: &Offers<'_>, handoff: &Handoff) -> HandoffLine {
    let received = match (&handoff.received_by, handoff.received_at) {
        (Some(by), Some(at)) => format!(" Received by {} on {}.", by.name, at.in_words()),
        _ => String::new(),
    };
    let done = if handoff.never_left() {
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
            handoff.released_by.name,
            handoff.released_at.in_words(),
            handoff.carrier
        ),
        is_done: handoff.voided.is_some() || handoff.outstanding().is_empty(),
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
            one.person,
            one.at.in_words(),
            one.handed_out_by
        )),
        None if handoff.awaits_pickup && handoff.received_at.is_some() => {
            Some("No pick-up was entered.".to_owned())
        }
        None => None,
    }
}

/// How many of the things came, and what became of those that did not.
fn came_words(handoff: &Handoff) -> String {
    let is_here = |found: &&Found| found.outcome != Outcome::Missing;
    let came = handoff.found.iter().filter(is_here).count();
    let sent = counted(handoff.sent.len(), "item");
    let back = handoff.sent.iter();
    let back = back.filter(|one| handoff.brought_back.contains(&one.parcel()));
    let others = [
        (back.count(), "brought back by the carrier"),
        (handoff.not_packed.len(), "had not been packed"),
        (handoff.written_off.len(), "written off as lost"),
    ];
    let others = others.into_iter().filter(|(count, _)| *count > 0);
    let others: Vec<String> = others
        .map(|(count, how)| format!("{count} {how}"))
        .collect();
    match others.is_empty() {
        true => sent,
        false => format!("{came} of {sent}, {}", others.join(", ")),
    }
}

/// How far a handoff has come.
fn handoff_words(work: &CaseWork, handoff: &Handoff) -> String {
    let to = &work.party(handoff.to).name;
    let parcels = handoff.waiting().len();
    let sent = counted(handoff.sent.len(), "item");
    match handoff.state() {
        HandoffState::Voided | HandoffState::BroughtBack => capitalised(handoff.state().shown()),
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
        HandoffState::Received => format!("Received at {to}: {}", came_words(handoff)),
    }
}
