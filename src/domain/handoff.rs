//! A handoff: a release by one party and its receipt by the other; between them the carrier holds the items.

use super::custody::{Event, Found, Outcome, Sent, What};
use super::ids::Tag;
use super::moment::Moment;
use super::party::{Actor, PartyKind, words_of};

/// Where a handoff stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum HandoffState {
    OnTheWay,
    /// Some items were missing from the box and have not turned up.
    PartReceived,
    Received,
}
words_of!(HandoffState {
    OnTheWay = "on_the_way", "on the way";
    PartReceived = "part_received", "received in part";
    Received = "received", "received";
});

/// A handoff as the events tell it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Handoff {
    pub id: String,
    pub from: PartyKind,
    pub to: PartyKind,
    pub sent: Vec<Sent>,
    pub carrier: String,
    pub tracking: String,
    pub purpose: String,
    pub seal: String,
    pub released_at: Moment,
    pub released_by: Actor,
    /// What was found, item by item; the last word on each.
    pub found: Vec<Found>,
    pub received_at: Option<Moment>,
    pub received_by: Option<Actor>,
    pub unannounced: Vec<String>,
    /// Given up by the side that handed it over.
    pub written_off: Vec<Tag>,
}

impl Handoff {
    /// Sent, not yet found, and not given up.
    pub fn outstanding(&self) -> Vec<&Tag> {
        let is_found = |tag: &Tag| {
            self.found
                .iter()
                .any(|found| found.tag == *tag && found.outcome != Outcome::Missing)
        };
        self.sent
            .iter()
            .map(|sent| &sent.tag)
            .filter(|tag| !is_found(tag) && !self.written_off.contains(tag))
            .collect()
    }

    pub fn state(&self) -> HandoffState {
        match (self.received_at, self.outstanding().is_empty()) {
            (None, _) => HandoffState::OnTheWay,
            (Some(_), false) => HandoffState::PartReceived,
            (Some(_), true) => HandoffState::Received,
        }
    }
}

/// All handoffs of a case, in the order they were released.
pub fn fold(events: &[Event]) -> Vec<Handoff> {
    let mut handoffs: Vec<Handoff> = Vec::new();
    for event in events {
        match &event.what {
            What::Released {
                handoff,
                items,
                from,
                to,
                carrier,
                tracking,
                purpose,
                seal,
                ..
            } => {
                handoffs.push(Handoff {
                    id: handoff.clone(),
                    from: *from,
                    to: *to,
                    sent: items.clone(),
                    carrier: carrier.clone(),
                    tracking: tracking.clone(),
                    purpose: purpose.clone(),
                    seal: seal.clone(),
                    released_at: event.at,
                    released_by: event.by.clone(),
                    found: Vec::new(),
                    received_at: None,
                    received_by: None,
                    unannounced: Vec::new(),
                    written_off: Vec::new(),
                });
            }
            What::Received {
                handoff,
                items,
                unannounced,
                ..
            } => {
                if let Some(open) = handoffs.iter_mut().find(|one| one.id == *handoff) {
                    receive(open, event, items, unannounced);
                }
            }
            What::WrittenOff { tag, .. } => {
                let lost = |one: &&mut Handoff| one.outstanding().contains(&tag);
                if let Some(open) = handoffs.iter_mut().find(lost) {
                    open.written_off.push(tag.clone());
                }
            }
            _ => {}
        }
    }
    handoffs
}

fn receive(handoff: &mut Handoff, event: &Event, items: &[Found], unannounced: &str) {
    handoff.received_at = Some(event.at);
    handoff.received_by = Some(event.by.clone());
    for found in items {
        handoff.found.retain(|earlier| earlier.tag != found.tag);
        handoff.found.push(found.clone());
    }
    if !unannounced.is_empty() {
        handoff.unannounced.push(unannounced.to_owned());
    }
}
