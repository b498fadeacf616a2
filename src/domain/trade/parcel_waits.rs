//! Why a parcel is not there sooner: packed and not fetched, too late for the day, on its way, or kept by a closed day.

use super::calendar::{OpenDays, all_open};
use super::plan::{Hour, Job, Leg, PlanLine, Progress, Whose};
use time::{Date, Duration};

/// What a parcel waits for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ParcelWait {
    /// It is packed, and the carrier has not come.
    Fetching,
    /// The hour of this house is over, in minutes since midnight: nothing leaves it before that day.
    HourOver(Whose, u16, Date),
    /// This house is closed today: nothing leaves it before that day.
    ClosedToday(Whose, Date),
    /// The carrier has had it since this day.
    OnItsWay(Date),
    /// It came after the lab’s hour, in minutes since midnight, and counts for that day.
    CameLate(u16, Date),
    /// It came on a day on which the lab is closed, and counts for that one.
    CameClosed(Date),
    /// Days between leaving and coming on which it is not carried, each with who is closed.
    ClosedBetween(Vec<(Date, Whose)>),
}

/// What keeps a thing from leaving a house now; nothing where it can leave today.
fn leaving(house: &OpenDays, whose: Whose, (day, minutes): Hour) -> Option<ParcelWait> {
    let counts = house.counts_for(day, minutes).ok()?;
    let hour = house.cut_off().filter(|_| house.is_open(day));
    (counts > day).then_some(match hour {
        Some(hour) => ParcelWait::HourOver(whose, hour, counts),
        None => ParcelWait::ClosedToday(whose, counts),
    })
}

/// What made something that came to the lab count for another day.
fn coming(lab: &OpenDays, (day, _): Hour, counts: Date) -> Option<ParcelWait> {
    let hour = lab.cut_off().filter(|_| lab.is_open(day));
    (counts > day).then_some(match hour {
        Some(hour) => ParcelWait::CameLate(hour, counts),
        None => ParcelWait::CameClosed(counts),
    })
}

/// The days of a way on which a house is closed; of a way of no day, the one on which it leaves too.
fn closed(job: &Job<'_>, (leaves, comes): (Date, Date), takes: u32) -> Option<ParcelWait> {
    let count = (comes - leaves).whole_days();
    let first = i64::from(takes > 0);
    let days = (first..count).filter_map(|days| leaves.checked_add(Duration::days(days)));
    let days = days.filter(|day| !all_open(*day, &[job.office, job.lab]));
    let whose = |day: Date| match (job.office.is_open(day), job.lab.is_open(day)) {
        (false, false) => Whose::Both,
        (false, true) => Whose::Office,
        (true, _) => Whose::Lab,
    };
    let days: Vec<_> = days.map(|day| (day, whose(day))).collect();
    (!days.is_empty()).then_some(ParcelWait::ClosedBetween(days))
}

fn way_there(job: &Job<'_>, line: &PlanLine, is_packed: bool) -> Vec<ParcelWait> {
    let carried = |since: Date| closed(job, (since, line.end), job.way.there);
    let waits = match job.progress {
        Progress::ToBeSent => [
            is_packed.then_some(ParcelWait::Fetching),
            leaving(job.office, Whose::Office, job.office_now),
            carried(line.from),
        ],
        Progress::Sent(since) => [Some(ParcelWait::OnItsWay(since)), carried(since), None],
        Progress::AtLab(came) => [coming(job.lab, came, line.end), None, None],
        Progress::SentBack(..) | Progress::Here(..) => [None, None, None],
    };
    waits.into_iter().flatten().collect()
}

/// `made`: the day on which the last step is done.
fn way_back(job: &Job<'_>, line: &PlanLine, (made, is_packed): (Date, bool)) -> Vec<ParcelWait> {
    let carried = |since: Date| closed(job, (since, line.end), job.way.back);
    // All is made, and a second laboratory has it all the same.
    let elsewhere = job.passed.filter(|(place, _)| *place == job.tasks.len());
    let ready = elsewhere.map_or(made, |(_, back)| made.max(back));
    let today = job.now.0;
    let can_leave = job.lab.counts_for(today, job.now.1);
    let can_leave = can_leave.unwrap_or(today).max(ready);
    let waits = match job.progress {
        Progress::AtLab(_) => [
            is_packed.then_some(ParcelWait::Fetching),
            leaving(job.lab, Whose::Lab, job.now).filter(|_| ready <= today),
            carried(can_leave),
        ],
        Progress::ToBeSent | Progress::Sent(_) => [carried(ready), None, None],
        Progress::SentBack(_, since) => [Some(ParcelWait::OnItsWay(since)), carried(since), None],
        Progress::Here(..) => [None, None, None],
    };
    waits.into_iter().flatten().collect()
}

/// Why each parcel of a plan is not there sooner; those of which nothing is to be said are left out. `is_packed`: the next
/// one waits for the carrier.
pub fn parcel_waits(
    job: &Job<'_>,
    lines: &[PlanLine],
    is_packed: bool,
) -> Vec<(Leg, Vec<ParcelWait>)> {
    let made = lines.iter().nth_back(1).map(|line| line.end);
    let waits = |line: &PlanLine| match line.leg {
        Leg::There => way_there(job, line, is_packed),
        Leg::Back => way_back(job, line, (made.unwrap_or(line.from), is_packed)),
        Leg::Task(_) => Vec::new(),
    };
    let all = lines.iter().map(|line| (line.leg, waits(line)));
    all.filter(|(_, waits)| !waits.is_empty()).collect()
}

#[cfg(test)]
mod tests {
    use super::super::calendar::Way;
    use super::super::plan::{LabTask, plan};
    use super::*;
    use time::Weekday::Sunday;
    use time::macros::date;

    const MONDAY: Date = date!(2026 - 03 - 02);
    const TUESDAY: Date = date!(2026 - 03 - 03);
    const FRIDAY: Date = date!(2026 - 03 - 06);
    const NEXT_MONDAY: Date = date!(2026 - 03 - 09);

    /// Why the parcel of this leg waits, of one step of a day, with an hour of 16:00 in both houses.
    fn waits(leg: Leg, progress: Progress, now: Hour, is_packed: bool) -> Vec<ParcelWait> {
        let office = OpenDays::weekdays([date!(2026 - 03 - 04)]).with_cut_off(Some(16 * 60));
        let lab = OpenDays::new([Sunday], []).unwrap();
        let lab = lab.with_cut_off(Some(16 * 60));
        let tasks = [LabTask {
            words: "step".to_owned(),
            days: 1,
        }];
        let job = Job {
            tasks: &tasks,
            way: Way::USUAL,
            office: &office,
            lab: &lab,
            progress,
            // What is packed to go back is made.
            finished: (is_packed && leg == Leg::Back).then_some((1, TUESDAY)),
            passed: None,
            is_written: false,
            rests: &[],
            now,
            office_now: now,
            goes_on: None,
            wanted: None,
            insertion: None,
        };
        let lines = plan(&job).unwrap().lines;
        let all = parcel_waits(&job, &lines, is_packed).into_iter();
        let own = all.filter(|(of, _)| *of == leg);
        own.flat_map(|(_, waits)| waits).collect()
    }

    /// Common practice, no source: a carrier comes once a day, and what is too late for it leaves with the next one.
    #[test]
    fn a_parcel_says_what_it_waits_for() {
        use ParcelWait::{
            CameClosed, CameLate, ClosedBetween, ClosedToday, Fetching, HourOver, OnItsWay,
        };
        let (morning, evening) = (Some(9 * 60), Some(17 * 60));
        let hour = 16 * 60;
        let (saturday, sunday) = (date!(2026 - 03 - 07), date!(2026 - 03 - 08));
        let weekend = || ClosedBetween(vec![(saturday, Whose::Office), (sunday, Whose::Both)]);
        let wednesday = ClosedBetween(vec![(date!(2026 - 03 - 04), Whose::Office)]);
        let (there, back) = (Leg::There, Leg::Back);
        let to_be_sent = Progress::ToBeSent;
        let at_lab = |day, minutes| Progress::AtLab((day, minutes));
        for (leg, progress, now, is_packed, says) in [
            (there, to_be_sent, (MONDAY, morning), false, vec![]),
            (there, to_be_sent, (MONDAY, morning), true, vec![Fetching]),
            (
                there,
                to_be_sent,
                (MONDAY, evening),
                true,
                vec![
                    Fetching,
                    HourOver(Whose::Office, hour, TUESDAY),
                    wednesday.clone(),
                ],
            ),
            (
                there,
                to_be_sent,
                (saturday, morning),
                false,
                vec![ClosedToday(Whose::Office, NEXT_MONDAY)],
            ),
            (there, to_be_sent, (FRIDAY, morning), false, vec![weekend()]),
            (
                there,
                Progress::Sent(FRIDAY),
                (FRIDAY, morning),
                false,
                vec![OnItsWay(FRIDAY), weekend()],
            ),
            (
                there,
                at_lab(MONDAY, morning),
                (MONDAY, morning),
                false,
                vec![],
            ),
            (
                there,
                at_lab(MONDAY, evening),
                (MONDAY, evening),
                false,
                vec![CameLate(hour, TUESDAY)],
            ),
            (
                there,
                at_lab(sunday, morning),
                (sunday, evening),
                false,
                vec![CameClosed(NEXT_MONDAY)],
            ),
            // On Thursday evening the carrier has gone.
            (
                back,
                at_lab(MONDAY, morning),
                (date!(2026 - 03 - 05), evening),
                true,
                vec![Fetching, HourOver(Whose::Lab, hour, FRIDAY), weekend()],
            ),
            (
                back,
                at_lab(MONDAY, morning),
                (MONDAY, morning),
                false,
                vec![wednesday],
            ),
            (
                back,
                Progress::SentBack(MONDAY, FRIDAY),
                (FRIDAY, morning),
                false,
                vec![OnItsWay(FRIDAY), weekend()],
            ),
            (
                back,
                Progress::Here(MONDAY, FRIDAY),
                (FRIDAY, morning),
                false,
                vec![],
            ),
        ] {
            let said = waits(leg, progress, now, is_packed);
            assert_eq!(said, says, "{leg:?} {progress:?} {now:?}");
        }
    }
}
