//! What several forms have in common: limits, and a disinfection that is entered along.

use crate::domain::custody::events::DisinfectedForm;
use crate::domain::form::{FieldSpec, Raw};
use crate::domain::values::fault::Fault;

/// Characters of a text in an entry.
pub const TEXT_MOST: usize = 500;
/// Pieces that one item may consist of.
pub const PIECES_MOST: i64 = 99;

/// A disinfection that is entered along with something else; none where nothing of it was typed. What is half
/// filled in is a fault.
pub fn cleaning(raw: &Raw, faults: &mut Vec<Fault>) -> Option<DisinfectedForm> {
    let is_typed = |key: &str| raw.get(key).is_some_and(|text| !text.trim().is_empty());
    let any = |fields: &[FieldSpec]| fields.iter().any(|spec| is_typed(spec.key));
    match any(DisinfectedForm::FIELDS) {
        true => DisinfectedForm::read(raw, faults),
        false => None,
    }
}
