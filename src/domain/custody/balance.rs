//! What came back is what went out, less what was used up with a reason (rule g).

use super::event::{Event, What};
use super::state::{Gone, Holder, fold};
use crate::domain::people::party::Side;
use crate::domain::values::ids::Tag;

/// What became of each item that the office ever sent to the lab.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Balance {
    pub sent: Vec<Tag>,
    pub back: Vec<Tag>,
    /// Used up, destroyed or written off, each with an entry that says into what or why.
    pub spent: Vec<Tag>,
    /// Still with the lab or on the way.
    pub owed: Vec<Tag>,
}

/// Reckons up the items sent by the office, without what was taken back before it left; `sent` is always `back`, `spent` and `owed` together.
pub fn balance(events: &[Event]) -> Balance {
    let custody = fold(events);
    let mut balance = Balance::default();
    let is_voided = |id: &str| {
        events
            .iter()
            .any(|event| matches!(&event.what, What::Voided { handoff, .. } if handoff == id))
    };
    for event in events {
        let What::Released {
            handoff,
            items,
            from: Side::Office,
            ..
        } = &event.what
        else {
            continue;
        };
        if is_voided(handoff) {
            continue;
        }
        for sent in items {
            if !balance.sent.contains(&sent.tag) {
                balance.sent.push(sent.tag.clone());
            }
        }
    }
    for tag in &balance.sent {
        let list = match custody.get(tag).map(|state| (state.gone, state.holder)) {
            Some((Some(Gone::UsedUp | Gone::Destroyed | Gone::WrittenOff), _)) => {
                &mut balance.spent
            }
            Some((None, Holder::Office | Holder::Patient)) => &mut balance.back,
            _ => &mut balance.owed,
        };
        list.push(tag.clone());
    }
    balance
}
