//! The plan of a case's work: from what is signed, what is on record, and the days of both houses.

use super::case_work::CaseWork;
use super::custody_words::title_and_tag;
use crate::clock::moment_in;
use crate::domain::custody::progress::{PlanContext, Resting, SoFar};
use crate::domain::custody::{
    Condition, Ended, Halt, Hold, Lacking, NotCome, PassedWork, Trouble, bench_by_revision,
    came_in, case::Place, spares_at_the_lab,
};
use crate::domain::people::party::Side;
use crate::domain::prescription::{Prescription, Stage};
use crate::domain::trade::calendar::{OpenDays, Way, next_open};
use crate::domain::trade::lists::Lists;
use crate::domain::trade::parcel_waits::{ParcelWait, parcel_waits};
use crate::domain::trade::perishable::poured_at_once;
use crate::domain::trade::plan::{Job, LabTask, Leg, NamedDay, Plan, Progress, plan};
use crate::domain::trade::steps::{Chain, Craft, WorkUnderWay, chains, longest};
use crate::domain::values::arch::Arch;
use crate::domain::values::moment::Moment;
use crate::domain::values::words::lowered;
use time::Date;

/// What is said of work that is at the lab again, while no prescription says what for.
pub(super) const WAITS_FOR_A_PRESCRIPTION: &str = "This waits for a prescription: what was ordered is done, and no revision says what is to be done to it now.";

/// How many days are tried for what rests.
const DAYS_TRIED: usize = 4;

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
    /// What has still to happen, beside what rests, before the lab can go on.
    pub still: Vec<String>,
    /// Why the parcels are not there sooner.
    pub waits: Vec<(Leg, Vec<ParcelWait>)>,
}

/// The first open days of the lab on which something could go on.
fn days_tried(lab: &OpenDays, now: Moment) -> Vec<Date> {
    let first = lab.counts_for(now.date(), Some(now.minutes())).ok();
    let later = |day: &Date| next_open(day.next_day()?, &[lab]).ok();
    std::iter::successors(first, later)
        .take(DAYS_TRIED)
        .collect()
}

/// The days that are asked for.
pub(super) struct DaysAsked {
    pub wanted: Option<Date>,
    pub insertion: Option<Date>,
}

/// What one piece of the work goes through, and how far it has come.
struct OnePiece {
    arch: Option<Arch>,
    chain: Chain,
    tasks: Vec<LabTask>,
    /// How many tasks are finished by the record, and on which day.
    finished: Option<(usize, Date)>,
    /// The task that waits for a second laboratory, by its place, or the way back; and the day on which it is wanted back
    /// from there.
    passed: Option<(usize, Date)>,
}

/// What waits for a second laboratory: the task, whether that is what is done there, and the day on which it is wanted
/// back.
type Elsewhere = ((usize, bool), Date);

/// What of the plan of an arch waits for a second laboratory, how many of its steps are finished: a step, or the way back;
/// none where it is all done here, or the office has said no.
fn passed(
    (work, arch): (&CaseWork, Option<Arch>),
    (chain, steps): (&Chain, &[(Craft, LabTask)]),
    finished: usize,
) -> Option<Elsewhere> {
    let passes = work.state.passes.iter();
    let open = passes.filter(|one| one.is_open() && !one.is_refused());
    let own = open.filter(|one| arch.is_none_or(|arch| one.arches.treated().contains(&arch)));
    let stages: Vec<Stage> = chain.stages.iter().map(|(stage, ..)| *stage).collect();
    let crafts: Vec<Craft> = steps.iter().map(|(craft, _)| *craft).collect();
    let task = |one: &PassedWork| {
        let place = one.work.place_in((&stages, &crafts), finished);
        (place, one.wanted)
    };
    own.map(task).max_by_key(|(_, wanted)| *wanted)
}

/// The longest piece for each arch that is worked on.
fn pieces((rx, work): (&Prescription, &CaseWork), lists: &Lists, so_far: &SoFar) -> Vec<OnePiece> {
    let own = lists.lab_days.as_deref();
    let piece = |(arch, furthest): &(Option<Arch>, Option<(Craft, Date)>)| {
        let chain = longest(rx, own, *arch)?;
        let steps = chain.tasks();
        let finished = furthest.and_then(|(craft, day)| {
            let count = steps.iter().filter(|(one, _)| *one <= craft).count();
            (count > 0).then_some((count, day))
        });
        let arch = *arch;
        let count = finished.map_or(0, |(count, _)| count);
        let passed = passed((work, arch), (&chain, &steps), count);
        let mut tasks: Vec<LabTask> = steps.into_iter().map(|(_, task)| task).collect();
        let named = passed.filter(|((_, is_it), _)| *is_it);
        let elsewhere = named.and_then(|((place, _), _)| tasks.get_mut(place));
        if let Some(task) = elsewhere {
            task.words.push_str(", at the second laboratory");
        }
        Some(OnePiece {
            arch,
            chain,
            tasks,
            finished,
            passed: passed.map(|((place, _), wanted)| (place, wanted)),
        })
    };
    so_far.finished.iter().filter_map(piece).collect()
}

/// What the events say of the days.
fn so_far(work: &CaseWork, lab: &OpenDays) -> SoFar {
    let case = &work.case;
    let signed = work.signed.revisions.iter();
    let signed: Vec<Moment> = signed.map(|one| one.signature.at).collect();
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

/// The job of a piece, where its work rests from the day on which it goes on.
fn job_of<'a>(piece: &'a OnePiece, job: &Job<'a>, goes_on: Option<Date>) -> Job<'a> {
    Job {
        tasks: &piece.tasks,
        finished: piece.finished,
        passed: piece.passed,
        goes_on,
        ..job.clone()
    }
}

fn plan_of(piece: &OnePiece, job: &Job<'_>, goes_on: Option<Date>) -> Result<Plan, String> {
    plan(&job_of(piece, job, goes_on)).map_err(|why| why.to_string())
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

/// The plan of what is ordered; none where nothing of it is left to plan.
///
/// # Errors
/// In a sentence why there is none.
pub(super) fn planned(
    work: &CaseWork,
    lists: &Lists,
    (rx, asked): (&Prescription, &DaysAsked),
    now: Moment,
) -> Result<Option<Planned>, String> {
    let (office, lab) = (lists.office_open(), lists.lab_open());
    let so_far = so_far(work, &lab);
    let way = lists
        .lab_days
        .as_ref()
        .map_or(Way::USUAL, |days| days.way());
    let at_office = moment_in(now.unix_ms, &work.office.zone);
    let job = Job {
        tasks: &[],
        way,
        office: &office,
        lab: &lab,
        progress: so_far.progress,
        finished: None,
        passed: None,
        is_written: so_far.is_written,
        rests: &so_far.rests,
        now: (now.date(), Some(now.minutes())),
        office_now: (at_office.date(), Some(at_office.minutes())),
        goes_on: None,
        wanted: asked.wanted,
        insertion: asked.insertion,
    };
    let Some((piece, mut plan_now, slower)) = slowest(pieces((rx, work), lists, &so_far), &job)?
    else {
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
    let of_piece = job_of(&piece, &job, None);
    let waits = parcel_waits(&of_piece, &plan_now.lines, so_far.is_packed);
    let case = &work.case;
    let named = work.state.named_day(case.revision).map(|one| one.day);
    let treated = case.arches.treated();
    Ok(Some(Planned {
        still: still_to_come(work, so_far.progress),
        named: plan_now.later_by_the_lab(named, &job),
        spares: spares_at_the_lab(&work.ordered, &work.items, &work.state, treated),
        chain: piece.chain,
        way,
        plan: plan_now,
        slower,
        at_once,
        if_goes_on,
        waits,
        tasks: piece.tasks,
        so_far,
    }))
}

/// What is listed as enclosed and has not come while the work is under way, and what came unfit and is answered for: after
/// such an answer the record tells nothing of what is to come in its place until the list is signed anew, another thing of
/// its kind comes, or the lab goes on.
fn still_to_come(work: &CaseWork, progress: Progress) -> Vec<String> {
    if !matches!(progress, Progress::Sent(_) | Progress::AtLab(_)) {
        return Vec::new();
    }
    let comes = |one: &Lacking| {
        let is_to_come = matches!(
            one.how,
            NotCome::Stays | NotCome::OnTheWay | NotCome::Missing
        );
        is_to_come.then(|| lowered(&title_and_tag(work, &one.tag)))
    };
    let names: Vec<String> = work.lacking().iter().filter_map(comes).collect();
    let verb = if names.len() == 1 { "comes" } else { "come" };
    let mut still = Vec::new();
    if !names.is_empty() {
        still.push(format!("{} {verb} today", names.join(" and ")));
    }
    let came = came_in(Side::Lab, &work.events, &work.state);
    let answered = |hold: &Hold| {
        let tag = hold.tag.as_ref()?;
        let is_listed = work.ordered.enclosed.contains(tag);
        let is_unfit = work.state.item(tag)?.condition != Condition::Sound;
        let id = hold.ended_by.as_ref()?;
        let at = work.events.iter().find(|event| event.id == *id)?.at;
        let is_signed = work
            .ordered
            .since
            .is_some_and(|since| since.unix_ms > at.unix_ms);
        let went_on = work
            .state
            .bench
            .iter()
            .any(|one| one.at.unix_ms > at.unix_ms);
        let kind = work.item(tag)?.kind;
        let is_replaced = work.items.iter().any(|item| {
            let other = item.kind == kind && item.tag != *tag;
            other && came.get(&item.tag).is_some_and(|day| *day >= at.date())
        });
        let is_open = is_listed && is_unfit && !is_signed && !went_on && !is_replaced;
        let name = lowered(&title_and_tag(work, tag));
        is_open.then(|| format!("what was answered about the damaged {name} is done"))
    };
    let unfit = work.state.holds.iter().filter(|hold| {
        let is_resolved = matches!(hold.ended, Some(Ended::Resolved(_)));
        is_resolved && matches!(hold.trouble, Trouble::Damaged | Trouble::DamagedHere)
    });
    still.extend(unfit.filter_map(answered));
    still
}

/// Why there is nothing to plan.
pub(super) fn over(work: &CaseWork) -> Option<&'static str> {
    let case = &work.case;
    let is_unsaid = !work.unsaid_arches().is_empty();
    let halt = work.state.standstill.as_ref().map(|one| one.halt);
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

/// The work of the revision in force, where the lab has what it is made from or that is on its way there: a revision that
/// orders the same is back on the day of the plan, and waits for no parcel. None where that cannot be planned.
pub(super) fn under_way(work: &CaseWork, lists: &Lists, now: Moment) -> Option<WorkUnderWay> {
    let (_, document) = work.signed.newest()?;
    let rx = &document.prescription;
    if over(work).is_some() {
        return None;
    }
    let asked = DaysAsked {
        wanted: None,
        insertion: None,
    };
    let now = moment_in(now.unix_ms, &work.lab.zone);
    let planned = planned(work, lists, (rx, &asked), now).ok().flatten()?;
    let is_there = matches!(
        planned.so_far.progress,
        Progress::Sent(_) | Progress::AtLab(_)
    );
    is_there.then(|| WorkUnderWay {
        in_hands: planned.plan.in_hands,
        chains: chains(rx, lists.lab_days.as_deref()),
    })
}

impl Planned {
    /// Why the work rests now.
    pub fn resting(&self) -> Option<Resting> {
        self.so_far.resting.map(|(why, _)| why)
    }

    /// The day on which the work is back: by the plan, or as the lab has named it or both have agreed, where that is
    /// later and the work has not left the lab.
    pub(super) fn back(&self, agreed: Option<Date>) -> Date {
        let plan = self.plan.in_hands;
        match self.so_far.progress {
            Progress::SentBack(..) | Progress::Here(..) => plan,
            Progress::ToBeSent | Progress::Sent(_) | Progress::AtLab(_) => {
                let named = self.named.map(|one| one.day);
                [named, agreed].into_iter().flatten().fold(plan, Date::max)
            }
        }
    }
}
