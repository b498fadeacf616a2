//! An event in words: the same for office and lab, on screen and on paper.

use super::case_state::CaseState;
use super::event::Event;
use super::events::Named;
use super::item::Item;
use crate::domain::values::ids::Tag;

/// One entry of the history.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Description {
    /// Date, time and offset.
    pub when: String,
    /// The printed name.
    pub name: String,
    /// The same with role and house.
    pub who: String,
    pub what: String,
    pub details: Vec<String>,
    /// Written down after it had happened.
    pub late: bool,
}

/// Describes an event, and says of one that is withdrawn that it is.
pub fn describe_in(items: &[Item], case: &CaseState, event: &Event) -> Description {
    describe_as(&|tag| title_and_tag(items, tag), case, event)
}

/// The same, with items named as `named` has it.
pub fn describe_as(named: Named<'_>, case: &CaseState, event: &Event) -> Description {
    let mut description = described(named, event);
    if let Some(on) = case.withdrawn_on(&event.id) {
        let on = on.in_words();
        let words = format!("Withdrawn as a mistake on {on}: it did not happen.");
        description.details.push(words);
    }
    for id in event.what.kind().about_events() {
        let question = case
            .question(id)
            .map(|one| format!("To the question of {}", one.at.in_words()));
        let by_second = case
            .pass_question(id)
            .map(|(_, one)| format!("To the question of {}", one.at.in_words()));
        let question = question.or(by_second);
        let call = case
            .call(id)
            .map(|one| format!("The call of {}", one.at.in_words()));
        let mut checks = case.follow_ups.iter();
        let check = checks.find(|one| one.event == *id).map(|one| {
            let which = one.check.shown();
            format!("The check after the fit of {}, {which}", one.at.in_words())
        });
        description.details.extend(question.or(call).or(check));
    }
    description
}

/// Describes an event.
pub fn describe(items: &[Item], event: &Event) -> Description {
    described(&|tag| title_and_tag(items, tag), event)
}

fn title_and_tag(items: &[Item], tag: &Tag) -> String {
    match Item::of(items, tag) {
        Some(item) => format!("{} {tag}", item.title()),
        None => tag.to_string(),
    }
}

fn described(named: Named<'_>, event: &Event) -> Description {
    let (what, mut details) = event.what.kind().describe(named);
    let is_late = event.is_late();
    if is_late {
        details.push(format!(
            "Late entry, written down on {}.",
            event.entered_at.in_words()
        ));
    }
    if let Some(name) = &event.paper {
        details.push(format!("Copied from paper; the name on it: {name}."));
    }
    if let Some(at) = &event.by_code {
        details.push(format!("Entered by code, at {}.", at.name));
    }
    details.retain(|detail| !detail.is_empty());
    Description {
        when: event.at.in_words(),
        name: event.by.name.clone(),
        who: format!(
            "{}, {}, {}",
            event.by.name,
            event.by.role.shown(),
            event.by.party_name
        ),
        what,
        details,
        late: is_late,
    }
}
