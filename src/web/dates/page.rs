//! The page of a case's days.

use super::promise::{PromisedDay, promised_day};
use super::strip::{Strip, strip};
use super::waits::why;
use super::words;
use crate::app::dates::{CaseDates, Planned, leads_on};
use crate::app::{App, Person};
use crate::domain::custody::case_actions::CaseAction;
use crate::domain::custody::progress::Resting;
use crate::domain::people::access::Permission;
use crate::domain::trade::plan::Plan;
use crate::domain::values::moment::day_in_words;
use crate::domain::values::words::counted as number_of;
use crate::web::changes::NewsLine;
use crate::web::error::WebError;
use crate::web::frame::Frame;
use crate::web::tried::Tried;
use askama::Template;
use time::Date;

/// A step as a row of the table.
pub struct PlanStepRow {
    pub name: String,
    pub days: String,
    pub planned: String,
    pub latest: String,
    pub spare: String,
    pub status: String,
    /// Why its parcel waits; empty for most.
    pub why: String,
    pub decides: bool,
    pub is_late: bool,
}

/// What comes of it if the work goes on on a day.
pub struct IfRow {
    pub on: String,
    pub in_hands: String,
    pub to_spare: String,
    pub is_late: bool,
}

/// The plan as the page shows it.
pub struct Shown {
    pub lead: String,
    pub further: Vec<String>,
    pub next_day: Option<(String, bool)>,
    pub strip: Strip,
    pub steps: Vec<PlanStepRow>,
    pub if_title: &'static str,
    pub ifs: Vec<IfRow>,
    /// What was counted with, and what with.
    pub counted: Vec<(String, String)>,
}

/// The days of a case: planned, wanted and promised.
#[derive(Template)]
#[template(path = "dates.html")]
pub struct DatesPage {
    pub frame: Frame,
    pub number: String,
    pub path_number: String,
    pub summary: String,
    pub other: String,
    pub today: String,
    /// Why nothing is planned.
    pub nothing: Option<String>,
    pub shown: Option<Shown>,
    pub promised: PromisedDay,
    /// Address and words of what lets the work go on, where it is this house's to do.
    pub main: Option<(String, &'static str)>,
    /// Where one's own house says when it is closed.
    pub lists: Vec<(&'static str, &'static str)>,
    pub news: NewsLine,
}

fn steps(dates: &CaseDates, planned: &Planned) -> Vec<PlanStepRow> {
    let today = dates.now.date();
    let lines = planned.plan.lines.iter().enumerate();
    let row = |(place, line): (usize, &crate::domain::trade::plan::PlanLine)| {
        use crate::domain::trade::plan::Leg;
        let days = match line.leg {
            Leg::There => words::way(planned.way.there),
            Leg::Back => words::way(planned.way.back),
            Leg::Task(task) => {
                let task = planned.tasks.get(task);
                task.map_or_else(String::new, |task| number_of(task.days, "day"))
            }
        };
        PlanStepRow {
            name: words::name(planned, line.leg),
            days,
            planned: day_in_words(line.end, today),
            latest: line
                .latest
                .map_or_else(String::new, |day| day_in_words(day, today)),
            spare: words::spare(line),
            status: words::status(planned, line),
            why: why(planned, line.leg, today),
            decides: planned.plan.decides == Some(place),
            is_late: line.left().is_some_and(|left| left < 0),
        }
    };
    lines.map(row).collect()
}

fn ifs(planned: &Planned, today: Date) -> Vec<IfRow> {
    let row = |(day, plan): &(Date, Plan)| {
        let spare = plan.spare();
        let is_late = spare.is_some_and(|spare| spare < 0);
        IfRow {
            on: match *day == today {
                true => "today".to_owned(),
                false => day_in_words(*day, today),
            },
            in_hands: day_in_words(plan.in_hands, today),
            to_spare: match (spare, plan.before_insertion) {
                (Some(0), _) => "on the day".to_owned(),
                (Some(spare @ 1..), _) => {
                    format!("{} early", number_of(spare.unsigned_abs(), "day"))
                }
                (_, Some(1..)) => "late, before the insertion".to_owned(),
                (_, Some(_)) => "late, the insertion moves".to_owned(),
                (Some(_), None) => "late".to_owned(),
                (None, None) => String::new(),
            },
            is_late,
        }
    };
    planned.if_goes_on.iter().map(row).collect()
}

fn counted(dates: &CaseDates, planned: &Planned) -> Vec<(String, String)> {
    let today = dates.now.date();
    let own = dates.lists.lab_days.as_deref();
    let mut rows: Vec<(String, String)> = Vec::new();
    for (stage, days, basis) in &planned.chain.stages {
        let words = basis.words(own);
        rows.push((
            format!("Lab days, {}", stage.shown()),
            format!("{days}: {words}"),
        ));
    }
    let (there, back) = (words::way(planned.way.there), words::way(planned.way.back));
    let way = match there == back {
        true => there,
        false => format!("{there} to the lab, {back} back"),
    };
    rows.push(("Carrier".to_owned(), format!("{way}, when both are open")));
    let lines = &planned.plan.lines;
    let first = lines.first().map_or(today, |line| line.from);
    let last = lines.last().map_or(today, |line| line.end);
    let last = [dates.wanted, dates.insertion]
        .into_iter()
        .flatten()
        .fold(last, Date::max);
    for (name, open) in [
        (&dates.view.work.lab.name, dates.lists.lab_open()),
        (&dates.view.work.office.name, dates.lists.office_open()),
    ] {
        let closed = words::closed(&open, (first, last), today);
        rows.push((format!("{name} closed"), closed));
        if open.cut_off().is_some() {
            rows.push((format!("{name}, hour"), words::hour(&open)));
        }
    }
    rows
}

fn shown(dates: &CaseDates, planned: &Planned) -> Shown {
    Shown {
        lead: words::lead(dates, planned),
        further: words::further(dates, planned),
        next_day: words::next_day(dates, planned),
        strip: strip(dates, planned),
        steps: steps(dates, planned),
        if_title: match planned.resting() {
            Some(Resting::Question(_)) => "If the question is answered",
            Some(Resting::Promised) => "If the revision is signed",
            Some(Resting::FoundWrong(_)) => "If it is resolved",
            _ => "If the work goes on",
        },
        ifs: ifs(planned, dates.now.date()),
        counted: counted(dates, planned),
    }
}

/// The address and the words of what lets the work go on.
fn main_action(dates: &CaseDates, action: &CaseAction) -> Option<(String, &'static str)> {
    let (rest, words) = match action {
        CaseAction::Answer => ("questions", "Answer the question"),
        CaseAction::Write(_) => ("write", "Write the promised revision"),
        CaseAction::ResolveHold => ("holds", "Answer the problem on arrival"),
        CaseAction::Halt => ("halt", "Let the work go on"),
        _ => return None,
    };
    let number = dates.view.work.case.number.as_str();
    Some((format!("/cases/{number}/{rest}"), words))
}

/// The whole page.
pub fn dates_page(
    app: &App,
    person: &Person,
    dates: &CaseDates,
    tried: &Tried,
) -> Result<DatesPage, WebError> {
    let work = &dates.view.work;
    let planned = dates.planned.as_ref();
    let mut lists = vec![("/closed-days", "Our closed days")];
    if person.may(Permission::KeepMoulds) {
        lists.push(("/lab-days", "Our lab days"));
    }
    Ok(DatesPage {
        frame: Frame::of_case(app, person, work, "Dates")?,
        number: work.case.number.to_string(),
        path_number: work.case.number.as_str().to_owned(),
        summary: work.case.title(),
        other: work.party(work.side.other()).name.clone(),
        today: day_in_words(dates.now.date(), dates.now.date()),
        nothing: dates.nothing.clone(),
        promised: promised_day(app, person, dates, tried)?,
        shown: planned.map(|planned| shown(dates, planned)),
        main: leads_on(app, person, dates).and_then(|action| main_action(dates, &action)),
        lists,
        news: NewsLine {
            watch: format!("/changes?case={}", work.case.number.as_str()),
            mark: work.case.version,
        },
    })
}
