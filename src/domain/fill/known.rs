//! What is known beside a draft.

use crate::domain::custody::item::{Item, ItemKind};
use crate::domain::custody::{CaseState, Event, Holder, Ordered, State};
use crate::domain::people::patient::OwnTeeth;
use crate::domain::prescription::Course;
use crate::domain::prescription::usual::{CaseBefore, InUse};
use crate::domain::trade::lists::Lists;
use crate::domain::values::arch::{Arch, Arches};
use crate::domain::values::ids::Tag;
use crate::domain::values::tooth::Numbering;
use std::collections::BTreeMap;

/// What the two houses say once for all their work, and what was signed for the patient before.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Beforehand {
    /// The office's sets: the newest versions, and those that the draft was begun with.
    pub office: Vec<InUse>,
    /// What the lab does unless told.
    pub lab: Vec<InUse>,
    pub before: Option<CaseBefore>,
    /// The kind of work that is signed in this case. A draft of the same kind begins with what was decided, and what is
    /// empty there is empty on purpose; one of another kind is filled like a new one, below what holds on.
    pub signed: Option<Course>,
    /// Whether that work is done and back, and one of the same kind is another round: it is filled like a new one too.
    pub is_next_round: bool,
}

/// The case and its lists.
#[derive(Debug, Clone, Copy)]
pub struct OnRecord<'a> {
    pub arches: Arches,
    pub items: &'a [Item],
    pub events: &'a [Event],
    pub state: &'a CaseState,
    /// What the revision in force says of things.
    pub ordered: &'a Ordered,
    /// What stands in the jaws beside dentures.
    pub own_teeth: &'a BTreeMap<Arch, OwnTeeth>,
    pub lists: &'a Lists,
    pub beforehand: &'a Beforehand,
    /// How the writer counts teeth.
    pub numbering: Numbering,
}

impl<'a> OnRecord<'a> {
    /// The entries that nobody has withdrawn.
    pub fn standing(&self) -> impl Iterator<Item = &'a Event> {
        let case = self.state;
        let events = self.events.iter();
        events.filter(move |event| case.withdrawn_on(&event.id).is_none())
    }

    pub fn treats(&self, arch: Arch) -> bool {
        self.arches.treated().contains(&arch)
    }

    pub fn item(&self, tag: &Tag) -> Option<&'a Item> {
        Item::of(self.items, tag)
    }

    /// Things that are still there, with how they are, in the order in which they were registered.
    pub fn things(&self) -> impl Iterator<Item = (&'a Item, &'a State)> {
        let state = self.state;
        let things = self.items.iter();
        things
            .filter_map(move |item| Some((item, state.item(&item.tag)?)))
            .filter(|(_, state)| state.gone.is_none() && !state.missing)
    }

    /// Things that stand at the office and may leave it: not kept back, not the spare, not given back.
    pub fn at_the_office(&self) -> impl Iterator<Item = (&'a Item, &'a State)> {
        self.things().filter(|(_, state)| {
            let is_kept = state.withheld.is_some() || state.spare || state.given_back;
            state.holder == Holder::Office && !is_kept
        })
    }

    /// The one thing of a kind at the office; none where there are several to choose from.
    pub fn only(&self, kind: ItemKind, arch: Option<Arch>) -> Option<&'a Item> {
        let is_it = |item: &Item| item.kind == kind && (arch.is_none() || item.arch == arch);
        one(self
            .at_the_office()
            .map(|(item, _)| item)
            .filter(|item| is_it(item)))
    }
}

/// The only one of several.
pub fn one<T>(mut all: impl Iterator<Item = T>) -> Option<T> {
    let first = all.next()?;
    all.next().is_none().then_some(first)
}
