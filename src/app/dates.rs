//! The days of a case: planned from what is signed, what is on record, and the days of both houses.

use super::bench::WAITS_FOR_A_PRESCRIPTION;
use super::case_work::CaseWork;
use super::see_case::{CaseView, see};
use super::see_lists::lists_context;
use super::{App, AppError, Person};
use crate::clock::moment_in;
use crate::domain::custody::progress::{PlanContext, Resting, SoFar};
use crate::domain::custody::{Halt, What, bench_by_revision, case::Place, spares_at_the_lab};
use crate::domain::form::Day;
use crate::domain::prescription::Prescription;
use crate::domain::prescription::revision::{Document, Revision};
use crate::domain::trade::calendar::{OpenDays, Way, next_open};
use crate::domain::trade::lists::Lists;
use crate::domain::trade::perishable::poured_at_once;
use crate::domain::trade::plan::{Job, LabTask, NamedDay, Plan, Progress, plan};
use crate::domain::trade::steps::{Chain, Craft, longest};
use crate::domain::values::arch::Arch;
use crate::domain::values::icalendar::{self, DayEvent};
use crate::domain::values::ids::CaseNumber;
use crate::domain::values::moment::Moment;
use time::Date;

/// How many days are tried for what rests.
const DAYS_TRIED: usize = 4;

/// The days of a case as they are known.
pub struct CaseDates {
    pub view: CaseView,
    pub lists: Lists,
    /// Now, by the lab's clock: the work is done there.
    pub now: Moment,
    /// What is agreed, otherwise what is asked for.
    pub wanted: Option<Date>,
    pub insertion: Option<Date>,
    /// What is planned; none where nothing is signed, or nothing is left to plan.
    pub planned: Option<Planned>,
    /// Why nothing is planned, in a sentence.
    pub nothing: Option<String>,
}

/// A plan with what it was made of.
pub struct Planned {
    /// What the piece goes through that is back last.
    pub chain: Chain,
    pub tasks: Vec<LabTask>,
    pub way: Way,
    pub so_far: SoFar,
    pub plan: Plan,
    /// The day that the lab names for this revision, where it is later than the plan.
    pub named: Option<NamedDay>,
    /// The arches whose spare the lab has still to make, where all else is back.
    pub spares: Vec<Arch>,
    /// Where the arches are not as far: the one that the plan follows, and the day of the other.
    pub slower: Option<(Arch, Date)>,
    /// Why the cast is poured on the first day that it can be; none where nothing is to be said.
    pub at_once: Option<String>,
    /// The plan for each day on which what rests could go on; empty where nothing rests.
    pub if_goes_on: Vec<(Date, Plan)>,
}

/// The first open days of the lab on which something could go on.
fn days_tried(lab: &OpenDays, now: Moment) -> Vec<Date> {
    let first = lab.counts_for(now.date(), Some(now.minutes())).ok();
    let later = |day: &Date| next_open(day.next_day()?, &[lab]).ok();
    std::iter::successors(first, later)
        .take(DAYS_TRIED)
        .collect()
}

struct Asked {
    wanted: Option<Date>,
    insertion: Option<Date>,
}

/// What one piece of the work goes through, and how far it has come.
struct OnePiece {
    arch: Option<Arch>,
    chain: Chain,
    tasks: Vec<LabTask>,
    /// How many tasks are finished by the record, and on which day.
    finished: Option<(usize, Date)>,
}

/// The longest piece for each arch that is worked on.
fn pieces(rx: &Prescription, lists: &Lists, so_far: &SoFar) -> Vec<OnePiece> {
    let own = lists.lab_days.as_deref();
    let piece = |(arch, furthest): &(Option<Arch>, Option<(Craft, Date)>)| {
        let chain = longest(rx, own, *arch)?;
        let steps = chain.tasks();
        let finished = furthest.and_then(|(craft, day)| {
            let count = steps.iter().filter(|(one, _)| *one <= craft).count();
            (count > 0).then_some((count, day))
        });
        let tasks = steps.into_iter().map(|(_, task)| task).collect();
        let arch = *arch;
        Some(OnePiece {
            arch,
            chain,
            tasks,
            finished,
        })
    };
    so_far.finished.iter().filter_map(piece).collect()
}

/// What the events say of the days.
fn so_far(view: &CaseView, lab: &OpenDays) -> SoFar {
    let (work, case) = (&view.work, &view.work.case);
    let signed: Vec<Moment> = view
        .revisions()
        .iter()
        .map(|one| one.signature.at)
        .collect();
    let ordered = work.ordered.work.iter();
    let mut arches: Vec<Arch> = ordered.filter_map(|one| one.arch).collect();
    arches.sort_unstable();
    arches.dedup();
    PlanContext {
        state: &work.state,
        items: &work.items,
        events: &work.events,
        places: (case.place, case.also),
        arches: &arches,
        work: &work.ordered.work,
        signed: &signed,
        by: &bench_by_revision(&work.ordered, &work.state),
        lab,
        clock: moment_in,
        zones: (&work.office.zone, &work.lab.zone),
    }
    .so_far()
}

/// The plan of a piece, where its work rests from the day on which it goes on.
fn plan_of(piece: &OnePiece, job: &Job<'_>, goes_on: Option<Date>) -> Result<Plan, String> {
    let job = Job {
        tasks: &piece.tasks,
        finished: piece.finished,
        goes_on,
        ..job.clone()
    };
    plan(&job).map_err(|why| why.to_string())
}

/// The piece that is back last, with its plan, and the day of the other arch where that is back earlier.
type Slowest = (OnePiece, Plan, Option<(Arch, Date)>);

fn slowest(pieces: Vec<OnePiece>, job: &Job<'_>) -> Result<Option<Slowest>, String> {
    let mut slowest: Option<Slowest> = None;
    for piece in pieces {
        let planned = plan_of(&piece, job, None)?;
        slowest = Some(match slowest {
            Some((one, first, _)) if first.in_hands >= planned.in_hands => {
                let earlier = (first.in_hands > planned.in_hands).then_some(planned.in_hands);
                let named = one.arch.zip(earlier);
                (one, first, named)
            }
            before => {
                let named = before.and_then(|(_, first, _)| Some((piece.arch?, first.in_hands)));
                (piece, planned, named)
            }
        });
    }
    Ok(slowest)
}

/// Lets the cast wait for no day where what it is poured from does not keep; the answer says why, where it is not poured
/// yet.
fn pour_at_once(plan: &mut Plan, piece: &OnePiece, rx: &Prescription) -> Option<String> {
    let why = poured_at_once(rx)?;
    let steps = piece.chain.tasks();
    let task = steps.iter().position(|(craft, _)| *craft == Craft::Pour)?;
    plan.at_once(task).then_some(why)
}

fn planned(
    view: &CaseView,
    lists: &Lists,
    (rx, asked): (&Prescription, &Asked),
    now: Moment,
) -> Result<Option<Planned>, String> {
    let (office, lab) = (lists.office_open(), lists.lab_open());
    let so_far = so_far(view, &lab);
    let way = lists
        .lab_days
        .as_ref()
        .map_or(Way::USUAL, |days| days.way());
    let at_office = moment_in(now.unix_ms, &view.work.office.zone);
    let job = Job {
        tasks: &[],
        way,
        office: &office,
        lab: &lab,
        progress: so_far.progress,
        finished: None,
        is_written: so_far.is_written,
        rests: &so_far.rests,
        now: (now.date(), Some(now.minutes())),
        office_now: (at_office.date(), Some(at_office.minutes())),
        goes_on: None,
        wanted: asked.wanted,
        insertion: asked.insertion,
    };
    let Some((piece, mut plan_now, slower)) = slowest(pieces(rx, lists, &so_far), &job)? else {
        return Ok(None);
    };
    let at_once = pour_at_once(&mut plan_now, &piece, rx);
    let rests = so_far.resting.is_some() && !matches!(so_far.progress, Progress::Here(..));
    let days = match rests {
        true => days_tried(&lab, now),
        false => Vec::new(),
    };
    let goes_on = |day: Date| Ok((day, plan_of(&piece, &job, Some(day))?));
    let if_goes_on = days.into_iter().map(goes_on);
    let if_goes_on = if_goes_on.collect::<Result<_, String>>()?;
    let (work, case) = (&view.work, &view.work.case);
    let named = work.state.named_day(case.revision).map(|one| one.day);
    let treated = case.arches.treated();
    Ok(Some(Planned {
        named: plan_now.later_by_the_lab(named, &job),
        spares: spares_at_the_lab(&work.ordered, &work.items, &work.state, treated),
        chain: piece.chain,
        way,
        plan: plan_now,
        slower,
        at_once,
        if_goes_on,
        tasks: piece.tasks,
        so_far,
    }))
}

/// Why there is nothing to plan.
fn over(view: &CaseView) -> Option<&'static str> {
    let case = &view.work.case;
    let is_unsaid = !view.work.unsaid_arches().is_empty();
    let halt = view.work.state.standstill.as_ref().map(|one| one.halt);
    match (halt, case.place, case.also) {
        _ if case.closed => Some("This case is closed: nothing is planned any more."),
        (Some(Halt::Cancelled), ..) => Some("The work is canceled: nothing is planned any more."),
        (_, Place::Patient, None) => {
            Some("The patient wears the work: nothing is planned any more.")
        }
        (_, Place::Lab, None) if is_unsaid => Some(WAITS_FOR_A_PRESCRIPTION),
        _ => None,
    }
}

/// The days of one's own case.
pub async fn of_case(
    app: &App,
    person: &Person,
    number: &CaseNumber,
) -> Result<CaseDates, AppError> {
    of_view(app, see(app, person, number).await?).await
}

/// The days of a case that was read.
pub async fn of_view(app: &App, view: CaseView) -> Result<CaseDates, AppError> {
    let mut conn = app.store.read_at_once().await?;
    let lists = lists_context(app, &mut conn, &view.work.case).await?;
    drop(conn);
    let now = moment_in(app.outside.now_ms(), &view.work.lab.zone);
    let rx = view.document().map(|one| &one.prescription);
    let day = |day: Option<Day>| day.map(Day::date);
    let asked = Asked {
        wanted: view.work.state.day_due(
            view.work.case.revision,
            rx.and_then(|rx| day(rx.dates.wanted)),
        ),
        insertion: rx.and_then(|rx| day(rx.dates.insertion)),
    };
    let made = match (over(&view), rx) {
        (Some(why), _) => Err(why.to_owned()),
        (None, None) => Ok(None),
        (None, Some(rx)) => planned(&view, &lists, (rx, &asked), now),
    };
    let nothing_yet = "Nothing is signed yet, so that there is no day to keep.";
    let (planned, nothing) = match made {
        Ok(Some(planned)) => (Some(planned), None),
        Ok(None) => (None, Some(nothing_yet.to_owned())),
        Err(why) => (None, Some(why)),
    };
    Ok(CaseDates {
        lists,
        now,
        wanted: asked.wanted,
        insertion: asked.insertion,
        planned,
        nothing,
        view,
    })
}

/// The days of one's own case as a file for calendars: what is signed, with the case's number and the other house, and
/// nothing of anybody.
pub async fn file_of_case(
    app: &App,
    person: &Person,
    number: &CaseNumber,
) -> Result<String, AppError> {
    let view = see(app, person, number).await?;
    let work = &view.work;
    let other = &work.party(work.side.other()).name;
    let Some(signed) = work.signed.newest() else {
        return Ok(icalendar::file(&[]));
    };
    let says = |day: SignedDay| {
        let kind = match day {
            SignedDay::Due => "Due",
            SignedDay::Agreed => "Agreed for",
            SignedDay::Insertion => "Insertion",
            SignedDay::FirstCheck => "First check",
        };
        format!("{kind}: case {}, {other}", work.case.number)
    };
    let events = signed_days(app, work, signed, says);
    Ok(icalendar::file(&events))
}

/// What a day of a case is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum SignedDay {
    Due,
    Agreed,
    Insertion,
    FirstCheck,
}

/// The days of a case by its revision in force, as events that stay the same in every file.
pub(super) fn signed_days(
    app: &App,
    work: &CaseWork,
    (revision, document): (&Revision, &Document),
    says: impl Fn(SignedDay) -> String,
) -> Vec<DayEvent> {
    let number = &work.case.number;
    let dates = &document.prescription.dates;
    let is_off = work.case.closed || work.state.is_cancelled();
    let agreed = work.state.agreed_day(revision.number);
    let due = agreed.map_or(SignedDay::Due, |_| SignedDay::Agreed);
    let days = [
        (
            "due",
            due,
            work.state.day_due(revision.number, work.case.due),
        ),
        (
            "insertion",
            SignedDay::Insertion,
            dates.insertion.map(Day::date),
        ),
        (
            "check",
            SignedDay::FirstCheck,
            dates.first_check.map(Day::date),
        ),
    ];
    // Whatever is said of the days since counts: a number that a calendar has seen never comes again.
    let is_about_days = |what: &What| {
        matches!(
            what,
            What::Promised(_)
                | What::DayAnswered(_)
                | What::Cancelled(_)
                | What::Closed(_)
                | What::Reopened(_)
        )
    };
    let later = work.events.iter().filter(|one| is_about_days(&one.what));
    let later: Vec<Moment> = later.map(|one| one.at).collect();
    let sequence = 2 * (revision.number + i64::try_from(later.len()).unwrap_or(i64::MAX / 4));
    let said = later.into_iter().chain([revision.signature.at]);
    let said = said
        .max_by_key(|at| at.unix_ms)
        .unwrap_or(revision.signature.at);
    let event = |(word, kind, day): (&str, SignedDay, Option<Date>)| {
        Some(DayEvent {
            uid: format!("{}-{word}@{}", number.as_str(), app.store.key().id()),
            day: day?,
            summary: says(kind),
            said,
            sequence,
            is_off,
            url: format!("{}/cases/{}/dates", app.settings.address, number.as_str()),
        })
    };
    days.into_iter().filter_map(event).collect()
}

impl Planned {
    /// Why the work rests now.
    pub fn resting(&self) -> Option<Resting> {
        self.so_far.resting.map(|(why, _)| why)
    }
}
