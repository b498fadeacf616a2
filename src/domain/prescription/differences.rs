//! What differs between two revisions, field by field, in words.
//!
//! Rows of a list are matched from both ends first, so that a row put in or taken out in the middle
//! shows as one row and not as a change of all that follow.

use super::document::Prescription;
use crate::domain::form::{Cell, GroupSpec, SectionSpec};
use crate::domain::values::tooth::Numbering;

/// One field or row that differs. `None` is "not filled".
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Difference {
    pub section: &'static str,
    pub label: String,
    pub before: Option<String>,
    pub after: Option<String>,
}

/// All differences in the order of the catalogue; empty when both say the same.
pub fn differences(
    before: &Prescription,
    after: &Prescription,
    numbering: Numbering,
) -> Vec<Difference> {
    let (before, after) = (before.filled(numbering), after.filled(numbering));
    let mut found = Vec::new();
    for ((section, was), (_, is)) in before.iter().zip(&after) {
        compare_fields(section, was, is, &mut found);
        for group in section.groups {
            compare_rows(
                section,
                group,
                &rows(group, was),
                &rows(group, is),
                &mut found,
            );
        }
    }
    found
}

fn compare_fields(
    section: &'static SectionSpec,
    was: &[Cell],
    is: &[Cell],
    found: &mut Vec<Difference>,
) {
    for field in section.fields {
        let shown = |cells: &[Cell]| {
            let cell = cells.iter().find(|cell| cell.spec.key == field.key);
            cell.map(|cell| cell.shown.clone())
        };
        note(
            section,
            field.label.to_owned(),
            shown(was),
            shown(is),
            found,
        );
    }
}

fn note(
    section: &'static SectionSpec,
    label: String,
    before: Option<String>,
    after: Option<String>,
    found: &mut Vec<Difference>,
) {
    if before != after {
        found.push(Difference {
            section: section.title,
            label,
            before,
            after,
        });
    }
}

/// A row as label and value of each filled field.
type Row = Vec<(&'static str, String)>;

fn rows(group: &GroupSpec, cells: &[Cell]) -> Vec<Row> {
    let mut rows: Vec<Row> = Vec::new();
    for cell in cells
        .iter()
        .filter(|cell| group.fields.iter().any(|field| field.key == cell.spec.key))
    {
        let Some(number) = cell.row else { continue };
        // Rows come in order and none is empty, so the next number is always the next place.
        if number >= rows.len() {
            rows.push(Row::new());
        }
        if let Some(row) = rows.last_mut() {
            row.push((cell.spec.label, cell.shown.clone()));
        }
    }
    rows
}

fn compare_rows(
    section: &'static SectionSpec,
    group: &'static GroupSpec,
    was: &[Row],
    is: &[Row],
    found: &mut Vec<Difference>,
) {
    let head = was.iter().zip(is).take_while(|(was, is)| was == is).count();
    let (was, is) = (
        was.get(head..).unwrap_or_default(),
        is.get(head..).unwrap_or_default(),
    );
    let tail = was
        .iter()
        .rev()
        .zip(is.iter().rev())
        .take_while(|(was, is)| was == is)
        .count();
    let was = was.get(..was.len() - tail).unwrap_or_default();
    let is = is.get(..is.len() - tail).unwrap_or_default();
    for place in 0..was.len().max(is.len()) {
        let label = format!("{}, row {}", group.title, head + place + 1);
        match (was.get(place), is.get(place)) {
            (Some(was), Some(is)) => compare_row(section, group, &label, was, is, found),
            (was, is) => note(section, label, was.map(in_words), is.map(in_words), found),
        }
    }
}

fn compare_row(
    section: &'static SectionSpec,
    group: &'static GroupSpec,
    label: &str,
    was: &Row,
    is: &Row,
    found: &mut Vec<Difference>,
) {
    for field in group.fields {
        let shown = |row: &Row| {
            row.iter()
                .find(|(name, _)| *name == field.label)
                .map(|(_, value)| value.clone())
        };
        note(
            section,
            format!("{label}: {}", field.label),
            shown(was),
            shown(is),
            found,
        );
    }
}

fn in_words(row: &Row) -> String {
    row.iter()
        .map(|(label, value)| format!("{label}: {value}"))
        .collect::<Vec<_>>()
        .join("; ")
}
