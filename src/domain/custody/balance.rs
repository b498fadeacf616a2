//! What came back is what went out, less what was used up with a reason (rule g).

use super::case_state::CaseState;
use super::handoff::Handoff;
use super::state::Holder;
use crate::domain::people::party::Side;
use crate::domain::values::ids::Tag;

/// What became of each item that the office ever sent to the lab.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Balance {
    pub sent: Vec<Tag>,
    pub back: Vec<Tag>,
    /// Used up, destroyed or written off, each with an entry that says into what or why.
    pub spent: Vec<Tag>,
    /// Still with the lab or on the way.
    pub owed: Vec<Tag>,
}

impl CaseState {
    /// The balance of the items sent by the office, without what was taken back before it left or still waits
    /// for the carrier; `sent` is always `back`, `spent` and `owed` together.
    pub fn balance(&self) -> Balance {
        let mut balance = Balance::default();
        let sent = self.handoffs.iter();
        let has_left = |one: &&Handoff| one.voided.is_none() && !one.is_packed();
        let sent = sent.filter(|one| one.from == Side::Office).filter(has_left);
        for tag in sent.flat_map(|one| &one.sent).map(|sent| &sent.tag) {
            if balance.sent.contains(tag) {
                continue;
            }
            balance.sent.push(tag.clone());
            let list = match self.item(tag).map(|state| (state.gone, state.holder)) {
                Some((Some(_), _)) => &mut balance.spent,
                Some((None, Holder::Office | Holder::Patient)) => &mut balance.back,
                _ => &mut balance.owed,
            };
            list.push(tag.clone());
        }
        balance
    }
}
