//! All layers, one after the other.

use super::disinfection::disinfection;
use super::jaws::{jaws_of, ordered_of};
use super::known::OnRecord;
use super::layers::{Layers, Proposals, laid_below, lay};
use super::stage::course_in;
use super::{record, usual, work, worked_out};
use crate::domain::prescription::Course;
use crate::domain::prescription::draft::Fields;
use crate::domain::prescription::sources::{Filled, Origin, USUAL, USUAL_OF_LAB};

/// What stands in each field unless something is typed there. Nothing while no kind of work is chosen, and of a
/// signed revision that is written again what was done to its pattern since: what it left empty stays empty. The next kind of work in a signed case is
/// filled below what holds on of the one before.
///
/// Of a list it holds what stands there while nothing of the list is typed.
pub fn proposals(typed: &Fields, known: &OnRecord<'_>) -> Proposals {
    let Some(course) = course_of(typed, known) else {
        let mut layers = Layers::over(typed);
        record::offer_since(&mut layers, known);
        return layers.found();
    };
    let known = &OnRecord {
        arches: jaws_of(typed, known, course),
        ..*known
    };
    let mut layers = Layers::over(typed);
    record::offer(&mut layers, known, course);
    let known = &OnRecord {
        arches: ordered_of(typed, known.arches),
        ..*known
    };
    work::offer_pattern(&mut layers, known, course);
    work::offer_course(&mut layers, known, course);
    usual::offer_before(&mut layers, known, course);
    usual::offer_usual(&mut layers, known, course);
    work::offer_start(&mut layers, known, course);
    worked_out::offer(&mut layers, known, course);
    layers.found()
}

/// The draft's fields, and below them what comes from elsewhere.
pub fn fill(typed: &Fields, known: &OnRecord<'_>) -> Filled {
    with_details(typed, &proposals(typed, known), known).0
}

/// The draft's fields over these proposals, with what is read into their rows; and that alone.
pub fn with_details(
    typed: &Fields,
    found: &Proposals,
    known: &OnRecord<'_>,
) -> (Filled, Proposals) {
    let mut filled = laid_below(typed, found);
    // A draft that is held to the versions it was begun with goes by them as if they were filled in again.
    for key in [USUAL, USUAL_OF_LAB] {
        if let Some((mark, origin)) = found.get(key)
            && typed.get(key) == Some(mark)
        {
            filled.from.insert(key.to_owned(), *origin);
        }
    }
    let details = details(&filled.fields, known);
    for (key, (text, origin)) in &details {
        lay(&mut filled, key, text, *origin);
    }
    (filled, details)
}

/// The kind of work that a draft is filled for; none where nothing is filled in.
pub fn course_of(typed: &Fields, known: &OnRecord<'_>) -> Option<Course> {
    let beforehand = known.beforehand;
    let is_new = |course: &Course| beforehand.signed != Some(*course) || beforehand.is_next_round;
    course_in(typed).filter(is_new)
}

/// What is read into the rows of what is enclosed: the entry of each thing. What is usual is no disinfection: before
/// one is entered, nothing stands there.
fn details(fields: &Fields, known: &OnRecord<'_>) -> Proposals {
    let read = disinfection(fields, known).into_iter();
    read.map(|(key, text)| (key, (text, Origin::Record)))
        .collect()
}
