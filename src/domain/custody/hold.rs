//! Holds: what was found wrong and is not resolved yet, and whose task it is.
//!
//! A hold is opened by a fact (a receipt, or a count at a release) and ended by a fact: the signed
//! statement of the side that has to answer, or the missing thing itself that turns up or is written off.
//! The side that packed answers, whatever is wrong: it alone knows what it sent, and it chose the carrier.
//! A thing without a mark of disinfection is another matter, which the receiver ends with an entry of its
//! own (rule h). Nothing is ever edited. That the receiver stops and reports, and that a flaw is set right by a signed
//! statement of the side that made it, follows the chain of custody of specimens (49 CFR 40.83 and 40.199).

use super::held::{HoldReason, ItemName, Miscount};
use super::item::Item;
use super::parcel::{SealFound, Sent};
use super::stamp::Stamp;
use crate::domain::people::party::Side;
use crate::domain::values::ids::{EventId, HandoffId, HoldId, Tag};
use crate::domain::values::moment::Moment;
use crate::domain::values::words_of;
use serde::{Deserialize, Serialize};

words_of! {
    /// What is the matter with something that came.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
    #[serde(rename_all = "snake_case")]
    pub enum Trouble {
        SealBroken = "the seal was broken",
        OtherSeal = "another seal than the one that was sent",
        NoSeal = "no seal, though one was sent",
        Missing = "missing from the parcel",
        Damaged = "arrived damaged",
        NotAsDescribed = "not as described",
        WrongCount = "another number of pieces",
        Unannounced = "something that was not announced",
        DamagedHere = "damaged where it is",
    }
}

/// Something to be resolved.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Hold {
    pub id: HoldId,
    pub trouble: Trouble,
    /// The item it is about; none for a parcel or a thing that is not ours.
    pub tag: Option<Tag>,
    pub handoff: HandoffId,
    pub parcel: u32,
    /// The side that has to answer: the one that packed, or the one in whose house it happened.
    pub side: Side,
    pub since: Moment,
    /// What the receiver wrote, the two numbers of pieces or the two seals.
    pub detail: String,
    /// The two numbers of pieces, where that is the trouble.
    pub miscount: Option<Miscount>,
    /// Items that wait until it is resolved.
    pub waiting: Vec<Tag>,
    pub ended: Option<Ended>,
    /// The event that ended it.
    pub ended_by: Option<EventId>,
}

/// How a hold ended.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Ended {
    /// By the statement with this event id.
    Resolved(EventId),
    TurnedUp,
    WrittenOff,
}

impl Hold {
    /// About an item, which waits; `about` is the handoff and the side that packed.
    pub fn of_item(
        stamp: &Stamp<'_>,
        trouble: Trouble,
        about: (&HandoffId, Side),
        sent: &Sent,
        detail: String,
    ) -> Hold {
        Hold {
            tag: Some(sent.tag.clone()),
            detail,
            waiting: vec![sent.tag.clone()],
            ..Hold::of_parcel(stamp, trouble, about, sent.parcel())
        }
    }

    /// About a parcel, or what came along with it.
    pub fn of_parcel(
        stamp: &Stamp<'_>,
        trouble: Trouble,
        (handoff, side): (&HandoffId, Side),
        parcel: u32,
    ) -> Hold {
        Hold {
            id: HoldId::default(),
            trouble,
            tag: None,
            handoff: handoff.to_owned(),
            parcel,
            side,
            since: stamp.at,
            detail: String::new(),
            miscount: None,
            waiting: Vec::new(),
            ended: None,
            ended_by: None,
        }
    }

    /// About an item of which another number of pieces was counted.
    pub fn of_count(
        stamp: &Stamp<'_>,
        miscount: Miscount,
        about: (&HandoffId, Side),
        sent: &Sent,
    ) -> Hold {
        let detail = miscount.to_string();
        Hold {
            miscount: Some(miscount),
            ..Hold::of_item(stamp, Trouble::WrongCount, about, sent, detail)
        }
    }

    pub fn is_open(&self) -> bool {
        self.ended.is_none()
    }

    /// Whether something waits for it; what came along and is no item of the case keeps nothing back.
    pub fn keeps_back(&self) -> bool {
        self.trouble != Trouble::Unannounced || !self.waiting.is_empty()
    }

    /// What it is about, as lists keep it.
    pub fn reason(&self, items: &[Item]) -> HoldReason {
        // A hold is never about an item that is not of the case.
        let item = self.tag.as_ref().and_then(|tag| Item::of(items, tag));
        let item = item.map_or(ItemName::UNKNOWN, ItemName::from);
        match (self.trouble, self.miscount) {
            (Trouble::Missing, _) => HoldReason::Missing(item),
            (Trouble::Damaged, _) => HoldReason::Damaged(item),
            (Trouble::DamagedHere, _) => HoldReason::DamagedAt(item, self.side),
            (Trouble::WrongCount, Some(miscount)) => HoldReason::Miscounted(item, miscount),
            // A wrong count always has its two numbers; see `of_count`.
            (Trouble::NotAsDescribed | Trouble::WrongCount, _) => HoldReason::NotAsDescribed(item),
            (Trouble::SealBroken, _) => HoldReason::SealBroken(self.parcel),
            (Trouble::OtherSeal, _) => HoldReason::OtherSeal(self.parcel),
            (Trouble::NoSeal, _) => HoldReason::NoSeal(self.parcel),
            (Trouble::Unannounced, _) => HoldReason::Unannounced,
        }
    }

    /// "Bite record was missing from the parcel", to be read inside a sentence.
    pub fn words(&self, items: &[Item]) -> String {
        self.reason(items).to_string()
    }
}

/// What is wrong with a parcel, seal against seal. Spaces, hyphens and small letters make no other number.
pub fn seal_trouble(sent: &str, found: SealFound, read: &str) -> Option<Trouble> {
    match (plain(sent).is_empty(), found) {
        (_, SealFound::NotHere) | (true, SealFound::None) => None,
        (_, SealFound::Broken) => Some(Trouble::SealBroken),
        (false, SealFound::None) => Some(Trouble::NoSeal),
        (_, SealFound::Intact) => (plain(sent) != plain(read)).then_some(Trouble::OtherSeal),
    }
}

fn plain(seal: &str) -> String {
    seal.chars()
        .filter(|letter| letter.is_alphanumeric())
        .flat_map(char::to_uppercase)
        .collect()
}
