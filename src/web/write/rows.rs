//! The lists of the form as tables: which fields of a row stand in its line, and which behind it.

use super::chart::TouchChart;
use crate::domain::form::{FieldSpec, GroupSpec};
use crate::web::field::FieldView;

/// A row of a list.
pub struct RowView {
    pub number: usize,
    pub title: String,
    /// The thing on record that the row is about, where nobody wrote it.
    pub fact: String,
    pub fields: Vec<FieldView>,
    /// What few rows need.
    pub more: Vec<FieldView>,
    /// Whether something behind the line is filled in a way that has to be seen.
    pub is_open: bool,
}

/// A list of the form with its rows.
pub struct GroupView {
    pub key: &'static str,
    pub title: &'static str,
    pub intro: &'static str,
    /// What is wrong with the list as a whole.
    pub messages: Vec<String>,
    /// What the review says of its rows.
    pub said: Vec<String>,
    /// The heads of the columns.
    pub heads: Vec<&'static str>,
    pub has_more: bool,
    /// The arches to be touched, beside the list of changes.
    pub chart: Option<TouchChart>,
    pub rows: Vec<RowView>,
}

/// By list, the fields that stand in the line; what is not named stands behind it.
const COLUMNS: &[(&str, &[&str])] = &[
    (
        "pieces",
        &["arch", "stage", "description", "materials", "opposing"],
    ),
    ("repairs", &["what", "place", "tooth", "tooth_enclosed"]),
    ("readings", &["rest_mm", "occlusal_mm", "method", "date"]),
    ("changes", &["what", "tooth", "direction", "mm"]),
    ("reliefs", &["place", "mm", "note"]),
    ("enclosed", &["tag", "what", "agent", "minutes"]),
    ("returns", &["tag", "what", "borrowed", "due"]),
    ("stage_dates", &["stage", "arch", "date"]),
    ("extractions", &["tooth", "when", "note"]),
    ("kept", &["tag", "by", "until"]),
    ("scans", &["tag", "shows", "file", "units"]),
];

/// Whether a field of a list stands in the line of its row.
pub fn is_column(group: &GroupSpec, spec: &FieldSpec) -> bool {
    let field = spec.key.rsplit('.').next().unwrap_or_default();
    match COLUMNS.iter().find(|(key, _)| *key == group.key) {
        Some((_, columns)) => columns.contains(&field),
        None => true,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::prescription::catalogue;

    #[test]
    fn every_list_has_its_columns_and_every_column_is_a_field() {
        let groups: Vec<&GroupSpec> = catalogue().iter().flat_map(|one| one.groups).collect();
        assert_eq!(groups.len(), COLUMNS.len());
        for group in groups {
            let (_, columns) = COLUMNS.iter().find(|(key, _)| *key == group.key).unwrap();
            let found = group.fields.iter().filter(|spec| is_column(group, spec));
            assert_eq!(found.count(), columns.len(), "{}", group.key);
        }
    }
}
