//! What follows from the kind of work: the pattern, the course, the set that it begins with.

use super::known::OnRecord;
use super::layers::Layers;
use crate::domain::prescription::course::{Needs, as_pattern, by_course, needs, starting_set};
use crate::domain::prescription::sources::{AS_PATTERN, Origin};
use crate::domain::prescription::{Change, ChangedPart, Course, read};
use crate::domain::trade::agreement::listed_midline;
use crate::domain::trade::changes::net;
use crate::domain::values::arch::{Arch, Arches};

/// Fields of one jaw alone.
const UPPER: &[&str] = &[
    "seal.",
    "base.palate_mm",
    "posterior.teeth_upper",
    "posterior.cusp_upper",
    "anterior.smile_line",
    "rims.upper_front_mm",
];
const LOWER: &[&str] = &[
    "borders.pad_cover",
    "posterior.teeth_lower",
    "posterior.cusp_lower",
    "plane.pad_percent",
    "rims.lower_front_mm",
];
/// What only two jaws can be asked.
const OF_TWO: &[&str] = &["dates.may_split"];

/// What is asked of the jaw for which nothing is made.
const OF_ONE: &[&str] = &["opposing."];

/// Whether a field can be of what is treated.
pub fn fits(key: &str, word: &str, arches: Arches) -> bool {
    let is_of = |keys: &[&str]| keys.iter().any(|one| key.starts_with(one));
    match arches {
        Arches::Both => !is_of(OF_ONE),
        Arches::Upper => {
            // The pad lies in the other jaw.
            !(is_of(LOWER) || is_of(OF_TWO) || key == "plane.back" && word == "retromolar")
        }
        Arches::Lower => !is_of(UPPER) && !is_of(OF_TWO),
    }
}

/// Whether a list of changes moves the midline, by a row of its own or with the upper front teeth.
fn moves_midline(changes: &[Change]) -> bool {
    let mut parts = changes.iter().map(|change| change.what);
    parts.any(|part| part == Some(ChangedPart::Midline))
        || listed_midline(&net(changes)).hundredths() != 0
}

/// What the pattern answers, while the switch is on. It is on where there is something to follow, until somebody
/// turns it off.
pub fn offer_pattern(layers: &mut Layers<'_>, known: &OnRecord<'_>, course: Course) {
    if as_pattern(course).next().is_none() {
        return;
    }
    let follows = [
        "pattern.upper_item",
        "pattern.lower_item",
        "reline.item",
        "reline.other_item",
    ];
    if follows.into_iter().any(|key| layers.says(key).is_some()) {
        layers.offer(Origin::Pattern, AS_PATTERN, "yes");
    }
    if !layers.is(AS_PATTERN, "yes") {
        return;
    }
    let rx = read(&layers.fields(), known.numbering).document;
    // A midline that the list of changes or its own field moves is not as the pattern marks it.
    let offset = rx.anterior.midline_offset_mm;
    let is_moved =
        moves_midline(&rx.pattern.changes) || offset.is_some_and(|mm| mm.hundredths() != 0);
    for (key, word) in as_pattern(course) {
        let is_changed = is_moved && key == "anterior.midline";
        if !is_changed && fits(key, word, known.arches) {
            layers.offer(Origin::Pattern, key, word);
        }
    }
    // The list of changes says how the teeth are copied.
    if course != Course::Reline {
        let arrangement = match layers.rows("changes").is_empty() {
            true => "copy_exactly",
            false => "copy_with_changes",
        };
        layers.offer(Origin::Pattern, "anterior.arrangement", arrangement);
    }
}

/// What the course says by itself.
pub fn offer_course(layers: &mut Layers<'_>, known: &OnRecord<'_>, course: Course) {
    let is_named = ["pattern.upper_item", "pattern.lower_item"]
        .into_iter()
        .any(|key| layers.says(key).is_some());
    for (key, word) in by_course(course) {
        // A single denture is as often set up from records.
        let is_open = course == Course::Single && key == "pattern.source" && !is_named;
        if !is_open && fits(key, word, known.arches) {
            layers.offer(Origin::Course, key, word);
        }
    }
    let follows = layers
        .says("pattern.source")
        .is_some_and(|source| source != "none");
    if matches!(course, Course::Copy | Course::DigitalCopy | Course::Single) && follows {
        let rule = match layers.rows("changes").is_empty() {
            true => "exactly",
            false => "with_changes",
        };
        layers.offer(Origin::Course, "pattern.rule", rule);
    }
}

/// The set that the course begins with, as far as there is what it speaks of.
pub fn offer_start(layers: &mut Layers<'_>, known: &OnRecord<'_>, course: Course) {
    for (key, word) in starting_set(course) {
        if is_there(layers, needs(key, word)) && fits(key, word, known.arches) {
            layers.offer(Origin::Start, key, of_jaw(key, word, known));
        }
    }
}

/// Whether there is what a value speaks of.
pub fn is_there(layers: &Layers<'_>, needs: Option<Needs>) -> bool {
    match needs {
        None => true,
        Some(Needs::Word(other, words)) => {
            layers.says(other).is_some_and(|said| words.contains(&said))
        }
        Some(Needs::AnyOf(others)) => others.iter().any(|other| layers.says(other).is_some()),
    }
}

/// The place of the mark where one jaw is made.
pub fn of_jaw<'a>(key: &str, word: &'a str, known: &OnRecord<'_>) -> &'a str {
    match (key, known.arches) {
        ("marking.place", Arches::Upper) => "posterior_palate",
        ("marking.place", Arches::Lower) => "lingual_flange",
        _ => word,
    }
}

/// The other jaw, where one alone is made.
pub fn opposing_arch(arches: Arches) -> Option<Arch> {
    match arches {
        Arches::Both => None,
        Arches::Upper => Some(Arch::Lower),
        Arches::Lower => Some(Arch::Upper),
    }
}
