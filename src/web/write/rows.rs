//! The lists of the form as tables: which fields of a row stand in its line, and which behind it.

use super::chart::TouchChart;
use crate::domain::form::{FieldSpec, GroupSpec};
use crate::web::field::FieldView;

/// What stands in one column of a row.
pub enum RowCell {
    Box(Box<FieldView>),
    /// What nobody typed of one column or several beside each other; the boxes stand behind the line.
    Said(Vec<Word>),
}

/// A value in words, with the key and the label of its field.
pub struct Word {
    pub key: String,
    pub label: String,
    pub text: String,
}

/// A row of a list.
pub struct RowView {
    pub number: usize,
    pub title: String,
    /// The thing on record that the row is about, where nobody wrote it, and the key of its field.
    pub fact: String,
    pub fact_of: String,
    pub cells: Vec<RowCell>,
    /// What few rows need.
    pub more: Vec<FieldView>,
    /// Whether something behind the line is wrong.
    pub is_open: bool,
}

impl RowView {
    /// The boxes in its line.
    pub fn boxes(&self) -> impl Iterator<Item = &FieldView> {
        self.cells.iter().filter_map(|cell| match cell {
            RowCell::Box(field) => Some(field.as_ref()),
            RowCell::Said(_) => None,
        })
    }

    /// All its fields.
    pub fn fields(&self) -> impl Iterator<Item = &FieldView> {
        self.boxes().chain(&self.more)
    }

    /// All its fields.
    pub fn fields_mut(&mut self) -> impl Iterator<Item = &mut FieldView> {
        let boxes = self.cells.iter_mut().filter_map(|cell| match cell {
            RowCell::Box(field) => Some(field.as_mut()),
            RowCell::Said(_) => None,
        });
        boxes.chain(&mut self.more)
    }

    /// Whether nothing is in it: then only what begins a row is shown of it.
    pub fn is_blank(&self) -> bool {
        self.fields()
            .all(|field| field.value.is_empty() && field.messages.is_empty())
    }
}

/// The columns of a row, and the boxes that stand behind its line instead: a value that nobody typed and nothing is said
/// about is words.
pub fn laid_out(fields: Vec<FieldView>) -> (Vec<RowCell>, Vec<FieldView>) {
    let (mut cells, mut folded) = (Vec::new(), Vec::new());
    for field in fields {
        let is_quiet = field.messages.is_empty() && field.warnings.is_empty();
        let is_given = field.from.is_some() && !field.value.is_empty();
        if field.is_asked || !is_given || !is_quiet {
            cells.push(RowCell::Box(Box::new(field)));
            continue;
        }
        let word = Word {
            key: field.key.clone(),
            label: field.label.clone(),
            text: field.shown(),
        };
        match cells.last_mut() {
            Some(RowCell::Said(words)) => words.push(word),
            _ => cells.push(RowCell::Said(vec![word])),
        }
        folded.push(field);
    }
    (cells, folded)
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
    /// The arches to be touched, beside the list of changes.
    pub chart: Option<TouchChart>,
    pub rows: Vec<RowView>,
    /// The empty rows at its end, where they are folded; whether they are open.
    pub spare: Vec<RowView>,
    pub is_growing: bool,
}

/// By list, how many fields begin a row, and the fields that stand in its line; what is not named stands behind it.
const COLUMNS: &[(&str, usize, &[&str])] = &[
    (
        "pieces",
        1,
        &["arch", "stage", "description", "materials", "opposing"],
    ),
    ("repairs", 1, &["what", "place", "tooth", "tooth_enclosed"]),
    ("readings", 2, &["rest_mm", "occlusal_mm"]),
    ("changes", 1, &["what", "tooth", "direction", "mm"]),
    ("reliefs", 1, &["place", "mm", "note"]),
    ("enclosed", 2, &["tag", "what", "agent", "minutes"]),
    ("returns", 2, &["tag", "what", "borrowed", "due"]),
    ("stage_dates", 1, &["stage", "arch", "date"]),
    ("extractions", 1, &["tooth", "when", "note"]),
    ("kept", 2, &["tag", "by", "until"]),
    ("scans", 2, &["tag", "shows", "file", "units"]),
];

fn columns(group: &GroupSpec) -> Option<(usize, &'static [&'static str])> {
    let found = COLUMNS.iter().find(|(key, ..)| *key == group.key);
    found.map(|(_, starting, columns)| (*starting, *columns))
}

/// Whether a field of a list stands in the line of its row.
pub fn is_column(group: &GroupSpec, spec: &FieldSpec) -> bool {
    let field = spec.key.rsplit('.').next().unwrap_or_default();
    columns(group).is_none_or(|(_, columns)| columns.contains(&field))
}

/// How many columns of an empty row are there before anything is in them; the others come with the first of these.
pub fn starting(group: &GroupSpec) -> usize {
    columns(group).map_or(usize::MAX, |(starting, _)| starting)
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
            let (starting, columns) = columns(group).unwrap();
            assert!((1..=columns.len()).contains(&starting), "{}", group.key);
            let found = group.fields.iter().filter(|spec| is_column(group, spec));
            assert_eq!(found.count(), columns.len(), "{}", group.key);
        }
    }
}
