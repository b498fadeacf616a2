//! A disinfection that is entered along with something else: before things leave, and before something goes
//! into the mouth.

use super::manage::Typed;
use crate::domain::custody::events::DisinfectedForm;
use crate::domain::values::fault::Fault;

/// Whether anything of a disinfection was typed.
pub(super) fn is_typed(typed: &Typed) -> bool {
    let is_typed = |key: &str| typed.get(key).is_some_and(|text| !text.trim().is_empty());
    ["agent", "dilution", "minutes"].into_iter().any(is_typed)
}

/// Reads the fields of a disinfection; none where nothing was typed. What is half filled in is a fault.
pub(super) fn read(typed: &Typed, faults: &mut Vec<Fault>) -> Option<DisinfectedForm> {
    if is_typed(typed) {
        DisinfectedForm::read(typed, faults)
    } else {
        None
    }
}
