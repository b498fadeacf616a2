//! The days of a case, planned: when each step can be done at the earliest, and when it has to be done at the latest
//! so that the work is back on the day wanted.
//!
//! Forward it counts from today and from what is on record; backward from the day wanted, or, where only an insertion is
//! planned, from the last open day before it. Both count alike: a step of
//! two lab days ends on the second day after the one before it ended, on which the lab is open. Steps without an
//! entry of their own count as done on their day; the last one is never done before today. Days on which the lab
//! rested, because the office had paused the work or owed an answer, are no lab days.

use super::calendar::{OpenDays, Way, all_open, first_check};
use std::fmt;
use time::{Date, Duration};

/// No search for an open day goes further than this many days.
const YEAR: i64 = 366;
/// The longest that one step may take, in lab days, and a parcel on its way, in days on which both are open.
pub const LONGEST: u32 = 60;
/// No day of a plan lies further from today.
const FURTHEST: i64 = 5 * YEAR;

/// Whose days are counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Whose {
    Office,
    Lab,
    Both,
}

/// Why there is no plan.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum PlanError {
    /// Nobody works in a whole year.
    NoOpenDay(Whose),
    /// A step takes no day, or more than sixty.
    LeadTime { what: String, days: u32 },
    /// A day that is wanted cannot be meant.
    Impossible { what: &'static str, day: Date },
}

impl fmt::Display for PlanError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        use crate::domain::values::moment::whole_day;
        match self {
            PlanError::NoOpenDay(Whose::Office) => {
                f.write_str("The office has no working day within a year: see its closed days.")
            }
            PlanError::NoOpenDay(Whose::Lab) => {
                f.write_str("The lab has no working day within a year: see its closed days.")
            }
            PlanError::NoOpenDay(Whose::Both) => f.write_str(
                "Office and lab share no working day within a year: see the closed days of both.",
            ),
            PlanError::LeadTime { what, days } => write!(
                f,
                "“{what}” would take {days} lab days, and a step takes 1 to {LONGEST}: see the lab’s days."
            ),
            PlanError::Impossible { what, day } => {
                write!(f, "The {what}, {}, cannot be meant.", whole_day(*day))
            }
        }
    }
}

/// A step of the lab's work.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LabTask {
    pub words: String,
    pub days: u32,
}

/// A day with the minutes since its midnight, where they are known.
pub type Hour = (Date, Option<u16>);

/// How far the work has come by the record.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Progress {
    /// It lies at the office.
    ToBeSent,
    /// The carrier has had it since this day.
    Sent(Date),
    /// The lab has had it since.
    AtLab(Hour),
    /// The carrier has had it back since the second day; the lab had it from the first.
    SentBack(Date, Date),
    /// In the dentist's hands since the second day; the lab had it from the first.
    Here(Date, Date),
}

/// Days on which the lab let the work rest, from the first on; until the day on which it could go on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Rest {
    pub from: Date,
    /// `None` while it rests.
    pub until: Option<Date>,
}

/// What is planned.
#[derive(Debug, Clone)]
pub struct Job<'a> {
    pub tasks: &'a [LabTask],
    pub way: Way,
    pub office: &'a OpenDays,
    pub lab: &'a OpenDays,
    pub progress: Progress,
    /// How many tasks are finished by the record, and on which day the last of them was.
    pub finished: Option<(usize, Date)>,
    /// The task that a second laboratory does, by its place, and the day on which the lab wants that back. The place behind
    /// the last task is the way back: all tasks are finished, and something is there all the same.
    pub passed: Option<(usize, Date)>,
    /// Whether the lab writes down each step: what it has not entered is not done then.
    pub is_written: bool,
    pub rests: &'a [Rest],
    /// Now, by the lab's clock and by the office's.
    pub now: Hour,
    pub office_now: Hour,
    /// The day on which a rest that still lasts would end; today where none is given.
    pub goes_on: Option<Date>,
    /// The day in the dentist's hands that is wanted.
    pub wanted: Option<Date>,
    pub insertion: Option<Date>,
}

/// What a line of the plan is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Leg {
    There,
    /// A task, by its place.
    Task(usize),
    Back,
}

/// How far a line of the plan has come.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Status {
    /// By the record.
    Done,
    /// Its day is over, and no entry says more.
    Counted,
    UnderWay,
    Ahead,
}

/// One line of the plan.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PlanLine {
    pub leg: Leg,
    /// The first day that it takes.
    pub from: Date,
    /// The day on which it is done, at the earliest.
    pub end: Date,
    /// The day on which it has to be done, for the day wanted; none where no day is to be kept.
    pub latest: Option<Date>,
    /// Open days from its end to its latest; below zero where it comes too late.
    pub spare: Option<i64>,
    pub status: Status,
}

impl PlanLine {
    /// What is to spare of what is not done.
    pub fn left(&self) -> Option<i64> {
        self.spare.filter(|_| self.status != Status::Done)
    }
}

/// The check on the day after the insertion.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum NextDay {
    Open(Date),
    /// Why that day does not do, and which would.
    Closed(String),
}

/// A day in the dentist's hands that the lab names, as it lies to the days that are to be kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct NamedDay {
    pub day: Date,
    /// Open days of both houses to the day wanted; below zero where it comes too late.
    pub spare: Option<i64>,
    /// Open days of the office to the insertion; below zero where it comes too late.
    pub before_insertion: Option<i64>,
}

/// A plan.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Plan {
    pub lines: Vec<PlanLine>,
    /// The first day on which the work is in the dentist's hands.
    pub in_hands: Date,
    /// The day that the latest days are counted back from: the one wanted, otherwise the last one before the insertion
    /// on which both houses are open.
    pub wanted: Option<Date>,
    /// The last day on which it could leave the office; none where no day is to be kept.
    pub send_by: Option<Date>,
    /// The place of the line that decides: what waits for a second laboratory longer than it takes itself; otherwise of what
    /// is not done the least to spare, of these the longest.
    pub decides: Option<usize>,
    /// The day on which that is wanted back from the second laboratory; none where no such day decides.
    pub awaits: Option<Date>,
    /// Open days of the office from there to the insertion; below zero where it comes too late.
    pub before_insertion: Option<i64>,
    pub next_day: Option<NextDay>,
    /// Open days by which a parcel under way is late.
    pub parcel_late: u32,
}

impl Plan {
    /// Open days of both houses from the day in hands to the day wanted; below zero where it comes too late.
    pub fn spare(&self) -> Option<i64> {
        self.lines.last().and_then(|line| line.spare)
    }

    /// Lets a task wait for no day, and nothing that goes before it, whatever is to spare of what follows: what it is made
    /// from does not keep. Whether it is still to be done.
    pub fn at_once(&mut self, task: usize) -> bool {
        let is_open = |line: &PlanLine| matches!(line.status, Status::UnderWay | Status::Ahead);
        let own = |line: &PlanLine| line.leg == Leg::Task(task) && is_open(line);
        let Some(place) = self.lines.iter().position(own) else {
            return false;
        };
        for line in self.lines.iter_mut().take(place + 1) {
            if is_open(line) && line.latest.is_none_or(|latest| latest > line.end) {
                line.latest = Some(line.end);
                line.spare = Some(0);
                let is_way = line.leg == Leg::There;
                let leaves = self.send_by.filter(|_| is_way);
                self.send_by = leaves.map(|day| day.min(line.from)).or(self.send_by);
            }
        }
        true
    }

    /// The day that the lab names for work that has not left it, where that is later than the plan: a plan is what can be,
    /// and the lab knows what will be.
    pub fn later_by_the_lab(&self, named: Option<Date>, job: &Job<'_>) -> Option<NamedDay> {
        if matches!(job.progress, Progress::SentBack(..) | Progress::Here(..)) {
            return None;
        }
        let day = named.filter(|day| *day > self.in_hands)?;
        let both = Days::of(&[job.office, job.lab], Whose::Both);
        let office = Days::of(&[job.office], Whose::Office);
        Some(NamedDay {
            day,
            spare: self.wanted.map(|wanted| both.between(day, wanted)),
            before_insertion: job
                .insertion
                .map(|insertion| office.between(day, insertion)),
        })
    }
}

/// Days that count: those on which all of these houses are open, and on which nothing rests.
struct Days<'a> {
    houses: Vec<&'a OpenDays>,
    /// Each from its first day up to, and without, its second.
    rests: Vec<(Date, Date)>,
    whose: Whose,
}

impl<'a> Days<'a> {
    fn of(houses: &[&'a OpenDays], whose: Whose) -> Days<'a> {
        Days {
            houses: houses.to_vec(),
            rests: Vec::new(),
            whose,
        }
    }

    fn counts(&self, day: Date) -> bool {
        let rests = |(from, until): &(Date, Date)| (*from..*until).contains(&day);
        all_open(day, &self.houses) && !self.rests.iter().any(rests)
    }

    fn none(&self) -> PlanError {
        PlanError::NoOpenDay(self.whose)
    }

    /// The end of the rest that a day lies in, or the day itself.
    fn rested(&self, day: Date) -> Date {
        let mut day = day;
        for (from, until) in &self.rests {
            if (*from..*until).contains(&day) {
                day = *until;
            }
        }
        day
    }

    /// The first day that counts, from this one on.
    fn next(&self, day: Date) -> Result<Date, PlanError> {
        let begin = self.rested(day);
        let mut days = (0..=YEAR).filter_map(|days| begin.checked_add(Duration::days(days)));
        days.find(|day| self.counts(*day))
            .ok_or_else(|| self.none())
    }

    /// The last day that counts, up to this one.
    fn last(&self, day: Date) -> Result<Date, PlanError> {
        let mut days = (0..=YEAR).filter_map(|days| day.checked_sub(Duration::days(days)));
        days.find(|day| self.counts(*day))
            .ok_or_else(|| self.none())
    }

    /// The first day that counts after this one.
    fn after(&self, day: Date) -> Result<Date, PlanError> {
        self.next(day.next_day().ok_or_else(|| self.none())?)
    }

    /// So many days that count after this one; with none, the first from it on.
    fn ahead(&self, day: Date, count: u32) -> Result<Date, PlanError> {
        match count {
            0 => self.next(day),
            _ => (0..count).try_fold(day, |day, _| self.after(day)),
        }
    }

    /// The last day from which so many days that count end by `end`.
    fn behind(&self, end: Date, count: u32) -> Result<Date, PlanError> {
        let mut day = self.last(end)?;
        if count == 0 {
            return Ok(day);
        }
        for _ in 1..count {
            day = self.last(day.previous_day().ok_or_else(|| self.none())?)?;
        }
        day.previous_day().ok_or_else(|| self.none())
    }

    /// Days that count from one day, not counted, to another, counted; below zero where that is earlier.
    fn between(&self, from: Date, to: Date) -> i64 {
        let (first, last, sign) = match from <= to {
            true => (from, to, 1),
            false => (to, from, -1),
        };
        let span = (last - first).whole_days();
        let days = (1..=span).filter_map(|days| first.checked_add(Duration::days(days)));
        let count = days.filter(|day| self.counts(*day)).count();
        sign * i64::try_from(count).unwrap_or(i64::MAX)
    }
}

/// The four ways in which days count for a job.
struct Calendars<'a> {
    office: Days<'a>,
    lab: Days<'a>,
    both: Days<'a>,
    /// The lab's, without those on which the work rested.
    work: Days<'a>,
    /// The day from which on the lab can do something.
    lab_from: Date,
}

impl<'a> Calendars<'a> {
    fn of(job: &Job<'a>) -> Result<Calendars<'a>, PlanError> {
        let lab = Days::of(&[job.lab], Whose::Lab);
        let lab_from = counts_for(&lab, job.lab, job.now)?;
        let goes_on = job.goes_on.unwrap_or(lab_from).max(lab_from);
        let mut rests: Vec<(Date, Date)> = (job.rests.iter())
            .map(|rest| (rest.from, rest.until.unwrap_or(goes_on)))
            .collect();
        rests.sort_unstable();
        Ok(Calendars {
            office: Days::of(&[job.office], Whose::Office),
            both: Days::of(&[job.office, job.lab], Whose::Both),
            work: Days {
                rests,
                ..Days::of(&[job.lab], Whose::Lab)
            },
            lab,
            lab_from,
        })
    }
}

/// The day that something counts for which comes at this time: that day, where the house is open and its hour is not
/// over, else the next one on which it is open.
fn counts_for(days: &Days<'_>, house: &OpenDays, (day, minutes): Hour) -> Result<Date, PlanError> {
    match house.is_too_late(minutes) {
        true => days.after(day),
        false => days.next(day),
    }
}

/// What is done by when, counted forward; without the latest days.
struct Forward {
    lines: Vec<PlanLine>,
    parcel_late: u32,
    /// What waits for a second laboratory longer than it takes itself, by its place, and the day wanted.
    awaited: Option<(usize, Date)>,
}

fn line(leg: Leg, from: Date, end: Date, status: Status) -> PlanLine {
    PlanLine {
        leg,
        from: from.min(end),
        end,
        latest: None,
        spare: None,
        status,
    }
}

/// The way to the lab, with the day on which it counts as there, and by how many days it is late.
fn way_there(job: &Job<'_>, days: &Calendars<'_>) -> Result<(PlanLine, u32), PlanError> {
    let (today, there) = (job.now.0, job.way.there);
    Ok(match job.progress {
        Progress::ToBeSent => {
            let sent = counts_for(&days.office, job.office, job.office_now)?;
            let end = days.both.ahead(sent, there)?;
            (line(Leg::There, sent, end, Status::Ahead), 0)
        }
        Progress::Sent(sent) => {
            let planned = days.both.ahead(sent, there)?;
            let end = planned.max(days.both.next(today)?);
            let late = days.both.between(planned, end).max(0);
            let late = u32::try_from(late).unwrap_or(u32::MAX);
            (line(Leg::There, sent, end, Status::UnderWay), late)
        }
        Progress::AtLab(came) => {
            let end = counts_for(&days.lab, job.lab, came)?;
            (line(Leg::There, came.0, end, Status::Done), 0)
        }
        Progress::SentBack(came, _) | Progress::Here(came, _) => {
            (line(Leg::There, came, came, Status::Done), 0)
        }
    })
}

fn forward(job: &Job<'_>, days: &Calendars<'_>) -> Result<Forward, PlanError> {
    let today = job.now.0;
    let (mut there, parcel_late) = way_there(job, days)?;
    // Whoever has finished something on a closed day had the parcel by then.
    if let Some((1.., day)) = job.finished {
        there = line(there.leg, there.from, there.end.min(day), there.status);
    }
    let mut lines = vec![there];
    let left = match job.progress {
        Progress::SentBack(_, left) | Progress::Here(_, left) => Some(left),
        _ => None,
    };
    let is_there = there.status == Status::Done;
    let mut cursor = there.end;
    let mut is_awaited = false;
    for (place, task) in job.tasks.iter().enumerate() {
        let mut from = days.work.after(cursor)?;
        let mut end = days.work.ahead(cursor, task.days)?;
        let finished = job.finished.filter(|(count, _)| place < *count);
        let by_record = left.or(finished.map(|(_, day)| day));
        let is_last_finished = finished.is_some_and(|(count, _)| place + 1 == count);
        let status = if let Some(day) = by_record {
            from = from.min(day);
            end = if is_last_finished { day } else { end.min(day) };
            Status::Done
        } else if !is_there {
            let until = passed_until(job, days, (place, end))?;
            is_awaited |= until > end;
            end = until;
            Status::Ahead
        } else {
            let until = passed_until(job, days, (place, end))?;
            is_awaited |= until > end;
            end = until;
            let is_last = place + 1 == job.tasks.len();
            if (is_last || job.is_written) && end < days.lab_from {
                end = days.work.next(days.lab_from)?;
            }
            match (from <= today, end < today) {
                (_, true) => Status::Counted,
                (true, false) => Status::UnderWay,
                (false, false) => Status::Ahead,
            }
        };
        lines.push(line(Leg::Task(place), from, end, status));
        cursor = end;
    }
    let ready = passed_until(job, days, (job.tasks.len(), cursor))?;
    // What has left the lab waits for nothing there.
    is_awaited |= ready > cursor && left.is_none();
    lines.push(way_back(job, days, ready)?);
    Ok(Forward {
        lines,
        parcel_late,
        awaited: job.passed.filter(|_| is_awaited),
    })
}

/// The end of a task, by its place, or the day on which all is ready: where a second laboratory has it, not before it is
/// wanted back from there, nor while it is still awaited.
fn passed_until(
    job: &Job<'_>,
    days: &Calendars<'_>,
    (place, end): (usize, Date),
) -> Result<Date, PlanError> {
    let own = job.passed.filter(|(own, _)| *own == place);
    match own.map(|(_, back)| back.max(days.lab_from)) {
        Some(back) if back > end => days.lab.next(back),
        _ => Ok(end),
    }
}

fn way_back(job: &Job<'_>, days: &Calendars<'_>, ready: Date) -> Result<PlanLine, PlanError> {
    let back = job.way.back;
    Ok(match job.progress {
        Progress::Here(_, day) => line(Leg::Back, day, day, Status::Done),
        Progress::SentBack(_, left) => {
            let planned = days.both.ahead(left, back)?;
            let end = planned.max(days.both.next(job.office_now.0)?);
            line(Leg::Back, left, end, Status::UnderWay)
        }
        _ => {
            let is_made = matches!(job.progress, Progress::AtLab(_));
            let leaves = match is_made {
                true => ready.max(days.lab_from),
                false => ready,
            };
            let end = days.both.ahead(leaves, back)?;
            line(Leg::Back, days.both.after(leaves)?, end, Status::Ahead)
        }
    })
}

/// Puts the latest days to the lines, counted back from the day wanted; answers with the last day for sending.
fn backward(
    job: &Job<'_>,
    days: &Calendars<'_>,
    lines: &mut [PlanLine],
    wanted: Date,
) -> Result<Date, PlanError> {
    let mut end = days.both.last(wanted)?;
    for line in lines.iter_mut().rev() {
        let (own, before, takes) = match line.leg {
            Leg::Back => (&days.both, &days.lab, job.way.back),
            Leg::Task(place) => {
                let takes = job.tasks.get(place).map_or(0, |task| task.days);
                let before = match place {
                    0 => &days.both,
                    _ => &days.lab,
                };
                (&days.lab, before, takes)
            }
            Leg::There => (&days.both, &days.office, job.way.there),
        };
        line.latest = Some(end);
        line.spare = Some(own.between(line.end, end));
        end = before.last(own.behind(end, takes)?)?;
    }
    Ok(end)
}

/// What of the plan decides: of what is not done, the task with the least to spare, of these the longest; a way where
/// no task is left.
fn decides(job: &Job<'_>, lines: &[PlanLine]) -> Option<usize> {
    let open = |line: &PlanLine| matches!(line.status, Status::UnderWay | Status::Ahead);
    let rank = |line: &PlanLine| match line.leg {
        Leg::Task(place) => {
            let days = job.tasks.get(place).map_or(0, |task| task.days);
            (0, line.spare.unwrap_or_default(), std::cmp::Reverse(days))
        }
        _ => (1, line.spare.unwrap_or_default(), std::cmp::Reverse(0)),
    };
    let places = lines.iter().enumerate().filter(|(_, line)| open(line));
    places
        .min_by_key(|(_, line)| rank(line))
        .map(|(place, _)| place)
}

/// That every lead time and every day can be meant.
fn validate(job: &Job<'_>) -> Result<(), PlanError> {
    let wrong = job
        .tasks
        .iter()
        .find(|task| !(1..=LONGEST).contains(&task.days));
    if let Some(task) = wrong {
        return Err(PlanError::LeadTime {
            what: task.words.clone(),
            days: task.days,
        });
    }
    for (what, days) in [("way there", job.way.there), ("way back", job.way.back)] {
        if days > LONGEST {
            return Err(PlanError::LeadTime {
                what: what.to_owned(),
                days,
            });
        }
    }
    let days = [
        ("day wanted", job.wanted),
        ("day of insertion", job.insertion),
    ];
    for (what, day) in days {
        let is_far = |day: &Date| (*day - job.now.0).whole_days().abs() > FURTHEST;
        if let Some(day) = day.filter(is_far) {
            return Err(PlanError::Impossible { what, day });
        }
    }
    Ok(())
}

/// The day in the dentist's hands that is to be kept.
fn wanted(job: &Job<'_>, days: &Calendars<'_>) -> Result<Option<Date>, PlanError> {
    let before = job.insertion.and_then(Date::previous_day);
    match (job.wanted, before) {
        (None, Some(before)) => days.both.last(before).map(Some),
        (wanted, _) => Ok(wanted),
    }
}

/// Plans a job.
///
/// # Errors
/// Where a house never works, a lead time or a day cannot be meant.
pub fn plan(job: &Job<'_>) -> Result<Plan, PlanError> {
    validate(job)?;
    let days = Calendars::of(job)?;
    let Forward {
        mut lines,
        parcel_late,
        awaited,
    } = forward(job, &days)?;
    let in_hands = lines.last().map_or(job.now.0, |line| line.end);
    let wanted = wanted(job, &days)?;
    let send_by = match wanted {
        Some(wanted) => Some(backward(job, &days, &mut lines, wanted)?),
        None => None,
    };
    let next_day = job.insertion.map(|insertion| {
        let check = first_check(insertion, job.office);
        check.map_or_else(NextDay::Closed, NextDay::Open)
    });
    let before_insertion = job
        .insertion
        .map(|insertion| days.office.between(in_hands, insertion));
    Ok(Plan {
        // Before the first task stands the way to the lab.
        decides: match awaited {
            Some((place, _)) => Some(place + 1),
            None => decides(job, &lines),
        },
        awaits: awaited.map(|(_, back)| back),
        lines,
        in_hands,
        wanted,
        send_by,
        before_insertion,
        next_day,
        parcel_late,
    })
}

#[cfg(test)]
mod tests;
