//! The day that both houses had agreed on, at a moment of the past.

use super::case_state::CaseState;
use super::event::Event;
use super::events::What;
use super::promise::DayAnswer;
use crate::domain::values::moment::Moment;
use time::Date;

/// The day on which both houses had agreed for a revision at this moment: by what they had entered until then and have
/// not withdrawn.
pub fn agreed_at(
    (state, events): (&CaseState, &[Event]),
    revision: i64,
    at: Moment,
) -> Option<Date> {
    let until_then = events.iter().filter(|one| one.at.unix_ms <= at.unix_ms);
    let said: Vec<&Event> = until_then
        .filter(|one| state.withdrawn_on(&one.id).is_none())
        .collect();
    let accepted = said.iter().rev().filter_map(|one| match &one.what {
        What::DayAnswered(one) if one.answer == DayAnswer::Accepted => Some(&one.promise),
        _ => None,
    });
    let promised = accepted.filter_map(|promise| {
        let named = said.iter().find(|one| one.id == *promise)?;
        match &named.what {
            What::Promised(one) if one.revision == revision => Some(one.day.date()),
            _ => None,
        }
    });
    promised.into_iter().next()
}
