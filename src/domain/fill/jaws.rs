//! In which of the treated jaws a kind of work makes something: a denture that is relined or repaired is of one jaw, a
//! single denture is made for the jaw without teeth, and teeth are not remounted.

use super::known::OnRecord;
use super::things::goes_along;
use crate::domain::custody::Holder;
use crate::domain::form::row_numbers;
use crate::domain::people::patient::OwnTeeth;
use crate::domain::prescription::Course;
use crate::domain::prescription::draft::Fields;
use crate::domain::values::arch::{Arch, Arches};
use crate::domain::values::ids::Tag;

/// The jaws that the work is for; all that are treated where nothing tells them apart.
pub fn jaws_of(typed: &Fields, known: &OnRecord<'_>, course: Course) -> Arches {
    let found = match course {
        Course::Single | Course::Remount => without_teeth(known),
        Course::Reline => of_dentures(typed, known, course, ["reline.item", "reline.other_item"]),
        Course::Repair => of_dentures(typed, known, course, ["repair.item", "repair.other_item"]),
        _ => None,
    };
    found.unwrap_or(known.arches)
}

/// Those of them for which a piece is listed, once the writer has listed the pieces; all while one does not say its jaw.
pub fn ordered_of(typed: &Fields, jaws: Arches) -> Arches {
    let rows = row_numbers(typed, "pieces").into_iter();
    let arch = |row: usize| {
        let said = typed.get(&format!("pieces.{row}.arch"));
        said.and_then(|word| Arch::from_word(word.trim()))
    };
    let listed: Option<Vec<Arch>> = rows.map(arch).collect();
    let is_ordered = |arch: &Arch| listed.as_ref().is_none_or(|listed| listed.contains(arch));
    let ordered: Vec<Arch> = jaws.treated().iter().copied().filter(is_ordered).collect();
    Arches::of(&ordered).unwrap_or(jaws)
}

fn treated(known: &OnRecord<'_>, is_it: impl Fn(Arch) -> bool) -> Option<Arches> {
    let treated = known.arches.treated().iter().copied();
    let jaws: Vec<Arch> = treated.filter(|arch| is_it(*arch)).collect();
    Arches::of(&jaws)
}

/// By the card; what stands on implants is bitten against as teeth are.
fn without_teeth(known: &OnRecord<'_>) -> Option<Arches> {
    treated(known, |arch| {
        let own = known.own_teeth.get(&arch);
        !matches!(own, Some(OwnTeeth::Natural | OwnTeeth::Implants))
    })
}

/// The jaws of the dentures that are named; else of those at the office, else of those that the patient has. Where the
/// other denture is emptied, the first of them alone.
fn of_dentures(
    typed: &Fields,
    known: &OnRecord<'_>,
    course: Course,
    keys: [&str; 2],
) -> Option<Arches> {
    let tags = keys
        .into_iter()
        .filter_map(|key| Tag::parse(typed.get(key)?).ok());
    let named: Vec<Arch> = tags.filter_map(|tag| known.item(&tag)?.arch).collect();
    let has = |holder: Holder, arch: Arch| {
        known.things().any(|(item, state)| {
            let is_kept = state.withheld.is_some() || state.spare || state.given_back;
            let is_sent = item.kind.is_wearable() && goes_along(course, item.kind);
            item.arch == Some(arch) && is_sent && state.holder == holder && !is_kept
        })
    };
    let found = treated(known, |arch| named.contains(&arch))
        .or_else(|| treated(known, |arch| has(Holder::Office, arch)))
        .or_else(|| treated(known, |arch| has(Holder::Patient, arch)));
    // The box of the other denture that somebody has emptied says that there is none to be worked on.
    let [_, other] = keys;
    let is_emptied = typed.get(other).is_some_and(|text| text.trim().is_empty());
    match found?.treated() {
        [first, _] if is_emptied => Arches::of(&[*first]),
        jaws => Arches::of(jaws),
    }
}
