//! From the events to what they say of a case: at their end, or at any moment asked for.

use super::case_state::CaseState;
use super::event::Event;
use super::events::What;
use super::handoff::Handoff;
use super::state::{Custody, Gone, State};
use crate::domain::values::ids::{EventId, Tag};

impl CaseState {
    /// What all of `events` say. An entry that was withdrawn says nothing, as if it had not been made.
    pub fn of<'a>(events: impl IntoIterator<Item = &'a Event>) -> CaseState {
        let events: Vec<&Event> = events.into_iter().collect();
        let mistaken: Vec<(&EventId, &Event)> = events
            .iter()
            .filter_map(|event| Some((event.what.withdraws()?, *event)))
            .collect();
        let mut case = CaseState::default();
        for event in &events {
            let mut withdrawals = mistaken.iter();
            if let Some((_, by)) = withdrawals.find(|(id, _)| **id == event.id) {
                case.withdrawn.push((event.id.clone(), by.at));
                case.came_to(event);
            } else if let Some(id) = event.what.withdraws() {
                let mistake = events.iter().find(|one| one.id == *id);
                case.withdraw(mistake.copied(), event);
            } else {
                case.step(event);
            }
        }
        case
    }

    /// One step of the fold; `earlier` are the events before it, in their order.
    pub fn add<'a>(&mut self, event: &'a Event, earlier: impl IntoIterator<Item = &'a Event>) {
        match event.what.withdraws() {
            Some(_) => *self = CaseState::of(earlier.into_iter().chain([event])),
            None => self.step(event),
        }
    }

    /// What is left of an entry when it is withdrawn: entries about its things come after that, and of what had
    /// ended by it whoever withdraws it answers for.
    fn withdraw(&mut self, mistake: Option<&Event>, event: &Event) {
        let stamp = event.stamp();
        let mut tags: Vec<Tag> = event.what.kind().shows_on(self);
        if let Some(mistake) = mistake {
            tags.extend(mistake.what.tags().into_iter().cloned());
            if let What::Registered(one) = &mistake.what {
                let never = State {
                    gone: Some(Gone::Mistaken),
                    ..State::registered(one.place, false, &stamp)
                };
                self.custody.insert(one.tag.clone(), never);
            }
            if mistake.what.turns() {
                self.unturned
                    .extend(tags.iter().map(|tag| (tag.clone(), event.at)));
            }
        }
        let is_back = mistake.is_some_and(|one| one.what.ends_its_item());
        for tag in &tags {
            self.change(tag, |state| {
                state.last_at = event.at;
                if is_back {
                    state.answers = stamp.answering();
                }
            });
        }
        self.came_to(event);
    }

    /// The time of an entry counts as the latest one where it is, of all and of its house.
    fn came_to(&mut self, event: &Event) {
        self.last_at = self.last_at.max(Some(event.at));
        let house = self.last_by.entry(event.by.party.clone());
        let last = house.or_insert(event.at);
        *last = (*last).max(event.at);
    }

    fn step(&mut self, event: &Event) {
        let (kind, stamp) = (event.what.kind(), event.stamp());
        if !kind.begins_items() {
            for tag in kind.tags() {
                let answers = kind.makes_answerable(tag);
                self.change(tag, |state| {
                    state.last_at = event.at;
                    if answers {
                        state.answers = stamp.answering();
                    }
                });
            }
        }
        kind.apply(self, &stamp);
        self.ask_back_what_comes_unsaid();
        self.came_to(event);
    }
}

/// The state at a moment: where each thing was then, and who answered for it.
pub fn at(events: &[Event], unix_ms: i64) -> Custody {
    CaseState::of(events.iter().filter(|event| event.at.unix_ms <= unix_ms)).custody
}

/// The events that had happened at a moment: what the state at that moment is drawn from.
pub fn until(events: &[Event], unix_ms: i64) -> Vec<Event> {
    let before = events.iter().filter(|event| event.at.unix_ms <= unix_ms);
    before.cloned().collect()
}

/// Everybody who has had the item in hand or acted on it: a chain is the better the shorter it is.
/// Carriers are counted by handoff, people by account.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Handlers {
    /// Printed name and house, in the order of their first entry.
    pub people: Vec<String>,
    /// Handoffs that it was on, without those that were taken back or still wait for their carrier.
    pub handoffs: usize,
}

/// Counts the hands that one item has gone through; `case` is what `events` say.
pub fn handlers(case: &CaseState, events: &[Event], tag: &Tag) -> Handlers {
    let mut accounts: Vec<&str> = Vec::new();
    let mut handlers = Handlers::default();
    let stands = |event: &&Event| case.withdrawn_on(&event.id).is_none();
    let touches = |event: &&Event| event.what.tags().contains(&tag);
    for event in events.iter().filter(touches).filter(stands) {
        if !accounts.contains(&event.by.account.as_str()) {
            accounts.push(&event.by.account);
            handlers.people.push(event.stamp().answering());
        }
    }
    let was_on = |handoff: &&Handoff| {
        handoff.voided.is_none() && !handoff.is_packed() && handoff.carries(tag)
    };
    handlers.handoffs = case.handoffs.iter().filter(was_on).count();
    handlers
}
