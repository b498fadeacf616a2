//! A month of many cases, counted.

use super::case_track::{
    AgreedAgain, AskedPart, AskedRound, CaseTrack, FirstOrder, LabRound, WorkBack,
};
use super::control::{ControlLimits, LEAST_CHARTED};
use super::proportion::Proportion;
use super::spread::Spread;
use crate::domain::custody::follow_up::{WorkCause, WorkShare};
use crate::domain::prescription::{Course, OrderKind, catalogue, section_of};
use crate::domain::values::ids::CaseNumber;
use crate::domain::values::moment::Moment;
use std::borrow::Borrow;
use time::Date;

/// Returns that have a point each; where there are more, each day has one.
const MOST_POINTS: usize = 45;

const DAY_MS: f64 = 86_400_000.0;
const HOUR_MS: f64 = 3_600_000.0;

/// How a return stood to the day that was asked for it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Punctuality {
    NoDay,
    /// Still with the carrier, and the day is not over.
    OnTheWay,
    OnTime,
    /// By so many days, so far where it has not arrived.
    Late(i64),
}

impl Punctuality {
    fn of(one: &AskedRound, today: Date) -> Punctuality {
        let Some(due) = one.due else {
            return Punctuality::NoDay;
        };
        let arrived = one.round.arrived.map(Moment::date);
        let late = (arrived.unwrap_or(today) - due).whole_days();
        match (late, arrived) {
            (1.., _) => Punctuality::Late(late),
            (_, Some(_)) => Punctuality::OnTime,
            (_, None) => Punctuality::OnTheWay,
        }
    }
}

/// A return of the month.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CountedReturn {
    pub number: CaseNumber,
    pub round: LabRound,
    pub due: Option<Date>,
    pub punctuality: Punctuality,
}

/// How long returns of one kind took, in days.
#[derive(Debug, Clone, PartialEq)]
pub struct TurnaroundLine {
    /// None for all of them.
    pub back: Option<WorkBack>,
    pub whole: Spread,
    pub working: Spread,
    /// Of the returns, those whose work could not go on for a time.
    pub with_hold: Proportion,
    /// The time that could not be worked, of those.
    pub held: Option<Spread>,
}

/// Returns against the days that were asked.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct OnTimeCount {
    pub in_time: Proportion,
    /// By how many days the late ones were late.
    pub late_by: Option<Spread>,
    pub without_day: usize,
    pub on_the_way: usize,
}

/// Questions that one part caused.
#[derive(Debug, Clone, PartialEq)]
pub struct PartCount {
    pub part: String,
    pub questions: usize,
    /// Of these, how many let the work wait.
    pub waited: usize,
    /// How long until they were answered, in hours.
    pub answered: Option<Spread>,
}

/// Orders of one kind of work, and how many of them make good what was made before.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct RepeatCount {
    /// None for all of them.
    pub course: Option<Course>,
    pub remakes: Proportion,
    pub corrections: Proportion,
}

/// What was agreed on after a fit because of one cause.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CauseCount {
    pub cause: WorkCause,
    /// Of all remakes that were agreed on, and of all corrections.
    pub remakes: Proportion,
    pub corrections: Proportion,
    /// Whose part it was, and how often.
    pub parts: Vec<(WorkShare, usize)>,
}

/// A point of the chart.
#[derive(Debug, Clone, PartialEq)]
pub struct ChartPoint {
    pub day: Date,
    /// The case; none where it is the middle of a whole day.
    pub number: Option<CaseNumber>,
    pub days: f64,
    pub is_beyond: bool,
}

/// A month of a house.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct MonthTally {
    /// Cases with an entry or a first prescription in the month.
    pub cases: usize,
    pub returns: Vec<CountedReturn>,
    /// All of them first; empty where nothing came back.
    pub turnaround: Vec<TurnaroundLine>,
    pub on_time: OnTimeCount,
    pub questions: usize,
    /// The part with the most first.
    pub parts: Vec<PartCount>,
    /// All of them first; empty where nothing was ordered.
    pub repeats: Vec<RepeatCount>,
    /// Remakes and corrections that were agreed on after a fit in the month, however they are ordered.
    pub agreed: (usize, usize),
    /// The same by their causes, the one with the most first.
    pub causes: Vec<CauseCount>,
    /// Remakes and corrections of which the lab sees the part of each house otherwise: they are in no other count.
    pub disputed: (usize, usize),
    pub chart: Vec<ChartPoint>,
    /// None of too few points.
    pub limits: Option<ControlLimits>,
    /// Cases that are left out because they cannot be read.
    pub unread: usize,
}

fn days(ms: i64) -> f64 {
    ms as f64 / DAY_MS
}

impl MonthTally {
    /// Of all that has its time from `window.0` up to and without `window.1`, in milliseconds, as it stands on `today`.
    pub fn of<T: Borrow<CaseTrack>>(tracks: &[T], window: (i64, i64), today: Date) -> MonthTally {
        let cases = tracks.len();
        let tracks: Vec<&CaseTrack> = tracks.iter().map(Borrow::borrow).collect();
        let is_in = |at: Moment| (window.0..window.1).contains(&at.unix_ms);
        let mut returns: Vec<CountedReturn> = Vec::new();
        for track in &tracks {
            let here = track.rounds.iter().filter(|one| is_in(one.round.left));
            returns.extend(here.map(|one| CountedReturn {
                number: track.number.clone(),
                round: one.round.clone(),
                due: one.due,
                punctuality: Punctuality::of(one, today),
            }));
        }
        returns.sort_by(|one, other| {
            let key = |one: &CountedReturn| (one.round.left.unix_ms, one.number.clone());
            key(one).cmp(&key(other))
        });
        let asked = tracks.iter().flat_map(|track| &track.asked);
        let asked: Vec<&AskedPart> = asked.filter(|one| is_in(one.at)).collect();
        let orders = tracks.iter().filter_map(|track| track.order);
        let orders: Vec<FirstOrder> = orders.filter(|one| is_in(one.signed)).collect();
        let agreed = tracks.iter().flat_map(|track| &track.agreed);
        let answered = agreed.filter(|one| is_in(one.at));
        let (disputed, agreed): (Vec<&AgreedAgain>, Vec<&AgreedAgain>) =
            answered.partition(|one| one.is_disputed);
        let (chart, limits) = chart(&returns);
        MonthTally {
            cases,
            turnaround: turnaround(&returns),
            on_time: on_time(&returns),
            questions: asked.len(),
            parts: parts(&asked),
            repeats: repeats(&orders),
            agreed: by_kind(&agreed),
            disputed: by_kind(&disputed),
            causes: causes(&agreed),
            chart,
            limits,
            returns,
            unread: 0,
        }
    }
}

fn turnaround(returns: &[CountedReturn]) -> Vec<TurnaroundLine> {
    let line = |back: Option<WorkBack>| {
        let is_it = |one: &&CountedReturn| back.is_none_or(|back| one.round.back == back);
        let rounds: Vec<&LabRound> = returns.iter().filter(is_it).map(|one| &one.round).collect();
        let held: Vec<f64> = (rounds.iter())
            .filter(|one| one.held_ms > 0)
            .map(|one| days(one.held_ms))
            .collect();
        Some(TurnaroundLine {
            back,
            whole: Spread::of(rounds.iter().map(|one| days(one.whole_ms())))?,
            working: Spread::of(rounds.iter().map(|one| days(one.working_ms())))?,
            with_hold: Proportion {
                part: held.len(),
                whole: rounds.len(),
            },
            held: Spread::of(held),
        })
    };
    let kinds = WorkBack::ALL.iter().map(|back| Some(*back));
    std::iter::once(None)
        .chain(kinds)
        .filter_map(line)
        .collect()
}

fn on_time(returns: &[CountedReturn]) -> OnTimeCount {
    let mut count = OnTimeCount::default();
    let mut late = Vec::new();
    for one in returns {
        match one.punctuality {
            Punctuality::NoDay => count.without_day += 1,
            Punctuality::OnTheWay => count.on_the_way += 1,
            Punctuality::OnTime => count.in_time.part += 1,
            Punctuality::Late(by) => late.push(by as f64),
        }
    }
    count.in_time.whole = count.in_time.part + late.len();
    count.late_by = Spread::of(late);
    count
}

/// What a question was about, as a line of the table names it.
fn part_of(asked: &AskedPart) -> &'static str {
    let section = asked.section.as_deref().and_then(section_of);
    match section {
        Some(section) => section.title,
        None if asked.about_item => "A thing, not the prescription",
        None => "The case as a whole",
    }
}

fn parts(asked: &[&AskedPart]) -> Vec<PartCount> {
    let sections = catalogue().iter().map(|section| section.title);
    let beside = ["A thing, not the prescription", "The case as a whole"];
    let part = |part: &'static str| {
        let here: Vec<&&AskedPart> = asked.iter().filter(|one| part_of(one) == part).collect();
        let answered = here.iter().filter_map(|one| one.answered_ms);
        PartCount {
            part: part.to_owned(),
            questions: here.len(),
            waited: here.iter().filter(|one| one.waits).count(),
            answered: Spread::of(answered.map(|ms| ms as f64 / HOUR_MS)),
        }
    };
    let counted = sections.chain(beside).map(part);
    let mut counted: Vec<PartCount> = counted.filter(|one| one.questions > 0).collect();
    // Where two have as many, they stay in the order of the sheet.
    counted.sort_by_key(|one| std::cmp::Reverse(one.questions));
    counted
}

fn repeats(orders: &[FirstOrder]) -> Vec<RepeatCount> {
    let line = |course: Option<Course>| {
        let is_it = |one: &&FirstOrder| course.is_none_or(|course| one.course == course);
        let kinds = orders.iter().filter(is_it).map(|one| one.kind);
        let kinds: Vec<Option<OrderKind>> = kinds.collect();
        let of = |kind: OrderKind| Proportion::of(kinds.iter().map(|one| *one == Some(kind)));
        (!kinds.is_empty()).then(|| RepeatCount {
            course,
            remakes: of(OrderKind::Remake),
            corrections: of(OrderKind::Correction),
        })
    };
    let courses = Course::ALL.iter().map(|course| Some(*course));
    std::iter::once(None)
        .chain(courses)
        .filter_map(line)
        .collect()
}

/// How many remakes, and how many corrections.
fn by_kind(again: &[&AgreedAgain]) -> (usize, usize) {
    let remakes = again.iter().filter(|one| one.is_remake).count();
    (remakes, again.len() - remakes)
}

fn causes(agreed: &[&AgreedAgain]) -> Vec<CauseCount> {
    let count = |cause: WorkCause| {
        let of = |is_remake: bool| {
            let kind = agreed.iter().filter(move |one| one.is_remake == is_remake);
            Proportion::of(kind.map(|one| one.cause == cause))
        };
        let here = agreed.iter().filter(|one| one.cause == cause);
        let shares: Vec<WorkShare> = here.filter_map(|one| one.share).collect();
        let parts = WorkShare::ALL.iter().map(|share| {
            let count = shares.iter().filter(|one| *one == share).count();
            (*share, count)
        });
        CauseCount {
            cause,
            remakes: of(true),
            corrections: of(false),
            parts: parts.filter(|(_, count)| *count > 0).collect(),
        }
    };
    let of_all = |one: &CauseCount| one.remakes.part + one.corrections.part;
    let counted = WorkCause::ALL.iter().map(|cause| count(*cause));
    let mut counted: Vec<CauseCount> = counted.filter(|one| of_all(one) > 0).collect();
    // Where two have as many, they stay in the order of the list.
    counted.sort_by_key(|one| std::cmp::Reverse(of_all(one)));
    counted
}

/// A point for each return, or, where there are many, the middle of each day.
fn chart(returns: &[CountedReturn]) -> (Vec<ChartPoint>, Option<ControlLimits>) {
    let point = |one: &CountedReturn| ChartPoint {
        day: one.round.left.date(),
        number: Some(one.number.clone()),
        days: days(one.round.working_ms()),
        is_beyond: false,
    };
    let mut points: Vec<ChartPoint> = returns.iter().map(point).collect();
    if points.len() > MOST_POINTS {
        let of_a_day = |day: &[ChartPoint]| {
            let middle = Spread::of(day.iter().map(|one| one.days))?.median;
            Some(ChartPoint {
                day: day.first()?.day,
                number: None,
                days: middle,
                is_beyond: false,
            })
        };
        let by_day = points.chunk_by(|one, next| one.day == next.day);
        points = by_day.filter_map(of_a_day).collect();
    }
    let values: Vec<f64> = points.iter().map(|one| one.days).collect();
    let limits = ControlLimits::of(&values).filter(|_| values.len() >= LEAST_CHARTED);
    for point in &mut points {
        point.is_beyond = limits.is_some_and(|limits| limits.is_beyond(point.days));
    }
    (points, limits)
}
