//! The day that the lab names for its work, and the word of the office.

use super::shared::TEXT_MOST;
use crate::domain::custody::promise::DayAnswer;
use crate::domain::form::{Day, Kind, command, long};
use crate::domain::values::ids::EventId;

command! {
    /// A day.
    PromiseForm;
    for_revision: i64 = Kind::Hidden, "", "";
    promised_day: Day = Kind::Date, "Back with the office on", "The day on which the office has it in hand.", needed "Say the day.";
    day_asked: String = Kind::Hidden, "", "";
    day_meant: bool = Kind::Tick, "The day is meant so", "";
    promise_note: String = long(TEXT_MOST), "What to say with it", "Nothing that names a patient.";
}

command! {
    /// Whether it will do.
    DayAnswerForm;
    promise: EventId = Kind::Hidden, "", "", needed "Choose the day.";
    will_do: DayAnswer = DayAnswer::KIND, "Will it do", "", needed "Choose whether the day will do.";
    day_note: String = long(TEXT_MOST), "If not: which day you need", "Nothing that names a patient.";
}
