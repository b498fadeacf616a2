//! A handoff: a release by one party and its receipt by the other; between them the carrier holds the items.

use crate::domain::custody::{
    Event, Found, Outcome, Parcel, ParcelFound, SealFound, Sent, What, purpose_words,
};
use crate::domain::people::party::{Actor, Side};
use crate::domain::values::ids::Tag;
use crate::domain::values::moment::Moment;
use crate::domain::values::words_of;

words_of! {
    /// Where a handoff stands.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub enum HandoffState {
        OnTheWay = "on the way",
        /// A box is not here yet, or some items were missing and have not turned up.
        PartReceived = "received in part",
        Received = "received",
        /// Taken back by the side that had released it: it never left.
        Voided = "taken back, it never left",
    }
}

/// A handoff as the events tell it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Handoff {
    pub id: String,
    pub from: Side,
    pub to: Side,
    pub sent: Vec<Sent>,
    pub carrier: String,
    pub tracking: String,
    /// What it is for: the word of the list and what was added.
    pub purpose: String,
    /// The boxes, one at least; the first is number 1.
    pub parcels: Vec<Parcel>,
    pub released_at: Moment,
    pub released_by: Actor,
    /// What was found, item by item; the last word on each.
    pub found: Vec<Found>,
    pub received_at: Option<Moment>,
    pub received_by: Option<Actor>,
    pub unannounced: Vec<String>,
    /// Every box that has come, as it was found.
    pub opened: Vec<ParcelFound>,
    pub voided: Option<(Actor, Moment, String)>,
    /// Given up by the side that handed it over.
    pub written_off: Vec<Tag>,
    /// Found at home again by the side that handed it over: it had never been packed.
    pub not_packed: Vec<Tag>,
}

impl Handoff {
    /// The numbers of the boxes that are not here yet.
    pub fn waiting(&self) -> Vec<u32> {
        let count = u32::try_from(self.parcels.len()).unwrap_or(u32::MAX);
        (1..=count)
            .filter(|number| !self.opened.iter().any(|one| one.parcel == *number))
            .filter(|_| self.voided.is_none())
            .collect()
    }

    /// The box that an item was packed in.
    pub fn parcel_of(&self, tag: &Tag) -> u32 {
        let sent = self.sent.iter().find(|sent| sent.tag == *tag);
        sent.map_or(1, Sent::parcel)
    }

    /// Sent, not yet found, not given up and not taken back.
    pub fn outstanding(&self) -> Vec<&Tag> {
        if self.voided.is_some() {
            return Vec::new();
        }
        let is_found = |tag: &Tag| {
            self.found
                .iter()
                .any(|found| found.tag == *tag && found.outcome != Outcome::Missing)
        };
        self.sent
            .iter()
            .map(|sent| &sent.tag)
            .filter(|tag| !is_found(tag))
            .filter(|tag| !self.written_off.contains(tag) && !self.not_packed.contains(tag))
            .collect()
    }

    fn is_waiting_for(&self, tag: &Tag) -> bool {
        self.outstanding().contains(&tag)
    }

    pub fn state(&self) -> HandoffState {
        if self.voided.is_some() {
            return HandoffState::Voided;
        }
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
                purpose_code,
                purpose,
                seal,
                parcels,
                ..
            } => {
                handoffs.push(Handoff {
                    id: handoff.clone(),
                    from: *from,
                    to: *to,
                    sent: items.clone(),
                    carrier: carrier.clone(),
                    tracking: tracking.clone(),
                    purpose: purpose_words(*purpose_code, purpose),
                    parcels: boxes(parcels, seal),
                    released_at: event.at,
                    released_by: event.by.clone(),
                    found: Vec::new(),
                    received_at: None,
                    received_by: None,
                    unannounced: Vec::new(),
                    opened: Vec::new(),
                    voided: None,
                    written_off: Vec::new(),
                    not_packed: Vec::new(),
                });
            }
            What::Received {
                handoff,
                items,
                unannounced,
                parcels,
                ..
            } => {
                if let Some(open) = handoffs.iter_mut().find(|one| one.id == *handoff) {
                    receive(open, event, items, unannounced);
                    open_boxes(open, parcels);
                }
            }
            What::Voided {
                handoff, reason, ..
            } => {
                if let Some(open) = handoffs.iter_mut().find(|one| one.id == *handoff) {
                    open.voided = Some((event.by.clone(), event.at, reason.clone()));
                }
            }
            What::WrittenOff { tag, .. } => {
                if let Some(open) = handoffs.iter_mut().find(|one| one.is_waiting_for(tag)) {
                    open.written_off.push(tag.clone());
                }
            }
            What::Settled {
                tag: Some(tag),
                not_packed: true,
                ..
            } => {
                if let Some(open) = handoffs.iter_mut().find(|one| one.is_waiting_for(tag)) {
                    open.not_packed.push(tag.clone());
                }
            }
            _ => {}
        }
    }
    handoffs
}

/// The boxes of a release; one that tells of none is one box with the seal named beside it.
fn boxes(parcels: &[Parcel], seal: &str) -> Vec<Parcel> {
    if parcels.is_empty() {
        vec![Parcel {
            seal: seal.to_owned(),
            ..Parcel::default()
        }]
    } else {
        parcels.to_vec()
    }
}

/// Notes the boxes that have come; a receipt that tells of no boxes opens all of them.
fn open_boxes(handoff: &mut Handoff, parcels: &[ParcelFound]) {
    if parcels.is_empty() {
        let all = handoff.waiting().into_iter().map(|parcel| ParcelFound {
            parcel,
            seal: SealFound::None,
            number: String::new(),
        });
        let all: Vec<ParcelFound> = all.collect();
        handoff.opened.extend(all);
    } else {
        let here = parcels
            .iter()
            .filter(|one| one.seal != SealFound::NotHere)
            .cloned();
        handoff.opened.extend(here);
    }
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
