//! A month of the calendar.

use std::fmt;
use time::{Date, Month};

/// Years that a report can be asked for: those that a date on a form can have.
const YEARS: std::ops::RangeInclusive<i32> = 1900..=2200;

/// A month of a year.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct CalendarMonth {
    first: Date,
}

impl CalendarMonth {
    /// The month of a day.
    pub fn of(day: Date) -> CalendarMonth {
        // Each month has a first day.
        let first = day.replace_day(1).unwrap_or(day);
        CalendarMonth { first }
    }

    /// Reads `2028-02`.
    pub fn from_word(text: &str) -> Option<CalendarMonth> {
        let (year, month) = text.split_once('-')?;
        let is_of = |text: &str, digits: usize| {
            text.len() == digits && text.bytes().all(|sign| sign.is_ascii_digit())
        };
        if !is_of(year, 4) || !is_of(month, 2) {
            return None;
        }
        let year = year.parse().ok().filter(|year| YEARS.contains(year))?;
        let month = Month::try_from(month.parse::<u8>().ok()?).ok()?;
        let first = Date::from_calendar_date(year, month, 1).ok()?;
        Some(CalendarMonth { first })
    }

    /// `2028-02`
    pub fn word(self) -> String {
        format!(
            "{:04}-{:02}",
            self.first.year(),
            u8::from(self.first.month())
        )
    }

    /// Its first day.
    pub fn first(self) -> Date {
        self.first
    }

    /// The last of its days.
    pub fn last(self) -> Date {
        let days = self.first.month().length(self.first.year());
        self.first.replace_day(days).unwrap_or(self.first)
    }

    /// The month after it.
    pub fn next(self) -> CalendarMonth {
        let after = self.last().next_day();
        after.map_or(self, CalendarMonth::of)
    }

    /// Whether a report can be asked for it.
    pub fn is_asked(self) -> bool {
        YEARS.contains(&self.first.year())
    }

    /// The month before it.
    pub fn previous(self) -> CalendarMonth {
        let before = self.first.previous_day();
        before.map_or(self, CalendarMonth::of)
    }

    pub fn contains(self, day: Date) -> bool {
        CalendarMonth::of(day) == self
    }
}

/// "February 2028"
impl fmt::Display for CalendarMonth {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.first.month(), self.first.year())
    }
}
