//! What the side that answers has signed of a thing that was found wanting: whoever works with it, or puts it into a mouth,
//! goes by that and not by the flaw alone.

use super::case_state::CaseState;
use super::event::Event;
use super::events::What;
use super::hold::{Ended, Hold, Trouble};
use super::state::Condition;
use crate::domain::values::ids::Tag;
use crate::domain::values::moment::Moment;

/// A flaw of a thing with the statement on it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stated<'a> {
    pub tag: &'a Tag,
    pub hold: &'a Hold,
    /// What is done now, as it was signed.
    pub done: &'a str,
    pub by: &'a str,
    pub at: Moment,
}

/// The statements on things that are there still, flawed or in another number of pieces, since each of them went on its way
/// last; in the order in which they were found.
pub fn stated<'a>(case: &'a CaseState, events: &'a [Event]) -> Vec<Stated<'a>> {
    let went_last = |tag: &Tag| {
        let own = case.handoffs.iter();
        let own = own.filter(|one| one.voided.is_none() && one.carries(tag));
        own.map(|one| one.released_at.unix_ms).max()
    };
    let one = |hold: &'a Hold| {
        let (tag, Some(Ended::Resolved(id))) = (hold.tag.as_ref()?, &hold.ended) else {
            return None;
        };
        let state = case.item(tag).filter(|state| state.is_there())?;
        let stands = match hold.trouble {
            Trouble::Damaged | Trouble::DamagedHere | Trouble::NotAsDescribed => {
                state.condition != Condition::Sound
            }
            Trouble::WrongCount => true,
            _ => false,
        };
        let is_new = went_last(tag).is_none_or(|went| hold.since.unix_ms >= went);
        let mut events = events.iter();
        let event = events.find(|event| event.id == *id)?;
        let What::Resolved(one) = &event.what else {
            return None;
        };
        (stands && is_new).then_some(Stated {
            tag,
            hold,
            done: &one.done,
            by: &one.signed.name,
            at: event.at,
        })
    };
    case.holds.iter().filter_map(one).collect()
}
