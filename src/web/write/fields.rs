//! The catalogue of the prescription as sections, lists and fields of a form.

use crate::app::draft_view::DraftView;
use crate::domain::form::{FieldSpec, GroupSpec, Kind, MOST_ROWS, SectionSpec};
use crate::domain::prescription::draft::Fields;
use crate::domain::prescription::{catalogue, cautions, is_rare};
use crate::domain::trade::hints::Number;
use crate::domain::values::tooth::Numbering;
use crate::web::field::{Choice, FieldView, Input};
use askama::Template;
use time::Date;

/// Empty rows offered below the filled ones of a list.
const SPARE_ROWS: usize = 1;

/// A row of a list.
pub struct RowView {
    pub title: String,
    pub fields: Vec<FieldView>,
}

/// A list of the form with its rows.
pub struct GroupView {
    pub key: &'static str,
    pub title: &'static str,
    pub intro: &'static str,
    /// What is wrong with the list as a whole.
    pub messages: Vec<String>,
    pub rows: Vec<RowView>,
}

/// The numbers beside one section: in the page, and alone for the script.
#[derive(Template)]
#[template(path = "partials/numbers.html")]
pub struct NumbersPart {
    pub numbers: Vec<Number>,
}

/// A section of the form.
pub struct SectionView {
    pub key: &'static str,
    pub title: &'static str,
    pub intro: &'static str,
    pub cautions: &'static [&'static str],
    /// Whether it waits behind its title: few orders need it, and nothing in it is filled or wrong.
    pub is_folded: bool,
    pub fields: Vec<FieldView>,
    pub groups: Vec<GroupView>,
    /// What follows from the fields of this section.
    pub numbers: NumbersPart,
}

/// A catalogue entry as a field of a form.
pub fn view_of(spec: &FieldSpec, row: Option<usize>, numbering: Numbering) -> FieldView {
    let mut field = FieldView::of(spec, &spec.at(row));
    if spec.kind == Kind::Tooth {
        let hint = format!("{} Number in {}.", spec.hint, numbering.shown());
        hint.trim().clone_into(&mut field.hint);
    }
    field.needed = spec.required_for_signing;
    field
}

/// What the fields of one page are filled from.
pub struct Filling<'a> {
    pub fields: &'a Fields,
    pub draft: &'a DraftView,
    pub numbering: Numbering,
    /// The list that gets more empty rows.
    pub more: &'a str,
}

impl Filling<'_> {
    fn filled(&self, spec: &FieldSpec, row: Option<usize>) -> FieldView {
        let mut field = view_of(spec, row, self.numbering);
        if spec.kind == Kind::Tag && !self.draft.tags.is_empty() {
            field = field.chosen_from(self.draft.tags.iter().cloned());
        }
        let mut field = field.filled(self.fields, &self.draft.faults);
        field.suggestions = self.draft.codes(&field.key);
        keep_visible(&mut field);
        field
            .warnings
            .extend(self.draft.warnings.get(&field.key).cloned());
        field
    }

    fn group(&self, group: &'static GroupSpec) -> GroupView {
        let extra = match self.more == group.key {
            true => SPARE_ROWS + 2,
            false => SPARE_ROWS,
        };
        let count = (rows_of(group, self.fields) + extra).min(MOST_ROWS);
        let faults = self.draft.faults.iter();
        let of_list = faults.filter(|fault| fault.key == group.key);
        let row = |row| RowView {
            title: format!("{}, row {}", group.title, row + 1),
            fields: (group.fields.iter())
                .map(|spec| self.filled(spec, Some(row)))
                .collect(),
        };
        GroupView {
            messages: of_list.map(|fault| fault.message.clone()).collect(),
            key: group.key,
            title: group.title,
            intro: group.intro,
            rows: (0..count).map(row).collect(),
        }
    }

    /// Whether something is typed in the section, or wrong with it.
    fn is_touched(&self, section: &SectionSpec) -> bool {
        let first = |key: &str| key.split('.').next().unwrap_or_default().to_owned();
        let is_own = |key: &String| {
            let first = first(key);
            first == section.key || section.groups.iter().any(|group| group.key == first)
        };
        let faults = self.draft.faults.iter().map(|fault| &fault.key);
        let warned = self.draft.warnings.keys();
        self.more_of(section) || self.fields.keys().chain(faults).chain(warned).any(is_own)
    }

    /// Whether more rows were just asked for in one of its lists.
    fn more_of(&self, section: &SectionSpec) -> bool {
        section.groups.iter().any(|group| group.key == self.more)
    }

    fn section(&self, section: &'static SectionSpec, numbers: Vec<Number>) -> SectionView {
        let specs = section.fields.iter();
        let shown = specs.filter(|spec| self.draft.shows(spec, self.fields));
        SectionView {
            key: section.key,
            title: section.title,
            intro: section.intro,
            cautions: cautions(section.key),
            is_folded: is_rare(section.key) && !self.is_touched(section),
            fields: shown.map(|spec| self.filled(spec, None)).collect(),
            groups: section
                .groups
                .iter()
                .map(|group| self.group(group))
                .collect(),
            numbers: NumbersPart { numbers },
        }
    }

    /// Every section of the form, each with the numbers that belong beside it.
    pub fn sections(&self, today: Date) -> Vec<SectionView> {
        let mut numbers = self.draft.numbers(today);
        let view = |section: &'static SectionSpec| {
            let numbers = numbers.remove(section.key).unwrap_or_default();
            self.section(section, numbers)
        };
        catalogue().iter().map(view).collect()
    }
}

/// What was typed stays on the page even where the box for it could not show it.
fn keep_visible(field: &mut FieldView) {
    let is_chosen = field.choices.iter().any(|choice| choice.chosen);
    // A word that is no longer a choice: saving the form would lose it.
    if field.input == Input::Choice && !field.value.is_empty() && !is_chosen {
        let mut stale = Choice::new(&field.value, &field.value);
        stale.chosen = true;
        field.choices.push(stale);
    }
    // A browser's date box shows only what it can read as a date.
    let is_plain = matches!(field.input, Input::Date | Input::Time);
    if is_plain && !field.messages.is_empty() {
        field.input = Input::Text;
    }
}

/// How many rows of a list are filled; the form shows an empty one behind them.
pub fn rows_of(group: &GroupSpec, fields: &Fields) -> usize {
    let prefix = format!("{}.", group.key);
    fields
        .keys()
        .filter_map(|key| {
            key.strip_prefix(&prefix)?
                .split('.')
                .next()?
                .parse::<usize>()
                .ok()
        })
        .map(|row| row + 1)
        .max()
        .unwrap_or(0)
        .min(MOST_ROWS)
}
