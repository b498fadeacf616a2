//! A disinfection is written once, where it is done: the list of what is enclosed reads it from there.

use super::known::OnRecord;
use crate::domain::custody::events::Disinfected;
use crate::domain::custody::{CaseState, Event, Holder, What};
use crate::domain::form::YesNo;
use crate::domain::people::party::Side;
use crate::domain::prescription::draft::Fields;
use crate::domain::values::ids::{PartyId, Tag};
use crate::domain::values::moment::show_date;
use std::collections::BTreeMap;

/// What of a row is read from the entry; a row in which any of it is typed says it itself.
const READ: [&str; 3] = ["agent", "dilution", "minutes"];

/// What the entries of the case say of the disinfection of each item that `fields` list as enclosed, by form key.
pub fn disinfection(fields: &Fields, known: &OnRecord<'_>) -> BTreeMap<String, String> {
    let mut read = BTreeMap::new();
    for (key, text) in fields {
        let row = key
            .strip_prefix("enclosed.")
            .and_then(|rest| rest.strip_suffix(".tag"));
        let Some((row, tag)) = row.zip(Tag::parse(text).ok()) else {
            continue;
        };
        let of_row = |field: &str| format!("enclosed.{row}.{field}");
        let is_typed = |field: &&str| {
            fields
                .get(&of_row(field))
                .is_some_and(|text| !text.trim().is_empty())
        };
        if READ.iter().any(is_typed) {
            continue;
        }
        let said = said(known, &tag).into_iter();
        read.extend(said.map(|(field, said)| (of_row(field), said)));
    }
    read
}

/// The last entry by which this office has disinfected an item, whatever has become of it since.
pub fn last_disinfection(
    office: &PartyId,
    events: &[Event],
    case: &CaseState,
    tag: &Tag,
) -> Option<Disinfected> {
    let is_its = |event: &&Event| event.by.party == *office;
    let standing = |event: &&Event| case.withdrawn_on(&event.id).is_none();
    let entries = events.iter().filter(is_its).filter(standing);
    let mut latest_first = entries.rev();
    let last = latest_first.find_map(|event| entry_of(event, tag));
    last.map(|(_, done)| done.clone())
}

/// The entry of the office that stands for an item, as fields of its row.
fn said(known: &OnRecord<'_>, tag: &Tag) -> Vec<(&'static str, String)> {
    // What has left the office left it as it was disinfected there; what the lab does with it is the lab's entry.
    let stands = known
        .state
        .item(tag)
        .is_some_and(|state| match state.holder {
            Holder::Office | Holder::Patient => state.disinfected,
            Holder::Lab | Holder::Passed(_) | Holder::Carrier { .. } => state.home == Side::Office,
        });
    let is_of_office = |event: &&Event| event.by.role.works_in() == Some(Side::Office);
    let entry = known
        .standing()
        .filter(is_of_office)
        .filter_map(|event| entry_of(event, tag))
        .last();
    let Some((event, done)) = entry.filter(|_| stands) else {
        return Vec::new();
    };
    let rinsed = if done.rinsed { YesNo::Yes } else { YesNo::No };
    let mut said = vec![
        ("agent", done.agent.clone()),
        ("dilution", done.dilution.clone()),
        ("minutes", done.minutes.to_string()),
        ("rinsed", rinsed.word().to_owned()),
        ("by", event.by.role.shown().to_owned()),
        ("date", show_date(event.at.date())),
    ];
    said.retain(|(_, text)| !text.is_empty());
    said
}

fn entry_of<'a>(event: &'a Event, tag: &Tag) -> Option<(&'a Event, &'a Disinfected)> {
    match &event.what {
        What::Disinfected(done) if done.tag == *tag => Some((event, done)),
        _ => None,
    }
}
