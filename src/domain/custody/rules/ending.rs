//! Statements that settle a hold, and the end of a case.

use super::{Proposal, Rule, Side, What};
use crate::domain::custody::closing::dispositions;
use crate::domain::custody::event::{Disposed, Trouble};
use crate::domain::custody::hold::holds;
use crate::domain::values::ids::Tag;

impl Proposal<'_> {
    /// The side that packed states, once, what is the matter and what is done about it.
    pub(super) fn form_settled(
        &mut self,
        id: &str,
        trouble: Trouble,
        tag: Option<&Tag>,
        (reason, done): (&str, &str),
    ) {
        let holds = holds(self.context.events);
        let Some(hold) = holds.iter().find(|hold| hold.id == id) else {
            self.refuse(Rule::Held, None, "There is nothing of this kind to settle.");
            return;
        };
        if hold.trouble != trouble || hold.tag.as_ref() != tag {
            self.refuse(
                Rule::Held,
                None,
                "The statement is about another thing than the hold.",
            );
        }
        if !hold.is_open() {
            self.refuse(Rule::F, None, "This has been settled already.");
        }
        if hold.side != self.side {
            let sentence = format!(
                "The {} packed it, so its people settle this.",
                hold.side.shown()
            );
            self.refuse(Rule::Right, None, sentence);
        }
        if reason.trim().is_empty() || done.trim().is_empty() {
            self.refuse(
                Rule::Form,
                None,
                "A statement says how it came about and what is done now.",
            );
        }
        if self.at.unix_ms < hold.since.unix_ms {
            let sentence = format!("It was found on {}, and is settled after that.", hold.since);
            self.refuse(Rule::I, None, sentence);
        }
    }

    /// Only what is missing can have stayed at home, and it is not earlier than what was said of it last.
    pub(super) fn form_not_packed(&mut self, trouble: Trouble, tag: Option<&Tag>) {
        let state = tag.and_then(|tag| self.state(tag));
        let (is_missing, last) = state.map_or((false, None), |state| {
            (
                state.missing && state.gone.is_none(),
                Some(state.last_at).filter(|last| self.at.unix_ms < last.unix_ms),
            )
        });
        if trouble != Trouble::Missing || !is_missing {
            self.refuse(
                Rule::Form,
                tag,
                "Only what was missing from the box can have been left unpacked.",
            );
        }
        if let Some(last) = last {
            let sentence =
                format!("The last entry about it is of {last}, and this one would be earlier.");
            self.refuse(Rule::I, tag, sentence);
        }
    }

    /// The office closes its case when every item has its end, and says for each what became of it.
    pub(super) fn form_closed(&mut self, items: &[Disposed]) {
        if self.side != Side::Office {
            self.refuse(Rule::Right, None, "The office closes its cases.");
        }
        match dispositions(self.context) {
            Err(undecided) => {
                for sentence in undecided {
                    self.refuse(Rule::Form, None, sentence);
                }
            }
            Ok(decided) if decided != items => self.refuse(
                Rule::Form,
                None,
                "Something has happened to an item since this page was read: look again.",
            ),
            Ok(_) => {}
        }
    }

    pub(super) fn form_reopened(&mut self, reason: &str) {
        if self.side != Side::Office {
            self.refuse(Rule::Right, None, "The office opens its cases again.");
        }
        if reason.trim().is_empty() {
            self.refuse(Rule::Form, None, "Say why the case goes on.");
        }
    }

    /// Closing and opening again come after every other entry of the case.
    pub(super) fn case_entries_in_order(&mut self) {
        if !matches!(self.what, What::Closed { .. } | What::Reopened { .. }) {
            return;
        }
        let last = self.context.events.iter().map(|event| event.at).max();
        if let Some(last) = last.filter(|last| self.at.unix_ms < last.unix_ms) {
            let sentence =
                format!("The last entry of this case is of {last}, and this one would be earlier.");
            self.refuse(Rule::I, None, sentence);
        }
    }
}
