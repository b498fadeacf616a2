//! Work that is passed on, and where its things are.

use super::case_state::CaseState;
use super::passed::{PassLeg, PassedWork};
use super::state::Holder;
use crate::domain::values::ids::{EventId, Tag};

impl PassedWork {
    /// The things of it that are between the two laboratories or at the second.
    pub fn away<'a>(&'a self, case: &'a CaseState) -> impl Iterator<Item = &'a Tag> {
        let is_away = |tag: &&Tag| {
            let state = case.item(tag).filter(|state| state.is_there());
            state.is_some_and(|state| matches!(state.holder, Holder::Passed(_)))
        };
        self.items.iter().filter(is_away)
    }

    /// The things of it that can go this stretch now, however it stands with them otherwise.
    pub fn ready<'a>(&'a self, case: &'a CaseState, leg: PassLeg) -> impl Iterator<Item = &'a Tag> {
        let is_ready = move |tag: &&Tag| {
            let state = case.item(tag).filter(|state| state.is_there());
            state.is_some_and(|state| leg.begins_at(state.holder))
        };
        self.items.iter().filter(is_ready)
    }
}

impl CaseState {
    pub fn pass(&self, event: &EventId) -> Option<&PassedWork> {
        self.passes.iter().find(|one| one.event == *event)
    }

    /// Work that is passed on now.
    pub fn open_passes(&self) -> impl Iterator<Item = &PassedWork> {
        self.passes.iter().filter(|one| one.is_open())
    }

    /// With which of it a thing is passed on now: never with two.
    pub fn pass_of(&self, tag: &Tag) -> Option<&PassedWork> {
        self.open_passes().find(|one| one.items.contains(tag))
    }
}
