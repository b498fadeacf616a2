//! All layers, one after the other.

use super::disinfection::disinfection;
use super::known::OnRecord;
use super::layers::{Layers, Proposals, laid_below, lay};
use super::{record, work, worked_out};
use crate::domain::prescription::Course;
use crate::domain::prescription::draft::Fields;
use crate::domain::prescription::sources::{Filled, Origin};
use std::collections::BTreeMap;

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
    with_disinfection(typed, &proposals(typed, known), known).0
}

/// The draft's fields over these proposals, with the disinfections read into their rows; and these alone.
pub fn with_disinfection(
    typed: &Fields,
    found: &Proposals,
    known: &OnRecord<'_>,
) -> (Filled, BTreeMap<String, String>) {
    let mut filled = laid_below(typed, found);
    let details = disinfection(&filled.fields, known);
    for (key, text) in &details {
        lay(&mut filled, key, text, Origin::Record);
    }
    (filled, details)
}
