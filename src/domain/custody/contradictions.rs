//! What two open cases of one patient say that cannot both be so: they tell of one mouth.

use super::case_state::CaseState;
use super::item::{Item, ItemKind};
use super::mouth::{Stretch, Wears, timeline, worn_now};
use super::ordered::Ordered;
use super::pieces::pieces;
use super::state::{Gone, Holder, State};
use crate::domain::prescription::Stage;
use crate::domain::values::arch::Arch;

/// One of the two cases.
#[derive(Debug, Clone, Copy)]
pub struct CaseSays<'a> {
    pub items: &'a [Item],
    pub state: &'a CaseState,
    pub ordered: &'a Ordered,
    /// The arches that it treats.
    pub arches: &'a [Arch],
}

/// In what they contradict each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Contradiction {
    /// What the arch wears now.
    Worn(Arch),
    /// The first keeps the old denture of the arch back from the patient, or has destroyed it; by the second the patient
    /// has it.
    OldKeptByFirst(Arch),
    /// The same, the other way round.
    OldKeptBySecond(Arch),
    /// Both are to make a denture for the arch.
    SameWork(Arch),
}

impl Contradiction {
    pub fn arch(self) -> Arch {
        match self {
            Contradiction::Worn(arch)
            | Contradiction::OldKeptByFirst(arch)
            | Contradiction::OldKeptBySecond(arch)
            | Contradiction::SameWork(arch) => arch,
        }
    }
}

impl CaseSays<'_> {
    /// Whether both cannot be so of what this arch wears now: two dentures, or one and nothing.
    fn is_worn_otherwise(&self, other: &CaseSays<'_>, arch: Arch) -> bool {
        let worn = |says: &CaseSays<'_>| worn_now(says.items, says.state, arch);
        let (own, others) = (worn(self), worn(other));
        match (&own.wears, &others.wears) {
            (Wears::Item(_), Wears::Item(_)) => true,
            (Wears::Item(tag), Wears::Nothing) => other.empties(arch, &own, self.state.item(tag)),
            (Wears::Nothing, Wears::Item(tag)) => {
                self.empties(arch, &others, other.state.item(tag))
            }
            _ => false,
        }
    }

    /// Whether it says later than the other that nothing is worn. Where the other has fitted its denture while this one
    /// still had its own in, that only sets this one right: its own was out by then.
    fn empties(&self, arch: Arch, worn: &Stretch, state: Option<&State>) -> bool {
        let line = timeline(self.items, self.state, arch);
        let [.., before, nothing] = line.as_slice() else {
            return false;
        };
        let ms = |one: &Stretch| one.from.map(|at| at.unix_ms);
        let was_fitted = state.is_some_and(|state| !state.came_worn);
        let was_out_by_then = was_fitted && ms(worn) >= ms(before);
        ms(nothing) > ms(worn) && !was_out_by_then
    }

    fn has_old_denture(&self, arch: Arch, is_so: impl Fn(&State) -> bool) -> bool {
        let own = self.items.iter();
        let mut own =
            own.filter(|item| item.kind == ItemKind::OldDenture && item.arch == Some(arch));
        own.any(|item| self.state.item(&item.tag).is_some_and(&is_so))
    }

    /// Whether the old denture of this arch stays away from the patient.
    fn keeps_old_denture(&self, arch: Arch) -> bool {
        self.has_old_denture(arch, |state| {
            let is_kept = state.withheld.is_some() && state.is_there();
            is_kept || state.gone == Some(Gone::Destroyed)
        })
    }

    fn leaves_old_denture(&self, arch: Arch) -> bool {
        self.has_old_denture(arch, |state| {
            state.is_there() && state.holder == Holder::Patient
        })
    }

    /// Whether a denture is still to be made for this arch, tried in before or not.
    fn is_to_make(&self, arch: Arch) -> bool {
        let is_off = self.state.closed || self.state.is_cancelled();
        if is_off || !self.arches.contains(&arch) {
            return false;
        }
        let mut all = pieces(self.ordered, self.items, self.state, &[arch]).into_iter();
        all.any(|piece| {
            let is_denture =
                piece.stage == Some(Stage::Process) || piece.is_on_the_way_to_a_final();
            is_denture && !piece.is_done
        })
    }
}

/// All in which two cases contradict each other, the upper arch first.
pub fn contradictions(first: &CaseSays<'_>, second: &CaseSays<'_>) -> Vec<Contradiction> {
    let of = |&arch: &Arch| {
        let found = [
            (
                Contradiction::Worn(arch),
                first.is_worn_otherwise(second, arch),
            ),
            (
                Contradiction::OldKeptByFirst(arch),
                first.keeps_old_denture(arch) && second.leaves_old_denture(arch),
            ),
            (
                Contradiction::OldKeptBySecond(arch),
                second.keeps_old_denture(arch) && first.leaves_old_denture(arch),
            ),
            (
                Contradiction::SameWork(arch),
                first.is_to_make(arch) && second.is_to_make(arch),
            ),
        ];
        found.into_iter().filter(|(_, is_so)| *is_so)
    };
    let all = Arch::ALL.iter().flat_map(of);
    all.map(|(found, _)| found).collect()
}
