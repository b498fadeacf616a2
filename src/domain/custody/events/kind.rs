//! What every kind of event says of itself. One file a kind: to add one, copy a file and name it in `events/mod.rs`.

use crate::domain::custody::case_state::CaseState;
use crate::domain::custody::proposal::ProposedEvent;
use crate::domain::custody::sign::{OnLine, Sign};
use crate::domain::custody::signature::Signed;
use crate::domain::custody::stamp::Stamp;
use crate::domain::custody::state::Holder;
use crate::domain::people::party::Side;
use crate::domain::values::ids::{AccountId, EventId, Tag};
use crate::domain::values::moment::Moment;
use crate::domain::values::tooth::Numbering;

/// How an item is named in a sentence.
pub type Named<'a> = &'a dyn Fn(&Tag) -> String;

/// An event in words: what happened, and the details below it. Empty details are not shown.
pub type Sentence = (String, Vec<String>);

/// A text of an event that can be taken out: its place in the stored event, a JSON pointer with `*` for any
/// place in a list, and what it is called.
pub type ErasablePlace = (&'static str, &'static str);

/// Whether an event may be entered in a closed case.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WhenClosed {
    /// Not until the case is opened again.
    Refused,
    Allowed,
    /// In a closed case only.
    Needed,
}

/// What a case says of an event that is entered in it, so that no form asks it.
pub struct FromCase<'a> {
    /// The house that enters it.
    pub side: Side,
    /// How the office counts teeth.
    pub numbering: Numbering,
    /// The word of an entry's kind and its time, by its id.
    pub earlier: &'a dyn Fn(&EventId) -> Option<(&'static str, Moment)>,
}

/// What holds for all events of one kind.
pub trait Constants {
    /// Its word where it is stored.
    const WORD: &'static str;
    /// What an entry is called where it was a mistake and is withdrawn; none where the kind has a way back of its own: a
    /// handoff is taken back, work that was stopped goes on, a case is opened again, a correction is followed by another.
    const MISTAKEN: Option<&'static str>;
    /// Places below `/what` whose codes stay readable in the record's leaf. Whatever is not named is committed.
    const OPEN: &'static [&'static str];
    /// Free texts that can be erased.
    const ERASABLE: &'static [ErasablePlace] = &[];
}

/// One event of a kind.
pub trait EventKind {
    /// Every item that it touches: whose place, state or history it changes.
    fn tags(&self) -> Vec<&Tag>;

    /// Whether it tells of this item, be it touched by it or not.
    fn concerns(&self, asked: &Tag) -> bool {
        self.tags().contains(&asked)
    }

    /// Whether it is complete, of a kind that this side makes, and against no rule of its own.
    fn check(&self, proposal: &mut ProposedEvent<'_>);

    /// What it does to the case.
    fn apply(&self, case: &mut CaseState, stamp: &Stamp<'_>);

    /// What happened, in words.
    fn describe(&self, named: Named<'_>) -> Sentence;

    /// Its sign on an item's line.
    fn sign(&self, on: OnLine<'_>) -> Option<Sign>;

    /// Rule a: who has to hold what it acts on; none where that does not matter.
    fn wanted_holder(&self, side: Side) -> Option<Holder> {
        Some(Holder::of(side))
    }

    /// The items whose holder must be the wanted one.
    fn acted_on(&self) -> Vec<&Tag> {
        self.tags()
    }

    /// Whether it may be about what is packed in a parcel that waits for the carrier.
    fn may_touch_packed(&self) -> bool {
        false
    }

    /// Whether the items exist before it.
    fn begins_items(&self) -> bool {
        false
    }

    /// Whether it may be entered in a case that is closed.
    fn when_closed(&self) -> WhenClosed {
        WhenClosed::Refused
    }

    /// Whether it comes after every other entry of the case.
    fn is_last_of_all(&self) -> bool {
        false
    }

    /// Items of which it is judged what their arch wears, which must have been so at its time.
    fn rests_on_the_mouth(&self, _: &ProposedEvent<'_>) -> Vec<Tag> {
        Vec::new()
    }

    /// Whether what it acts on must be disinfected before (rule h).
    fn needs_clean_items(&self) -> bool {
        false
    }

    /// Whether it may happen to what came without a mark of disinfection and is on hold.
    fn may_precede_disinfection(&self) -> bool {
        false
    }

    /// Rule l: the account of somebody who may not be the one to enter it.
    fn other_than<'a>(&self, _: &ProposedEvent<'a>) -> Option<&'a AccountId> {
        None
    }

    /// Whether it makes or delivers work, which waits while the case stands still.
    fn is_work(&self, _: &ProposedEvent<'_>) -> bool {
        false
    }

    /// Whether it is work that can be told of later, as done before the case stood still.
    fn may_be_entered_later(&self) -> bool {
        false
    }

    /// Items that have to wait for it while they are on hold.
    fn waits_for_holds(&self) -> Vec<&Tag> {
        Vec::new()
    }

    /// The work that is passed on, where its second laboratory may enter this.
    fn is_of_second_lab(&self, _: &CaseState) -> Option<EventId> {
        None
    }

    /// Whether whoever enters it answers for the item from now on.
    fn makes_answerable(&self, _: &Tag) -> bool {
        true
    }

    /// The items on whose lines it shows, besides those it touches.
    fn shows_on(&self, _: &CaseState) -> Vec<Tag> {
        Vec::new()
    }

    /// The earlier entry on whose lines it shows.
    fn shows_with(&self) -> Option<&EventId> {
        None
    }

    /// Whether it has a place on the ribbon's axis of time.
    fn takes_room(&self) -> bool {
        true
    }

    /// Whether it is an entry of the bench, for which a code is enough on a device that the lab has allowed.
    fn is_of_the_bench(&self) -> bool {
        false
    }

    /// The earlier entries that it is about.
    fn about_events(&self) -> Vec<&EventId> {
        Vec::new()
    }

    /// Puts the signature under it, where the password signs it.
    fn sign_under(&mut self, _: Signed) {}

    /// Fills in what its form does not ask, because the case says it.
    fn fill_in(&mut self, _: &FromCase<'_>) {}

    /// The hash and the length of a file that lies beside the database: of a picture or a scan.
    fn file(&self) -> Option<(&str, u64)> {
        None
    }

    /// The entry that it withdraws.
    fn withdraws(&self) -> Option<&EventId> {
        None
    }

    /// Whether nothing can happen to its item afterwards.
    fn ends_its_item(&self) -> bool {
        false
    }

    /// Whether something goes into a mouth by it or comes out.
    fn turns(&self) -> bool {
        false
    }

    /// Whether it says something of the days of the case, so that a calendar is told of them again.
    fn is_about_days(&self) -> bool {
        false
    }

    /// What it says of the case as a whole, below the ribbon; empty for most.
    fn note(&self) -> &'static str {
        ""
    }
}
