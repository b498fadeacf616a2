//! The other side says, parcel by parcel and item by item, what came.

use super::kind::{Constants, ErasablePlace, EventKind, Named, Sentence};
use super::phrases::{counted, is_false, prefixed};
use crate::domain::custody::case_state::CaseState;
use crate::domain::custody::handoff::Handoff;
use crate::domain::custody::held::Miscount;
use crate::domain::custody::hold::{Ended, Hold, Trouble, seal_trouble};
use crate::domain::custody::parcel::{Found, Outcome, ParcelFound, SealFound, Sent};
use crate::domain::custody::proposal::{CustodyRule, ProposedEvent};
use crate::domain::custody::sign::{OnLine, Sign};
use crate::domain::custody::stamp::Stamp;
use crate::domain::custody::state::{Condition, Holder, State};
use crate::domain::people::party::Side;
use crate::domain::values::ids::{AccountId, HandoffId, Tag};
use serde::{Deserialize, Serialize};

/// Received, as it was found.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Received {
    pub handoff: HandoffId,
    pub place: Side,
    pub items: Vec<Found>,
    pub unannounced: String,
    /// The parcels as they came; none where the receipt tells of none.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub parcels: Vec<ParcelFound>,
    /// The code on a thing that came along and was not announced.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub foreign: String,
    /// It came, and nobody had entered that the carrier picked it up.
    #[serde(default, skip_serializing_if = "is_false")]
    pub no_pick_up: bool,
}

impl Constants for Received {
    const WORD: &'static str = "received";
    const MISTAKEN: Option<&'static str> = Some("received");
    const OPEN: &'static [&'static str] = &[
        "handoff",
        "place",
        "items/*/tag",
        "items/*/outcome",
        "parcels/*/came",
    ];
    const ERASABLE: &'static [ErasablePlace] = &[
        ("/what/items/*/note", "note on receipt"),
        ("/what/unannounced", "what came unannounced"),
    ];
}

impl EventKind for Received {
    fn tags(&self) -> Vec<&Tag> {
        self.items.iter().map(|found| &found.tag).collect()
    }

    fn check(&self, proposal: &mut ProposedEvent<'_>) {
        if self.place != proposal.side {
            proposal.refuse(CustodyRule::Right, None, "One receives for one's own side.");
        }
        let Some(handoff) = proposal.handoff(&self.handoff).cloned() else {
            let sentence = "There is no such handoff in this case.";
            proposal.refuse(CustodyRule::Form, None, sentence);
            return;
        };
        if handoff.to != proposal.side {
            let sentence = "This handoff goes to the other side.";
            proposal.refuse(CustodyRule::Right, None, sentence);
        }
        if self.no_pick_up != handoff.is_packed() {
            let sentence = "Whether the carrier's pick-up was entered has changed meanwhile: look at the handoff again.";
            proposal.refuse(CustodyRule::Form, None, sentence);
        }
        self.check_items(proposal, &handoff);
        proposal.no_item_twice(&self.tags());
    }

    fn apply(&self, case: &mut CaseState, stamp: &Stamp<'_>) {
        case.end(stamp, &Ended::TurnedUp, |hold| {
            let tag = hold.tag.as_ref();
            hold.trouble == Trouble::Missing && tag.is_some_and(|tag| self.has(tag))
        });
        if let Some(handoff) = case.handoff(&self.handoff).cloned() {
            let wrong = self.found_wrong(case, &handoff, stamp);
            case.open(stamp, wrong);
            if handoff.is_packed() {
                self.let_the_others_leave(case, &handoff);
            }
        }
        for found in &self.items {
            let is_described = case.handoff(&self.handoff).is_some_and(|one| {
                let mut sent = one.sent.iter();
                sent.any(|sent| sent.tag == found.tag && !sent.condition.is_empty())
            });
            case.change(&found.tag, |state| {
                let before = state.condition;
                receive(state, found, self.place);
                // “As described” is as it was sent.
                if is_described && found.outcome == Outcome::Sound {
                    state.condition = before;
                }
            });
        }
        let handoffs = case.handoffs.iter_mut();
        for handoff in handoffs.filter(|one| one.id == self.handoff) {
            self.note_in(handoff, stamp);
        }
    }

    fn describe(&self, named: Named<'_>) -> Sentence {
        let mut details: Vec<String> = self.parcels.iter().map(ParcelFound::words).collect();
        details.extend(self.items.iter().map(|found| {
            let mark = match (found.outcome, found.marked_disinfected) {
                (Outcome::Missing, _) => "",
                (_, true) => ", marked as disinfected",
                (_, false) => ", no mark of disinfection",
            };
            format!(
                "{}: {}{}{mark}{}",
                named(&found.tag),
                found.outcome.shown(),
                prefixed(", ", &counted(found.pieces)),
                prefixed(". ", &found.note)
            )
        }));
        if self.no_pick_up {
            details.push("No pick-up by the carrier was entered.".to_owned());
        }
        let foreign = match Tag::parse(&self.foreign) {
            Ok(tag) => named(&tag),
            Err(_) => self.foreign.clone(),
        };
        details.push(prefixed("Code on the extra item: ", &foreign));
        details.push(prefixed(
            "Also in the parcel, not announced: ",
            &self.unannounced,
        ));
        let place = Holder::of(self.place).place();
        (format!("Received {place}"), details)
    }

    fn sign(&self, on: OnLine<'_>) -> Option<Sign> {
        let found = Found::of(&self.items, on.tag)?;
        match found.outcome {
            Outcome::Missing => Some(Sign::Missing),
            Outcome::Damaged | Outcome::NotAsDescribed => Some(Sign::Wrong),
            Outcome::Sound if on.is_unmarked => Some(Sign::Unmarked),
            Outcome::Sound => on.is_held.then_some(Sign::Wrong),
        }
    }

    /// Without an entered pick-up, what is in the parcels that are not here yet has left its house all the same.
    fn shows_on(&self, case: &CaseState) -> Vec<Tag> {
        let handoff = case.handoff(&self.handoff).filter(|_| self.no_pick_up);
        let sent = handoff.into_iter().flat_map(|one| &one.sent);
        let others = sent.filter(|sent| !self.has(&sent.tag));
        others.map(|sent| sent.tag.clone()).collect()
    }

    fn wanted_holder(&self, side: Side) -> Option<Holder> {
        Some(Holder::Carrier { to: side })
    }

    fn may_touch_packed(&self) -> bool {
        true
    }

    fn other_than<'a>(&self, proposal: &ProposedEvent<'a>) -> Option<&'a AccountId> {
        let handoff = proposal.handoff(&self.handoff);
        handoff.map(|handoff| &handoff.released_by.account)
    }

    fn may_precede_disinfection(&self) -> bool {
        true
    }

    /// Whoever finds that something is missing does not answer for it: the carrier still does.
    fn makes_answerable(&self, tag: &Tag) -> bool {
        self.items
            .iter()
            .all(|found| found.tag != *tag || found.outcome != Outcome::Missing)
    }
}

impl Received {
    /// All of it came, and sound.
    pub fn sample(handoff: &Handoff) -> Received {
        let items = handoff.outstanding().into_iter().cloned();
        Received {
            handoff: handoff.id.clone(),
            place: handoff.to,
            items: items.map(Found::sound).collect(),
            unannounced: String::new(),
            parcels: Vec::new(),
            foreign: String::new(),
            no_pick_up: handoff.is_packed(),
        }
    }

    /// Whether an item is here.
    fn has(&self, tag: &Tag) -> bool {
        let mut items = self.items.iter();
        items.any(|found| found.tag == *tag && found.outcome != Outcome::Missing)
    }

    /// What came says that all of the handoff has left its house: what is not here, the carrier has.
    fn let_the_others_leave(&self, case: &mut CaseState, handoff: &Handoff) {
        for sent in handoff.sent.iter().filter(|sent| !self.has(&sent.tag)) {
            case.change(&sent.tag, |state| {
                state.leave_with(&handoff.carrier, handoff.to);
            });
        }
    }

    fn check_items(&self, proposal: &mut ProposedEvent<'_>, handoff: &Handoff) {
        let outstanding = handoff.outstanding();
        if outstanding.is_empty() {
            let sentence = "All of this handoff has been received already.";
            proposal.refuse(CustodyRule::F, None, sentence);
        }
        let here = self.parcels_here(proposal, handoff);
        let is_here = |tag: &Tag| here.contains(&handoff.parcel_of(tag));
        // What was said to be missing stays missing until it turns up.
        let is_new = |tag: &&&Tag| is_here(tag) && !handoff.was_missed(tag);
        if self.items.is_empty() && self.parcels.is_empty() && !outstanding.is_empty() {
            let sentence = "Say what has come: nothing else is awaited with this handoff.";
            proposal.refuse(CustodyRule::Form, None, sentence);
        }
        for tag in outstanding.iter().filter(is_new) {
            if !self.items.iter().any(|found| found.tag == **tag) {
                let named = proposal.named(tag);
                let sentence = format!(
                    "Say what you found of {named}: sound, damaged, not as described, or missing."
                );
                proposal.refuse(CustodyRule::Form, Some(tag), sentence);
            }
        }
        for found in &self.items {
            let named = proposal.named(&found.tag);
            let sentence = if !outstanding.contains(&&found.tag) {
                format!("{named} is not awaited with this handoff.")
            } else if !is_here(&found.tag) {
                format!("{named} is in a parcel that is not here yet.")
            } else {
                continue;
            };
            proposal.refuse(CustodyRule::Form, Some(&found.tag), sentence);
        }
    }

    /// The parcels that are open once this receipt stands; what is in the others stays on the way.
    fn parcels_here(&self, proposal: &mut ProposedEvent<'_>, handoff: &Handoff) -> Vec<u32> {
        let waiting = handoff.waiting();
        let mut here: Vec<u32> = handoff.opened.iter().map(|one| one.parcel).collect();
        if self.parcels.is_empty() {
            here.extend(waiting);
            return here;
        }
        self.check_parcels(proposal, &waiting);
        let came = self.parcels.iter();
        let came = came.filter(|one| one.seal != SealFound::NotHere);
        here.extend(came.map(|one| one.parcel));
        if here.is_empty() {
            let sentence = "None of the parcels is here yet: there is nothing to receive.";
            proposal.refuse(CustodyRule::Form, None, sentence);
        }
        here
    }

    /// Each parcel that is awaited is told of once, and no other.
    fn check_parcels(&self, proposal: &mut ProposedEvent<'_>, waiting: &[u32]) {
        for (place, one) in self.parcels.iter().enumerate() {
            let mut earlier = self.parcels.iter().take(place);
            let is_twice = earlier.any(|earlier| earlier.parcel == one.parcel);
            if is_twice || !waiting.contains(&one.parcel) {
                let sentence = format!("Parcel {} is not awaited with this handoff.", one.parcel);
                proposal.refuse(CustodyRule::Form, None, sentence);
            }
        }
        for number in waiting {
            if !self.parcels.iter().any(|one| one.parcel == *number) {
                let sentence =
                    format!("Say how parcel {number} came; “not here yet” is an answer.");
                proposal.refuse(CustodyRule::Form, None, sentence);
            }
        }
    }

    fn note_in(&self, handoff: &mut Handoff, stamp: &Stamp<'_>) {
        handoff.received_at = Some(stamp.at);
        handoff.received_by = Some(stamp.by.clone());
        for found in &self.items {
            handoff.found.retain(|earlier| earlier.tag != found.tag);
            handoff.found.push(found.clone());
        }
        if !self.unannounced.is_empty() {
            handoff.unannounced.push(self.unannounced.clone());
        }
        handoff.open(&self.parcels);
    }

    /// Everything that a receipt reports as wrong.
    fn found_wrong(&self, case: &CaseState, handoff: &Handoff, stamp: &Stamp<'_>) -> Vec<Hold> {
        let mut wrong: Vec<Hold> = Vec::new();
        for one in &self.parcels {
            wrong.extend(self.parcel_wrong(handoff, one, stamp));
        }
        for found in &self.items {
            let sent = handoff.sent_item(&found.tag);
            wrong
                .extend(sent.and_then(|sent| self.item_wrong(case, handoff, (sent, found), stamp)));
        }
        if !self.unannounced.is_empty() || !self.foreign.is_empty() {
            wrong.push(self.extra_wrong(case, handoff, stamp));
        }
        wrong
    }

    /// Something that came along. Where it carries the code of a thing of this case, the house that has it by the record
    /// says where it is, and nothing is done with it before.
    fn extra_wrong(&self, case: &CaseState, handoff: &Handoff, stamp: &Stamp<'_>) -> Hold {
        let own = Tag::parse(&self.foreign).ok();
        let own = own.and_then(|tag| Some((case.item(&tag)?, tag)));
        let recorded = own.as_ref().map(|(state, _)| match state.worn {
            true => "the record has it in the patient’s mouth".to_owned(),
            false => format!("the record has it {}", state.holder.place()),
        });
        let detail = [self.foreign.as_str(), self.unannounced.as_str()];
        let detail = detail.into_iter().map(str::to_owned).chain(recorded);
        let detail: Vec<String> = detail.filter(|text| !text.is_empty()).collect();
        let side = match own.as_ref().map(|(state, _)| state.holder) {
            Some(Holder::Lab | Holder::Passed(_)) => Side::Lab,
            Some(Holder::Office | Holder::Patient) => Side::Office,
            Some(Holder::Carrier { .. }) | None => handoff.from,
        };
        Hold {
            detail: detail.join(": "),
            waiting: Vec::from_iter(own.map(|(_, tag)| tag)),
            ..Hold::of_parcel(stamp, Trouble::Unannounced, (&handoff.id, side), 1)
        }
    }

    /// A parcel whose seal is not the one that was sent: everything that came in it waits.
    fn parcel_wrong(
        &self,
        handoff: &Handoff,
        found: &ParcelFound,
        stamp: &Stamp<'_>,
    ) -> Option<Hold> {
        let place = usize::try_from(found.parcel).ok()?.checked_sub(1)?;
        let seal = &handoff.parcels.get(place)?.seal;
        let trouble = seal_trouble(seal, found.seal, &found.number)?;
        let came = handoff.sent.iter().filter(|sent| {
            let mut items = self.items.iter();
            sent.parcel() == found.parcel && items.any(|found| found.tag == sent.tag)
        });
        let said = |number: &str| match number {
            "" => "none".to_owned(),
            number => number.to_owned(),
        };
        let about = (&handoff.id, handoff.from);
        Some(Hold {
            detail: format!(
                "Seal sent: {}. Seal read: {}.",
                said(seal),
                said(&found.number)
            ),
            waiting: came.map(|sent| sent.tag.clone()).collect(),
            ..Hold::of_parcel(stamp, trouble, about, found.parcel)
        })
    }

    fn item_wrong(
        &self,
        case: &CaseState,
        handoff: &Handoff,
        (sent, found): (&Sent, &Found),
        stamp: &Stamp<'_>,
    ) -> Option<Hold> {
        let was_missing = case.holds.iter().any(|hold| {
            hold.trouble == Trouble::Missing
                && hold.tag.as_ref() == Some(&sent.tag)
                && hold.handoff == handoff.id
                && hold.ended != Some(Ended::TurnedUp)
        });
        let about = (&handoff.id, handoff.from);
        let of_item = |trouble| Hold::of_item(stamp, trouble, about, sent, found.note.clone());
        match (found.outcome, sent.pieces, found.pieces) {
            // Said once; a further parcel that does not hold it either says nothing new.
            (Outcome::Missing, ..) if was_missing => None,
            (Outcome::Missing, ..) => Some(of_item(Trouble::Missing)),
            (Outcome::Damaged, ..) => Some(of_item(Trouble::Damaged)),
            (Outcome::NotAsDescribed, ..) => Some(of_item(Trouble::NotAsDescribed)),
            (Outcome::Sound, Some(sent_out), Some(here)) if sent_out != here => {
                let miscount = Miscount::In {
                    sent: sent_out,
                    found: here,
                };
                Some(Hold::of_count(stamp, miscount, about, sent))
            }
            (Outcome::Sound, ..) => None,
        }
    }
}

fn receive(state: &mut State, found: &Found, place: Side) {
    if found.outcome == Outcome::Missing {
        // Nobody has it in hand but the carrier, who answers for it until it turns up.
        state.missing = true;
        return;
    }
    state.missing = false;
    state.holder = Holder::of(place);
    state.handoff = None;
    state.packed = false;
    state.pieces = found.pieces.or(state.pieces);
    state.disinfected = false;
    state.held_for_disinfection = !found.marked_disinfected;
    state.uncleaned = true;
    state.condition = match found.outcome {
        Outcome::Damaged => Condition::Damaged,
        Outcome::NotAsDescribed => Condition::NotAsDescribed,
        // The next hands that find it sound end what an earlier receipt said of it.
        Outcome::Sound => Condition::Sound,
        Outcome::Missing => state.condition,
    };
}
