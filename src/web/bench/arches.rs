//! Which arch an entry or a timer of the bench is of.

use crate::domain::form::FieldSpec;
use crate::domain::values::arch::{Arch, Arches};
use crate::web::field::FieldView;
use crate::web::tried::Tried;

/// The arches that can be worked on now; those for which the step is open stand chosen.
pub fn arch_field(spec: &FieldSpec, (free, open): (&[Arch], &[Arch]), tried: &Tried) -> FieldView {
    let mut words: Vec<Arches> = match free {
        [_, _] => vec![Arches::Both],
        _ => Vec::new(),
    };
    words.extend(free.iter().map(|arch| Arches::from(*arch)));
    let choices = words
        .iter()
        .map(|one| (one.word().to_owned(), one.shown().to_owned()));
    let field = FieldView::under(spec, "").chosen_from(choices);
    let mut field = field.filled(&tried.typed, &tried.faults);
    if field.value.is_empty() {
        let open: Vec<Arch> = open
            .iter()
            .filter(|one| free.contains(one))
            .copied()
            .collect();
        let wanted = if open.is_empty() { free } else { &open };
        let wanted = Arches::of(wanted).unwrap_or(Arches::Both);
        wanted.word().clone_into(&mut field.value);
    }
    field.mark_chosen();
    field
}
