//! The kinds of events, one file each. To add one, copy a file and give it a line in the list below.

mod action;
mod halting;
mod kind;
mod old_denture;
mod phrases;

use crate::domain::custody::case_state::CaseState;
use crate::domain::custody::signature::Signed;
use crate::domain::people::party::Side;
use crate::domain::values::ids::Tag;
pub use action::{Action, ItemAction, Subject};
pub use kind::{Constants, ErasablePlace, EventKind, Named, Sentence, WhenClosed};
use serde::{Deserialize, Serialize};

/// The list of kinds makes the stored enum and the way from an event to its kind.
macro_rules! kinds {
    ($($file:ident: $name:ident,)+) => {
        $(mod $file;)+
        $(pub use $file::*;)+

        /// What happened.
        #[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
        #[serde(tag = "kind", rename_all = "snake_case")]
        pub enum What {
            $($name($name),)+
        }

        impl What {
            /// The event as its kind.
            pub fn kind(&self) -> &dyn EventKind {
                match self { $(What::$name(one) => one,)+ }
            }

            /// The stored word of the kind.
            pub fn word(&self) -> &'static str {
                match self { $(What::$name(_) => $name::WORD,)+ }
            }
        }

        $(impl From<$name> for What {
            fn from(one: $name) -> What {
                What::$name(one)
            }
        })+

        /// The kinds by their words, with the places that stay open in a leaf and those that can be erased.
        pub const KINDS: &[(&str, &[&str], &[ErasablePlace])] = &[
            $(($name::WORD, $name::OPEN, $name::ERASABLE),)+
        ];
    };
}

kinds! {
    registered: Registered,
    disinfected: Disinfected,
    adjusted: Adjusted,
    released: Released,
    picked_up: PickedUp,
    received: Received,
    voided: Voided,
    settled: Settled,
    moved: Moved,
    damaged_here: DamagedHere,
    finding_added: FindingAdded,
    fitted: Fitted,
    taken_out: TakenOut,
    given: Given,
    given_back: GivenBack,
    brought_back: BroughtBack,
    used_up: UsedUp,
    withheld: Withheld,
    destroyed: Destroyed,
    written_off: WrittenOff,
    withdrawn: Withdrawn,
    stopped: Stopped,
    paused: Paused,
    went_on: WentOn,
    cancelled: Cancelled,
    heeded: Heeded,
    asked: Asked,
    answered: Answered,
    telephoned: Telephoned,
    confirmed: Confirmed,
    closed: Closed,
    reopened: Reopened,
    corrected: Corrected,
    erased: Erased,
}

impl What {
    /// Every item that it touches: whose place, state or history it changes.
    pub fn tags(&self) -> Vec<&Tag> {
        self.kind().tags()
    }

    /// Puts the signature under it, where one is asked for.
    pub fn sign_under(&mut self, by: Signed) {
        match self {
            What::Destroyed(one) => one.signed = Some(by),
            What::UsedUp(one) => one.signed = Some(by),
            What::WrittenOff(one) => one.signed = Some(by),
            What::Withdrawn(one) => one.signed = Some(by),
            _ => {}
        }
    }

    /// With what its form does not ask, because the case says it: in which house, and about which entry.
    pub fn in_case(mut self, case: &CaseState, side: Side) -> What {
        match &mut self {
            What::DamagedHere(one) => one.place = side,
            What::Withdrawn(one) => {
                let ending = case.ending_of(&one.tag);
                one.event = ending
                    .map(|ending| ending.event.clone())
                    .unwrap_or_default();
            }
            _ => {}
        }
        self
    }

    /// Whether it tells of this item, be it touched by it or not.
    pub fn tells_of(&self, asked: &Tag) -> bool {
        self.kind().tells_of(asked)
    }
}

/// What a page offers about one item, in the order in which it is mostly needed.
pub const ACTIONS: &[Action<What>] = &[
    Action::of::<Disinfected>(),
    Action::of::<Adjusted>(),
    Action::of::<Given>(),
    Action::of::<GivenBack>(),
    Action::of::<Moved>(),
    Action::of::<DamagedHere>(),
    Action::of::<FindingAdded>(),
    Action::of::<Withheld>(),
    Action::of::<BroughtBack>(),
    Action::of::<UsedUp>(),
    Action::of::<Destroyed>(),
    Action::of::<WrittenOff>(),
    Action::of::<Withdrawn>(),
    Action::of::<Corrected>(),
];
