//! An arch that the patient had a denture in, and has none for now: whoever works on the case is told before anything else.

use super::case_state::CaseState;
use super::item::Item;
use super::state::{Condition, Gone, Holder, State};
use super::worn::worn_in;
use crate::domain::values::arch::Arch;
use crate::domain::values::ids::Tag;
use crate::domain::values::moment::Moment;

/// How the arch came to be empty.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Emptied {
    /// The patient has lost what was worn.
    Lost,
    /// It was destroyed.
    Destroyed,
    Broken,
    /// Taken out by the dentist’s signed word.
    TakenOut,
    /// It was taken out, and is lost since.
    LostSince,
}

impl Emptied {
    /// To be read after “nothing: ”.
    pub fn words(self) -> &'static str {
        match self {
            Emptied::Lost => "it was lost",
            Emptied::Destroyed => "it was destroyed",
            Emptied::Broken => "it is broken",
            Emptied::TakenOut => "it was taken out",
            Emptied::LostSince => "it was taken out, and is lost",
        }
    }

    /// Whether somebody meant it so, and the way on from there is known.
    fn is_meant(self) -> bool {
        self == Emptied::TakenOut
    }

    fn of(case: &CaseState, tag: &Tag) -> Emptied {
        let Some(state) = case.item(tag) else {
            return Emptied::TakenOut;
        };
        match state.gone {
            Some(Gone::WrittenOff) if state.holder == Holder::Patient => Emptied::Lost,
            Some(Gone::WrittenOff) => Emptied::LostSince,
            Some(Gone::Destroyed) => Emptied::Destroyed,
            // Out by the dentist's signed word, and sent to the lab with what is to be repaired: that is known to both.
            _ if state.condition == Condition::Damaged && !is_sent(state) => Emptied::Broken,
            _ => Emptied::TakenOut,
        }
    }
}

/// Whether it is at a laboratory, on the way there or back, or packed to go.
fn is_sent(state: &State) -> bool {
    let is_out = !matches!(state.holder, Holder::Office | Holder::Patient);
    is_out || state.packed
}

/// An arch without a denture, what was worn there last, since when, and how it came to be so.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct EmptyArch {
    pub arch: Arch,
    pub tag: Tag,
    pub since: Moment,
    pub how: Emptied,
}

impl EmptyArch {
    /// "The patient has no denture in the upper arch since 2026-03-02 10:00: it was lost"
    pub fn sentence(&self) -> String {
        let (arch, how) = (self.arch.shown(), self.how.words());
        format!(
            "The patient has no denture in the {arch} arch since {}: {how}",
            self.since
        )
    }
}

/// What one arch had in it last, where something came out and nothing went in.
pub fn emptied(items: &[Item], case: &CaseState, arch: Arch) -> Option<EmptyArch> {
    let line = case.worn(items);
    if worn_in(&line, arch).is_some() {
        return None;
    }
    let ended = line.into_iter().filter(|one| one.arch == arch);
    let (to, tag) = ended
        .filter_map(|one| Some((one.to?, one.tag)))
        .max_by_key(|(to, _)| to.unix_ms)?;
    Some(EmptyArch {
        arch,
        how: Emptied::of(case, &tag),
        tag,
        since: to,
    })
}

/// The arches of `treated` for which the patient has no denture, worn or at home; nothing in a closed case, and nothing
/// where the work is given up.
pub fn without_teeth(items: &[Item], case: &CaseState, treated: &[Arch]) -> Vec<EmptyArch> {
    if case.closed || case.is_cancelled() {
        return Vec::new();
    }
    let has_at_home = |arch: Arch| {
        items.iter().any(|item| {
            let state = case.item(&item.tag);
            let is_at_home = state.is_some_and(|state| state.is_with_the_patient());
            item.arch == Some(arch) && item.kind.is_denture() && is_at_home
        })
    };
    let arches = treated.iter().filter(|arch| !has_at_home(**arch));
    arches
        .filter_map(|arch| emptied(items, case, *arch))
        .collect()
}

/// Whether an arch stands empty that nobody had meant to be empty: seeing to that goes before all else.
pub fn is_unforeseen(empty: &[EmptyArch]) -> bool {
    empty.iter().any(|one| !one.how.is_meant())
}
