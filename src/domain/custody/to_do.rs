//! What is to be done next in a case, in its order: the agenda and the page of the case read it here, so that both
//! say the same first thing.

use super::agenda::WhoseTurn;
use super::case::{Case, Step};
use crate::domain::people::party::Side;
use crate::domain::values::words::capitalised;

/// Something that waits for a side.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ToDo {
    Step(Step),
    /// Something lent is all that waits.
    ReturnLoan,
}

impl ToDo {
    /// What waits for a side, the first first; nothing in a closed case.
    pub fn of(case: &Case, side: Side) -> Vec<ToDo> {
        if case.closed {
            return Vec::new();
        }
        let tasks = case.waiting_for.iter().filter(|task| task.side == side);
        let steps: Vec<ToDo> = tasks.map(|task| ToDo::Step(task.step)).collect();
        if steps.is_empty() && case.agenda.of(side).turn == WhoseTurn::Yours {
            return vec![ToDo::ReturnLoan];
        }
        steps
    }

    /// As a button says it.
    pub fn words(self) -> String {
        match self {
            ToDo::Step(step) => capitalised(step.shown()),
            ToDo::ReturnLoan => "Return what is on loan".to_owned(),
        }
    }
}
