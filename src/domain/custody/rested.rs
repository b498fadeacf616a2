//! When the work of a case could not go on: what the plan of its days and the reports count alike.

use super::case_state::CaseState;
use super::event::Event;
use super::events::What;
use crate::domain::values::moment::Moment;

/// From when, and until when; no end while it lasts.
pub type RestTime = (Moment, Option<Moment>);

/// When the office had let the work wait, until it went on.
fn halted(state: &CaseState, events: &[Event]) -> Vec<RestTime> {
    let mut halts: Vec<RestTime> = Vec::new();
    for event in events {
        let open = halts.last_mut().filter(|(_, until)| until.is_none());
        match (&event.what, open) {
            _ if state.withdrawn_on(&event.id).is_some() => {}
            (What::Stopped(_) | What::Paused(_) | What::Cancelled(_), None) => {
                halts.push((event.at, None));
            }
            (What::WentOn(_), Some((_, until))) => *until = Some(event.at),
            _ => {}
        }
    }
    halts
}

/// All such stretches: stopped, paused or cancelled; a question whose answer it waited for; something wrong in a parcel
/// or here for which things waited, until it was resolved.
pub fn rested(state: &CaseState, events: &[Event]) -> Vec<RestTime> {
    let asked = state.questions.iter().filter(|one| one.waits);
    let asked = asked.map(|one| (one.at, one.reply.as_ref().map(|reply| reply.at)));
    let ended_at = |id: &str| {
        let mut ended = events.iter().filter(|event| *event.id == *id);
        ended.next().map(|event| event.at)
    };
    let found = state.holds.iter().filter(|hold| !hold.waiting.is_empty());
    let found = found.map(|hold| {
        let until = hold.ended_by.as_ref().and_then(|id| ended_at(id));
        (hold.since, until)
    });
    halted(state, events)
        .into_iter()
        .chain(asked)
        .chain(found)
        .collect()
}
