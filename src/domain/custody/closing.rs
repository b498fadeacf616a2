//! The end of a case: what became of every item, and whether it may be said yet.
//!
//! Every item has a last entry: used, returned, kept or destroyed, by whom and when. Common practice for
//! chains of custody (ASTM D4840 speaks of custody until disposal); where each kind belongs in the end is
//! common practice, no source.

use super::case_state::CaseState;
use super::item::{Item, ItemKind};
use super::proposal::Scope;
use super::standstill::Fate;
use super::state::{Gone, Holder, State};
use crate::domain::people::party::Side;
use crate::domain::values::ids::Tag;
use crate::domain::values::words_of;
use serde::{Deserialize, Serialize};

words_of! {
    /// What became of an item in the end.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
    #[serde(rename_all = "snake_case")]
    pub enum Disposition {
        Worn = "in the patient's mouth",
        Spare = "with the patient as the spare",
        GivenBack = "given back to the patient",
        KeptBack = "kept back at the office with consent",
        AtOffice = "kept at the office",
        AtLab = "kept at the lab",
        ReturnedToLender = "with its lender",
        UsedUp = "used up",
        Destroyed = "destroyed",
        WrittenOff = "written off as lost",
        Mistaken = "registered by mistake",
    }
}

/// An item and what became of it, when its case was closed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Disposed {
    pub tag: Tag,
    pub disposition: Disposition,
}

/// What stands against closing, each with a sentence for the person at the screen.
pub type Undecided = Vec<String>;

/// What became of every item, or everything that is not where it belongs yet.
///
/// # Errors
/// A sentence for each item without an end, and for each hold that nobody has resolved.
pub fn dispositions(scope: &Scope<'_>, case: &CaseState) -> Result<Vec<Disposed>, Undecided> {
    let mut items = Vec::new();
    let mut undecided = Undecided::new();
    for (tag, end) in ends(scope, case) {
        match end {
            Ok(disposition) => items.push(Disposed { tag, disposition }),
            Err(sentence) => undecided.push(sentence),
        }
    }
    let holds = case.open_holds();
    undecided.extend(holds.map(|hold| format!("Not resolved yet: {}.", hold.words(scope.items))));
    // Work that is given up asks nothing any more.
    let asked = case.open_questions().filter(|_| !case.is_cancelled());
    undecided.extend(asked.map(|one| {
        let asked = one.asked_words();
        match one.is_for_information() {
            true => format!("{asked}, and nobody has read it: read it, or take it back."),
            false => format!("{asked}, and nothing is answered: answer it, or take it back."),
        }
    }));
    undecided.extend(case.unconfirmed_calls().map(|one| {
        let call = format!(
            "{} wrote down a telephone call on {}",
            one.by,
            one.at.in_words()
        );
        format!("{call}, and nobody has said whether it was so: say it, or take it back.")
    }));
    if undecided.is_empty() {
        Ok(items)
    } else {
        Err(undecided)
    }
}

/// What became of each item, or why it has no end yet.
fn ends(scope: &Scope<'_>, case: &CaseState) -> Vec<(Tag, Result<Disposition, String>)> {
    let owed = case.balance().owed;
    let end = |item: &Item| {
        let state = case.item(&item.tag)?;
        let is_sent = owed.contains(&item.tag);
        // "Patterns do not come back", nor records: what was sent so is no longer the office's.
        let is_kept = is_sent && !item.borrowed && scope.stays.has(item.kind);
        let end = end_of((scope, case), item, state, is_kept).and_then(|end| {
            // Rule g: what the office sent comes back, or is used up with a reason; of cancelled work it may stay.
            let is_left = fate(case, &item.tag) == Some(Fate::Stays);
            let stays = is_left || is_kept || item.kind.is_spent_at_the_lab();
            let is_owed = is_sent && !stays;
            if end == Disposition::AtLab && is_owed && became_the_work(scope, item, case) {
                return Ok(Disposition::UsedUp);
            }
            if end == Disposition::AtLab && is_owed {
                let named = scope.named(&item.tag);
                return Err(format!(
                    "{named} went out from the office and has not come back: return it, or say what it was used for."
                ));
            }
            Ok(end)
        });
        Some((item.tag.clone(), end))
    };
    scope.items.iter().filter_map(end).collect()
}

/// The first item of which nobody has said what became of it.
pub fn first_without_end(scope: &Scope<'_>, case: &CaseState) -> Option<Tag> {
    let mut ends = ends(scope, case).into_iter();
    ends.find(|(_, end)| end.is_err()).map(|(tag, _)| tag)
}

/// What was said of it when the work was cancelled.
fn fate(case: &CaseState, tag: &Tag) -> Option<Fate> {
    case.standstill.as_ref()?.fate(tag)
}

fn end_of(
    (scope, case): (&Scope<'_>, &CaseState),
    item: &Item,
    state: &State,
    is_kept: bool,
) -> Result<Disposition, String> {
    let named = scope.named(&item.tag);
    match state.gone {
        Some(Gone::UsedUp) => return Ok(Disposition::UsedUp),
        Some(Gone::Destroyed) => return Ok(Disposition::Destroyed),
        Some(Gone::WrittenOff) => return Ok(Disposition::WrittenOff),
        Some(Gone::Mistaken) => return Ok(Disposition::Mistaken),
        None => {}
    }
    match state.holder {
        _ if state.packed => Err(format!(
            "{named} is packed in a parcel that waits for the carrier: take the parcel back, or enter its pick-up."
        )),
        Holder::Carrier { .. } if state.missing => Err(format!(
            "{named} was missing from its parcel: find it or write it off."
        )),
        Holder::Carrier { .. } => Err(format!("{named} is still on the way.")),
        Holder::Passed(_) if state.missing => Err(format!(
            "{named} is missing at the second lab, or on the way there and back: find it or write it off."
        )),
        Holder::Passed(_) => Err(format!(
            "{named} is {}: have it back first.",
            state.holder.place()
        )),
        Holder::Patient if state.worn => worn(scope, item, case, &named),
        Holder::Patient if state.spare => Ok(Disposition::Spare),
        Holder::Patient if state.given_back => Ok(Disposition::GivenBack),
        Holder::Patient => Err(format!(
            "{named} is with the patient, and no entry says why."
        )),
        Holder::Office => at_a_house(item, state, &named, Side::Office),
        Holder::Lab if fate(case, &item.tag) == Some(Fate::Stays) => Ok(Disposition::AtLab),
        Holder::Lab if is_kept => Ok(Disposition::AtLab),
        Holder::Lab => at_a_house(item, state, &named, Side::Lab),
    }
}

/// Whether a try-in or a rim that lies at the lab is no more: the teeth were set on the rim, and the wax was turned into the
/// final that the lab has made of its arch. Common practice, no source.
pub(super) fn became_the_work(scope: &Scope<'_>, item: &Item, case: &CaseState) -> bool {
    let is_its_work = |one: &Item| {
        let state = case
            .item(&one.tag)
            .filter(|state| state.home == Side::Lab && state.gone != Some(Gone::Mistaken));
        let is_it = state.is_some_and(|state| match (item.kind, one.kind) {
            (ItemKind::Rims | ItemKind::TryIn, ItemKind::FinalDenture) => state.is_there(),
            (ItemKind::Rims, ItemKind::TryIn) => true,
            _ => false,
        });
        is_it && one.arch == item.arch
    };
    scope.items.iter().any(is_its_work)
}

/// The final is worn in the end; another denture only where no final is made for its arch.
fn worn(
    scope: &Scope<'_>,
    item: &Item,
    case: &CaseState,
    named: &str,
) -> Result<Disposition, String> {
    let is_its_final = |one: &&Item| {
        one.kind == ItemKind::FinalDenture
            && one.arch == item.arch
            && case.item(&one.tag).is_some_and(State::is_there)
    };
    let is_treated = item.arch.is_some_and(|arch| scope.is_treated(arch));
    if item.kind != ItemKind::FinalDenture
        && is_treated
        && scope.items.iter().any(|one| is_its_final(&one))
    {
        return Err(format!(
            "The patient still wears {named}, and its final denture is not fitted."
        ));
    }
    Ok(Disposition::Worn)
}

/// Dentures and parts that the patient owns do not stay at the lab, and what is lent goes home.
fn at_a_house(item: &Item, state: &State, named: &str, house: Side) -> Result<Disposition, String> {
    if item.borrowed {
        return if house == state.home {
            Ok(Disposition::ReturnedToLender)
        } else {
            Err(format!("{named} is borrowed: send it back to its lender."))
        };
    }
    match (item.kind, house) {
        (ItemKind::ImplantParts, _) => Err(format!(
            "{named} is the patient's own: give it back, or say what it was used for."
        )),
        (ItemKind::FinalDenture, Side::Office) => Err(format!(
            "{named} is finished and nobody wears it: fit it, or destroy it with its reason."
        )),
        (kind, Side::Lab) if kind.is_denture() => Err(format!(
            "{named} is at the lab: it belongs to the office or the patient."
        )),
        (ItemKind::OldDenture, Side::Office) if state.withheld.is_some() => {
            Ok(Disposition::KeptBack)
        }
        (ItemKind::OldDenture, Side::Office) => Err(format!(
            "{named} lies at the office: keep it back with the patient's consent, or destroy it."
        )),
        (_, Side::Office) => Ok(Disposition::AtOffice),
        (_, Side::Lab) => Ok(Disposition::AtLab),
    }
}
