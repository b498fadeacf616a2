//! The entries of a case as rows of its custody sheet: what was done in one go, or over a day with one thing, is one
//! row, so that the sheet can be read.

use super::case_work::CaseWork;
use crate::domain::custody::events::{Disinfected, Moved};
use crate::domain::custody::{Description, Event, What, describe};
use crate::domain::values::moment::Moment;
use crate::papers::custody_sheet::CustodyRow;

/// An entry with what it may be told together with.
struct Told {
    at: Moment,
    description: Description,
    /// Equal of those that are told in one row; empty for what stands alone.
    together: String,
    /// Where it was put, where that is all.
    spot: String,
}

fn row(description: &Description) -> CustodyRow {
    CustodyRow {
        when: if description.late {
            format!("{}\nlate entry", description.when)
        } else {
            description.when.clone()
        },
        what: description.what.clone(),
        by: description.who.clone(),
        details: description.details.join("\n"),
    }
}

/// One mark for moves of one person on one day, and one each for what was registered in one minute and for
/// disinfections of one minute with one agent.
fn together(event: &Event) -> String {
    if event.is_late() || event.paper.is_some() {
        return String::new();
    }
    let by = &event.by.account;
    match &event.what {
        What::Registered(_) => {
            let minute = event.at.unix_ms.div_euclid(60_000);
            format!("registered {by} {minute}")
        }
        What::Moved(Moved { tag, .. }) => format!("moved {tag} {by} {}", event.at.date()),
        What::Disinfected(Disinfected {
            agent,
            dilution,
            minutes,
            rinsed,
            ..
        }) => {
            let minute = event.at.unix_ms.div_euclid(60_000);
            format!("disinfected {by} {minute} {agent} {dilution} {minutes} {rinsed}")
        }
        _ => String::new(),
    }
}

/// The rows, oldest first, with what was signed and acknowledged among them.
pub fn rows(work: &CaseWork, signed: Vec<(Moment, Description)>) -> Vec<CustodyRow> {
    let told = work.events.iter().map(|event| Told {
        at: event.entered_at,
        description: describe(&work.items, event),
        together: together(event),
        spot: match &event.what {
            What::Moved(Moved { to, .. }) => to.clone(),
            _ => String::new(),
        },
    });
    let signed = signed.into_iter().map(|(at, description)| Told {
        at,
        description,
        together: String::new(),
        spot: String::new(),
    });
    let mut all: Vec<Told> = told.chain(signed).collect();
    all.sort_by_key(|one| one.at.unix_ms);
    let mut rows: Vec<CustodyRow> = Vec::new();
    let mut groups: Vec<Vec<&Told>> = Vec::new();
    for one in &all {
        let last = groups.last_mut().filter(|group| {
            let first = group.first();
            !one.together.is_empty() && first.is_some_and(|first| first.together == one.together)
        });
        match last {
            Some(group) => group.push(one),
            None => groups.push(vec![one]),
        }
    }
    for group in groups {
        rows.extend(of_group(&group));
    }
    rows
}

fn of_group(group: &[&Told]) -> Option<CustodyRow> {
    let (first, last) = (group.first()?, group.last()?);
    let mut one = row(&first.description);
    if group.len() == 1 {
        return Some(one);
    }
    if first.together.starts_with("moved") {
        let spots = group.iter().map(|told| told.spot.as_str());
        one.when = format!("{}\nto {}", first.description.when, last.description.when);
        one.what = format!(
            "{}, and {} times more",
            first.description.what,
            group.len() - 1
        );
        one.details = format!("It lay: {}", spots.collect::<Vec<_>>().join(" → "));
    } else if first.together.starts_with("registered") {
        let line = |told: &&Told| {
            let details = told.description.details.join(". ");
            match details.is_empty() {
                true => told.description.what.clone(),
                false => format!("{}: {details}", told.description.what),
            }
        };
        one.what = group.iter().map(line).collect::<Vec<_>>().join("\n");
        one.details = String::new();
    } else {
        let things = group.iter().map(|told| told.description.what.as_str());
        one.what = things.collect::<Vec<_>>().join("\n");
    }
    Some(one)
}
