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

    /// Things that are to go to a second laboratory and nothing said holds up, each with its authorisation: none that has
    /// been there, and none of cancelled work.
    pub fn to_go_to_second_labs(&self) -> Vec<(&PassedWork, &Tag)> {
        let may_go = |pass: &&PassedWork| !pass.awaits_consent() && !pass.is_refused();
        let passes = self.open_passes().filter(|_| !self.is_cancelled());
        let things = passes.filter(may_go).flat_map(|pass| {
            let ready = pass.ready(self, PassLeg::Left);
            ready
                .filter(move |tag| !pass.left.contains(tag))
                .map(move |tag| (pass, tag))
        });
        things.collect()
    }

    /// With which of it a thing is passed on now: never with two.
    pub fn pass_of(&self, tag: &Tag) -> Option<&PassedWork> {
        self.open_passes().find(|one| one.items.contains(tag))
    }
}
