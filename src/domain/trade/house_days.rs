//! The days on which a house is closed, and the days that a lab takes for each stage, as they load them.

use crate::domain::prescription::Stage;
use crate::domain::trade::calendar::{OpenDays, Way};
use crate::domain::values::moment::{parse_date, show_date};
use crate::domain::values::table::{self, quoted};
use time::{Date, Weekday};

/// Rows of one list of closed days: some years of holidays.
const MOST_DAYS: usize = 600;
/// Characters of what a closed day is.
const MOST_WORDS: usize = 80;
/// Rows of one list of lab days.
const MOST_STEPS: usize = 20;
/// Nothing in this trade takes longer, in working days.
const LONGEST: f64 = 60.0;
/// Years in which a closed day may lie; others are slips of the pen.
const YEARS: std::ops::RangeInclusive<i32> = 2000..=2200;

/// The columns of a list of closed days.
pub const CLOSED_COLUMNS: [&str; 2] = ["day", "what"];
/// The columns of a list of lab days.
pub const LAB_DAYS_COLUMNS: [&str; 2] = ["step", "days"];

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
            ClosedOn::Every(weekday) => {
                let named = WEEKDAYS.iter().find(|(_, one)| *one == weekday);
                named.map_or_else(String::new, |(word, _)| (*word).to_owned())
            }
        };
        [day, self.what.clone()]
    }
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
    let text = row.code("day", "the day", 20)?.to_lowercase();
    let weekday = WEEKDAYS.iter().find(|(word, _)| *word == text);
    let hour = text.strip_prefix(AFTER).and_then(clock);
    let day = match (weekday, hour) {
        (Some((_, weekday)), _) => ClosedOn::Every(*weekday),
        (None, Some(minutes)) => ClosedOn::After(minutes),
        (None, None) => ClosedOn::On(date(&text).ok_or_else(|| {
            row.fault(&format!(
                "day is {}, and a weekday such as saturday, a day such as 2026-12-25 or an hour such as “after 16:00” is wanted",
                quoted(&text)
            ))
        })?),
    };
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
/// A sentence where all weekdays are closed.
pub fn open_days(days: &[ClosedDay]) -> Result<OpenDays, String> {
    let mut weekdays: Vec<Weekday> = (days.iter())
        .filter_map(|day| match day.day {
            ClosedOn::Every(weekday) => Some(weekday),
            ClosedOn::On(_) | ClosedOn::After(_) => None,
        })
        .collect();
    // Whoever says nothing but an hour has the usual weekend.
    if days.iter().all(|day| matches!(day.day, ClosedOn::After(_))) {
        weekdays = vec![Weekday::Saturday, Weekday::Sunday];
    }
    let dates = days.iter().filter_map(|day| match day.day {
        ClosedOn::On(day) => Some(day),
        ClosedOn::Every(_) | ClosedOn::After(_) => None,
    });
    let cut_off = days.iter().find_map(|day| match day.day {
        ClosedOn::After(minutes) => Some(minutes),
        ClosedOn::Every(_) | ClosedOn::On(_) => None,
    });
    Ok(OpenDays::new(weekdays, dates)?.with_cut_off(cut_off))
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
    fn from_word(word: &str) -> Option<LabStep> {
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

/// Working days of one step.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct StepDays {
    pub step: LabStep,
    pub days: u32,
}

impl StepDays {
    /// The cells as they are written.
    pub fn cells(&self) -> [String; 2] {
        [self.step.word().to_owned(), self.days.to_string()]
    }
}

/// A lab's days in force.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LabDays {
    pub version: i64,
    pub steps: Vec<StepDays>,
}

impl LabDays {
    fn of(&self, step: LabStep) -> Option<u32> {
        let mut steps = self.steps.iter();
        steps.find(|one| one.step == step).map(|one| one.days)
    }

    /// Working days of a stage, where the lab names them.
    pub fn stage(&self, stage: Stage) -> Option<u32> {
        self.of(LabStep::Stage(stage))
    }

    /// Days on the way, the usual ones where the lab names none.
    pub fn way(&self) -> Way {
        Way {
            there: self.of(LabStep::There).unwrap_or(Way::USUAL.there),
            back: self.of(LabStep::Back).unwrap_or(Way::USUAL.back),
        }
    }

    /// How a hint names it.
    pub fn source(&self) -> String {
        format!("the lab’s own days, version {}", self.version)
    }
}

/// Reads a list of lab days.
///
/// # Errors
/// A sentence for each line that is not clear.
pub fn read_lab_days(text: &str) -> Result<Vec<StepDays>, Vec<String>> {
    let mut seen: Vec<LabStep> = Vec::new();
    let steps = table::read(text, &LAB_DAYS_COLUMNS, MOST_STEPS, |row| {
        let word = row.text("step")?;
        let step = LabStep::from_word(word).ok_or_else(|| {
            row.fault(&format!(
                "step is {}, and a stage such as set_up, or {THERE} or {BACK} is wanted",
                quoted(word)
            ))
        })?;
        let days = row.number("days")?;
        if days.fract() != 0.0 || !(0.0..=LONGEST).contains(&days) {
            return Err(row.fault("days are whole working days, 0 to 60"));
        }
        if seen.contains(&step) {
            return Err(row.fault("this step is listed a second time"));
        }
        seen.push(step);
        Ok(StepDays {
            step,
            days: days as u32,
        })
    })?;
    if steps.is_empty() {
        return Err(vec!["The list has a heading and no step.".into()]);
    }
    Ok(steps)
}

/// Writes a list of lab days.
pub fn write_lab_days(steps: &[StepDays]) -> String {
    let rows = steps.iter().map(|step| table::line(step.cells()));
    std::iter::once(table::line(LAB_DAYS_COLUMNS))
        .chain(rows)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use time::macros::date;

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
            (
                "day,what\nsunday,\nSUNDAY,\n",
                "Line 3: this day is listed a second time",
            ),
            ("day,what\n", "no day"),
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
            ("step,days\nset_up,61\n", "0 to 60"),
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
            (days.stage(Stage::SetUp), days.stage(Stage::Repair)),
            (Some(5), None)
        );
        assert_eq!(days.way(), Way { there: 1, back: 2 });
    }
}
