//! A field of a command as it is shown: everything follows from its entry in the command's list.

use super::field::FieldView;
use crate::domain::form::{FieldSpec, Kind};

/// A field without a value. What a tag or an entry is chosen from comes from the case: `choices` gives it.
pub fn view(spec: &FieldSpec, choices: &dyn Fn(Kind) -> Vec<(String, String)>) -> FieldView {
    let field = FieldView::of(spec, spec.key);
    match spec.kind {
        Kind::Tag | Kind::Entry | Kind::Listed => field.chosen_from(choices(spec.kind)),
        _ => field,
    }
}
