//! What a release, a receipt and a taking back must say: boxes, seals, items.

use super::{Proposal, Rule};
use crate::domain::custody::event::{Found, Parcel, ParcelFound, SealFound, Sent};
use crate::domain::custody::handoff::Handoff;
use crate::domain::people::party::Side;
use crate::domain::values::ids::Tag;

impl Proposal<'_> {
    /// Every item lies in a box of this release, and no box travels empty.
    pub(super) fn form_parcels(&mut self, items: &[Sent], parcels: &[Parcel]) {
        let count = u32::try_from(parcels.len().max(1)).unwrap_or(u32::MAX);
        for sent in items.iter().filter(|sent| sent.parcel() > count) {
            let sentence = format!("There is no box {} in this release.", sent.parcel());
            self.refuse(Rule::Form, Some(&sent.tag), sentence);
        }
        for number in 1..=count {
            if !items.is_empty() && !items.iter().any(|sent| sent.parcel() == number) {
                let sentence = format!(
                    "Box {number} holds none of the items: put one in, or leave the box out."
                );
                self.refuse(Rule::Form, None, sentence);
            }
        }
    }

    pub(super) fn form_received(&mut self, items: &[Found], place: Side, parcels: &[ParcelFound]) {
        if place != self.side {
            self.refuse(Rule::Right, None, "One receives for one's own side.");
        }
        let Some(handoff) = self.handoff().cloned() else {
            self.refuse(Rule::Form, None, "There is no such handoff in this case.");
            return;
        };
        if handoff.to != self.side {
            self.refuse(Rule::Right, None, "This handoff goes to the other side.");
        }
        let outstanding = handoff.outstanding();
        if outstanding.is_empty() {
            self.refuse(
                Rule::F,
                None,
                "All of this handoff has been received already.",
            );
        }
        let here = self.boxes_here(&handoff, parcels);
        let is_here = |tag: &Tag| here.contains(&handoff.parcel_of(tag));
        for tag in outstanding.iter().filter(|tag| is_here(tag)) {
            if !items.iter().any(|found| found.tag == **tag) {
                let named = self.context.named(tag);
                self.refuse(
                    Rule::Form,
                    Some(tag),
                    format!("Say what you found of {named}; “missing” is an answer."),
                );
            }
        }
        for found in items {
            if !outstanding.contains(&&found.tag) {
                let named = self.context.named(&found.tag);
                self.refuse(
                    Rule::Form,
                    Some(&found.tag),
                    format!("{named} is not awaited with this handoff."),
                );
            } else if !is_here(&found.tag) {
                let named = self.context.named(&found.tag);
                self.refuse(
                    Rule::Form,
                    Some(&found.tag),
                    format!("{named} is in a box that is not here yet."),
                );
            }
        }
        self.no_item_twice();
    }

    /// The boxes that are open once this receipt stands; what is in the others stays on the way.
    fn boxes_here(&mut self, handoff: &Handoff, parcels: &[ParcelFound]) -> Vec<u32> {
        let waiting = handoff.waiting();
        let mut here: Vec<u32> = handoff.opened.iter().map(|one| one.parcel).collect();
        if parcels.is_empty() {
            here.extend(waiting);
            return here;
        }
        for (place, one) in parcels.iter().enumerate() {
            let is_twice = parcels
                .iter()
                .take(place)
                .any(|earlier| earlier.parcel == one.parcel);
            if is_twice || !waiting.contains(&one.parcel) {
                let sentence = format!("Box {} is not awaited with this handoff.", one.parcel);
                self.refuse(Rule::Form, None, sentence);
            }
        }
        for number in &waiting {
            if !parcels.iter().any(|one| one.parcel == *number) {
                let sentence = format!("Say how box {number} came; “not here yet” is an answer.");
                self.refuse(Rule::Form, None, sentence);
            }
        }
        let came = parcels.iter().filter(|one| one.seal != SealFound::NotHere);
        here.extend(came.map(|one| one.parcel));
        if here.is_empty() {
            self.refuse(
                Rule::Form,
                None,
                "None of the boxes is here yet: there is nothing to receive.",
            );
        }
        here
    }

    /// Only the side that released takes back, all of it, and only while nobody has received any of it.
    pub(super) fn form_voided(&mut self, id: &str, items: &[Tag], reason: &str) {
        let Some(handoff) = self.handoffs.iter().find(|one| one.id == id).cloned() else {
            self.refuse(Rule::Form, None, "There is no such handoff in this case.");
            return;
        };
        if handoff.from != self.side {
            self.refuse(
                Rule::Right,
                None,
                "Only the side that handed it over takes it back.",
            );
        }
        if handoff.voided.is_some() {
            self.refuse(Rule::F, None, "This handoff is taken back already.");
        } else if handoff.received_at.is_some() {
            self.refuse(
                Rule::F,
                None,
                "The other side has received it: what comes back now is a handoff of its own.",
            );
        }
        let sent: Vec<&Tag> = handoff.sent.iter().map(|sent| &sent.tag).collect();
        if sent != items.iter().collect::<Vec<_>>() {
            self.refuse(Rule::Form, None, "A handoff is taken back whole.");
        }
        if reason.trim().is_empty() {
            self.refuse(Rule::Form, None, "Say why it never left.");
        }
    }
}
