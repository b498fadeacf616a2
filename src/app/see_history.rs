//! The history of a case: its entries, and where everything was at a moment that is asked for.

use super::custody_words::{ItemLine, item_lines, mouth_words};
use super::entry::end_of_minute;
use super::see_case::{CaseView, describe_all, events_until};
use super::see_record::leaves_of_events;
use super::signed_words::signed;
use super::{App, AppError, Person};
use crate::domain::custody::{CaseState, Description, Event};
use crate::domain::values::moment::Moment;
use std::borrow::Cow;

/// A case as it stood at a moment, or as it stands now.
pub struct HistoryView<'a> {
    /// The moment asked for, in words; `None` for now.
    pub asked: Option<String>,
    /// Why the moment asked for cannot be read.
    pub message: Option<String>,
    pub events: Cow<'a, [Event]>,
    /// What these say.
    state: CaseState,
    /// The last millisecond that is asked about; none for now.
    until: Option<i64>,
    pub places: Vec<ItemLine>,
    pub mouth: Vec<(String, String)>,
}

/// An entry in words, with its number in the record.
pub struct EntryLine {
    pub description: Description,
    pub leaf: Option<u64>,
}

impl<'a> HistoryView<'a> {
    /// The case at the end of the minute that `day` and `time` name. A day alone is meant with its last
    /// minute, and no day is now.
    pub fn at(person: &Person, view: &'a CaseView, day: &str, time: &str) -> HistoryView<'a> {
        let time = if time.is_empty() { "23:59" } else { time };
        let (until, message) = match day {
            "" => (None, None),
            day => match end_of_minute(person, day, time) {
                Ok(until) => (Some(until), None),
                Err(message) => (None, Some(message)),
            },
        };
        let events = events_until(&view.work, until);
        let state = CaseState::of(events.iter());
        HistoryView {
            asked: until.map(|ms| person.moment(ms).in_words()),
            message,
            until,
            places: item_lines(&view.work, &state.custody, None),
            mouth: mouth_words(&view.work, &state),
            events,
            state,
        }
    }
}

/// All that was done, signed and acknowledged, the newest first.
pub async fn entries(
    app: &App,
    view: &CaseView,
    history: &HistoryView<'_>,
) -> Result<Vec<EntryLine>, AppError> {
    let leaves = leaves_of_events(app, &view.work.case.number).await?;
    let description = describe_all(&view.work.items, &history.state, &history.events);
    let description = description.into_iter();
    let entry = |(description, event): (Description, &Event)| {
        let line = EntryLine {
            description,
            leaf: leaves.get(event.id.as_str()).copied(),
        };
        (event.entered_at, line)
    };
    let entries = description.zip(history.events.iter().rev()).map(entry);
    let mut lines: Vec<(Moment, EntryLine)> = entries.collect();
    let (work, until) = (&view.work, history.until);
    let signed = signed(work, view.revisions(), &view.acknowledgements, until);
    for (at, description) in signed {
        let line = EntryLine {
            description,
            leaf: None,
        };
        // The newest stands first; in one moment, what was signed came after what was done.
        let place = lines.partition_point(|(other, _)| other.unix_ms > at.unix_ms);
        lines.insert(place, (at, line));
    }
    Ok(lines.into_iter().map(|(_, line)| line).collect())
}
