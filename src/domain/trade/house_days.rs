//! The days on which a house is closed, and the days that a lab takes for each stage, as they load them.

use crate::domain::prescription::{Course, Stage};
use crate::domain::trade::calendar::{OpenDays, Way};
use crate::domain::values::figures::plain;
use crate::domain::values::moment::{parse_date, show_date};
use crate::domain::values::table::{self, quoted};
use time::{Date, Weekday};

/// Rows of one list of closed days: some years of holidays.
pub(super) const MOST_DAYS: usize = 600;
/// Characters of what a closed day is.
pub(super) const MOST_WORDS: usize = 80;
/// Rows of one list of lab days.
pub(super) const MOST_STEPS: usize = 200;
/// Nothing in this trade takes longer, in working days.
const LONGEST: f64 = 60.0;
/// Years in which a closed day may lie; others are slips of the pen.
const YEARS: std::ops::RangeInclusive<i32> = 2000..=2200;

/// The columns of a list of closed days.
pub const CLOSED_COLUMNS: [&str; 2] = ["day", "what"];
/// The columns of a list of lab days.
pub const LAB_DAYS_COLUMNS: [&str; 2] = ["step", "days"];
/// Those of a list that also goes by the kind of work.
pub const LAB_DAYS_BY_COURSE: [&str; 3] = ["step", "days", "course"];

const WEEKDAYS: [(&str, Weekday); 7] = [
    ("monday", Weekday::Monday),
    ("tuesday", Weekday::Tuesday),
    ("wednesday", Weekday::Wednesday),
    ("thursday", Weekday::Thursday),
    ("friday", Weekday::Friday),
    ("saturday", Weekday::Saturday),
    ("sunday", Weekday::Sunday),
];

/// When a house is closed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ClosedOn {
    Every(Weekday),
    On(Date),
    /// What comes on any day after so many minutes since midnight counts for the next open day.
    After(u16),
    /// Open for parcels, and nobody is treated.
    NoChairEvery(Weekday),
    NoChairOn(Date),
}

/// One row of the list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ClosedDay {
    pub day: ClosedOn,
    /// Such as the name of the holiday; may be empty.
    pub what: String,
}

impl ClosedDay {
    /// The cells as they are written.
    pub fn cells(&self) -> [String; 2] {
        let day = match self.day {
            ClosedOn::On(day) => show_date(day),
            ClosedOn::After(minutes) => format!("{AFTER}{}", clock_words(minutes)),
            ClosedOn::Every(weekday) => named(weekday).to_owned(),
            ClosedOn::NoChairEvery(weekday) => format!("{CHAIR}{}", named(weekday)),
            ClosedOn::NoChairOn(day) => format!("{CHAIR}{}", show_date(day)),
        };
        [day, self.what.clone()]
    }
}

/// What stands before a day on which the chair stays empty.
const CHAIR: &str = "chair ";

fn named(weekday: Weekday) -> &'static str {
    let named = WEEKDAYS.iter().find(|(_, one)| *one == weekday);
    named.map_or("", |(word, _)| *word)
}

/// What stands before the hour after which nothing counts for the day any more.
const AFTER: &str = "after ";

/// `16:00`
pub fn clock_words(minutes: u16) -> String {
    format!("{:02}:{:02}", minutes / 60, minutes % 60)
}

/// The minutes of an hour such as 16:00.
fn clock(text: &str) -> Option<u16> {
    let (hour, minute) = text.trim().split_once(':')?;
    let is_number =
        |part: &str| (1..=2).contains(&part.len()) && part.bytes().all(|one| one.is_ascii_digit());
    if !is_number(hour) || minute.len() != 2 || !is_number(minute) {
        return None;
    }
    let (hour, minute): (u16, u16) = (hour.parse().ok()?, minute.parse().ok()?);
    (hour < 24 && minute < 60).then_some(hour * 60 + minute)
}

/// A house's closed days in force.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HouseDays {
    pub version: i64,
    pub open: OpenDays,
}

fn closed(row: &table::Row) -> Result<ClosedDay, String> {
    let text = plain(&row.code("day", "the day", 20)?).to_lowercase();
    let of_chair = text.strip_prefix(CHAIR).map(str::trim_start);
    let said = of_chair.unwrap_or(&text);
    let weekday = WEEKDAYS.iter().find(|(word, _)| *word == said);
    let hour = text.strip_prefix(AFTER).and_then(clock);
    let day = match (weekday, hour, of_chair.is_some()) {
        (Some((_, weekday)), _, false) => Some(ClosedOn::Every(*weekday)),
        (Some((_, weekday)), _, true) => Some(ClosedOn::NoChairEvery(*weekday)),
        (None, Some(minutes), _) => Some(ClosedOn::After(minutes)),
        (None, None, false) => date(said).map(ClosedOn::On),
        (None, None, true) => date(said).map(ClosedOn::NoChairOn),
    };
    let day = day.ok_or_else(|| {
        row.fault(&format!(
            "day is {}, and a weekday such as saturday, a day such as 2026-12-25 or an hour such as “after 16:00” is wanted",
            quoted(&text)
        ))
    })?;
    let what = row.text("what")?;
    if what.chars().count() > MOST_WORDS {
        return Err(row.fault(&format!("what the day is may have {MOST_WORDS} characters")));
    }
    Ok(ClosedDay {
        day,
        what: what.to_owned(),
    })
}

fn date(text: &str) -> Option<Date> {
    let day = parse_date(text).ok()?;
    YEARS.contains(&day.year()).then_some(day)
}

/// Reads a list of closed days.
///
/// # Errors
/// A sentence for each line that is not clear, and one where all weekdays are closed.
pub fn read_closed(text: &str) -> Result<Vec<ClosedDay>, Vec<String>> {
    let mut seen: Vec<ClosedOn> = Vec::new();
    let days = table::read(text, &CLOSED_COLUMNS, MOST_DAYS, |row| {
        let day = closed(row)?;
        let is_hour = |one: &ClosedOn| matches!(one, ClosedOn::After(_));
        if is_hour(&day.day) && seen.iter().any(is_hour) {
            return Err(row.fault("there is one hour only after which nothing counts for the day"));
        }
        if seen.contains(&day.day) {
            return Err(row.fault("this day is listed a second time"));
        }
        seen.push(day.day);
        Ok(day)
    })?;
    if days.is_empty() {
        return Err(vec!["The list has a heading and no day.".into()]);
    }
    open_days(&days).map_err(|why| vec![why])?;
    Ok(days)
}

/// The days as the calendar knows them.
///
/// # Errors
/// A sentence where all weekdays are closed, or nobody is treated on any.
pub fn open_days(days: &[ClosedDay]) -> Result<OpenDays, String> {
    let mut weekdays: Vec<Weekday> = Vec::new();
    let (mut holidays, mut chair, mut chair_on) = (Vec::new(), Vec::new(), Vec::new());
    let mut cut_off = None;
    for one in days {
        match one.day {
            ClosedOn::Every(weekday) => weekdays.push(weekday),
            ClosedOn::On(day) => holidays.push(day),
            ClosedOn::After(minutes) => cut_off = Some(minutes),
            ClosedOn::NoChairEvery(weekday) => chair.push(weekday),
            ClosedOn::NoChairOn(day) => chair_on.push(day),
        }
    }
    // Whoever says nothing of closed days has the usual weekend.
    if weekdays.is_empty() && holidays.is_empty() {
        weekdays = vec![Weekday::Saturday, Weekday::Sunday];
    }
    let open = OpenDays::new(weekdays, holidays)?.with_cut_off(cut_off);
    open.without_chair(chair, chair_on)
}

/// What is said of a list of holidays alone: by it the house works through every weekend.
pub fn open_all_week(days: &[ClosedDay]) -> Option<&'static str> {
    let is_any = |is_it: fn(&ClosedOn) -> bool| days.iter().any(|one| is_it(&one.day));
    let has_weekday = is_any(|day| matches!(day, ClosedOn::Every(_)));
    let has_holiday = is_any(|day| matches!(day, ClosedOn::On(_)));
    (has_holiday && !has_weekday).then_some(
        "No weekday is closed in this list, so that the house counts as open on Saturdays and Sundays too. Where it is not, \
         add a row “saturday,” and a row “sunday,”.",
    )
}

/// Writes a list of closed days.
pub fn write_closed(days: &[ClosedDay]) -> String {
    let rows = days.iter().map(|day| table::line(day.cells()));
    std::iter::once(table::line(CLOSED_COLUMNS))
        .chain(rows)
        .collect()
}

/// What a lab's days are for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LabStep {
    Stage(Stage),
    /// From the office to the lab.
    There,
    /// From the lab to the office.
    Back,
}

const THERE: &str = "way_there";
const BACK: &str = "way_back";

impl LabStep {
    /// Each step with its word as it is stored and as it is shown.
    pub fn choices() -> impl Iterator<Item = (&'static str, &'static str)> {
        let ways = [
            (THERE, "the way from the office to the lab"),
            (BACK, "the way from the lab to the office"),
        ];
        Stage::CHOICES.iter().copied().chain(ways)
    }

    pub(super) fn from_word(word: &str) -> Option<LabStep> {
        match word {
            THERE => Some(LabStep::There),
            BACK => Some(LabStep::Back),
            stage => Stage::from_word(stage).map(LabStep::Stage),
        }
    }

    fn word(self) -> &'static str {
        match self {
            LabStep::There => THERE,
            LabStep::Back => BACK,
            LabStep::Stage(stage) => stage.word(),
        }
    }
}

/// Working days of one step, of one kind of work or of all.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct StepDays {
    pub step: LabStep,
    pub days: u32,
    pub course: Option<Course>,
}

impl StepDays {
    /// The cells as they are written.
    pub fn cells(&self) -> [String; 3] {
        let course = self.course.map_or("", Course::word);
        [
            self.step.word().to_owned(),
            self.days.to_string(),
            course.to_owned(),
        ]
    }

    /// Whether it is a stage that takes no day: then there would be nothing to plan.
    pub(super) fn is_no_day(&self) -> bool {
        self.days == 0 && matches!(self.step, LabStep::Stage(_))
    }
}

/// A lab's days in force.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LabDays {
    pub version: i64,
    pub steps: Vec<StepDays>,
}

impl LabDays {
    /// Those of this kind of work go before those of all.
    fn of(&self, step: LabStep, course: Option<Course>) -> Option<u32> {
        let named = |course: Option<Course>| {
            let mut steps = self.steps.iter();
            steps.find(|one| one.step == step && one.course == course)
        };
        let own = course.and_then(|course| named(Some(course)));
        own.or_else(|| named(None)).map(|one| one.days)
    }

    /// Working days of a stage, where the lab names them.
    pub fn stage(&self, stage: Stage, course: Option<Course>) -> Option<u32> {
        self.of(LabStep::Stage(stage), course)
    }

    /// Days on the way, the usual ones where the lab names none.
    pub fn way(&self) -> Way {
        let of = |step| self.of(step, None);
        Way {
            there: of(LabStep::There).unwrap_or(Way::USUAL.there),
            back: of(LabStep::Back).unwrap_or(Way::USUAL.back),
        }
    }

    /// How a hint names it.
    pub fn source(&self) -> String {
        format!("the lab’s own days, version {}", self.version)
    }
}

/// The columns of a list: with the kind of work where its heading names it.
fn lab_days_columns(text: &str) -> &'static [&'static str] {
    let heading = text.trim_start_matches('\u{feff}').lines().next();
    match heading.is_some_and(|heading| heading.contains("course")) {
        true => &LAB_DAYS_BY_COURSE,
        false => &LAB_DAYS_COLUMNS,
    }
}

fn step_days(row: &table::Row) -> Result<StepDays, String> {
    let word = row.text("step")?;
    let step = LabStep::from_word(word).ok_or_else(|| {
        row.fault(&format!(
            "step is {}, and a stage such as set_up, or {THERE} or {BACK} is wanted",
            quoted(word)
        ))
    })?;
    let days = row.number("days").ok();
    let days = days.filter(|days| days.fract() == 0.0 && (0.0..=LONGEST).contains(days));
    let Some(days) = days else {
        let said = quoted(row.text("days")?);
        return Err(row.fault(&format!(
            "days is {said}, and whole working days are wanted, a number from 0 to 60"
        )));
    };
    let course = match row.text("course").unwrap_or("") {
        "" => None,
        word => Some(Course::from_word(word).ok_or_else(|| {
            row.fault(&format!(
                "course is {}, and a kind of work such as copy or single is wanted, or nothing",
                quoted(word)
            ))
        })?),
    };
    if course.is_some() && !matches!(step, LabStep::Stage(_)) {
        return Err(
            row.fault("the carrier takes the same days for each kind of work: leave course empty")
        );
    }
    Ok(StepDays {
        step,
        days: days as u32,
        course,
    })
}

fn read_steps(text: &str, may_be_none: bool) -> Result<Vec<StepDays>, Vec<String>> {
    let mut seen: Vec<(LabStep, Option<Course>)> = Vec::new();
    let steps = table::read(text, lab_days_columns(text), MOST_STEPS, |row| {
        let one = step_days(row)?;
        if one.is_no_day() && !may_be_none {
            return Err(row.fault("a stage takes at least one working day"));
        }
        if seen.contains(&(one.step, one.course)) {
            return Err(row.fault("this step is listed a second time"));
        }
        seen.push((one.step, one.course));
        Ok(one)
    })?;
    if steps.is_empty() {
        return Err(vec!["The list has a heading and no step.".into()]);
    }
    Ok(steps)
}

/// Reads a list of lab days that is to be loaded.
///
/// # Errors
/// A sentence for each line that is not clear, and for a stage without a day.
pub fn take_lab_days(text: &str) -> Result<Vec<StepDays>, Vec<String>> {
    read_steps(text, false)
}

/// Reads a list of lab days that is in use. In one that was loaded earlier a stage may have no day.
///
/// # Errors
/// A sentence for each line that is not clear.
pub fn read_lab_days(text: &str) -> Result<Vec<StepDays>, Vec<String>> {
    read_steps(text, true)
}

/// Writes a list of lab days, by the kind of work where a row says one.
pub fn write_lab_days(steps: &[StepDays]) -> String {
    let by_course = steps.iter().any(|step| step.course.is_some());
    let columns = match by_course {
        true => LAB_DAYS_BY_COURSE.len(),
        false => LAB_DAYS_COLUMNS.len(),
    };
    let rows = steps
        .iter()
        .map(|step| table::line(step.cells().into_iter().take(columns)));
    std::iter::once(table::line(LAB_DAYS_BY_COURSE.into_iter().take(columns)))
        .chain(rows)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use time::macros::date;

    #[test]
    fn a_list_of_holidays_alone_says_that_weekends_are_worked() {
        for (rows, says) in [
            ("2026-12-25,holiday\n", true),
            ("2026-12-25,holiday\nafter 16:00,\n", true),
            ("2026-12-25,holiday\nsunday,\n", false),
            // Who names no closed day at all has the usual weekend.
            ("after 16:00,\n", false),
            ("chair wednesday,\n", false),
        ] {
            let days = read_closed(&format!("day,what\n{rows}")).expect("days");
            let saturday = date!(2026 - 03 - 07);
            assert_eq!(open_all_week(&days).is_some(), says, "{rows}");
            if says {
                assert!(open_days(&days).expect("open").is_open(saturday), "{rows}");
            }
        }
    }

    #[test]
    fn closed_days_are_weekdays_and_dates() {
        let text = "day,what\nSunday,\n2026-12-25,winter holiday\n";
        let days = read_closed(text).expect("days");
        let open = open_days(&days).expect("open");
        assert!(
            open.is_open(date!(2026 - 12 - 26)),
            "a Saturday, not listed"
        );
        assert!(!open.is_open(date!(2026 - 12 - 25)) && !open.is_open(date!(2026 - 12 - 27)));
        assert_eq!(
            write_closed(&days),
            "day,what\nsunday,\n2026-12-25,winter holiday\n"
        );
        // In the figures of another keyboard it is the same day, kept in ASCII.
        let other = read_closed("day,what\n٢٠٢٦-١٢-٢٥,٢٥\n").expect("days");
        assert_eq!(write_closed(&other), "day,what\n2026-12-25,٢٥\n");
        // A leap day is a day like another, in the years that have one.
        let leap = read_closed("day,what\n2028-02-29,\n").expect("days");
        let open = open_days(&leap).expect("open");
        assert!(!open.is_open(date!(2028 - 02 - 29)) && open.is_open(date!(2028 - 03 - 01)));
    }

    #[test]
    fn the_hour_after_which_nothing_counts_stands_in_the_list() {
        let text = "day,what\nsaturday,\nsunday,\nafter 16:00,the carrier has gone\n";
        let days = read_closed(text).expect("days");
        assert_eq!(write_closed(&days), text);
        assert_eq!(open_days(&days).expect("open").cut_off(), Some(960));
        let none = read_closed("day,what\nsunday,\n").expect("days");
        assert_eq!(open_days(&none).expect("open").cut_off(), None);
    }

    #[test]
    fn what_is_not_clear_is_told_by_its_line() {
        for (text, part) in [
            ("day,what\nafter 24:00,\n", "Line 2: day is “after 24:00”"),
            ("day,what\nafter 4,\n", "an hour such as “after 16:00”"),
            (
                "day,what\nafter 16:00,\nafter 17:00,\n",
                "Line 3: there is one hour only",
            ),
            ("day,what\nsomeday,\n", "Line 2: day is “someday”"),
            ("day,what\n2026-02-30,\n", "a day such as 2026-12-25"),
            ("day,what\n2027-02-29,\n", "a day such as 2026-12-25"),
            (
                "day,what\nsunday,\nSUNDAY,\n",
                "Line 3: this day is listed a second time",
            ),
            ("day,what\n", "no day"),
            ("day,what\nchair someday,\n", "day is “chair someday”"),
            (
                "day,what\nsaturday,\nsunday,\nchair monday,\nchair tuesday,\nchair wednesday,\nchair thursday,\nchair friday,\n",
                "nobody is treated on any weekday",
            ),
            (
                "day,what\nmonday,\ntuesday,\nwednesday,\nthursday,\nfriday,\nsaturday,\nsunday,\n",
                "closed every day",
            ),
        ] {
            let why = read_closed(text).expect_err(text).concat();
            assert!(why.contains(part), "{why}");
        }
        for (text, part) in [
            ("step,days\nglaze,2\n", "step is “glaze”"),
            ("step,days\nset_up,1.5\n", "whole working days"),
            (
                "step,days\nset_up,5 days\n",
                "days is “5 days”, and whole working days",
            ),
            (
                "step,days\nset_up,\n",
                "days is empty, and whole working days",
            ),
            ("step,days\nset_up,61\n", "0 to 60"),
            ("step,days,course\nset_up,4,wax\n", "course is “wax”"),
            ("step,days,course\nway_back,4,copy\n", "leave course empty"),
            ("step,days\nset_up,4\nset_up,5\n", "a second time"),
        ] {
            let why = read_lab_days(text).expect_err(text).concat();
            assert!(why.contains(part), "{why}");
        }
    }

    #[test]
    fn a_lab_names_its_days_and_the_way() {
        let text = "step,days\nset_up,5\nway_back,2\n";
        let steps = read_lab_days(text).expect("steps");
        assert_eq!(write_lab_days(&steps), text);
        let days = LabDays { version: 3, steps };
        assert_eq!(
            (
                days.stage(Stage::SetUp, None),
                days.stage(Stage::Repair, None)
            ),
            (Some(5), None)
        );
        assert_eq!(days.way(), Way { there: 1, back: 2 });
    }

    #[test]
    fn a_kind_of_work_has_days_of_its_own_and_the_others_those_of_all() {
        let text =
            "step,days,course\nset_up,5,\nset_up,8,single\nprocess,2,immediate\nway_back,2,\n";
        let steps = take_lab_days(text).expect("steps");
        assert_eq!(write_lab_days(&steps), text);
        let days = LabDays { version: 1, steps };
        let of = |stage, course| days.stage(stage, course);
        assert_eq!(of(Stage::SetUp, Some(Course::Single)), Some(8));
        assert_eq!(of(Stage::SetUp, Some(Course::Copy)), Some(5));
        assert_eq!(of(Stage::SetUp, None), Some(5));
        assert_eq!(of(Stage::Process, Some(Course::Copy)), None);
        assert_eq!(of(Stage::Process, Some(Course::Immediate)), Some(2));
        assert_eq!(days.way().back, 2);
    }

    #[test]
    fn a_stage_of_no_day_is_not_taken_and_one_that_was_is_still_read() {
        let text = "step,days\nset_up,0\nway_there,0\n";
        let why = take_lab_days(text).expect_err("no day");
        assert_eq!(why, ["Line 2: a stage takes at least one working day."]);
        let steps = read_lab_days(text).expect("an earlier list");
        assert_eq!(steps.len(), 2);
        assert!(take_lab_days("step,days\nset_up,1\nway_there,0\n").is_ok());
    }

    #[test]
    fn days_without_a_chair_stand_in_the_list_of_closed_days() {
        let text = "day,what\nsunday,\nchair wednesday,laboratory only\nchair 2026-03-05,course\n";
        let days = read_closed(text).expect("days");
        assert_eq!(write_closed(&days), text);
        let open = open_days(&days).expect("open");
        let (wednesday, thursday) = (date!(2026 - 03 - 04), date!(2026 - 03 - 05));
        assert!(open.is_open(wednesday) && !open.treats(wednesday));
        assert!(open.is_open(thursday) && !open.treats(thursday));
        assert!(open.treats(date!(2026 - 03 - 06)));
        // Whoever says nothing else has the usual weekend.
        let only = open_days(&read_closed("day,what\nchair friday,\n").expect("days"));
        assert!(!only.expect("open").is_open(date!(2026 - 03 - 07)));
    }
}
