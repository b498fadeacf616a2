//! What nobody typed, counted and named before it is signed: a value that is signed unread is a hazard.

use crate::domain::form::{FieldSpec, Kind, SectionSpec, split_row_key};
use crate::domain::prescription::draft::Fields;
use crate::domain::prescription::sources::{Filled, Origin};
use crate::domain::prescription::{catalogue, field_spec};
use std::collections::BTreeMap;

/// A value with the words by which its field is known.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct UntypedValue {
    pub label: String,
    pub value: String,
}

/// The values that nobody typed, by where they come from, each in the order of the visit. The switch itself is no value
/// of the prescription.
pub fn untyped(filled: &Filled) -> Vec<(Origin, Vec<UntypedValue>)> {
    let mut by_source: BTreeMap<Origin, Vec<(OnTheForm, UntypedValue)>> = BTreeMap::new();
    for (key, source) in &filled.from {
        if let Some(found) = untyped_field(key, &filled.fields) {
            by_source.entry(*source).or_default().push(found);
        }
    }
    let in_order = |(source, mut values): (Origin, Vec<(OnTheForm, UntypedValue)>)| {
        values.sort_by_key(|(place, _)| *place);
        let values = values.into_iter().map(|(_, value)| value);
        (source, values.collect())
    };
    by_source.into_iter().map(in_order).collect()
}

/// Section, row and field, by their order on the form.
type OnTheForm = (usize, usize, usize);

fn untyped_field(key: &str, fields: &Fields) -> Option<(OnTheForm, UntypedValue)> {
    let (spec, text) = (field_spec(key)?, fields.get(key)?);
    let row = split_row_key(key).map(|(_, row, _)| row);
    let (at, section) = catalogue()
        .iter()
        .enumerate()
        .find(|(_, section)| field_at(section, spec).is_some())?;
    let place = (at, row.map_or(0, |row| row + 1), field_at(section, spec)?);
    let list = section
        .groups
        .iter()
        .find(|group| group.fields.iter().any(|one| one.key == spec.key));
    let label = match (list, row) {
        (Some(list), Some(row)) => format!("{}, row {}: {}", list.title, row + 1, spec.label),
        _ => format!("{}: {}", section.title, spec.label),
    };
    let value = shown(spec, text);
    Some((place, UntypedValue { label, value }))
}

fn field_at(section: &SectionSpec, spec: &FieldSpec) -> Option<usize> {
    let listed = section.groups.iter().flat_map(|group| group.fields);
    let mut all = section.fields.iter().chain(listed);
    all.position(|one| one.key == spec.key)
}

/// The words of a choice, a number with its unit, or the text.
fn shown(spec: &FieldSpec, text: &str) -> String {
    let unit = spec.kind.unit();
    match spec.kind {
        Kind::Choice(words) => {
            let chosen = words.iter().find(|(word, _)| *word == text);
            chosen.map_or(text, |(_, shown)| *shown).to_owned()
        }
        _ if unit.is_empty() => text.to_owned(),
        _ => format!("{text} {unit}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn filled(values: &[(&str, &str, Origin)]) -> Filled {
        let text = |(key, text, _): &(&str, &str, Origin)| ((*key).to_owned(), (*text).to_owned());
        Filled {
            fields: values.iter().map(text).collect(),
            from: values
                .iter()
                .map(|(key, _, source)| ((*key).to_owned(), *source))
                .collect(),
        }
    }

    #[test]
    fn each_value_is_named_once_by_its_source_in_the_order_of_the_visit() {
        let filled = filled(&[
            ("base.palate_mm", "2", Origin::Start),
            ("base.material", "heat_cured", Origin::Start),
            ("vertical.method", "nose_chin", Origin::Start),
            ("enclosed.1.minutes", "10", Origin::Record),
            ("enclosed.0.tag", "T00", Origin::Record),
            ("form.as_pattern", "yes", Origin::Pattern),
            ("seal.by", "in_pattern", Origin::Pattern),
            ("finish.photos", "yes", Origin::Usual(3)),
            ("finish.keep_months", "6", Origin::UsualOfLab(2)),
            ("form.usual", "a.3", Origin::Usual(3)),
        ]);
        let said: Vec<String> = untyped(&filled)
            .into_iter()
            .flat_map(|(source, values)| {
                let head = source.counted(values.len());
                let lines = values
                    .into_iter()
                    .map(|one| format!("{} = {}", one.label, one.value));
                std::iter::once(head).chain(lines).collect::<Vec<_>>()
            })
            .collect();
        assert_eq!(
            said,
            [
                "2 from the record",
                "Enclosed items, row 1: Tag = T00",
                "Enclosed items, row 2: Contact time = 10 min",
                "1 as the pattern",
                "Posterior palatal seal: Seal = already in the pattern’s surface: keep",
                "1 from your usual values (version 3)",
                "Polished surface, remount and checks: Photos before sending = yes",
                "1 from the lab’s usual values (version 2)",
                "Polished surface, remount and checks: Keep casts and index for = 6 months",
                "3 from the starting set",
                "Vertical dimension: Method = nose to chin, skin marks",
                "Base material and process: Base material = heat-cured acrylic resin",
                "Base material and process: Thickness of the palate = 2 mm",
            ]
        );
    }
}
