//! What a version of a set has otherwise than the one before.

use super::set::UsualSet;
use crate::domain::form::{FilledField, SectionSpec};
use crate::domain::prescription::read;
use crate::domain::values::tooth::Numbering;
use std::collections::BTreeMap;

/// The values of a set as they are shown: section, label, words.
pub fn values_of(set: &UsualSet) -> Vec<(&'static SectionSpec, Vec<FilledField>)> {
    let document = read(&set.values, Numbering::Iso3950).document;
    let mut sections = document.filled(Numbering::Iso3950);
    sections.retain(|(_, cells)| !cells.is_empty());
    sections
}

/// One thing that is otherwise.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SetChange {
    /// Of the set itself (its name, what it is for) and of none of its values.
    pub is_of_the_set: bool,
    /// The label of the field, or what of the set itself is otherwise.
    pub label: String,
    /// Empty where nothing stood.
    pub was: String,
    /// Empty where nothing stands any more.
    pub is: String,
}

fn facts(set: &UsualSet) -> BTreeMap<(usize, String), String> {
    let kinds = match set.courses.as_slice() {
        [] => "all".to_owned(),
        some => {
            let names: Vec<&str> = some.iter().map(|course| course.shown()).collect();
            names.join(", ")
        }
    };
    let begins = if set.begins { "yes" } else { "no" };
    let head = [
        ("Name", set.name.clone()),
        ("Kinds of work", kinds),
        ("Drafts begin with it", begins.to_owned()),
    ];
    let head = head
        .into_iter()
        .map(|(label, text)| ((0, label.to_owned()), text));
    let sections = values_of(set).into_iter();
    let values = sections.flat_map(|(section, cells)| {
        let label = |cell: &FilledField| format!("{}: {}", section.title, cell.spec.label);
        let place = place_of(section);
        let one = move |cell: FilledField| ((place, label(&cell)), cell.shown);
        cells.into_iter().map(one).collect::<Vec<_>>()
    });
    let carrier = (!set.carrier.is_empty()).then(|| {
        let label = "Handing over: Carrier".to_owned();
        ((usize::MAX, label), set.carrier.clone())
    });
    head.chain(values).chain(carrier).collect()
}

fn place_of(section: &SectionSpec) -> usize {
    let all = crate::domain::prescription::catalogue().iter();
    all.zip(1..)
        .find(|(one, _)| one.key == section.key)
        .map_or(0, |(_, place)| place)
}

/// What changed from one version to the next, in the order of the visit; all of it, where there is none before.
pub fn changes(before: Option<&UsualSet>, now: Option<&UsualSet>) -> Vec<SetChange> {
    let (was, is) = (
        before.map(facts).unwrap_or_default(),
        now.map(facts).unwrap_or_default(),
    );
    let mut keys: Vec<&(usize, String)> = was.keys().chain(is.keys()).collect();
    keys.sort();
    keys.dedup();
    let text =
        |of: &BTreeMap<_, String>, key: &(usize, String)| of.get(key).cloned().unwrap_or_default();
    keys.into_iter()
        .map(|key| SetChange {
            is_of_the_set: key.0 == 0,
            label: key.1.clone(),
            was: text(&was, key),
            is: text(&is, key),
        })
        .filter(|change| change.was != change.is)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::form::Raw;
    use crate::domain::prescription::Course;

    #[test]
    fn each_change_is_named_by_its_field_with_both_values() {
        let set = |name: &str, courses: &[Course], values: &[(&str, &str)]| UsualSet {
            name: name.to_owned(),
            begins: true,
            courses: courses.to_vec(),
            carrier: String::new(),
            values: values
                .iter()
                .map(|(key, text)| ((*key).to_owned(), (*text).to_owned()))
                .collect::<Raw>(),
        };
        let old = set(
            "Full",
            &[],
            &[("base.material", "heat_cured"), ("back.casts", "yes")],
        );
        let new = set(
            "Full dentures",
            &[Course::Copy],
            &[("base.material", "high_impact"), ("base.palate_mm", "2")],
        );
        let said = |changes: Vec<SetChange>| -> Vec<String> {
            let one =
                |change: SetChange| format!("{}: {} > {}", change.label, change.was, change.is);
            changes.into_iter().map(one).collect()
        };
        assert_eq!(
            said(changes(Some(&old), Some(&new))),
            [
                "Kinds of work: all > copy of a worn pattern",
                "Name: Full > Full dentures",
                "Base material and process: Base material: heat-cured acrylic resin > high-impact acrylic resin",
                "Base material and process: Thickness of the palate:  > 2 mm",
                "To come back: Master casts: yes > ",
            ]
        );
        assert_eq!(changes(Some(&old), Some(&old)), []);
        assert_eq!(changes(None, Some(&old)).len(), 5);
        assert_eq!(changes(Some(&old), None).len(), 5);
    }
}
