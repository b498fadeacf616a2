//! What several forms have in common: limits, and a disinfection that is entered along.

use crate::domain::custody::events::DisinfectedForm;
use crate::domain::form::{FieldSpec, Raw};
use crate::domain::values::fault::Fault;

/// Characters of a text in an entry.
pub const TEXT_MOST: usize = 500;
/// Pieces that one item may consist of.
pub const PIECES_MOST: i64 = 99;

/// What was typed under a key, its numbers without the unit that is asked behind them.
pub fn without_unit(raw: &Raw, under: &str, unit: &str) -> Raw {
    let own = raw.iter().filter(|(key, _)| key.starts_with(under));
    let bare = |text: &str| {
        let text = text.trim();
        let before = text.strip_suffix(unit);
        let before = before.or_else(|| text.strip_suffix(unit.to_uppercase().as_str()));
        let before = before.map(str::trim_end);
        before
            .filter(|one| !one.is_empty())
            .unwrap_or(text)
            .to_owned()
    };
    own.map(|(key, text)| (key.clone(), bare(text))).collect()
}

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
