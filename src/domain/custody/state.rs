//! Where an item is and how it is.

use super::item_file::FileFacts;
use super::stamp::Stamp;
use crate::domain::people::party::Side;
use crate::domain::values::ids::{EventId, HandoffId, Tag};
use crate::domain::values::moment::Moment;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use time::Date;

/// Who has the item in hand: exactly one at any time (rule a).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Holder {
    Office,
    Lab,
    /// On the way, towards this side.
    Carrier {
        to: Side,
    },
    Patient,
    /// Between the lab and a second one that it has passed work on to, or there.
    Passed(PassedPlace),
}

/// Where a thing is that has gone to a second laboratory.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum PassedPlace {
    There,
    At,
    Back,
}

impl Holder {
    pub fn of(kind: Side) -> Holder {
        match kind {
            Side::Office => Holder::Office,
            Side::Lab => Holder::Lab,
        }
    }

    /// Whether the lab has it, or has passed it on and answers for it.
    pub fn is_with_lab(self) -> bool {
        matches!(self, Holder::Lab | Holder::Passed(_))
    }

    /// Where a thing is, to be read inside a sentence, with the houses by these names.
    pub fn place_in(self, houses: HouseNames<'_>) -> String {
        let name = |side: Side| match side {
            Side::Office => houses.office,
            Side::Lab => houses.lab,
        };
        match self {
            Holder::Office => format!("at {}", houses.office),
            Holder::Lab => format!("at {}", houses.lab),
            Holder::Carrier { to } => format!("on the way to {}", name(to)),
            Holder::Patient => "with the patient".to_owned(),
            Holder::Passed(PassedPlace::There) => format!("on the way to {}", houses.second_lab),
            Holder::Passed(PassedPlace::At) => format!("at {}", houses.second_lab),
            Holder::Passed(PassedPlace::Back) => {
                format!("on the way back from {}", houses.second_lab)
            }
        }
    }

    /// The same with the houses by what they are: "on the way to the lab".
    pub fn place(self) -> String {
        self.place_in(HouseNames::IN_GENERAL)
    }
}

/// What the houses are called where it is said where a thing is.
#[derive(Debug, Clone, Copy)]
pub struct HouseNames<'a> {
    pub office: &'a str,
    pub lab: &'a str,
    pub second_lab: &'a str,
}

impl HouseNames<'static> {
    /// By what they are.
    pub const IN_GENERAL: HouseNames<'static> = HouseNames {
        office: "the office",
        lab: "the lab",
        second_lab: "the second lab",
    };
}

/// How it was found last.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Condition {
    /// Nobody has said otherwise.
    Sound,
    Damaged,
    NotAsDescribed,
}

/// Why nothing can happen to it any more (rule f).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Gone {
    UsedUp,
    Destroyed,
    /// Lost, and given up.
    WrittenOff,
    /// It was never there: that it was registered is withdrawn.
    Mistaken,
}

/// The entry that ended an item.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Ending {
    pub event: EventId,
    pub at: Moment,
    /// What it is said to have gone into.
    pub into: Option<Tag>,
}

/// One item's state.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct State {
    pub holder: Holder,
    /// In the mouth now.
    pub worn: bool,
    /// It was in the mouth when it was registered, and has not been out since: nobody has fitted it here.
    pub came_worn: bool,
    pub condition: Condition,
    /// The receiver did not find it in the parcel.
    pub missing: bool,
    /// A disinfection entry stands since it last changed hands or was in the mouth (rule h).
    pub disinfected: bool,
    /// It came without a mark of disinfection: nothing may be done to it before the receiver's own.
    pub held_for_disinfection: bool,
    pub gone: Option<Gone>,
    /// By which entry it is gone.
    pub ending: Option<Ending>,
    /// An old denture kept back, and where.
    pub withheld: Option<String>,
    /// A duplicate given as the spare.
    pub spare: bool,
    /// How the spare is kept, where that was said.
    pub spare_kept: Option<Spare>,
    /// The patient's own parts are back with the patient.
    pub given_back: bool,
    /// Where it lies inside the house that has it.
    pub place: Option<String>,
    /// Pieces, as they were counted last; none where nobody has counted.
    pub pieces: Option<u32>,
    /// The house that registered it: the lender of a borrowed thing.
    pub home: Side,
    /// When a borrowed thing is due back there.
    pub due_back: Option<Date>,
    /// What it is known by, where it is a file.
    pub file: Option<FileFacts>,
    /// The handoff that it is on.
    pub handoff: Option<HandoffId>,
    /// In a parcel that waits for the carrier: still here, and nothing is done with it.
    pub packed: bool,
    /// It was in the mouth, came out, and has not been to the lab since.
    pub was_taken_out: bool,
    /// It came from the other side, and nobody here has disinfected it since.
    pub uncleaned: bool,
    /// Who answers for it: the last person who took or did something, with the party.
    pub answers: String,
    pub last_at: Moment,
}

/// Every registered item's state.
pub type Custody = BTreeMap<Tag, State>;

/// How a spare is kept.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Spare {
    /// What stands on it, such as the letters "spare" and the day.
    pub mark: String,
    pub place: String,
    /// Who keeps it: the patient, a carer; never a name.
    pub keeper: String,
    pub in_water: bool,
}

impl State {
    /// As it is when it is registered: here, or in the mouth.
    pub fn registered(home: Side, worn: bool, stamp: &Stamp<'_>) -> State {
        State {
            holder: if worn {
                Holder::Patient
            } else {
                Holder::of(home)
            },
            worn,
            came_worn: worn,
            condition: Condition::Sound,
            missing: false,
            disinfected: false,
            held_for_disinfection: false,
            gone: None,
            ending: None,
            withheld: None,
            spare: false,
            spare_kept: None,
            given_back: false,
            place: None,
            pieces: None,
            home,
            due_back: None,
            file: None,
            handoff: None,
            packed: false,
            was_taken_out: false,
            uncleaned: false,
            answers: stamp.answering(),
            last_at: stamp.at,
        }
    }

    /// Whether something can still happen to it (rule f).
    pub fn is_there(&self) -> bool {
        self.gone.is_none()
    }

    /// Where it stays while other things go to the lab, without any word that somebody typed; empty of what is at hand
    /// in the office or on its way.
    pub fn at_rest(&self) -> String {
        let words = match self.holder {
            _ if !self.is_there() || self.missing => "",
            Holder::Office if self.withheld.is_some() => "kept back at the office",
            Holder::Patient if self.worn => "in the mouth",
            Holder::Patient if self.spare => "with the patient, as the spare",
            Holder::Patient | Holder::Lab => return self.holder.place(),
            Holder::Office | Holder::Carrier { .. } | Holder::Passed(_) => "",
        };
        words.to_owned()
    }

    /// Whether it is worn or kept back.
    pub fn stays(&self) -> bool {
        self.worn || self.withheld.is_some()
    }

    /// Whether this house can do something with it: it is there, here, and in no parcel.
    pub fn is_in_hand(&self, house: Side) -> bool {
        self.is_there() && self.holder == Holder::of(house) && !self.packed
    }

    /// Whether the patient has it and does not wear it: as the spare, or because it is the patient's own.
    pub fn is_with_the_patient(&self) -> bool {
        self.is_there() && self.holder == Holder::Patient && !self.worn
    }

    /// Out of its house, into the carrier's hands; whoever had it until then handed it over.
    pub fn leave_with(&mut self, carrier: &str, to: Side) {
        self.holder = Holder::Carrier { to };
        self.packed = false;
        self.was_taken_out = false;
        self.answers = format!("{carrier}, handed over by {}", self.answers);
    }

    /// Into the patient's hands or mouth: what was clean is so no more, and it lies on no shelf.
    pub fn leave_for_the_patient(&mut self) {
        self.holder = Holder::Patient;
        self.disinfected = false;
        self.place = None;
    }

    /// Out of the mouth, into the office's hands.
    pub fn take_out(&mut self) {
        self.holder = Holder::Office;
        self.worn = false;
        self.came_worn = false;
        self.was_taken_out = true;
        self.disinfected = false;
        self.uncleaned = false;
    }

    /// Back to those who had sent it, from the carrier or out of the parcel that waited for one.
    pub fn back_to_the_sender(&mut self) {
        self.holder = match self.holder {
            Holder::Carrier { to } => Holder::of(to.other()),
            Holder::Passed(PassedPlace::There) => Holder::Lab,
            Holder::Passed(PassedPlace::Back) => Holder::Passed(PassedPlace::At),
            holder => holder,
        };
        self.handoff = None;
        self.packed = false;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn where_a_thing_is_is_said_with_the_houses_as_they_are_called() {
        let houses = HouseNames {
            office: "Sample Office",
            lab: "Sample Lab",
            second_lab: "Anvil",
        };
        for (holder, named, general) in [
            (Holder::Office, "at Sample Office", "at the office"),
            (Holder::Lab, "at Sample Lab", "at the lab"),
            (
                Holder::Carrier { to: Side::Office },
                "on the way to Sample Office",
                "on the way to the office",
            ),
            (
                Holder::Carrier { to: Side::Lab },
                "on the way to Sample Lab",
                "on the way to the lab",
            ),
            (Holder::Patient, "with the patient", "with the patient"),
            (
                Holder::Passed(PassedPlace::There),
                "on the way to Anvil",
                "on the way to the second lab",
            ),
            (
                Holder::Passed(PassedPlace::At),
                "at Anvil",
                "at the second lab",
            ),
            (
                Holder::Passed(PassedPlace::Back),
                "on the way back from Anvil",
                "on the way back from the second lab",
            ),
        ] {
            assert_eq!(holder.place_in(houses), named);
            assert_eq!(holder.place(), general);
        }
    }
}
