//! Custody: events are facts that are never edited; who holds what, in which condition, is drawn from them.
//!
//! [`fold`] gives the state at the end of the events it is given, and so at any moment asked for.
//! [`allow`] is the one decision: every screen that proposes an event asks it, and it answers with the
//! rules that stand against it, each in a sentence for the person at the screen.

mod balance;
pub mod case; // a case and where it stands
mod closing;
pub mod erasing;
mod event;
pub mod handoff; // a release and its receipt
pub mod held; // why a case is on hold, as lists keep it
mod hold;
pub mod item; // the things that travel
mod lineage;
pub mod mouth; // what the patient wears
mod purpose;
pub mod ribbon;
mod rules;
mod scanned;
pub mod sets; // which dentures of a case belong together
mod standing;
mod state;
#[cfg(test)]
mod tests;
mod words;

pub use balance::{Balance, balance};
pub use closing::{Undecided, dispositions, is_closed};
pub use erasing::ERASED;
pub use event::{
    Disposed, Disposition, EraseReason, ErasedText, Event, Exception, Found, Made, Outcome, Parcel,
    ParcelFound, SealFound, Sent, Signed, Spare, Trouble, What,
};
pub use hold::{Ended, Hold, holds, open_holds, seal_trouble};
pub use lineage::{Lineage, Overdue, lineage, overdue};
pub use purpose::{Purpose, purpose_words};
pub use rules::{Context, Refusal, Rule, allow, allow_entered};
pub use scanned::{Wanted, ending, stands_against};
pub use standing::{Standing, standing};
pub use state::{
    Condition, Custody, Gone, Handlers, Holder, State, at, came_uncleaned, fold, handlers, until,
};
pub use words::{Description, describe};
