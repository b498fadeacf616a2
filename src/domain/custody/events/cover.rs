//! Rule c, asked when something is packed and again when it leaves: the provisional goes out only while the patient has
//! other teeth.

use crate::domain::custody::item::ItemKind;
use crate::domain::custody::proposal::{CustodyRule, ProposedEvent};
use crate::domain::custody::signature::Exception;
use crate::domain::values::ids::Tag;

/// c: the provisional leaves the office only while a duplicate of its arch is in the mouth, or by exception.
pub fn provisional_leaves_for_a_duplicate(
    proposal: &mut ProposedEvent<'_>,
    tags: &[&Tag],
    exception: Option<&Exception>,
) {
    for &tag in tags {
        if proposal.kind(tag) != Some(ItemKind::Provisional) || is_covered(proposal, tag) {
            continue;
        }
        if let Some(exception) = exception {
            proposal.exception_is_signed(CustodyRule::C, tag, &exception.reason);
        } else {
            let sentence = format!(
                "{} may leave only when a duplicate of the same arch is recorded as fitted, so that the patient \
                 has teeth. Record the duplicate under “What the patient wears”, or let the dentist sign an exception.",
                proposal.named(tag)
            );
            proposal.refuse(CustodyRule::C, Some(tag), sentence);
        }
    }
}

/// Whether the arch of a provisional wears a duplicate or its final.
fn is_covered(proposal: &ProposedEvent<'_>, tag: &Tag) -> bool {
    let worn = proposal.arch(tag).and_then(|arch| proposal.worn_in(arch));
    let kind = worn.and_then(|tag| proposal.kind(&tag));
    matches!(kind, Some(ItemKind::Duplicate | ItemKind::FinalDenture))
}
