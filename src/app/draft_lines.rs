//! How each section of a draft stands: what its line on the form says, where that comes from, what is still asked.

use super::Person;
use super::draft_view::DraftView;
use super::write_draft::Written;
use crate::domain::form::{FieldSpec, GroupSpec, Kind, SectionSpec, row_numbers};
use crate::domain::prescription::course::{SectionPlace, asks_now, is_of_row, place};
use crate::domain::prescription::draft::Fields;
use crate::domain::prescription::sentences::sentences;
use crate::domain::prescription::sources::Origin;
use crate::domain::prescription::{catalogue, field_spec, section_of};
use crate::domain::review::{Finding, Level};
use crate::domain::values::words_of;
use std::collections::{BTreeMap, BTreeSet};

words_of! {
    /// How a section stands, the most urgent first.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
    pub enum LineMark {
        Stop = "stop",
        Caution = "caution",
        Asked = "asked",
        Done = "done",
        /// Nothing is filled, and nothing asked.
        Open = "nothing here",
    }
}

/// The line of a section.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LineState {
    pub place: SectionPlace,
    pub mark: LineMark,
    pub sentence: String,
    /// Where its values come from, as far as nobody typed them.
    pub sources: BTreeSet<Origin>,
    /// The fields that this kind of work asks and that are empty: form key and label.
    pub missing: Vec<(String, &'static str)>,
    /// What the review says of the section or a list of it, and of no one field.
    pub said: Vec<String>,
    /// Whether something is typed in it, said of it, or wrong with it.
    pub is_touched: bool,
}

/// Lists that may well be empty although their fields are asked where there is a row.
const MAY_BE_EMPTY: [&str; 6] = [
    "changes",
    "reliefs",
    "returns",
    "stage_dates",
    "kept",
    "scans",
];

/// How every section stands, by its key.
pub fn standings(
    written: &Written,
    view: &DraftView,
    person: &Person,
) -> BTreeMap<&'static str, LineState> {
    let fields = written.shown();
    let mut said = sentences(&view.document, person.numbering());
    let of = |section: &'static SectionSpec| {
        let sentence = said.remove(section.key).unwrap_or_default();
        let state = state_of(written, view, &fields, section);
        (section.key, LineState { sentence, ..state })
    };
    catalogue().iter().map(of).collect()
}

fn is_of(key: &str, section: &SectionSpec) -> bool {
    section_of(key).is_some_and(|own| own.key == section.key)
}

fn state_of(
    written: &Written,
    view: &DraftView,
    fields: &Fields,
    section: &'static SectionSpec,
) -> LineState {
    let open = written.reviewed.unanswered();
    let open: Vec<&Finding> = open
        .into_iter()
        .filter(|finding| is_of(&finding.key, section))
        .collect();
    let faults = view.faults.iter();
    let is_wrong = faults.filter(|fault| is_of(&fault.key, section)).count() > 0;
    let is_level = |level| open.iter().any(|finding| finding.level == level);
    let missing = missing(written, fields, section);
    let place = place(written.course, section.key);
    let is_empty = !view.document.is_filled(section.key);
    let mark = if is_wrong || is_level(Level::Stop) {
        LineMark::Stop
    } else if is_level(Level::Caution) {
        LineMark::Caution
    } else if !missing.is_empty() || (is_empty && place == SectionPlace::Asked) {
        LineMark::Asked
    } else if is_empty {
        LineMark::Open
    } else {
        LineMark::Done
    };
    let has_field = |key: &str| field_spec(key).is_some();
    let given = written.filled.from.iter();
    let is_typed = written.draft.fields.keys().any(|key| is_of(key, section));
    LineState {
        place,
        mark,
        sentence: String::new(),
        sources: given
            .filter(|(key, _)| is_of(key, section))
            .map(|(_, source)| *source)
            .collect(),
        missing,
        said: open
            .iter()
            .filter(|finding| !has_field(&finding.key))
            .map(|finding| finding.sentence.clone())
            .collect(),
        is_touched: is_typed || is_wrong || !open.is_empty(),
    }
}

/// The asked fields that are empty. What is written in words of one's own may stay empty.
fn missing(
    written: &Written,
    fields: &Fields,
    section: &'static SectionSpec,
) -> Vec<(String, &'static str)> {
    let is_asked = |spec: &&FieldSpec| {
        asks_now(written.course, spec.key, fields) && !matches!(spec.kind, Kind::LongText { .. })
    };
    let is_empty = |key: &str| fields.get(key).is_none_or(|text| text.trim().is_empty());
    let own = section.fields.iter().filter(is_asked);
    let own = own.map(|spec| (spec.at(None), spec.label));
    let listed = section.groups.iter().flat_map(|group: &GroupSpec| {
        let mut rows = row_numbers(fields, group.key);
        if rows.is_empty() && !MAY_BE_EMPTY.contains(&group.key) {
            rows.insert(0);
        }
        let asked: Vec<&FieldSpec> = group.fields.iter().filter(is_asked).collect();
        let keys = rows.into_iter().flat_map(move |row| {
            let of_row = asked.clone().into_iter();
            let of_row = of_row.filter(move |spec| is_of_row(spec.key, Some(row), fields));
            of_row.map(move |spec| (spec.at(Some(row)), spec.label))
        });
        keys.collect::<Vec<_>>()
    });
    own.chain(listed).filter(|(key, _)| is_empty(key)).collect()
}
