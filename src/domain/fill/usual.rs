//! What the houses say once for all their work, and what was signed for the same patient before.
//!
//! The case before goes before what is usual: what this mouth had is nearer to it than what most of them get.

use super::known::OnRecord;
use super::layers::Layers;
use super::work::{fits, is_there, of_jaw};
use crate::domain::people::party::Side;
use crate::domain::prescription::course::{SectionPlace, asks, place, starting_set};
use crate::domain::prescription::draft::Fields;
use crate::domain::prescription::sources::{Filled, Origin, USUAL, USUAL_OF_LAB};
use crate::domain::prescription::usual::{
    CARRIED, InUse, Otherwise, UsualSet, may_hold, usual_needs,
};
use crate::domain::prescription::{Course, field_spec, read};

/// Kinds of work with whole dentures: what is usual of a denture is usual of each of them.
const WHOLE_DENTURES: &[Course] = &[
    Course::Copy,
    Course::DigitalCopy,
    Course::SetUp,
    Course::Reset,
    Course::Finish,
    Course::Immediate,
    Course::Single,
    Course::Everything,
];
/// What these are made of, and how, follows from the kind of work: a set for all of them does not say it.
const MADE_THEIR_OWN_WAY: &[Course] = &[Course::DigitalCopy, Course::Duplicate, Course::Repair];
const WAY: &[&str] = &[
    "base.material",
    "base.product",
    "base.process",
    "anterior.material",
    "posterior.material",
    "guidance.articulator",
    "guidance.source",
];
/// Orders that start from what was signed before.
const GOES_ON: &[&str] = &["remake", "next_stage", "correction"];

/// What the last case of the same patient says to an order that goes on from it.
pub fn offer_before(layers: &mut Layers<'_>, known: &OnRecord<'_>, course: Course) {
    let goes_on = layers
        .says("order.kind")
        .is_some_and(|kind| GOES_ON.contains(&kind));
    let Some(before) = known.beforehand.before.as_ref().filter(|_| goes_on) else {
        return;
    };
    for (key, _) in CARRIED {
        let has_a_place = matches!(
            place(course, section_of(key)),
            SectionPlace::Asked | SectionPlace::AsThePattern | SectionPlace::Carried
        );
        let said = before.fields.get(*key).map(|text| text.trim());
        let said = said.filter(|word| has_a_place && fits(key, word, known.arches));
        let said = said.filter(|word| is_there(layers, usual_needs(key, word)));
        if let Some(word) = said.map(str::to_owned) {
            layers.offer(Origin::Before, key, of_jaw(key, &word, known));
        }
    }
}

/// What is usual at the office, and below it at the lab; with the versions that say it.
pub fn offer_usual(layers: &mut Layers<'_>, known: &OnRecord<'_>, course: Course) {
    let typed = layers.fields();
    for side in [Side::Office, Side::Lab] {
        let (key, sets) = of_side(known, side);
        // An emptied choice lies over the one that would be made.
        let named = typed.get(key).filter(|mark| !mark.trim().is_empty());
        if let Some(set) = InUse::chosen(sets, named.map(String::as_str), course) {
            layers.offer(origin(side, set.version), key, &set.mark());
        }
    }
    for side in [Side::Office, Side::Lab] {
        let Some(set) = chosen(&typed, known, side, course) else {
            continue;
        };
        for key in set.set.values.keys().filter(|key| !is_of_row(key)) {
            let said = set.set.says(side, key);
            let said = said.filter(|word| fits(key, word, known.arches));
            let said = said.filter(|_| is_usual_in(&set.set, course, key));
            let said = said.filter(|_| goes_with_its_material(layers, &set.set, key));
            // Where nobody has said a material yet, the one that the work begins with goes with it.
            let is_open = key == "base.process" && layers.says("base.material").is_none();
            let has_ground = |word: &&str| is_open || is_there(layers, usual_needs(key, word));
            if let Some(word) = said.filter(has_ground) {
                layers.offer(origin(side, set.version), key, of_jaw(key, word, known));
            }
        }
    }
}

/// A product is of the material that its set names: beside another one it says nothing.
fn goes_with_its_material(layers: &Layers<'_>, set: &UsualSet, key: &str) -> bool {
    let own = set.values.get("base.material").map(String::as_str);
    let now = layers.says("base.material");
    key != "base.product" || own.is_none() || own == now
}

/// The usual values that the last case of the same patient had otherwise.
pub fn otherwise(filled: &Filled, known: &OnRecord<'_>) -> Vec<Otherwise> {
    let Some(before) = &known.beforehand.before else {
        return Vec::new();
    };
    let is_usual = |key: &str| {
        let from = filled.from.get(key);
        matches!(from, Some(Origin::Usual(_) | Origin::UsualOfLab(_)))
    };
    let words = |key: &str, fields: &Fields| -> Option<String> {
        let text = fields.get(key).filter(|text| !text.trim().is_empty())?;
        let alone = Fields::from([(key.to_owned(), text.clone())]);
        let document = read(&alone, known.numbering).document;
        let mut cells = document.filled(known.numbering).into_iter();
        cells.find_map(|(_, cells)| cells.into_iter().next().map(|cell| cell.shown))
    };
    let keys = CARRIED.iter().map(|(key, _)| *key);
    keys.filter(|key| is_usual(key))
        .filter_map(|key| {
            let (usual, had) = (words(key, &filled.fields)?, words(key, &before.fields)?);
            (usual != had).then(|| Otherwise {
                key: key.to_owned(),
                label: field_spec(key).map_or("", |spec| spec.label),
                usual,
                before: had,
                case: before.number.to_string(),
            })
        })
        .collect()
}

fn of_side<'a>(known: &OnRecord<'a>, side: Side) -> (&'static str, &'a [InUse]) {
    match side {
        Side::Office => (USUAL, &known.beforehand.office),
        Side::Lab => (USUAL_OF_LAB, &known.beforehand.lab),
    }
}

fn origin(side: Side, version: i64) -> Origin {
    match side {
        Side::Office => Origin::Usual(version),
        Side::Lab => Origin::UsualOfLab(version),
    }
}

/// The set of a house that a draft goes by.
fn chosen<'a>(
    fields: &Fields,
    known: &OnRecord<'a>,
    side: Side,
    course: Course,
) -> Option<&'a InUse> {
    let (key, sets) = of_side(known, side);
    InUse::chosen(sets, fields.get(key).map(String::as_str), course)
}

fn is_of_row(key: &str) -> bool {
    crate::domain::form::split_row_key(key).is_some()
}

fn section_of(key: &str) -> &str {
    key.split_once('.').map_or(key, |(section, _)| section)
}

/// Whether a value of a set is meant for this kind of work. A set that names it says all that has a place in it; one
/// for all kinds says what is usual of a denture, and elsewhere only what that kind of work asks or begins with.
fn is_usual_in(set: &UsualSet, course: Course, key: &str) -> bool {
    let place = place(course, section_of(key));
    if place == SectionPlace::Away || !may_hold(Side::Office, key) {
        return false;
    }
    if set.names(course) {
        return true;
    }
    if MADE_THEIR_OWN_WAY.contains(&course) && WAY.contains(&key) {
        return false;
    }
    let is_begun_with = starting_set(course).iter().any(|(one, _)| *one == key);
    let has_a_place = matches!(place, SectionPlace::Asked | SectionPlace::AsThePattern);
    let is_whole = WHOLE_DENTURES.contains(&course) && has_a_place;
    is_begun_with || asks(course, key) || is_whole
}
