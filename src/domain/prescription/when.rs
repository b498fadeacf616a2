//! Fields that hold a day or a time of day.

use super::field::FieldType;
use super::spec::FieldSpec;
use crate::domain::moment::{parse_date, show_date};
use crate::domain::party::Numbering;
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

/// A time of day, `14:05`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Clock {
    hour: u8,
    minute: u8,
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
    let (hour, minute) = text.trim().split_once(':').ok_or(WANTED)?;
    let read = |part: &str, lengths: &[usize]| -> Option<u8> {
        let digits = part.bytes().all(|byte| byte.is_ascii_digit());
        if digits && lengths.contains(&part.len()) {
            part.parse().ok()
        } else {
            None
        }
    };
    let hour = read(hour, &[1, 2])
        .filter(|hour| *hour < 24)
        .ok_or(WANTED)?;
    let minute = read(minute, &[2])
        .filter(|minute| *minute < 60)
        .ok_or(WANTED)?;
    Ok(Clock { hour, minute })
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
