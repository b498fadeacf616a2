//! What hangs on an item that is to be ended: said before anybody signs that it is destroyed or used up.

use super::case_state::CaseState;
use super::item::ItemKind;
use super::ordered::Ordered;
use super::proposal::Scope;
use super::state::{Holder, State};
use super::worn::worn_in;
use crate::domain::values::ids::Tag;

/// A sentence for each thing that hangs on it; common practice, no source.
pub fn hangs_on(scope: &Scope<'_>, case: &CaseState, ordered: &Ordered, tag: &Tag) -> Vec<String> {
    let Some(item) = scope.item(tag) else {
        return Vec::new();
    };
    let mut words: Vec<String> = Vec::from_iter(of_its_kind(scope, case, tag));
    if case.is_the_patients(item) {
        words.push(
            "It is the patient’s property: only with the patient’s consent, and as local law says."
                .to_owned(),
        );
    }
    if ordered.enclosed.contains(tag) {
        let sentence = format!("Revision {} lists it as enclosed.", ordered.revision);
        words.push(sentence);
    }
    let is_away = |state: &State| state.holder != Holder::of(state.home);
    if item.borrowed && case.item(tag).is_some_and(is_away) {
        words.push("It is on loan, and due back with its lender.".to_owned());
    }
    words
}

fn of_its_kind(scope: &Scope<'_>, case: &CaseState, tag: &Tag) -> Option<String> {
    let item = scope.item(tag)?;
    let line = case.worn(scope.items);
    let worn = item.arch.and_then(|arch| worn_in(&line, arch));
    let worn = worn.and_then(|worn| scope.item(worn)).map(|worn| worn.kind);
    let has_final = worn == Some(ItemKind::FinalDenture);
    let sentence = match item.kind {
        ItemKind::Provisional if !has_final => {
            "It is the worn pattern of the work and the patient’s way back: no final of its arch is in the mouth yet."
        }
        ItemKind::Provisional => "It is the patient’s way back if the final does not serve.",
        ItemKind::Duplicate if !has_final => {
            "The patient wears it while the provisional is away; without it the provisional cannot leave."
        }
        ItemKind::Duplicate => "It is to be the patient’s spare.",
        ItemKind::OldDenture => {
            "It never goes back into the mouth, and is kept or destroyed with consent."
        }
        ItemKind::FinalDenture => "It is the work itself: what replaces it is made from the start.",
        _ => return None,
    };
    Some(sentence.to_owned())
}
