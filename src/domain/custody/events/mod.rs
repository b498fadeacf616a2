//! The kinds of events, one file each. To add one, copy a file and give it a line in the list below.

mod action;
mod cover;
mod halting;
mod kind;
mod old_denture;
mod phrases;
mod sample;

use crate::domain::custody::signature::Signed;
use crate::domain::values::ids::{EventId, Tag};
pub use action::{Action, ItemAction, Subject};
pub use kind::{Constants, ErasablePlace, EventKind, FromCase, Named, Sentence, WhenClosed};
pub use sample::SampleContext;
use serde::{Deserialize, Serialize};

/// The list of kinds makes the stored enum and the way from an event to its kind.
macro_rules! kinds {
    ($($(#[$stored:meta])* $file:ident: $name:ident,)+) => {
        $(mod $file;)+
        $(pub use $file::*;)+

        /// What happened.
        #[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
        #[serde(tag = "kind", rename_all = "snake_case")]
        pub enum What {
            $($(#[$stored])* $name($name),)+
        }

        impl What {
            /// The event as its kind.
            pub fn kind(&self) -> &dyn EventKind {
                match self { $(What::$name(one) => one,)+ }
            }

            fn kind_mut(&mut self) -> &mut dyn EventKind {
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

        /// Something that is asked of each kind.
        #[cfg(test)]
        pub trait OfEachKind {
            fn ask<K: Constants + serde::de::DeserializeOwned>(&mut self);
        }

        /// Asks all kinds.
        #[cfg(test)]
        pub fn ask_each_kind(asked: &mut impl OfEachKind) {
            $(asked.ask::<$name>();)+
        }

        /// The kinds by their words, with the places that stay open in a leaf and those that can be erased.
        pub const KINDS: &[(&str, &[&str], &[ErasablePlace])] = &[
            $(($name::WORD, $name::OPEN, $name::ERASABLE),)+
        ];

        /// The kinds by their words, with what a mistaken entry of one is called.
        const MISTAKEN: &[(&str, Option<&str>)] = &[
            $(($name::WORD, $name::MISTAKEN),)+
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
    #[serde(rename = "settled")]
    resolved: Resolved,
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
    assigned: Assigned,
    worked: Worked,
    carried_over: CarriedOver,
    fit_checked: FitChecked,
    pictured: Pictured,
    scan_filed: ScanFiled,
    marked_for_lab: MarkedForLab,
    followed_up: FollowedUp,
    share_answered: ShareAnswered,
    undone: Undone,
    promised: Promised,
    day_answered: DayAnswered,
    passed_on: PassedOn,
    pass_answered: PassAnswered,
    pass_moved: PassMoved,
    pass_ended: PassEnded,
    pass_asked: PassAsked,
    pass_replied: PassReplied,
    closed: Closed,
    reopened: Reopened,
    kept_longer: KeptLonger,
    corrected: Corrected,
    erased: Erased,
}

/// What an entry of the kind of this word is called where it was a mistake; none where such a one is not withdrawn.
pub fn mistaken(word: &str) -> Option<&'static str> {
    let found = MISTAKEN.iter().find(|(kind, _)| *kind == word);
    found.and_then(|(_, called)| *called)
}

impl What {
    /// Every item that it touches: whose place, state or history it changes.
    pub fn tags(&self) -> Vec<&Tag> {
        self.kind().tags()
    }

    /// Puts the signature under it, where one is asked for.
    pub fn sign_under(&mut self, by: Signed) {
        self.kind_mut().sign_under(by);
    }

    /// With what its form does not ask, because the case says it.
    pub fn in_case(mut self, from: &FromCase<'_>) -> What {
        self.kind_mut().fill_in(from);
        self
    }

    /// The hash and the length of a file that lies beside the database: of a picture or a scan.
    pub fn file(&self) -> Option<(&str, u64)> {
        self.kind().file()
    }

    /// The entry that it withdraws.
    pub fn withdraws(&self) -> Option<&EventId> {
        self.kind().withdraws()
    }

    /// Whether nothing can happen to its item afterwards.
    pub fn ends_its_item(&self) -> bool {
        self.kind().ends_its_item()
    }

    /// Whether something goes into a mouth by it or comes out.
    pub fn turns(&self) -> bool {
        self.kind().turns()
    }

    /// Whether it says something of the days of the case.
    pub fn is_about_days(&self) -> bool {
        self.kind().is_about_days()
    }

    /// Whether it tells of this item, be it touched by it or not.
    pub fn concerns(&self, asked: &Tag) -> bool {
        self.kind().concerns(asked)
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
