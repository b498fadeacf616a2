//! Who keeps the record, and its alarms, in words.

use crate::app::Person;
use crate::app::see_record::{
    AlarmDescription, KeyKept, PartyKeeps, ResumedDescription, ResumedMore,
};
use askama::Template;

/// A row of the table of those who keep the record.
pub struct KeepsRow {
    pub name: String,
    pub is_own: bool,
    pub seen: String,
    pub keys: Vec<String>,
}

/// An alarm on the page.
#[derive(Template)]
#[template(path = "partials/alarm.html")]
pub struct AlarmView {
    pub what: String,
    pub who: String,
    pub kept: String,
    pub found: String,
    pub cleared: Option<String>,
}

/// A party with the keys of its browsers.
pub fn keeps_row(person: &Person, keeps: PartyKeeps) -> KeepsRow {
    let at = |ms| person.moment(ms).in_words();
    let key = |key: &KeyKept| {
        let cosigned = match key.size {
            0 => "nothing since the last alarm was cleared".to_owned(),
            size => format!("{size} entries, {}", at(key.at_ms)),
        };
        format!(
            "{}: cosigned {cosigned}; first used on {} by {}",
            key.id,
            at(key.first_ms),
            key.first_by
        )
    };
    KeepsRow {
        seen: match keeps.seen {
            Some((size, ms)) => format!("{size} entries, {}", at(ms)),
            None => "nothing yet".to_owned(),
        },
        keys: keeps.keys.iter().map(key).collect(),
        name: keeps.name,
        is_own: keeps.is_own,
    }
}

/// An alarm with the moments by this person's clock.
pub fn alarm_view(person: &Person, alarm: AlarmDescription) -> AlarmView {
    AlarmView {
        who: format!("{}, {}", person.moment(alarm.at_ms).in_words(), alarm.who),
        what: alarm.what,
        kept: alarm.kept,
        found: alarm.found,
        cleared: alarm.cleared.map(|(sentence, name, ms)| {
            format!(
                "Cleared by {name} on {}: {sentence}",
                person.moment(ms).in_words()
            )
        }),
    }
}

/// A word by which the record went on.
pub struct ResumedView {
    pub what: String,
    pub who: String,
    pub more: String,
    pub reason: String,
}

/// Such a word with its moments by this person's clock.
pub fn resumed_view(person: &Person, word: ResumedDescription) -> ResumedView {
    let at = person.moment(word.at_ms).in_words();
    ResumedView {
        who: match word.by {
            Some(name) => format!("{at}, signed by {name}"),
            None => format!("{at}, on the computer itself"),
        },
        more: match word.more {
            None => String::new(),
            Some(ResumedMore::Entries(Some(signed), found)) => {
                format!("The key had signed {signed} entries, and the database held {found}.")
            }
            Some(ResumedMore::Entries(None, found)) => format!(
                "Nothing said how far the key had signed, and the database held {found} entries."
            ),
            Some(ResumedMore::DatedUpTo(ms)) => format!(
                "A clock that was ahead had dated entries up to {}. They stay as they are, and work goes on after them.",
                person.moment(ms).in_words()
            ),
        },
        what: word.what,
        reason: word.reason,
    }
}
