//! The page of a month.

use super::chart::{ControlChart, ShareBar, control_chart, share_bar};
use super::words::{hours, interval, middle_half, of, percent, tenth};
use crate::app::{App, Person, agenda, reports};
use crate::domain::people::party::Side;
use crate::domain::report::month::CalendarMonth;
use crate::domain::report::proportion::Proportion;
use crate::domain::report::tally::{
    CauseCount, CountedReturn, MonthTally, PartCount, Punctuality, RepeatCount, TurnaroundLine,
};
use crate::domain::values::moment::day_in_words;
use crate::domain::values::words::counted;
use crate::web::error::WebError;
use crate::web::frame::Frame;
use askama::Template;

/// A line of the table of times.
pub struct TimeRow {
    pub back: &'static str,
    pub returns: usize,
    pub working: String,
    pub working_half: String,
    pub whole: String,
    pub whole_half: String,
    pub held: String,
}

/// A line of the table of questions.
pub struct PartRow {
    pub part: String,
    pub questions: usize,
    pub per_case: String,
    pub waited: usize,
    pub answered: String,
    /// The length of its bar, of a hundred.
    pub bar: String,
}

/// A line of the table of orders.
pub struct RepeatRow {
    pub work: &'static str,
    pub remakes: RateCell,
    pub corrections: RateCell,
}

/// A line of the table of causes.
pub struct CauseRow {
    pub cause: &'static str,
    pub remakes: RateCell,
    pub corrections: RateCell,
    /// "the office 1, both sides 1"
    pub parts: String,
}

/// A share with what it may be.
pub struct RateCell {
    pub counts: String,
    pub share: String,
    pub interval: String,
    pub bar: Option<ShareBar>,
}

impl From<Proportion> for RateCell {
    fn from(one: Proportion) -> RateCell {
        RateCell {
            counts: of(one),
            share: percent(one.share()),
            interval: interval(one),
            bar: share_bar(one),
        }
    }
}

/// A return on its own.
pub struct ReturnRow {
    pub path_number: String,
    pub number: String,
    pub left: String,
    pub back: &'static str,
    pub working: String,
    pub held: String,
    pub punctuality: String,
    pub is_late: bool,
}

/// What the lines of the chart are.
pub struct LimitWords {
    pub mean: String,
    pub lower: String,
    pub upper: String,
    pub beyond: usize,
}

/// How the work went in one month.
#[derive(Template)]
#[template(path = "reports.html")]
pub struct ReportPage {
    pub frame: Frame,
    pub is_office: bool,
    pub month: CalendarMonth,
    pub word: String,
    pub before: Option<CalendarMonth>,
    /// None where the next month has not begun.
    pub after: Option<CalendarMonth>,
    /// What was typed and is no month.
    pub wrong: Option<String>,
    /// That the month is not over, or has not begun.
    pub not_over: Option<&'static str>,
    pub cases: String,
    pub unread: usize,
    /// What is said of days by another clock; empty for most.
    pub other_clock: &'static str,
    /// What is said of cases that were taken away; empty for most.
    pub unlisted: String,
    pub times: Vec<TimeRow>,
    pub on_time: RateCell,
    pub is_timed: bool,
    pub late_by: Option<String>,
    pub without_day: usize,
    pub on_the_way: usize,
    pub per_case: String,
    pub questions: usize,
    pub parts: Vec<PartRow>,
    pub repeats: Vec<RepeatRow>,
    /// "2 remakes and 1 correction", agreed on after a fit in the month; empty where there was none.
    pub agreed: String,
    /// The same of what the lab sees otherwise.
    pub disputed: String,
    pub causes: Vec<CauseRow>,
    pub chart: Option<ControlChart>,
    pub is_by_day: bool,
    pub limits: Option<LimitWords>,
    pub returns: Vec<ReturnRow>,
    pub more_returns: usize,
}

/// Returns that the page lists one by one; the file has all.
const RETURNS_MOST: usize = 50;

fn time_row(line: &TurnaroundLine) -> TimeRow {
    let held = line.held.map(|held| tenth(held.median));
    TimeRow {
        back: line.back.map_or("All", |back| back.shown()),
        returns: line.whole.count,
        working: tenth(line.working.median),
        working_half: middle_half(&line.working),
        whole: tenth(line.whole.median),
        whole_half: middle_half(&line.whole),
        held: match held {
            Some(median) => format!("{}, {median}", of(line.with_hold)),
            None => "none".to_owned(),
        },
    }
}

fn per_case(questions: usize, cases: usize) -> String {
    match cases {
        0 => "–".to_owned(),
        _ => format!("{:.2}", questions as f64 / cases as f64),
    }
}

fn part_row(one: &PartCount, cases: usize, most: usize) -> PartRow {
    PartRow {
        part: one.part.clone(),
        questions: one.questions,
        per_case: per_case(one.questions, cases),
        waited: one.waited,
        answered: one
            .answered
            .map_or_else(|| "not yet".to_owned(), |one| hours(one.median)),
        bar: format!("{:.1}", one.questions as f64 * 100.0 / most.max(1) as f64),
    }
}

/// "2 remakes and 1 correction"
fn agreed_words((remakes, corrections): (usize, usize)) -> String {
    let part = |count: usize, one: &str| {
        (count > 0).then(|| counted(i64::try_from(count).unwrap_or(i64::MAX), one))
    };
    let parts = [part(remakes, "remake"), part(corrections, "correction")];
    parts
        .into_iter()
        .flatten()
        .collect::<Vec<_>>()
        .join(" and ")
}

fn repeat_row(one: &RepeatCount) -> RepeatRow {
    RepeatRow {
        work: one.course.map_or("All", |course| course.shown()),
        remakes: one.remakes.into(),
        corrections: one.corrections.into(),
    }
}

fn cause_row(one: &CauseCount) -> CauseRow {
    let parts = one.parts.iter();
    let parts = parts.map(|(share, count)| format!("{} {count}", share.shown()));
    CauseRow {
        cause: one.cause.shown(),
        remakes: one.remakes.into(),
        corrections: one.corrections.into(),
        parts: parts.collect::<Vec<_>>().join(", "),
    }
}

fn return_row(one: &CountedReturn) -> ReturnRow {
    let round = &one.round;
    let day = round.left.date();
    let days = |ms: i64| tenth(ms as f64 / 86_400_000.0);
    ReturnRow {
        path_number: one.number.as_str().to_owned(),
        number: one.number.to_string(),
        left: day_in_words(day, day),
        back: round.back.shown(),
        working: days(round.working_ms()),
        held: days(round.held_ms.min(round.whole_ms())),
        punctuality: match one.punctuality {
            Punctuality::NoDay => "no day due".to_owned(),
            Punctuality::OnTheWay => "on the way".to_owned(),
            Punctuality::OnTime => "on time".to_owned(),
            Punctuality::Late(by) => format!("{} late", counted(by, "day")),
        },
        is_late: matches!(one.punctuality, Punctuality::Late(_)),
    }
}

impl ReportPage {
    /// The month as it stands now.
    pub fn of(
        app: &App,
        person: &Person,
        month: CalendarMonth,
        tally: &MonthTally,
        wrong: Option<String>,
    ) -> Result<ReportPage, WebError> {
        let now = reports::this_month(app, person);
        let most = tally.parts.iter().map(|one| one.questions).max();
        let most = most.unwrap_or_default();
        let chart = control_chart(tally);
        let beyond = tally.chart.iter().filter(|point| point.is_beyond).count();
        let counted_late = &tally.on_time;
        Ok(ReportPage {
            frame: Frame::new(app, person, format!("Reports, {month}"), "/reports"),
            is_office: agenda::side(person)? == Side::Office,
            word: month.word(),
            before: Some(month.previous()).filter(|month| month.is_asked()),
            after: Some(month.next()).filter(|next| *next <= now && next.is_asked()),
            not_over: match month.cmp(&now) {
                std::cmp::Ordering::Less => None,
                std::cmp::Ordering::Equal => {
                    Some("The month is not over: this is how it stands today.")
                }
                std::cmp::Ordering::Greater => Some("This month has not begun."),
            },
            month,
            wrong,
            cases: counted(tally.cases, "case"),
            unread: tally.unread,
            other_clock: "",
            unlisted: String::new(),
            times: tally.turnaround.iter().map(time_row).collect(),
            on_time: counted_late.in_time.into(),
            is_timed: counted_late.in_time.whole > 0,
            late_by: counted_late.late_by.map(|late| tenth(late.median)),
            without_day: counted_late.without_day,
            on_the_way: counted_late.on_the_way,
            per_case: per_case(tally.questions, tally.cases),
            questions: tally.questions,
            parts: (tally.parts.iter())
                .map(|one| part_row(one, tally.cases, most))
                .collect(),
            agreed: agreed_words(tally.agreed),
            disputed: agreed_words(tally.disputed),
            causes: tally.causes.iter().map(cause_row).collect(),
            repeats: tally.repeats.iter().map(repeat_row).collect(),
            is_by_day: tally.chart.iter().any(|point| point.number.is_none()),
            chart,
            limits: tally.limits.map(|limits| LimitWords {
                mean: tenth(limits.mean),
                lower: tenth(limits.lower.max(0.0)),
                upper: tenth(limits.upper),
                beyond,
            }),
            returns: (tally.returns.iter().take(RETURNS_MOST))
                .map(return_row)
                .collect(),
            more_returns: tally.returns.len().saturating_sub(RETURNS_MOST),
        })
    }

    /// The line of all returns.
    fn all(&self) -> Option<&TimeRow> {
        self.times.first()
    }
}
