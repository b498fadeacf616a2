//! What was not found in its parcel, after the statement on it too: its sender finds it, or says that it is given up.

use super::case::{Step, Task};
use super::case_state::CaseState;
use super::item::Item;
use super::ordered::Ordered;
use super::pieces::WorkPiece;
use super::state::{Holder, State};
use crate::domain::people::party::Side;
use crate::domain::values::ids::Tag;

/// Of what nothing waits for any more, or never did.
pub const FIND_OR_WRITE_OFF: &str = "find it, or write it off";
const FIND_AND_SEND: &str = "find it and send it, or write it off";
const FIND_OR_MAKE: &str = "find it and send it, or make it again";

/// Something that did not come, and what its sender is to do.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Astray {
    pub tag: Tag,
    /// Who had sent it.
    pub side: Side,
    pub to_do: &'static str,
    /// None where another step of the work asks for it.
    step: Option<Step>,
    /// At the second laboratory, or on the way there and back.
    is_passed: bool,
}

impl Astray {
    /// Why it waits, to be read as a sentence.
    pub fn why(&self) -> &'static str {
        match self.side {
            _ if self.is_passed => "It was not found at the second laboratory, or on its way back",
            Side::Lab => "It did not come with its parcel to the office",
            Side::Office => "It did not come with its parcel to the lab",
        }
    }

    /// What lists say of it.
    pub fn task(&self) -> Option<Task> {
        let side = self.side;
        self.step.map(|step| Task { side, step })
    }
}

/// All that did not come, but for what is lent, which is asked for on its day, what is listed as enclosed, which the list
/// asks for, and what a statement is awaited on.
pub fn astray(
    items: &[Item],
    case: &CaseState,
    ordered: &Ordered,
    pieces: &[WorkPiece],
) -> Vec<Astray> {
    let is_open = |item: &Item| {
        let mut holds = case.open_holds();
        !item.borrowed && !holds.any(|hold| hold.waiting.contains(&item.tag))
    };
    let one = |item: &Item| {
        let state = case.item(&item.tag)?;
        let side = sender(state).filter(|_| is_open(item))?;
        let is_listed = side == Side::Office && ordered.enclosed.contains(&item.tag);
        (!is_listed).then(|| asked(item, state, side, pieces))
    };
    items.iter().filter_map(one).collect()
}

/// Who had sent a thing that was not in its parcel.
fn sender(state: &State) -> Option<Side> {
    match state.holder {
        Holder::Carrier { to } if state.missing && state.is_there() => Some(to.other()),
        Holder::Passed(_) if state.missing && state.is_there() => Some(Side::Lab),
        _ => None,
    }
}

fn asked(item: &Item, state: &State, side: Side, pieces: &[WorkPiece]) -> Astray {
    let is_of_it = |piece: &&WorkPiece| item.arch.is_none_or(|own| own == piece.arch);
    let mut own = pieces.iter().filter(is_of_it);
    let is_delivered = own.all(|piece| piece.is_done);
    let is_made = state.home == Side::Lab && item.kind.is_made_for_the_mouth();
    let is_passed = matches!(state.holder, Holder::Passed(_));
    let (to_do, step) = match side {
        _ if is_passed => (FIND_OR_WRITE_OFF, Some(Step::FindLost)),
        _ if is_delivered => (FIND_OR_WRITE_OFF, Some(Step::FindLost)),
        // Its piece asks for it, or another is made already.
        Side::Lab if is_made => (FIND_OR_MAKE, None),
        _ => (FIND_AND_SEND, Some(Step::FindLost)),
    };
    Astray {
        tag: item.tag.clone(),
        side,
        to_do,
        step,
        is_passed,
    }
}
