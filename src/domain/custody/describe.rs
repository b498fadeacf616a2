//! An event in words: the same for office and lab, on screen and on paper.

use super::event::Event;
use super::item::Item;
use crate::domain::values::ids::Tag;

/// One entry of the history.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Description {
    /// Date, time and offset.
    pub when: String,
    pub who: String,
    pub what: String,
    pub details: Vec<String>,
    /// Written down after it had happened.
    pub late: bool,
}

/// Describes an event.
pub fn describe(items: &[Item], event: &Event) -> Description {
    let named = |tag: &Tag| match items.iter().find(|item| item.tag == *tag) {
        Some(item) => format!("{} {tag}", item.title()),
        None => tag.to_string(),
    };
    let (what, mut details) = event.what.kind().describe(&named);
    let is_late = event.is_late();
    if is_late {
        details.push(format!("Late entry, written down on {}.", event.entered_at));
    }
    if let Some(name) = &event.paper {
        details.push(format!("Copied from paper; the name on it: {name}."));
    }
    details.retain(|detail| !detail.is_empty());
    Description {
        when: event.at.to_string(),
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
