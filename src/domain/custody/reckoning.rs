//! What came back is what went out, less what was used up with a reason (rule g).

use super::event::{Event, What};
use super::state::{Gone, Holder, fold};
use crate::domain::ids::Tag;
use crate::domain::party::PartyKind;

/// What became of each item that the office ever sent to the lab.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Reckoned {
    pub sent: Vec<Tag>,
    pub back: Vec<Tag>,
    /// Used up, destroyed or written off, each with an entry that says into what or why.
    pub spent: Vec<Tag>,
    /// Still with the lab or on the way.
    pub owed: Vec<Tag>,
}

/// Reckons up the items sent by the office, without what was taken back before it left; `sent` is always `back`, `spent` and `owed` together.
pub fn reckon(events: &[Event]) -> Reckoned {
    let custody = fold(events);
    let mut reckoned = Reckoned::default();
    let is_voided = |id: &str| {
        events
            .iter()
            .any(|event| matches!(&event.what, What::Voided { handoff, .. } if handoff == id))
    };
    for event in events {
        let What::Released {
            handoff,
            items,
            from: PartyKind::Office,
            ..
        } = &event.what
        else {
            continue;
        };
        if is_voided(handoff) {
            continue;
        }
        for sent in items {
            if !reckoned.sent.contains(&sent.tag) {
                reckoned.sent.push(sent.tag.clone());
            }
        }
    }
    for tag in &reckoned.sent {
        let list = match custody.get(tag).map(|state| (state.gone, state.holder)) {
            Some((Some(Gone::UsedUp | Gone::Destroyed | Gone::WrittenOff), _)) => {
                &mut reckoned.spent
            }
            Some((None, Holder::Office | Holder::Patient)) => &mut reckoned.back,
            _ => &mut reckoned.owed,
        };
        list.push(tag.clone());
    }
    reckoned
}
