//! What a lab has done in a month, step by step, as whoever makes out its invoices reads it: no money.

use super::agenda::side;
use super::reports::{ReadTracks, named_houses, refuse_lacking, tracks};
use super::{App, AppError, Person};
use crate::domain::custody::bench::BenchEntry;
use crate::domain::people::party::Side;
use crate::domain::report::case_track::CaseTrack;
use crate::domain::report::month::CalendarMonth;
use crate::domain::values::ids::CaseNumber;
use std::sync::Arc;
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
    let ReadTracks { tracks, unread } = tracks(app, person, month).await?;
    refuse_lacking(app, person, unread).await?;
    let mut conn = app.store.read_at_once().await?;
    let numbers: Vec<&CaseNumber> = tracks.iter().map(|track| &track.number).collect();
    let houses = named_houses(app, &mut conn, person, numbers).await?;
    let of_case = |track: &Arc<CaseTrack>| {
        let house = houses.get(&track.number).cloned().unwrap_or_default();
        let done = track.done.iter().map(|entry| DoneStep {
            number: track.number.clone(),
            house: house.clone(),
            day: person.moment(entry.at.unix_ms).date(),
            entry: entry.clone(),
        });
        done.collect::<Vec<_>>()
    };
    Ok(tracks.iter().flat_map(of_case).collect())
}
