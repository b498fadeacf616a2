//! An arch that the patient had a denture in, and has none for now: whoever works on the case is told before anything else.

use super::case_state::CaseState;
use super::handoff::Handoff;
use super::item::{Item, ItemKind};
use super::state::{Condition, Gone, Holder, State};
use super::worn::{Worn, worn_in};
use crate::domain::people::party::Side;
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
    /// "The patient has no denture in the upper arch since Mon 2 Mar 2026 10:00 +00:00: it was lost"
    pub fn sentence(&self) -> String {
        let (arch, how) = (self.arch.shown(), self.how.words());
        format!(
            "The patient has no denture in the {arch} arch since {}: {how}",
            self.since.in_words()
        )
    }
}

/// A denture of an arch that the patient wears or has at home, by what one case says of its own things.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HadDenture {
    pub arch: Arch,
    /// Since when it is where it is.
    pub since: Moment,
    how: Had,
}

/// How the patient has a denture.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Had {
    /// It went in at the office.
    Fitted,
    /// It was in the mouth when it was registered.
    CameWorn,
    /// It was given as the spare.
    Spare,
    AtHome,
}

/// The dentures that the patient has by this case: other cases of the same patient go by them.
pub fn had_dentures(items: &[Item], case: &CaseState) -> Vec<HadDenture> {
    let line = case.worn(items);
    let had = |item: &Item| {
        let arch = item.arch?;
        let state = case.item(&item.tag)?;
        let worn = line
            .iter()
            .find(|one| one.tag == item.tag && one.to.is_none());
        let (since, how) = match worn {
            Some(worn) if state.came_worn => (worn.from, Had::CameWorn),
            Some(worn) => (worn.from, Had::Fitted),
            None if !item.kind.is_denture() || !state.is_with_the_patient() => return None,
            None if state.spare => (state.last_at, Had::Spare),
            None => (state.last_at, Had::AtHome),
        };
        Some(HadDenture { arch, since, how })
    };
    items.iter().filter_map(had).collect()
}

/// Whether a denture that another case tells of fills an arch that stands empty by this one. Both tell of one mouth, and
/// each calls what is worn by a tag of its own: so what was in or at home before the arch was emptied may be the very
/// denture that came out. A spare is another one, unless a copy is what is gone; and what the office has fitted since this
/// denture went in has taken its place.
fn fills(other: &HadDenture, last: &Worn, kind: Option<ItemKind>) -> bool {
    let since = other.since.unix_ms;
    let is_later = last.to.is_some_and(|to| since > to.unix_ms);
    let is_other = match other.how {
        Had::Spare => kind != Some(ItemKind::Duplicate),
        Had::Fitted => since > last.from.unix_ms,
        Had::CameWorn | Had::AtHome => false,
    };
    other.arch == last.arch && (is_later || is_other)
}

/// What one arch had in it last, where something came out and nothing went in.
pub fn emptied(items: &[Item], case: &CaseState, arch: Arch) -> Option<EmptyArch> {
    let last = worn_last(items, case, arch)?;
    Some(EmptyArch {
        arch,
        how: Emptied::of(case, &last.tag),
        since: last.to?,
        tag: last.tag,
    })
}

/// The last stretch of wearing in an arch in which nothing is worn now.
fn worn_last(items: &[Item], case: &CaseState, arch: Arch) -> Option<Worn> {
    let line = case.worn(items);
    if worn_in(&line, arch).is_some() {
        return None;
    }
    let ended = line.into_iter().filter(|one| one.arch == arch);
    ended.max_by_key(|one| one.to.map(|to| to.unix_ms))
}

/// The arches of `treated` for which the patient has no denture, worn or at home, by this case and by what other cases of
/// the patient tell; nothing in a closed case. Work that is given up fills none of them.
pub fn without_teeth(
    items: &[Item],
    case: &CaseState,
    treated: &[Arch],
    elsewhere: &[HadDenture],
) -> Vec<EmptyArch> {
    if case.closed {
        return Vec::new();
    }
    let has_at_home = |arch: Arch| {
        items.iter().any(|item| {
            let state = case.item(&item.tag);
            let is_at_home = state.is_some_and(|state| state.is_with_the_patient());
            item.arch == Some(arch) && item.kind.is_denture() && is_at_home
        })
    };
    let has_elsewhere = |arch: Arch| {
        worn_last(items, case, arch).is_some_and(|last| {
            let kind = Item::of(items, &last.tag).map(|item| item.kind);
            elsewhere.iter().any(|other| fills(other, &last, kind))
        })
    };
    let has_one = |arch: Arch| has_at_home(arch) || has_elsewhere(arch);
    let arches = treated.iter().filter(|arch| !has_one(**arch));
    arches
        .filter_map(|arch| emptied(items, case, *arch))
        .collect()
}

/// Whether an arch stands empty that nobody had meant to be empty, or for which nothing is made any more: seeing to that
/// goes before all else.
pub fn is_unforeseen(empty: &[EmptyArch], case: &CaseState) -> bool {
    let is_it = |one: &EmptyArch| case.is_cancelled() || !one.how.is_meant();
    empty.iter().any(is_it)
}

/// Whether what the office has packed holds the provisional of an arch that was emptied since, and nobody has signed that
/// it leaves all the same.
pub fn leaves_nothing(items: &[Item], case: &CaseState, one: &Handoff) -> bool {
    let line = case.worn(items);
    let is_bare = |tag: &Tag| {
        let item = Item::of(items, tag).filter(|item| item.kind == ItemKind::Provisional);
        let arch = item.and_then(|item| item.arch);
        arch.is_some_and(|arch| worn_in(&line, arch).is_none())
    };
    let is_out = one.is_packed() && one.from == Side::Office && !one.excepted;
    is_out && one.sent.iter().any(|sent| is_bare(&sent.tag))
}

/// The arches that stand empty and for which no sound denture would be left, were these things destroyed, each with the
/// first of them; common practice, no source.
pub fn last_dentures(
    items: &[Item],
    empty: &[EmptyArch],
    (case, ends): (&CaseState, &[Tag]),
) -> Vec<(Arch, Tag)> {
    let is_sound = |item: &Item| {
        let state = case.item(&item.tag).filter(|state| state.is_there());
        item.kind.is_wearable() && state.is_some_and(|one| one.condition == Condition::Sound)
    };
    let last = |one: &EmptyArch| {
        let own = items.iter().filter(|item| item.arch == Some(one.arch));
        let (gone, left): (Vec<&Item>, Vec<&Item>) = own
            .filter(|item| is_sound(item))
            .partition(|item| ends.contains(&item.tag));
        let first = gone.first().filter(|_| left.is_empty())?;
        Some((one.arch, first.tag.clone()))
    };
    empty.iter().filter_map(last).collect()
}
