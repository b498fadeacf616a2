//! What is said of a plan, in sentences.

use super::waits::why;
use crate::app::dates::{CaseDates, Planned};
use crate::domain::custody::Halt;
use crate::domain::custody::progress::Resting;
use crate::domain::people::party::Side;
use crate::domain::trade::calendar::{CheckedInsertion, OpenDays};
use crate::domain::trade::house_days::clock_words;
use crate::domain::trade::plan::{Leg, NamedDay, NextDay, PlanLine, Progress, Status};
use crate::domain::values::arch::Arches;
use crate::domain::values::moment::{day_in_words, lasting};
use crate::domain::values::words::{counted, lowered};
use time::Date;

/// What a line of the plan is called.
pub fn name(planned: &Planned, leg: Leg) -> String {
    match leg {
        Leg::There => "Parcel to the lab".to_owned(),
        Leg::Back => "Parcel back".to_owned(),
        Leg::Task(place) => {
            let task = planned.tasks.get(place);
            task.map_or_else(String::new, |task| task.words.clone())
        }
    }
}

/// "3 working days"
fn working_days(count: i64) -> String {
    counted(count.unsigned_abs(), "working day")
}

/// How a day in hands lies to the day that was asked for, with the open days to spare.
fn to_wanted(dates: &CaseDates, in_hands: Date, spare: Option<i64>) -> String {
    let today = dates.now.date();
    let work = &dates.view.work;
    let said = match work.agreed_day() {
        Some(_) => "agreed",
        None => "asked",
    };
    match dates.wanted {
        None => String::new(),
        Some(wanted) if wanted == in_hands => format!(", as {said}"),
        Some(wanted) => {
            let day = day_in_words(wanted, today);
            match wanted > in_hands {
                true => format!(", in time for {day}"),
                false => match spare {
                    Some(spare @ ..0) => {
                        format!(", {} later than {said} ({day})", working_days(spare))
                    }
                    _ => format!(", later than {said} ({day})"),
                },
            }
        }
    }
}

/// How it lies to the insertion, with the open days before that.
fn to_insertion(dates: &CaseDates, in_hands: Date, before: Option<i64>) -> String {
    let Some((insertion, before)) = dates.insertion.zip(before) else {
        return String::new();
    };
    let day = day_in_words(insertion, dates.now.date());
    match before {
        _ if insertion == in_hands => ", on the day of the insertion".to_owned(),
        1.. => format!(", {} before the insertion on {day}", working_days(before)),
        _ if insertion > in_hands => format!(", before the insertion on {day}"),
        _ => format!(", after the insertion planned for {day}"),
    }
}

/// On what it hangs that the work goes on today: what rests, and what is still to come.
fn condition(planned: &Planned) -> Option<String> {
    let rests = planned.resting().map(|resting| {
        let words = match resting {
            Resting::Question(_) => "the open question is answered today",
            Resting::Promised => "the promised revision is signed today",
            Resting::FoundWrong(_) => "what was found wrong is resolved today",
            Resting::Halted(Halt::Paused | Halt::Stopped | Halt::Cancelled) => {
                "the work goes on today"
            }
        };
        words.to_owned()
    });
    let done_for = || {
        let done_for = planned.so_far.done_for?;
        Some(format!("what is done for revision {done_for} stands"))
    };
    let first = rests.or_else(done_for).into_iter();
    let all: Vec<String> = first.chain(planned.still.iter().cloned()).collect();
    (!all.is_empty()).then(|| format!("If {}", all.join(" and ")))
}

/// A day later than the plan that the lab has named: "The lab says Tue 29 Dec, 6 working days later than asked (Mon 21 Dec)"
fn by_the_lab(dates: &CaseDates, named: &NamedDay) -> String {
    let day = day_in_words(named.day, dates.now.date());
    format!(
        "The lab says {day}{}{}",
        to_wanted(dates, named.day, named.spare),
        to_insertion(dates, named.day, named.before_insertion)
    )
}

/// Which spares the lab has still to make, where all else is back.
fn spares(planned: &Planned) -> Option<String> {
    let arches = Arches::of(&planned.spares)?;
    Some(format!(
        " At the lab is still to be made: spare, {}.",
        arches.shown()
    ))
}

/// The day that the lab has named and that is still to come, where only a spare is left.
fn spare_by_the_lab(dates: &CaseDates, came: Date) -> String {
    let named = dates.view.work.named_day().filter(|one| one.day > came);
    let named = named.map(|one| NamedDay {
        day: one.day,
        spare: None,
        before_insertion: None,
    });
    named.map_or_else(String::new, |named| {
        format!(" {}.", by_the_lab(dates, &named))
    })
}

/// That a second laboratory decides: what was passed on to it, and the day on which that is wanted back.
fn awaited(dates: &CaseDates, planned: &Planned) -> Option<String> {
    let day = planned.plan.awaits?;
    let pass = dates.view.work.passed_until(day)?;
    let (lab, arches) = (&pass.to.name, pass.arches.shown());
    let day = day_in_words(day, dates.now.date());
    Some(format!(
        " The {arches} work passed on to {lab}, wanted back on {day}, sets the pace."
    ))
}

/// The one sentence.
pub fn lead(dates: &CaseDates, planned: &Planned) -> String {
    let (plan, today) = (&planned.plan, dates.now.date());
    let day = day_in_words(plan.in_hands, today);
    if let Progress::Here(_, came) = planned.so_far.progress {
        let day = day_in_words(came, today);
        let insertion = to_insertion(dates, plan.in_hands, plan.before_insertion);
        let spares = spares(planned).map(|left| format!("{left}{}", spare_by_the_lab(dates, came)));
        let spares = spares.unwrap_or_default();
        return format!("The work has been back at the office since {day}{insertion}.{spares}");
    }
    if let Some(named) = &planned.named {
        return format!("{}.", by_the_lab(dates, named));
    }
    let begins = condition(planned).unwrap_or_else(|| "As it stands".to_owned());
    let decides = plan.decides.and_then(|place| plan.lines.get(place));
    let decides = decides.map(|line| {
        let name = name(planned, line.leg);
        match (planned.slower, line.leg) {
            (Some((arch, _)), Leg::Task(_)) => {
                format!(" “{name}” of the {} sets the pace.", arch.shown())
            }
            _ => format!(" “{name}” sets the pace."),
        }
    });
    format!(
        "{begins} the work is back on {day}{}{}.{}",
        to_wanted(dates, plan.in_hands, plan.spare()),
        to_insertion(dates, plan.in_hands, plan.before_insertion),
        awaited(dates, planned).or(decides).unwrap_or_default()
    )
}

/// The same in one line: "Back on Fri 13 Mar, in time for Fri 20 Mar"
pub fn short(dates: &CaseDates, planned: &Planned) -> String {
    if let Some(named) = &planned.named {
        return by_the_lab(dates, named);
    }
    let plan = &planned.plan;
    let day = day_in_words(plan.in_hands, dates.now.date());
    let condition = condition(planned).map(|words| format!(", {}", lowered(&words)));
    format!(
        "Back on {day}{}{}",
        to_wanted(dates, plan.in_hands, plan.spare()),
        condition.unwrap_or_default()
    )
}

/// Each line of the plan with the day on which it is done, how it stands, and why a parcel waits: "Mount, Wed 4 Mar, done"
pub fn steps(dates: &CaseDates, planned: &Planned) -> Vec<(String, String)> {
    let step = |line: &PlanLine| {
        let day = day_in_words(line.end, dates.now.date());
        let status = status(planned, line);
        let day = match status.is_empty() {
            true => day,
            false => format!("{day}, {status}"),
        };
        let why = why(planned, line.leg, dates.now.date());
        let day = match why.is_empty() {
            true => day,
            false => format!("{day}. {why}"),
        };
        (name(planned, line.leg), day)
    };
    planned.plan.lines.iter().map(step).collect()
}

fn is_here(planned: &Planned) -> bool {
    matches!(planned.so_far.progress, Progress::Here(..))
}

/// What else is to be known, sentence by sentence.
pub fn further(dates: &CaseDates, planned: &Planned) -> Vec<String> {
    let (plan, today) = (&planned.plan, dates.now.date());
    let mut all = Vec::new();
    if planned.named.is_some() && !is_here(planned) {
        let day = day_in_words(plan.in_hands, today);
        all.push(format!("By the plan alone it could be back on {day}."));
    }
    if let Some((arch, other)) = planned.slower.filter(|_| !is_here(planned)) {
        let day = day_in_words(other, today);
        all.push(format!(
            "These are the days of the {}, which takes longer. Alone, the {} could be back on {day}.",
            arch.shown(),
            arch.other().shown()
        ));
    }
    if let Some((why, since)) = planned.so_far.resting {
        let what = match why {
            Resting::Question(Side::Office) => "The lab waits for the office’s answer",
            Resting::Question(Side::Lab) => "The work waits for the lab’s answer",
            Resting::Promised => "The lab waits for the revision that was promised",
            Resting::FoundWrong(_) => "The work waits for what was found wrong",
            Resting::Halted(_) => "The office has let the work wait",
        };
        let lasts = lasting(since, dates.now);
        all.push(format!(
            "{what}, so far for {lasts}; this time is not the lab’s."
        ));
    }
    match (planned.so_far.progress, plan.send_by) {
        (Progress::ToBeSent, Some(day)) if day < today => {
            all.push("To be in time it would have had to leave the office already.".to_owned());
        }
        (Progress::ToBeSent, Some(day)) => {
            let day = day_in_words(day, today);
            all.push(format!("It has to leave the office by {day}."));
        }
        _ => {}
    }
    if let Some(why) = &planned.at_once {
        all.push(format!("{why}. For the pour there is no day to spare."));
    }
    if plan.parcel_late > 0 {
        let late = working_days(i64::from(plan.parcel_late));
        all.push(format!(
            "The parcel to the lab is {late} late; each further day moves what follows."
        ));
    }
    let counted = plan
        .lines
        .iter()
        .filter(|line| line.status == Status::Counted);
    if counted.count() > 0 {
        all.push("Steps without an entry of their own count as done on their day.".to_owned());
    }
    all
}

/// An insertion that is not to be kept, with the first one that can be.
fn moved(dates: &CaseDates, moved: &Result<CheckedInsertion, String>) -> String {
    let today = dates.now.date();
    let found = match moved {
        Ok(found) => found,
        Err(why) => return format!("The insertion moves. {why}"),
    };
    let (day, check) = (
        day_in_words(found.day, today),
        day_in_words(found.check, today),
    );
    let unknown = match dates.lists.office_days {
        Some(_) => "",
        None => ": no closed days of the office are loaded",
    };
    format!("The insertion moves: from {day} on, with its check on {check}{unknown}.")
}

/// The check on the day after the insertion, or where that moves to; and whether it is a caution.
pub fn next_day(dates: &CaseDates, planned: &Planned) -> Option<(String, bool)> {
    let today = dates.now.date();
    if let Some(one) = &dates.moved {
        return Some((moved(dates, one), true));
    }
    Some(match planned.plan.next_day.as_ref()? {
        NextDay::Open(day) => {
            let day = day_in_words(*day, today);
            let open = match dates.lists.office_days {
                Some(_) => "the office is open",
                None => "no closed days of the office are loaded",
            };
            (
                format!("The check on the day after is on {day}: {open}."),
                false,
            )
        }
        NextDay::Closed(why) => (why.clone(), true),
    })
}

/// How a line stands, for the table.
pub fn status(planned: &Planned, line: &PlanLine) -> String {
    let words = match (line.status, planned.so_far.done_for, line.leg) {
        (Status::Done, Some(done_for), Leg::Task(_)) => {
            return format!("done for revision {done_for}");
        }
        (Status::Done, ..) => "done",
        (Status::Counted, ..) => "counted as done",
        (Status::UnderWay, ..) => "under way",
        (Status::Ahead, ..) => "",
    };
    words.to_owned()
}

/// How early or late a line is, for the table.
pub fn spare(line: &PlanLine) -> String {
    match line.left() {
        None => String::new(),
        Some(spare @ ..0) => format!("{} late", counted(spare.unsigned_abs(), "day")),
        Some(0) => "on the day".to_owned(),
        Some(spare) => format!("{} early", counted(spare.unsigned_abs(), "day")),
    }
}

/// The hour of a house.
pub fn hour(open: &OpenDays) -> String {
    match open.cut_off() {
        None => "all of the day counts".to_owned(),
        Some(minutes) => format!("what comes by {} counts for the day", clock_words(minutes)),
    }
}

/// "next day", "2 days"
pub fn way(days: u32) -> String {
    match days {
        0 => "same day".to_owned(),
        1 => "next day".to_owned(),
        days => format!("{days} days"),
    }
}

/// The weekdays and days of a stretch on which a house is closed, in a few words.
pub fn closed(open: &OpenDays, (first, last): (Date, Date), today: Date) -> String {
    use time::Weekday::{Saturday, Sunday};
    let is_weekend = |day: Date| matches!(day.weekday(), Saturday | Sunday);
    let count = (last - first).whole_days();
    let all = (0..=count).filter_map(|days| first.checked_add(time::Duration::days(days)));
    let mut weekends = all.clone().filter(|day| is_weekend(*day)).peekable();
    // A house that works on weekends is told by that, and not by each of them.
    let works_on = weekends.peek().is_some() && weekends.all(|day| open.is_open(day));
    let usual = if works_on {
        "not on Saturdays and Sundays"
    } else {
        "Saturdays and Sundays"
    };
    let is_told = |day: &Date| match works_on {
        true => !open.is_open(*day),
        false => is_weekend(*day) == open.is_open(*day),
    };
    let words = |day: Date| {
        let words = day_in_words(day, today);
        match open.is_open(day) {
            true => format!("open on {words}"),
            false => words,
        }
    };
    let days: Vec<String> = all.filter(is_told).take(9).map(words).collect();
    match days.is_empty() {
        true => usual.to_owned(),
        false => format!("{usual}; {}", days.join(", ")),
    }
}
