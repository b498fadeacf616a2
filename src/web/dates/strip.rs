//! The strip: days across, a row for each step. What it shows stands in the table below it too.

use super::words::name;
use crate::app::dates::{CaseDates, Planned};
use crate::domain::trade::calendar::{OpenDays, all_open};
use crate::domain::trade::plan::{Leg, NextDay, PlanLine, Status};
use askama::Template;
use time::{Date, Duration, Weekday};

/// Height of a row without its name, of the head, and of the row of a house.
const ROW: i64 = 27;
const HEAD: i64 = 46;
const HOUSE: i64 = 18;
/// Days that find room.
const MOST_DAYS: i64 = 46;
/// A column is never wider.
const WIDEST: i64 = 46;
/// A column in which a weekday and a number find room.
const OF_A_HEAD: i64 = 18;
/// Half of what they need.
const HALF_HEAD: i64 = 9;

/// How a strip lies.
struct StripSize {
    /// All of it at most, and at least.
    width: i64,
    least: i64,
    /// Room for the names of the rows at their beginning.
    names: i64,
    /// How far a row lies below its name; 0 where it lies beside it.
    below: i64,
    /// What a box leaves free of its days on both sides.
    gap: i64,
}

const WIDE: StripSize = StripSize {
    width: 1_120,
    least: 0,
    names: 190,
    below: 0,
    gap: 2,
};

/// For a telephone: each name stands above its row.
const NARROW: StripSize = StripSize {
    width: 300,
    least: 300,
    names: 0,
    below: 14,
    gap: 0,
};

/// A day of the head.
pub struct StripHead {
    pub x: i64,
    pub weekday: &'static str,
    pub number: u8,
    /// Whether it is wanted, the insertion, or today.
    pub is_marked: bool,
}

/// A box: where it begins, how wide it is.
pub struct StripSpan {
    pub x: i64,
    pub width: i64,
}

/// A row of a house: its closed days.
pub struct HouseRow {
    pub y: i64,
    pub text_y: i64,
    pub name: String,
    pub closed: Vec<StripSpan>,
}

/// A row of a step.
#[derive(Default)]
pub struct StripRow {
    pub y: i64,
    pub text_y: i64,
    pub middle: i64,
    pub low: i64,
    pub name: String,
    pub decides: bool,
    /// `done`, `counted` or `ahead`.
    pub kind: &'static str,
    pub boxes: Vec<StripSpan>,
    /// Across closed days.
    pub thread: Option<(i64, i64)>,
    /// The end of its latest day.
    pub latest: Option<i64>,
    /// What is to spare.
    pub dots: Option<(i64, i64)>,
    pub is_late: bool,
}

/// The picture, once for a wide window and once for a narrow one: the style sheet shows one of them.
#[derive(Template)]
#[template(path = "partials/strip.html")]
pub struct Strip {
    pub drawings: [StripDrawing; 2],
}

/// One of the two.
pub struct StripDrawing {
    pub is_narrow: bool,
    pub gap: i64,
    pub width: i64,
    pub height: i64,
    pub head: i64,
    pub heads: Vec<StripHead>,
    /// Where each day begins.
    pub lines: Vec<i64>,
    /// Days on which both houses are closed.
    pub closed: Vec<StripSpan>,
    pub houses: Vec<HouseRow>,
    pub rows: Vec<StripRow>,
    pub now: Option<i64>,
}

/// Where the days lie.
struct Scale {
    first: Date,
    last: Date,
    column: i64,
    size: &'static StripSize,
}

impl Scale {
    fn x(&self, day: Date) -> i64 {
        let days = (day - self.first).whole_days().clamp(0, MOST_DAYS);
        self.size.names + days * self.column
    }

    /// The end of the last day.
    fn end(&self) -> i64 {
        self.x(self.last) + self.column
    }

    /// The days that have a head: in narrow columns one of each week.
    fn heads(&self) -> impl Iterator<Item = (i64, Date)> {
        let is_told =
            move |day: &Date| self.column >= OF_A_HEAD || day.weekday() == Weekday::Monday;
        let middle = move |day: Date| {
            let last = (self.end() - HALF_HEAD).max(HALF_HEAD);
            (self.x(day) + self.column / 2).clamp(HALF_HEAD, last)
        };
        self.days()
            .filter(is_told)
            .map(move |day| (middle(day), day))
    }

    fn shows(&self, day: Date) -> bool {
        (self.first..=self.last).contains(&day)
    }

    fn days(&self) -> impl Iterator<Item = Date> {
        let count = (self.last - self.first).whole_days();
        let first = self.first;
        (0..=count).filter_map(move |days| first.checked_add(Duration::days(days)))
    }

    /// Stretches of days that are so.
    fn spans(&self, is_so: impl Fn(Date) -> bool) -> Vec<StripSpan> {
        let mut spans: Vec<StripSpan> = Vec::new();
        for day in self.days().filter(|day| is_so(*day)) {
            let x = self.x(day);
            match spans.last_mut() {
                Some(last) if last.x + last.width == x => last.width += self.column,
                _ => spans.push(StripSpan {
                    x,
                    width: self.column,
                }),
            }
        }
        spans
    }
}

fn short(weekday: Weekday) -> &'static str {
    match weekday {
        Weekday::Monday => "Mo",
        Weekday::Tuesday => "Tu",
        Weekday::Wednesday => "We",
        Weekday::Thursday => "Th",
        Weekday::Friday => "Fr",
        Weekday::Saturday => "Sa",
        Weekday::Sunday => "Su",
    }
}

/// The insertion and its check, each with the name of its row; where the insertion moves, the first that can be.
fn of_the_patient(dates: &CaseDates, planned: &Planned) -> [(&'static str, Option<Date>); 2] {
    let (name, day, check) = match &dates.moved {
        Some(moved) => {
            let moved = moved.as_ref().ok();
            let (day, check) = (moved.map(|one| one.day), moved.map(|one| one.check));
            ("Insertion, earliest", day, check)
        }
        None => {
            let check = match planned.plan.next_day {
                Some(NextDay::Open(day)) => Some(day),
                _ => None,
            };
            ("Insertion", dates.insertion, check)
        }
    };
    [(name, day), ("Check, the day after", check)]
}

/// From the first day that matters to the last; of a long course the days of what is not done yet.
fn scale(dates: &CaseDates, planned: &Planned, size: &'static StripSize) -> Scale {
    let (plan, today) = (&planned.plan, dates.now.date());
    let [(_, insertion), (_, check)] = of_the_patient(dates, planned);
    let latest = plan.lines.iter().filter_map(|line| line.latest);
    let ends = plan.lines.iter().map(|line| line.end);
    let wanted = [dates.wanted, insertion, check, Some(today)];
    let last = ends
        .clone()
        .chain(latest)
        .chain(wanted.into_iter().flatten());
    let last = last.max().unwrap_or(today);
    let open = |line: &&PlanLine| !matches!(line.status, Status::Done | Status::Counted);
    let firsts = |lines: &mut dyn Iterator<Item = &PlanLine>| {
        let first = lines.map(|line| line.from).min();
        first.map_or(today, |first| first.min(today))
    };
    let all = firsts(&mut plan.lines.iter());
    let is_long = (last - all).whole_days() >= MOST_DAYS;
    let first = match is_long {
        true => firsts(&mut plan.lines.iter().filter(open)),
        false => all,
    };
    let room = Duration::days(MOST_DAYS - 1);
    let first = first.max(today.checked_sub(Duration::days(14)).unwrap_or(today));
    let last = last.min(first.checked_add(room).unwrap_or(first));
    let count = (last - first).whole_days() + 1;
    Scale {
        first,
        last,
        column: ((size.width - size.names) / count.max(1)).min(WIDEST),
        size,
    }
}

fn row(
    (planned, scale): (&Planned, &Scale),
    (office, lab): (&OpenDays, &OpenDays),
    (place, line): (usize, &PlanLine),
    y: i64,
) -> StripRow {
    let is_open = |day: Date| match line.leg {
        Leg::Task(_) => lab.is_open(day),
        _ => all_open(day, &[office, lab]),
    };
    let takes =
        |day: Date| (line.from..=line.end).contains(&day) && (is_open(day) || day == line.end);
    let boxes: Vec<StripSpan> = scale.spans(takes);
    let begins = boxes.first().map(|span| span.x + span.width);
    let ends = boxes.last().map(|span| span.x);
    let thread = begins.zip(ends).filter(|(begin, end)| begin < end);
    let is_over = line.status == Status::Done;
    let latest = line.latest.filter(|day| !is_over && scale.shows(*day));
    let latest = latest.map(|day| scale.x(day) + scale.column);
    let end = scale.x(line.end) + scale.column;
    StripRow {
        name: name(planned, line.leg),
        decides: planned.plan.decides == Some(place),
        kind: match line.status {
            Status::Done => "done",
            Status::Counted => "counted",
            Status::UnderWay | Status::Ahead => "ahead",
        },
        boxes,
        thread,
        dots: latest
            .map(|latest| (end, latest))
            .filter(|(end, latest)| end < latest),
        latest,
        is_late: !is_over && line.spare.is_some_and(|spare| spare < 0),
        ..StripRow::at(y, scale)
    }
}

/// A row of one day, such as the insertion.
fn of_a_day(scale: &Scale, name: &str, day: Date, y: i64) -> Option<StripRow> {
    scale.shows(day).then(|| StripRow {
        name: name.to_owned(),
        kind: "ahead",
        boxes: vec![StripSpan {
            x: scale.x(day),
            width: scale.column,
        }],
        ..StripRow::at(y, scale)
    })
}

impl StripRow {
    /// An empty row that begins there: its name beside it or above it.
    fn at(y: i64, scale: &Scale) -> StripRow {
        let below = scale.size.below;
        StripRow {
            y: y + 5 + below,
            text_y: y + if below > 0 { 14 } else { 18 },
            middle: y + 13 + below,
            low: y + 21 + below,
            ..StripRow::default()
        }
    }
}

/// The two rows of the houses.
fn houses(dates: &CaseDates, scale: &Scale) -> Vec<HouseRow> {
    let (office, lab) = (dates.lists.office_open(), dates.lists.lab_open());
    let below = scale.size.below;
    let house = |place: i64, name: &str, open: &OpenDays| HouseRow {
        y: HEAD + place * (HOUSE + below) + 3 + below,
        text_y: HEAD + place * (HOUSE + below) + 14,
        name: format!("{name} closed"),
        closed: scale.spans(|day| !open.is_open(day)),
    };
    vec![house(0, "Lab", &lab), house(1, "Office", &office)]
}

fn drawing(dates: &CaseDates, planned: &Planned, size: &'static StripSize) -> StripDrawing {
    let scale = scale(dates, planned, size);
    let today = dates.now.date();
    let (office, lab) = (dates.lists.office_open(), dates.lists.lab_open());
    let patient = of_the_patient(dates, planned);
    let is_marked = |day| day == today || [dates.wanted, patient[0].1].contains(&Some(day));
    let heads = scale.heads().map(|(x, day)| StripHead {
        x,
        weekday: short(day.weekday()),
        number: day.day(),
        is_marked: is_marked(day),
    });
    let high = ROW + size.below;
    let mut rows: Vec<StripRow> = Vec::new();
    let mut y = HEAD + 2 * (HOUSE + size.below) + 6;
    for one in planned.plan.lines.iter().enumerate() {
        rows.push(row((planned, &scale), (&office, &lab), one, y));
        y += high;
    }
    for (name, day) in patient {
        let one = day.and_then(|day| of_a_day(&scale, name, day, y));
        if let Some(row) = one {
            rows.push(row);
            y += high;
        }
    }
    StripDrawing {
        is_narrow: size.below > 0,
        gap: size.gap,
        width: scale.end().max(size.least) + 2,
        height: y + 8,
        head: HEAD,
        heads: heads.collect(),
        lines: scale.days().map(|day| scale.x(day)).collect(),
        closed: scale.spans(|day| !office.is_open(day) && !lab.is_open(day)),
        houses: houses(dates, &scale),
        rows,
        now: scale
            .shows(today)
            .then(|| scale.x(today) + scale.column / 2),
    }
}

/// Draws a plan.
pub fn strip(dates: &CaseDates, planned: &Planned) -> Strip {
    Strip {
        drawings: [&WIDE, &NARROW].map(|size| drawing(dates, planned, size)),
    }
}
