//! The day by which the lab says that the work is back, and what the office says to it.

use crate::domain::form::choice_field;
use crate::domain::values::ids::EventId;
use crate::domain::values::moment::Moment;
use crate::domain::values::words_of;
use serde::{Deserialize, Serialize};
use time::Date;

words_of! {
    /// What the office says to a promised day.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
    #[serde(rename_all = "snake_case")]
    pub enum DayAnswer {
        Accepted = "the day will do",
        NotAccepted = "the day will not do",
    }
}

choice_field!(DayAnswer);

/// The newest day that the lab has named.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DatePromise {
    /// The entry that names it.
    pub event: EventId,
    pub at: Moment,
    /// Who named it, with the house.
    pub by: String,
    /// The revision that it was named for.
    pub revision: i64,
    pub day: Date,
    pub note: String,
    pub answer: Option<PromiseAnswer>,
}

/// What the office has said to it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PromiseAnswer {
    pub at: Moment,
    /// Who said it, with the house.
    pub by: String,
    pub answer: DayAnswer,
    pub note: String,
}

impl DatePromise {
    /// Whether the office has to say a word to it: later than the day due, or nothing is due by a day. The named day is
    /// what counts, and not the next one on which the office is open: that comes after the day due only where the
    /// office itself asked for a day on which it is closed, or agreed to one.
    pub fn awaits_answer(&self, due: Option<Date>) -> bool {
        self.answer.is_none() && due.is_none_or(|due| self.day > due)
    }

    /// Whether both houses agreed on it.
    pub fn is_agreed(&self) -> bool {
        let answer = self.answer.as_ref().map(|one| one.answer);
        answer == Some(DayAnswer::Accepted)
    }

    /// Whether the office has said that it will not do.
    pub fn is_refused(&self) -> bool {
        let answer = self.answer.as_ref().map(|one| one.answer);
        answer == Some(DayAnswer::NotAccepted)
    }
}
