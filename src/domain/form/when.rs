//! Fields that hold a day or a time of day.

use super::field_type::FieldType;
use super::spec::FieldSpec;
use crate::domain::values::moment::{Moment, parse_date, show_date};
use crate::domain::values::tooth::Numbering;
use serde::{Deserialize, Serialize};

/// A calendar day.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Day(time::Date);

impl Day {
    pub fn date(self) -> time::Date {
        self.0
    }
}

impl From<time::Date> for Day {
    fn from(day: time::Date) -> Day {
        Day(day)
    }
}

impl TryFrom<String> for Day {
    type Error = &'static str;
    fn try_from(text: String) -> Result<Day, &'static str> {
        parse_date(&text).map(Day)
    }
}

impl From<Day> for String {
    fn from(day: Day) -> String {
        show_date(day.0)
    }
}

impl FieldType for Day {
    fn parse(text: &str, _: &FieldSpec, _: Numbering) -> Result<Self, String> {
        Ok(parse_date(text).map(Day)?)
    }
    fn show(&self, _: &FieldSpec, _: Numbering) -> String {
        show_date(self.0)
    }
    fn raw(&self, _: Numbering) -> String {
        show_date(self.0)
    }
}

/// A time of day, `14:05`. The seconds that a browser may add are left out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Clock {
    hour: u8,
    minute: u8,
}

impl Clock {
    pub fn hour(self) -> u8 {
        self.hour
    }

    pub fn minute(self) -> u8 {
        self.minute
    }

    /// Minutes since midnight.
    pub fn minutes(self) -> i64 {
        i64::from(self.hour) * 60 + i64::from(self.minute)
    }
}

impl TryFrom<String> for Clock {
    type Error = String;
    fn try_from(text: String) -> Result<Clock, String> {
        parse_clock(&text)
    }
}

impl From<Clock> for String {
    fn from(clock: Clock) -> String {
        format!("{:02}:{:02}", clock.hour, clock.minute)
    }
}

fn parse_clock(text: &str) -> Result<Clock, String> {
    const WANTED: &str = "Write the time with 24 hours, such as 14:05.";
    let mut parts = text.trim().split(':');
    let (Some(hour), Some(minute), seconds, None) =
        (parts.next(), parts.next(), parts.next(), parts.next())
    else {
        return Err(WANTED.to_owned());
    };
    let read = |part: &str, lengths: &[usize]| -> Option<u8> {
        let digits = part.bytes().all(|byte| byte.is_ascii_digit());
        if digits && lengths.contains(&part.len()) {
            part.parse().ok()
        } else {
            None
        }
    };
    let hour = read(hour, &[1, 2]).ok_or(WANTED)?;
    let minute = read(minute, &[2]).ok_or(WANTED)?;
    let seconds = seconds.map_or(Some(0), |part| read(part, &[2]));
    let seconds = seconds.ok_or(WANTED)?;
    if hour > 23 || minute > 59 || seconds > 59 {
        return Err("There is no such time of day.".to_owned());
    }
    Ok(Clock { hour, minute })
}

/// Two times of one form as moments: to the minute where both clocks are written, else at noon of their
/// days. On one day without both clocks nothing can be said.
pub fn moments(
    (from, from_clock): (time::Date, Option<Clock>),
    (to, to_clock): (time::Date, Option<Clock>),
) -> Option<(Moment, Moment)> {
    const NOON: i64 = 12 * 60;
    let (one, other) = match (from_clock, to_clock) {
        (Some(one), Some(other)) => (one.minutes(), other.minutes()),
        _ if from == to => return None,
        _ => (NOON, NOON),
    };
    let moment = |day: time::Date, minutes: i64| {
        let midnight = day.midnight().assume_utc().unix_timestamp();
        let seconds = midnight.saturating_add(minutes.saturating_mul(60));
        Moment::new(seconds.saturating_mul(1000), 0)
    };
    Some((moment(from, one), moment(to, other)))
}

impl FieldType for Clock {
    fn parse(text: &str, _: &FieldSpec, _: Numbering) -> Result<Self, String> {
        parse_clock(text)
    }
    fn show(&self, _: &FieldSpec, _: Numbering) -> String {
        (*self).into()
    }
    fn raw(&self, _: Numbering) -> String {
        (*self).into()
    }
}
