//! What a lab has done in a month, step by step, as whoever makes out its invoices reads it: no money.

use super::agenda::side;
use super::proven::not_in_record;
use super::reports::{entries, named_houses, refuse_lacking, window};
use super::{App, AppError, Person};
use crate::domain::custody::CaseState;
use crate::domain::custody::bench::BenchEntry;
use crate::domain::people::party::Side;
use crate::domain::report::month::CalendarMonth;
use crate::domain::values::ids::CaseNumber;
use crate::store::reports;
use std::collections::BTreeSet;
use time::Date;

/// A step of one of the lab's cases.
#[derive(Debug, Clone)]
pub struct DoneStep {
    pub number: CaseNumber,
    /// The office that it was done for.
    pub house: String,
    /// On the calendar of the lab.
    pub day: Date,
    pub entry: BenchEntry,
}

/// The steps of a month by the lab's own calendar, in the order of their cases. An office sees none of them.
///
/// # Errors
/// If a case of the lab would be missing: one that cannot be read, or was taken away.
pub async fn of_month(
    app: &App,
    person: &Person,
    month: CalendarMonth,
) -> Result<Vec<DoneStep>, AppError> {
    if side(person)? != Side::Lab {
        return Err(AppError::NotFound);
    }
    let window = window(person, month)?;
    let mut conn = app.store.read_at_once().await?;
    let own = (Side::Lab, person.party_id());
    let numbers = reports::touched(&mut conn, own, window).await?;
    let houses = named_houses(app, &mut conn, person, &numbers).await?;
    let (mut steps, mut leaves, mut unread) = (Vec::new(), Vec::new(), 0);
    for number in numbers {
        let entries = match entries(app, &mut conn, person, &number).await {
            Ok(Some(entries)) => entries,
            // By the record it is of other houses.
            Ok(None) => continue,
            Err(error) if error.is_of_one_alone() => {
                tracing::warn!(%number, %error, "a case is left out of what was done");
                unread += 1;
                continue;
            }
            Err(error) => return Err(error),
        };
        let house = houses.get(&number).cloned().unwrap_or_default();
        let rests_on: BTreeSet<u64> = entries.rests_on.iter().map(|leaf| leaf.number).collect();
        leaves.extend(entries.rests_on);
        let done = CaseState::of(&entries.events).bench.into_iter();
        let done = done.filter(|one| (window.0..window.1).contains(&one.at.unix_ms));
        let done = done.map(|entry| DoneStep {
            number: number.clone(),
            house: house.clone(),
            day: person.moment(entry.at.unix_ms).date(),
            entry,
        });
        steps.push((rests_on, done.collect::<Vec<_>>()));
    }
    let missing = not_in_record(app, &mut conn, leaves).await?;
    drop(conn);
    let before = steps.len();
    steps.retain(|(rests_on, _)| missing.is_disjoint(rests_on));
    refuse_lacking(app, person, unread + before - steps.len()).await?;
    Ok(steps.into_iter().flat_map(|(_, done)| done).collect())
}
