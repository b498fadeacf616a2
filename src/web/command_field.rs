//! A field of a command as it is shown: everything follows from its entry in the command's list.

use super::field::{FieldView, Input};
use crate::domain::form::{FieldSpec, Kind};

/// How a kind of field is typed.
fn input(kind: Kind) -> Input {
    match kind {
        Kind::Text { .. } | Kind::Name { .. } | Kind::Tooth => Input::Text,
        Kind::LongText { .. } => Input::Long,
        Kind::Mm { .. } | Kind::Degrees { .. } | Kind::Number { .. } | Kind::Whole { .. } => {
            Input::Number
        }
        Kind::Date => Input::Date,
        Kind::Time => Input::Time,
        Kind::Tick => Input::Tick,
        Kind::YesNo | Kind::Choice(_) | Kind::Tag | Kind::Entry => Input::Choice,
    }
}

/// A field without a value. The choices of a tag and of an entry come from the case: `choices` gives them.
pub fn view(spec: &FieldSpec, choices: &dyn Fn(Kind) -> Vec<(String, String)>) -> FieldView {
    let listed = match spec.kind {
        Kind::Choice(words) => words
            .iter()
            .map(|(word, shown)| ((*word).to_owned(), (*shown).to_owned()))
            .collect(),
        kind => choices(kind),
    };
    let mut field = FieldView::choice(spec.key, spec.label, listed)
        .hint(spec.hint)
        .unit(spec.kind.unit());
    field.input = input(spec.kind);
    field.needed = !spec.needed.is_empty();
    field
}
