//! What a house has in hand of a case: to make something from, to fit, to send, or packed already.

use super::case_state::CaseState;
use super::item::{Item, ItemKind};
use super::passed::PassedWork;
use super::state::{Condition, Holder, PassedPlace, State};
use crate::domain::people::party::Side;
use crate::domain::values::arch::Arch;
use crate::domain::values::ids::{HandoffId, Tag};

impl CaseState {
    /// Whether a thing lies in this house, packed or not.
    pub fn is_in_house(&self, tag: &Tag, house: Side) -> bool {
        let state = self.item(tag).filter(|state| state.is_there());
        state.is_some_and(|state| state.holder == Holder::of(house))
    }

    /// Whether this house can have made something from a thing. The office also copies what the patient has.
    pub fn can_be_made_from(&self, tag: &Tag, house: Side) -> bool {
        let is_with_patient =
            |state: &State| house == Side::Office && state.holder == Holder::Patient;
        self.item(tag)
            .is_some_and(|state| state.is_in_hand(house) || is_with_patient(state))
    }

    /// Whether nobody has said that something is the matter with a thing.
    pub fn is_sound(&self, tag: &Tag) -> bool {
        let condition = self.item(tag).map(|state| state.condition);
        condition.is_none_or(|condition| condition == Condition::Sound)
    }

    /// Pieces of an item, as they were counted last.
    pub fn pieces(&self, item: &Item) -> u32 {
        let counted = self.item(&item.tag).and_then(|state| state.pieces);
        counted.unwrap_or(item.pieces)
    }

    /// Things of a kind for an arch that are still there.
    pub fn alike<'a>(
        &self,
        items: &'a [Item],
        (kind, arch): (ItemKind, Option<Arch>),
    ) -> Vec<&'a Item> {
        let is_one = |item: &&Item| {
            let is_there = self.item(&item.tag).is_some_and(State::is_there);
            is_there && item.kind == kind && item.arch == arch
        };
        items.iter().filter(is_one).collect()
    }

    /// What the lab has made for the mouth in an arch and has in hand.
    pub fn made_in_hand<'a>(&self, items: &'a [Item], arch: Arch) -> Vec<&'a Item> {
        let is_one = |item: &&Item| {
            let state = self.item(&item.tag);
            let is_own =
                state.is_some_and(|state| state.home == Side::Lab && state.is_in_hand(Side::Lab));
            is_own && item.arch == Some(arch) && item.kind.is_made_for_the_mouth()
        };
        items.iter().filter(is_one).collect()
    }

    /// Dentures of an arch that lie packed at the office: one of them goes in only after its parcel is taken back.
    pub fn packed_dentures<'a>(&self, items: &'a [Item], arch: Arch) -> Vec<&'a Item> {
        let is_one = |item: &&Item| {
            let state = self.item(&item.tag);
            let is_packed = state.is_some_and(|one| one.packed && one.holder == Holder::Office);
            is_packed && item.arch == Some(arch) && item.kind.is_wearable()
        };
        items.iter().filter(is_one).collect()
    }

    /// Whether a thing goes into the mouth only once it is disinfected: it is held for that, or comes from the patient's
    /// home. What came from the lab may go in by a word that it was not.
    pub fn is_held_until_cleaned(&self, tag: &Tag) -> bool {
        self.item(tag)
            .is_some_and(|one| one.held_for_disinfection || one.is_with_the_patient())
    }

    /// The handoff that a thing is on; none once it is gone.
    pub fn handoff_of(&self, tag: &Tag) -> Option<&HandoffId> {
        let state = self.item(tag).filter(|state| state.is_there());
        state?.handoff.as_ref()
    }

    /// The work passed on whose second laboratory has not packed a thing that is on its way back.
    pub fn left_behind_by(&self, tag: &Tag) -> Option<&PassedWork> {
        let is_back = self.item(tag)?.holder == Holder::Passed(PassedPlace::Back);
        self.pass_of(tag).filter(|_| is_back)
    }
}
