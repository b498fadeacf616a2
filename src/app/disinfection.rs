//! A disinfection that is entered along with something else: before things leave, and before something goes
//! into the mouth.

use super::manage::Typed;
use crate::domain::custody::events::DisinfectedForm;
use crate::domain::values::fault::Fault;

/// Reads the fields of a disinfection; none where nothing was typed. What is half filled in is a fault.
pub(super) fn read(typed: &Typed, faults: &mut Vec<Fault>) -> Option<DisinfectedForm> {
    let is_typed = |key: &str| typed.get(key).is_some_and(|text| !text.trim().is_empty());
    if ["agent", "dilution", "minutes"].into_iter().any(is_typed) {
        DisinfectedForm::read(typed, faults)
    } else {
        None
    }
}
