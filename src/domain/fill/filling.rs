//! All layers, one after the other.

use super::disinfection::disinfection;
use super::known::OnRecord;
use super::layers::{Layers, Proposals, is_touched, list_of};
use super::{record, work, worked_out};
use crate::domain::prescription::Course;
use crate::domain::prescription::draft::Fields;
use crate::domain::prescription::sources::{Filled, Origin};

/// What stands in each field unless something is typed there. Nothing while no kind of work is chosen, and nothing
/// where a signed revision is written anew: what it left empty stays empty.
///
/// Of a list it holds what stands there while nothing of the list is typed.
pub fn proposals(typed: &Fields, known: &OnRecord<'_>) -> Proposals {
    let course = typed.get("order.course").map(|word| word.trim());
    let course = course.and_then(Course::from_word);
    let Some(course) = course.filter(|_| !known.is_revision) else {
        return Proposals::new();
    };
    let mut layers = Layers::over(typed);
    record::offer(&mut layers, known, course);
    work::offer_pattern(&mut layers, known, course);
    work::offer_course(&mut layers, known, course);
    work::offer_start(&mut layers, known, course);
    worked_out::offer(&mut layers, known, course);
    layers.found()
}

/// The draft's fields, and below them what comes from elsewhere.
pub fn fill(typed: &Fields, known: &OnRecord<'_>) -> Filled {
    let mut filled = laid_below(typed, &proposals(typed, known));
    for (key, text) in disinfection(&filled.fields, known) {
        lay(&mut filled, &key, &text, Origin::Record);
    }
    filled
}

/// The draft's fields over these proposals, before a disinfection is read into its row.
pub fn laid_below(typed: &Fields, found: &Proposals) -> Filled {
    let mut filled = Filled {
        fields: typed.clone(),
        ..Filled::default()
    };
    for (key, (text, origin)) in found {
        let is_the_writers = list_of(key).is_some_and(|list| is_touched(typed, list));
        if !is_the_writers {
            lay(&mut filled, key, text, *origin);
        }
    }
    filled
}

fn lay(filled: &mut Filled, key: &str, text: &str, origin: Origin) {
    if !filled.fields.contains_key(key) {
        filled.from.insert(key.to_owned(), origin);
        filled.fields.insert(key.to_owned(), text.to_owned());
    }
}
