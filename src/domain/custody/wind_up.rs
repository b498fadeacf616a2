//! Cancelled work: what comes to the lab though nobody has said what becomes of it, and what is packed for it in vain.

use super::case::{Step, Task};
use super::case_state::CaseState;
use super::handoff::Handoff;
use super::purpose::Purpose;
use super::standstill::{Fate, Fated};
use super::state::{Holder, State};
use crate::domain::people::party::Side;
use crate::domain::values::ids::{HandoffId, Tag};

impl CaseState {
    /// What was packed when the work was cancelled, or is sent afterwards, may come to the lab without a word of the
    /// office on it: it comes back, as everything that nothing else is said of.
    pub fn ask_back_what_comes_unsaid(&mut self) {
        if !self.is_cancelled() {
            return;
        }
        let is_away = |state: &State| {
            let is_under_way = state.holder == Holder::Carrier { to: Side::Lab };
            state.is_there() && (state.holder.is_with_lab() || is_under_way)
        };
        let unsaid = self.custody.iter().filter(|(tag, state)| {
            is_away(state) && self.fate(tag).is_none() && self.is_of_the_office(tag, state)
        });
        let unsaid: Vec<Tag> = unsaid.map(|(tag, _)| tag.clone()).collect();
        if let Some(halt) = &mut self.standstill {
            halt.items.extend(unsaid.into_iter().map(|tag| Fated {
                tag,
                fate: Fate::ComesBack,
                consent: None,
            }));
        }
    }

    /// Whether a thing has its home at the office or is the patient's: it came from there, was worn, or was handed over
    /// to be fitted.
    fn is_of_the_office(&self, tag: &Tag, state: &State) -> bool {
        let was_worn = self.was_worn(tag);
        let was_delivered = self.handoffs.iter().any(|one| {
            let is_it = one.purpose_code == Some(Purpose::Finished) && one.voided.is_none();
            is_it && one.carries(tag)
        });
        state.home == Side::Office || was_worn || was_delivered
    }

    /// What the office has packed for work that is cancelled: the parcel has nothing to go for.
    pub fn packed_in_vain(&self) -> impl Iterator<Item = &Handoff> {
        let packed = self.handoffs.iter().filter(|one| one.is_packed());
        packed.filter(move |one| self.is_cancelled() && one.is_for_work())
    }

    /// Whether this handoff is one of them.
    pub fn is_packed_in_vain(&self, id: &HandoffId) -> bool {
        self.packed_in_vain().any(|one| one.id == *id)
    }

    /// The tasks of a case whose work may be cancelled: what is packed in vain is taken back, and not handed on.
    pub fn without_vain_parcels(&self, tasks: Vec<Task>) -> Vec<Task> {
        let vain = self.packed_in_vain().count();
        if vain == 0 {
            return tasks;
        }
        let packed = self.handoffs.iter();
        let packed = packed.filter(|one| one.is_packed() && one.from == Side::Office);
        let is_all = packed.count() == vain;
        let take_back = Task {
            side: Side::Office,
            step: Step::TakeBack,
        };
        let pick_up = Task {
            side: Side::Office,
            step: Step::PickUp,
        };
        let instead = |task: Task| match (task == pick_up, is_all) {
            (true, true) => vec![take_back],
            (true, false) => vec![take_back, task],
            (false, _) => vec![task],
        };
        tasks.into_iter().flat_map(instead).collect()
    }
}
