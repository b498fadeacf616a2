//! What was done at the chair to what the prescription follows, after that was signed: the text says nothing of it, and the
//! lab would mount and set by what stood there before.

use super::case_state::CaseState;
use super::event::Event;
use super::events::{Adjusted, Adjustment, What};
use super::ordered::Ordered;
use crate::domain::people::party::Side;
use crate::domain::values::ids::Tag;
use crate::domain::values::moment::Moment;
use time::Date;

/// One entry of the chair that the revision in force does not know of.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ChangedAtChair {
    pub tag: Tag,
    /// The day of the visit.
    pub day: Date,
    /// When it was written down.
    pub entered_at: Moment,
    pub done: Adjustment,
    /// What was done, where and by how much.
    pub words: String,
    /// Whether the office has sent it since with the word that the lab works from it as it comes.
    pub as_it_comes: bool,
}

impl Ordered {
    /// Whether this entry was written down after the signature, of something that the text follows or works on, and is
    /// of no day that the text names as that of the last correction. What is written down in the evening of a visit is of
    /// the day that was named at noon; a height is asked about all the same, as the casts are mounted by it.
    fn knows_nothing_of(&self, event: &Event, one: &Adjusted) -> bool {
        let Some(since) = self.since else {
            return false;
        };
        let is_later = event.entered_at.unix_ms > since.unix_ms;
        let is_of_it = self.patterns.contains(&one.tag) || self.enclosed.contains(&one.tag);
        let day = one.day_of_visit(event.at);
        let is_before = day < since.date() || day == since.date() && !one.done.may_be_of_height();
        let is_named = is_before && self.corrected.is_some_and(|named| named >= day);
        is_later && is_of_it && !is_named
    }
}

/// All of these, in the order in which they were written down. What the lab has given back before has done its work.
pub fn changed_at_chair(
    ordered: &Ordered,
    events: &[Event],
    case: &CaseState,
) -> Vec<ChangedAtChair> {
    let since = ordered.since.map_or(0, |since| since.unix_ms);
    let is_done_with = |event: &Event, tag: &Tag| {
        let mut back = case.handoffs.iter();
        back.any(|one| {
            let at = one.released_at.unix_ms;
            let is_between = at >= since && at < event.at.unix_ms;
            one.from == Side::Lab && one.voided.is_none() && is_between && one.carries(tag)
        })
    };
    let goes_as_it_is = |event: &Event, tag: &Tag| {
        let mut sent = case.handoffs.iter();
        sent.any(|one| {
            one.as_it_comes == Some(ordered.revision)
                && one.voided.is_none()
                && one.released_at.unix_ms >= event.entered_at.unix_ms
                && one.carries(tag)
        })
    };
    let one = |event: &Event| {
        let What::Adjusted(one) = &event.what else {
            return None;
        };
        let counts = ordered.knows_nothing_of(event, one)
            && case.withdrawn_on(&event.id).is_none()
            && !is_done_with(event, &one.tag);
        counts.then(|| ChangedAtChair {
            tag: one.tag.clone(),
            day: one.day_of_visit(event.at),
            entered_at: event.entered_at,
            done: one.done,
            words: one.words(),
            as_it_comes: goes_as_it_is(event, &one.tag),
        })
    };
    events.iter().filter_map(one).collect()
}
