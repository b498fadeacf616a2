//! The tables of a report as files for a spreadsheet: numbers with points, days as 2026-03-02, shares from 0 to 1.

use crate::app::done_steps::DoneStep;
use crate::domain::custody::follow_up::WorkShare;
use crate::domain::report::proportion::Proportion;
use crate::domain::report::spread::Spread;
use crate::domain::report::tally::{CauseCount, CountedReturn, MonthTally, Punctuality};
use crate::domain::values::ids::CaseNumber;
use crate::domain::values::moment::show_date;
use crate::domain::values::table;
use crate::domain::values::words_of;
use std::collections::BTreeMap;

words_of! {
    /// A table of a report.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub enum ReportTable {
        Returns = "Returns one by one",
        Turnaround = "Turnaround",
        OnTime = "On time",
        Questions = "Questions",
        Repeats = "Remakes and corrections",
        Causes = "Causes of what is made again",
    }
}

const DAY_MS: f64 = 86_400_000.0;

fn number(value: f64) -> String {
    format!("{value:.3}")
}

fn spread(spread: Option<&Spread>) -> Vec<String> {
    let five = |one: &Spread| [one.least, one.lower, one.median, one.upper, one.most];
    let numbers = spread.map(|one| five(one).map(number));
    numbers.unwrap_or_default().to_vec()
}

fn share(one: Proportion) -> Vec<String> {
    let (low, high) = one.interval().unzip();
    let numbers = [one.share(), low, high].into_iter();
    let numbers = numbers.map(|value| value.map(number).unwrap_or_default());
    let counts = [one.part.to_string(), one.whole.to_string()];
    counts.into_iter().chain(numbers).collect()
}

/// One table of a month; returns with the house that each was for, or from.
pub fn file(
    which: ReportTable,
    tally: &MonthTally,
    houses: &BTreeMap<CaseNumber, String>,
) -> String {
    match which {
        ReportTable::Returns => returns(tally, houses),
        ReportTable::Turnaround => turnaround(tally),
        ReportTable::OnTime => on_time(tally),
        ReportTable::Questions => questions(tally),
        ReportTable::Repeats => repeats(tally),
        ReportTable::Causes => causes(tally),
    }
}

fn returns(tally: &MonthTally, houses: &BTreeMap<CaseNumber, String>) -> String {
    let heading = [
        "case",
        "back",
        "came",
        "left",
        "days_at_lab",
        "days_held",
        "days_working",
        "day_due",
        "arrived",
        "days_late",
        "house",
    ];
    let row = |one: &CountedReturn| {
        let round = &one.round;
        let days = |ms: i64| number(ms as f64 / DAY_MS);
        let held = round.whole_ms() - round.working_ms();
        vec![
            one.number.to_string(),
            round.back.shown().to_owned(),
            round.came.rfc3339(),
            round.left.rfc3339(),
            days(round.whole_ms()),
            days(held),
            days(round.working_ms()),
            one.due.map(show_date).unwrap_or_default(),
            round.arrived.map(|at| at.rfc3339()).unwrap_or_default(),
            match one.punctuality {
                Punctuality::Late(days) => days.to_string(),
                Punctuality::OnTime => "0".to_owned(),
                Punctuality::NoDay | Punctuality::OnTheWay => String::new(),
            },
            houses.get(&one.number).cloned().unwrap_or_default(),
        ]
    };
    let rows: Vec<_> = tally.returns.iter().map(row).collect();
    table::file(&heading, &rows)
}

fn turnaround(tally: &MonthTally) -> String {
    let heading = [
        "back",
        "time",
        "returns",
        "least_days",
        "lower_quartile",
        "median",
        "upper_quartile",
        "most_days",
    ];
    let mut rows = Vec::new();
    for line in &tally.turnaround {
        let back = line.back.map_or("All", |back| back.shown());
        for (time, of) in [
            ("at the lab", Some(&line.whole)),
            ("working", Some(&line.working)),
            ("held", line.held.as_ref()),
        ] {
            let count = of.map_or(0, |of| of.count).to_string();
            let mut row = vec![back.to_owned(), time.to_owned(), count];
            row.extend(spread(of));
            rows.push(row);
        }
    }
    table::file(&heading, &rows)
}

fn on_time(tally: &MonthTally) -> String {
    let heading = [
        "in_time",
        "with_a_day",
        "share",
        "low_95",
        "high_95",
        "median_days_late",
        "without_a_day",
        "on_the_way",
    ];
    let counted = &tally.on_time;
    let mut row = share(counted.in_time);
    let late = counted.late_by.map(|late| number(late.median));
    row.extend([
        late.unwrap_or_default(),
        counted.without_day.to_string(),
        counted.on_the_way.to_string(),
    ]);
    table::file(&heading, &[row])
}

fn questions(tally: &MonthTally) -> String {
    let heading = [
        "part",
        "questions",
        "cases_in_hand",
        "work_waited",
        "answered",
        "median_hours_to_answer",
    ];
    let rows: Vec<_> = (tally.parts.iter())
        .map(|one| {
            let answered = one.answered.map(|spread| number(spread.median));
            vec![
                one.part.clone(),
                one.questions.to_string(),
                tally.cases.to_string(),
                one.waited.to_string(),
                one.answered.map_or(0, |spread| spread.count).to_string(),
                answered.unwrap_or_default(),
            ]
        })
        .collect();
    table::file(&heading, &rows)
}

fn repeats(tally: &MonthTally) -> String {
    let heading = [
        "work",
        "remakes",
        "orders",
        "remake_share",
        "remake_low_95",
        "remake_high_95",
        "corrections",
        "correction_share",
        "correction_low_95",
        "correction_high_95",
    ];
    let rows: Vec<_> = (tally.repeats.iter())
        .map(|one| {
            let work = one.course.map_or("All", |course| course.shown());
            let mut corrections = share(one.corrections);
            // The orders are the same ones.
            corrections.remove(1);
            let mut row = vec![work.to_owned()];
            row.extend(share(one.remakes));
            row.extend(corrections);
            row
        })
        .collect();
    table::file(&heading, &rows)
}

/// What was agreed on after a fit, however it is ordered.
fn causes(tally: &MonthTally) -> String {
    let mut heading = vec![
        "cause",
        "remakes",
        "all_remakes",
        "remake_share",
        "remake_low_95",
        "remake_high_95",
        "corrections",
        "all_corrections",
        "correction_share",
        "correction_low_95",
        "correction_high_95",
    ];
    heading.extend(WorkShare::ALL.iter().map(|share| share.shown()));
    let row = |one: &CauseCount| {
        let mut row = vec![one.cause.shown().to_owned()];
        row.extend(share(one.remakes));
        row.extend(share(one.corrections));
        row.extend(WorkShare::ALL.iter().map(|share| {
            let mut parts = one.parts.iter();
            let part = parts.find(|(part, _)| part == share);
            part.map_or(0, |(_, count)| *count).to_string()
        }));
        row
    };
    let rows: Vec<_> = tally.causes.iter().map(row).collect();
    table::file(&heading, &rows)
}

/// What was done at the bench, step by step.
pub fn done(steps: &[DoneStep]) -> String {
    let heading = [
        "case", "house", "day", "step", "arch", "revision", "minutes",
    ];
    let row = |one: &DoneStep| {
        let minutes = one.entry.minutes.map(|minutes| minutes.to_string());
        vec![
            one.number.to_string(),
            one.house.clone(),
            show_date(one.day),
            one.entry.step.shown().to_owned(),
            one.entry.arches.shown().to_owned(),
            one.entry.revision.to_string(),
            minutes.unwrap_or_default(),
        ]
    };
    let rows: Vec<_> = steps.iter().map(row).collect();
    table::file(&heading, &rows)
}
