//! When things came to a house, by its receipts.

use super::case_state::CaseState;
use super::event::Event;
use super::events::What;
use super::parcel::Outcome;
use crate::domain::people::party::Side;
use crate::domain::values::ids::Tag;
use std::collections::BTreeMap;
use time::Date;

/// The day on which each thing came last, where the house is. What was missing from its parcel did not come.
pub fn came_in(side: Side, events: &[Event], case: &CaseState) -> BTreeMap<Tag, Date> {
    let mut days: BTreeMap<Tag, Date> = BTreeMap::new();
    let standing = |event: &&Event| case.withdrawn_on(&event.id).is_none();
    for event in events.iter().filter(standing) {
        let What::Received(received) = &event.what else {
            continue;
        };
        let came = received
            .items
            .iter()
            .filter(|found| received.place == side && found.outcome != Outcome::Missing);
        for found in came {
            let day = event.at.date();
            days.entry(found.tag.clone())
                .and_modify(|last| *last = day.max(*last))
                .or_insert(day);
        }
    }
    days
}
