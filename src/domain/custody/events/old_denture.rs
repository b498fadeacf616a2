//! Rule d: the old denture never goes back to the patient.

use crate::domain::custody::item::ItemKind;
use crate::domain::custody::proposal::{CustodyRule, ProposedEvent};
use crate::domain::values::ids::Tag;

/// It is neither fitted nor given.
pub fn stays_away(proposal: &mut ProposedEvent<'_>, tag: &Tag) {
    if proposal.kind(tag) == Some(ItemKind::OldDenture) {
        let named = proposal.named(tag);
        proposal.refuse(
            CustodyRule::D,
            Some(tag),
            format!(
                "{named} does not go back to the patient: worn again, it would press the healed tissue down. Keep it with the \
                 patient's consent, or destroy it; it is the patient's property, and local law says what consent is needed. A denture that the patient \
                 goes on wearing until the new one is made is registered as a provisional denture."
            ),
        );
    }
}

/// An old denture is found in the mouth at the beginning; registering it as worn after anything else
/// was would be the way back that rule d closes.
pub fn was_worn_first(proposal: &mut ProposedEvent<'_>, tag: &Tag) {
    let came_later = proposal
        .arch(tag)
        .is_some_and(|arch| proposal.was_worn(arch));
    if proposal.kind(tag) == Some(ItemKind::OldDenture) && came_later {
        let named = proposal.named(tag);
        proposal.refuse(
            CustodyRule::D,
            Some(tag),
            format!(
                "{named} cannot be registered as worn: something else has been worn in that arch since, and the old \
                 denture does not go back. Register it as here, in your hands."
            ),
        );
    }
}
