//! A handoff: a release by one party and its receipt by the other; between the pick-up and the receipt the
//! carrier holds the items.

use super::parcel::{Found, Outcome, Parcel, ParcelFound, SealFound, Sent};
use super::purpose::Purpose;
use crate::domain::people::party::{Actor, Side};
use crate::domain::values::ids::{HandoffId, Tag};
use crate::domain::values::moment::Moment;
use crate::domain::values::words_of;

words_of! {
    /// Where a handoff stands.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub enum HandoffState {
        /// The carrier has not come yet: the sender holds the parcels and answers for them.
        Packed = "packed, waits for the carrier",
        OnTheWay = "on the way",
        /// A parcel is not here yet, or some items were missing and have not turned up.
        PartReceived = "received in part",
        Received = "received",
        /// Taken back by the side that had released it: it never left.
        Voided = "taken back, it never left",
        /// Taken back after the carrier had it, before anybody received it.
        BroughtBack = "taken back after its pick-up, it never arrived",
    }
}

/// The carrier's hand at the door.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PickUp {
    /// Name or initials of who took the parcels, as given.
    pub person: String,
    pub at: Moment,
    /// Who handed them out, with the house.
    pub handed_out_by: String,
}

/// A handoff as the events tell it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Handoff {
    pub id: HandoffId,
    pub from: Side,
    pub to: Side,
    pub sent: Vec<Sent>,
    pub carrier: String,
    pub tracking: String,
    /// What it is for, by the list; none in an entry from before there was one.
    pub purpose_code: Option<Purpose>,
    /// What it is for: the word of the list and what was added.
    pub purpose: String,
    /// The parcels, one at least; the first is number 1.
    pub parcels: Vec<Parcel>,
    pub released_at: Moment,
    pub released_by: Actor,
    /// Released before the carrier came: it leaves with a pick-up that is entered later.
    pub awaits_pickup: bool,
    /// None while it waits, where nobody entered it, and of releases from before pick-ups were written down.
    pub picked_up: Option<PickUp>,
    /// What was found, item by item; the last word on each.
    pub found: Vec<Found>,
    pub received_at: Option<Moment>,
    pub received_by: Option<Actor>,
    pub unannounced: Vec<String>,
    /// Every parcel that has come, as it was found.
    pub opened: Vec<ParcelFound>,
    pub voided: Option<(Actor, Moment, String)>,
    /// Given up by the side that handed it over.
    pub written_off: Vec<Tag>,
    /// Found at home again by the side that handed it over: it had never been packed.
    pub not_packed: Vec<Tag>,
    /// The revision that its work is said to be as, though it was made or packed before that was signed.
    pub as_revision: Option<i64>,
    /// The revision in force, where what it follows was changed at the chair after it was signed, and the lab works from
    /// that as it comes.
    pub as_it_comes: Option<i64>,
    /// The dentist has signed at the release that a provisional leaves without cover.
    pub excepted: bool,
    /// The numbers of parcels that the carrier brought back to the sender, after others had come.
    pub brought_back: Vec<u32>,
    /// How often something had gone into a mouth or come out of it when it was entered: of one minute the order tells.
    pub turns_before: usize,
}

impl Handoff {
    /// Whether it waits at its sender's for the carrier.
    pub fn is_packed(&self) -> bool {
        self.never_left() && self.voided.is_none()
    }

    /// Whether the office sends it to be worked on.
    pub fn is_for_work(&self) -> bool {
        let is_sent = self.from == Side::Office;
        is_sent && self.purpose_code.is_some_and(Purpose::is_for_work)
    }

    /// The numbers of the parcels that are not here yet.
    pub fn waiting(&self) -> Vec<u32> {
        let count = u32::try_from(self.parcels.len()).unwrap_or(u32::MAX);
        (1..=count)
            .filter(|number| !self.opened.iter().any(|one| one.parcel == *number))
            .filter(|number| !self.brought_back.contains(number))
            .filter(|_| self.voided.is_none())
            .collect()
    }

    /// The parcel that an item was packed in.
    pub fn parcel_of(&self, tag: &Tag) -> u32 {
        self.sent_item(tag).map_or(1, Sent::parcel)
    }

    /// An item as it was sent; none if it did not go with this handoff.
    pub fn sent_item(&self, tag: &Tag) -> Option<&Sent> {
        self.sent.iter().find(|sent| sent.tag == *tag)
    }

    /// Whether an item was sent with it.
    pub fn carries(&self, tag: &Tag) -> bool {
        self.sent_item(tag).is_some()
    }

    /// An item as it was found on receipt; none before.
    pub fn found_item(&self, tag: &Tag) -> Option<&Found> {
        Found::of(&self.found, tag)
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
            .filter(|tag| !self.brought_back.contains(&self.parcel_of(tag)))
            .collect()
    }

    /// What its sender can still take back: all of it, or, once a parcel has come, what is in those that have not.
    pub fn to_take_back(&self) -> Vec<&Tag> {
        if self.received_at.is_none() {
            return self.sent.iter().map(|sent| &sent.tag).collect();
        }
        let waiting = self.waiting();
        let mut tags = self.outstanding();
        tags.retain(|tag| waiting.contains(&self.parcel_of(tag)));
        tags
    }

    /// Whether the carrier is known to have had it.
    pub fn has_left(&self) -> bool {
        self.picked_up.is_some() || self.received_at.is_some()
    }

    /// Whether it was packed for a carrier who has never had it, taken back or not.
    pub fn never_left(&self) -> bool {
        self.awaits_pickup && !self.has_left()
    }

    /// Whether an earlier receipt has said that it was missing: it may turn up, and is not asked for again.
    pub fn was_missed(&self, tag: &Tag) -> bool {
        let mut found = self.found.iter();
        found.any(|found| found.tag == *tag && found.outcome == Outcome::Missing)
    }

    /// Notes the parcels that have come; a receipt that tells of none opens all of them.
    pub fn open(&mut self, parcels: &[ParcelFound]) {
        let here = |one: &&ParcelFound| one.seal != SealFound::NotHere;
        let came: Vec<ParcelFound> = if parcels.is_empty() {
            let all = self.waiting().into_iter();
            all.map(ParcelFound::without_a_word).collect()
        } else {
            parcels.iter().filter(here).cloned().collect()
        };
        self.opened.extend(came);
    }

    pub fn state(&self) -> HandoffState {
        if self.voided.is_some() {
            return match self.picked_up {
                Some(_) => HandoffState::BroughtBack,
                None => HandoffState::Voided,
            };
        }
        if self.is_packed() {
            return HandoffState::Packed;
        }
        match (self.received_at, self.outstanding().is_empty()) {
            (None, _) => HandoffState::OnTheWay,
            (Some(_), false) => HandoffState::PartReceived,
            (Some(_), true) => HandoffState::Received,
        }
    }
}
