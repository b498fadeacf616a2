//! An event in words: the same for office and lab, on screen and on paper.

use super::event::{Event, Exception, Outcome, What};
use super::rules::place_words;
use super::state::Holder;
use crate::domain::ids::Tag;
use crate::domain::item::Item;

/// One entry of the history.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Told {
    /// Date, time and offset.
    pub when: String,
    pub who: String,
    pub what: String,
    pub details: Vec<String>,
}

/// Tells an event.
pub fn tell(items: &[Item], event: &Event) -> Told {
    let named = |tag: &Tag| match items.iter().find(|item| item.tag == *tag) {
        Some(item) => format!("{} {tag}", item.title()),
        None => tag.to_string(),
    };
    let (what, mut details) = sentence(&event.what, &named);
    if event.entered_at.unix_ms > event.at.unix_ms {
        details.push(format!("Entered later, on {}.", event.entered_at));
    }
    details.retain(|detail| !detail.is_empty());
    Told {
        when: event.at.to_string(),
        who: format!(
            "{}, {}, {}",
            event.by.name,
            event.by.role.shown(),
            event.by.party_name
        ),
        what,
        details,
    }
}

fn sentence(what: &What, named: &dyn Fn(&Tag) -> String) -> (String, Vec<String>) {
    match what {
        What::Registered {
            tag,
            place,
            worn,
            note,
        } => {
            let place = if *worn {
                "in the patient's mouth"
            } else {
                place_words(Holder::of(*place))
            };
            (
                format!("{} registered, {place}", named(tag)),
                vec![note.clone()],
            )
        }
        What::Disinfected {
            tag,
            agent,
            dilution,
            minutes,
            rinsed,
        } => {
            let rinsed = if *rinsed { "rinsed" } else { "not rinsed" };
            let detail = format!(
                "{agent}{}, {minutes} min, {rinsed}",
                prefixed(", ", dilution)
            );
            (format!("{} disinfected", named(tag)), vec![detail])
        }
        What::Released {
            items,
            to,
            carrier,
            tracking,
            purpose,
            seal,
            exception,
            ..
        } => {
            let mut details: Vec<String> = items
                .iter()
                .map(|sent| format!("{}{}", named(&sent.tag), prefixed(": ", &sent.condition)))
                .collect();
            details.push(format!(
                "Carrier: {carrier}{}{}",
                prefixed(", reference ", tracking),
                prefixed(", seal ", seal)
            ));
            details.push(prefixed("Why: ", purpose));
            details.push(exception_words(exception.as_ref()));
            (format!("Handed over to the {}", to.word()), details)
        }
        What::Received {
            place,
            items,
            unannounced,
            ..
        } => {
            let mut details: Vec<String> = items
                .iter()
                .map(|found| {
                    let mark = match (found.outcome, found.marked_disinfected) {
                        (Outcome::Missing, _) => "",
                        (_, true) => ", marked as disinfected",
                        (_, false) => ", no mark of disinfection",
                    };
                    format!(
                        "{}: {}{mark}{}",
                        named(&found.tag),
                        found.outcome.shown(),
                        prefixed(". ", &found.note)
                    )
                })
                .collect();
            details.push(prefixed("Also in the box, not announced: ", unannounced));
            (
                format!("Received {}", place_words(Holder::of(*place))),
                details,
            )
        }
        What::Fitted { tag, instead_of } => {
            let details = instead_of
                .iter()
                .map(|out| format!("{} taken out", named(out)))
                .collect();
            (format!("{} fitted", named(tag)), details)
        }
        What::TakenOut { tag, exception } => (
            format!("{} taken out, nothing put in", named(tag)),
            vec![exception_words(exception.as_ref())],
        ),
        What::Given { tag } => (
            format!("{} given to the patient as the spare", named(tag)),
            Vec::new(),
        ),
        What::BroughtBack { tag } => (
            format!("{} brought back by the patient", named(tag)),
            Vec::new(),
        ),
        What::UsedUp { tag, into } => (format!("{} used up", named(tag)), vec![into.clone()]),
        What::Withheld { tag, consent, kept } => {
            let consent = if *consent {
                "With the patient's consent"
            } else {
                "Without the patient's consent"
            };
            (
                format!("{} kept back from the patient", named(tag)),
                vec![format!("{consent}{}", prefixed(", ", kept))],
            )
        }
        What::Destroyed { tag, how } => (format!("{} destroyed", named(tag)), vec![how.clone()]),
        What::WrittenOff { tag, how } => (
            format!("{} written off as lost", named(tag)),
            vec![how.clone()],
        ),
        What::Corrected { note, .. } => (
            "Correction of an earlier entry".to_owned(),
            vec![note.clone()],
        ),
    }
}

fn prefixed(prefix: &str, text: &str) -> String {
    if text.trim().is_empty() {
        String::new()
    } else {
        format!("{prefix}{text}")
    }
}

fn exception_words(exception: Option<&Exception>) -> String {
    exception.map_or_else(String::new, |exception| {
        format!(
            "Exception signed by {}, licence {}: {}",
            exception.name, exception.licence, exception.reason
        )
    })
}
