//! The catalogue of the prescription as sections, lists and fields of a form.

use super::chart::TouchChart;
use super::fitted::{fitted, needless};
use super::lines::{CHAPTERS, LinePart};
use super::rows::{GroupView, RowCell, RowView, is_column, laid_out, starting};
use crate::app::draft_lines::{LineMark, LineState};
use crate::app::draft_view::DraftView;
use crate::domain::fill::COURSE;
use crate::domain::form::{FieldSpec, GroupSpec, Kind, MOST_ROWS, SectionSpec};
use crate::domain::prescription::course::{
    SectionPlace, asks_now, called_by, follows_from_asked, is_half_said, is_of_row,
};
use crate::domain::prescription::draft::Fields;
use crate::domain::prescription::sources::Origin;
use crate::domain::prescription::{Course, catalogue, cautions};
use crate::domain::trade::hints::Number;
use crate::domain::values::tooth::Numbering;
use crate::web::field::{FieldView, InputKind, ValueFrom};
use askama::Template;
use std::collections::BTreeMap;
use time::Date;

/// Empty rows offered below the filled ones of a list.
const SPARE_ROWS: usize = 1;

/// Fields of one section that call for others: for so many the style sheet has a rule.
const MOST_CALLERS: usize = 3;

/// The numbers beside one section: in the page, and alone for the script.
#[derive(Template)]
#[template(path = "partials/numbers.html")]
pub struct NumbersPart {
    pub numbers: Vec<Number>,
}

/// A section of the form.
#[derive(Template)]
#[template(path = "partials/section.html")]
pub struct SectionView {
    pub key: &'static str,
    pub title: &'static str,
    pub intro: &'static str,
    pub cautions: &'static [&'static str],
    pub line: LinePart,
    /// Whether what folds stands open.
    pub is_open: bool,
    /// Whether what folds is there though it is closed: it is most of a page, and comes behind it, or with a press.
    pub is_whole: bool,
    /// What stands under the line whether the section is open or not: asked, or to be looked at.
    pub asked: Vec<FieldView>,
    pub asked_groups: Vec<GroupView>,
    /// What the review says of the section as a whole.
    pub said: Vec<String>,
    pub fields: Vec<FieldView>,
    pub groups: Vec<GroupView>,
    /// The lists of an opened part for which its page has no room, each by its key, with what is said of it.
    pub left_out: Vec<(&'static str, String)>,
    /// What follows from the fields of this section.
    pub numbers: NumbersPart,
}

/// Sections that belong together.
pub struct ChapterView {
    pub title: &'static str,
    pub sections: Vec<SectionView>,
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
    /// What was typed, over what comes from elsewhere.
    pub fields: &'a Fields,
    /// Of what nobody typed, where it comes from.
    pub from: &'a BTreeMap<String, Origin>,
    pub course: Course,
    pub draft: &'a DraftView,
    pub numbering: Numbering,
    /// The list that gets more empty rows, or the section to be opened.
    pub more: &'a str,
    /// Whether what folds is wanted of every section.
    pub is_whole: bool,
}

impl Filling<'_> {
    /// A field of the catalogue with its value and all that is said of it.
    pub fn filled(&self, spec: &FieldSpec, row: Option<usize>) -> FieldView {
        let mut field = view_of(spec, row, self.numbering);
        if spec.kind == Kind::Tag && self.draft.has_tags() {
            field = field.chosen_from(self.draft.tags_for(spec.key));
        }
        let mut field = field.filled(self.fields, &self.draft.faults);
        if field.value.trim().is_empty() {
            // The blank that stands for "emptied on purpose" is nothing to choose or to see.
            field.value.clear();
        }
        field.suggestions = self.draft.codes(&field.key);
        // The form says it once for all its boxes.
        field.autocomplete = "";
        let from = self.from.get(&field.key);
        // What something else has answered is not asked again, unless it answers half: the line says it.
        let is_asked = asks_now(self.course, spec.key, self.fields)
            || called_by(self.course, spec.key, self.fields).is_some();
        let is_open = from.is_none() || is_half_said(spec.key, row, self.fields);
        field.is_asked = is_asked && is_open && is_of_row(spec.key, row, self.fields);
        field.from = from.copied().map(ValueFrom::Draft);
        fitted(&mut field, row);
        let warning = self.draft.warnings.get(&field.key);
        field.warnings.extend(warning.cloned());
        field
    }

    fn group(&self, group: &'static GroupSpec) -> GroupView {
        let extra = SPARE_ROWS + 2 * usize::from(self.more == group.key);
        let count = (rows_of(group, self.fields) + extra).min(MOST_ROWS);
        let faults = self.draft.faults.iter();
        let of_list = faults.filter(|fault| fault.key == group.key);
        let columns = || group.fields.iter().filter(|spec| is_column(group, spec));
        let mut rows: Vec<RowView> = (0..count).map(|row| self.row(group, row)).collect();
        let said = rows.iter_mut().flat_map(taken_out).collect();
        let is_filled = |row: &RowView| !row.is_blank();
        // The empty row is shown where it is the only one; behind filled ones it is folded.
        let filled = rows.iter().rposition(is_filled).map_or(0, |last| last + 1);
        let spare = match filled {
            0 => Vec::new(),
            filled => rows.split_off(filled.min(rows.len())),
        };
        // Words need no head; boxes do.
        let head = |spec: &FieldSpec| {
            let mut boxes = rows.iter().flat_map(RowView::boxes);
            let field = spec.key.rsplit('#').next().unwrap_or_default();
            match boxes.any(|one| one.key.ends_with(field)) {
                true => spec.label,
                false => "",
            }
        };
        let heads = columns().map(head).collect();
        GroupView {
            messages: of_list.map(|fault| fault.message.clone()).collect(),
            said,
            key: group.key,
            title: group.title,
            intro: group.intro,
            heads,
            chart: (group.key == "changes").then(|| TouchChart::of(self.numbering, self.course)),
            rows,
            spare,
            is_growing: self.more == group.key,
        }
    }

    fn row(&self, group: &'static GroupSpec, row: usize) -> RowView {
        let specs = group.fields.iter();
        let (columns, more): (Vec<_>, Vec<_>) = specs.partition(|spec| is_column(group, spec));
        let filled = |specs: Vec<&FieldSpec>| -> Vec<FieldView> {
            let fields = specs.into_iter();
            fields.map(|spec| self.filled(spec, Some(row))).collect()
        };
        let (mut fields, mut more) = (filled(columns), filled(more));
        let (fact_of, fact) = fact_of(&fields);
        if !fact.is_empty() {
            // The thing says what it is; another is chosen behind the line.
            let (of_thing, own): (Vec<_>, Vec<_>) = fields.into_iter().partition(is_of_thing);
            fields = own;
            more = [of_thing, more].concat();
        } else {
            let (needless, own) = needless(fields);
            fields = own;
            more = [needless, more].concat();
        }
        for field in fields.iter_mut().take(starting(group)) {
            field.called("starts");
        }
        let (cells, folded) = laid_out(fields);
        let more = [folded, more].concat();
        let mut row = RowView {
            fact,
            fact_of,
            number: row + 1,
            title: format!("{}, row {}", group.title, row + 1),
            is_open: more.iter().any(|field| !field.messages.is_empty()),
            cells,
            more,
        };
        if row.is_blank() {
            row.fields_mut()
                .for_each(|field| field.is_of_blank_row = true);
        }
        row
    }

    /// Whether it was just asked for, or more rows in one of its lists.
    fn more_of(&self, section: &SectionSpec) -> bool {
        section.key == self.more || section.groups.iter().any(|group| group.key == self.more)
    }

    fn section(
        &self,
        section: &'static SectionSpec,
        state: &LineState,
        numbers: Vec<Number>,
    ) -> SectionView {
        let specs = section.fields.iter();
        let shown = specs.filter(|spec| spec.key != COURSE && self.draft.shows(spec, self.fields));
        let fields = shown.map(|spec| self.filled(spec, None));
        let (mut asked, fields): (Vec<_>, Vec<_>) = fields.partition(|field| {
            let follows = || field.is_silent() && follows_from_asked(self.course, &field.key);
            field.is_asked || (is_to_be_seen(field) && !follows())
        });
        self.call(&mut asked);
        let groups = section.groups.iter().map(|group| self.group(group));
        let (asked_groups, groups) = groups.partition(is_asked_for);
        SectionView {
            key: section.key,
            title: section.title,
            intro: section.intro,
            cautions: cautions(section.key),
            line: LinePart::of(section.key, state),
            is_open: self.more_of(section),
            is_whole: self.is_whole,
            asked,
            asked_groups,
            said: state.said.clone(),
            fields,
            groups,
            left_out: Vec::new(),
            numbers: NumbersPart { numbers },
        }
    }

    /// Marks what calls for others, and what is called for and empty: the style sheet shows it once it is called.
    fn call(&self, asked: &mut [FieldView]) {
        let mut callers = Vec::new();
        for at in 0..asked.len() {
            let is_empty =
                |field: &&FieldView| !is_to_be_seen(field) && field.value.trim().is_empty();
            let Some(field) = asked.get(at).filter(is_empty) else {
                continue;
            };
            let Some(by) = called_by(self.course, &field.key, self.fields) else {
                continue;
            };
            let Some(before) = asked.iter().position(|other| other.key == by.key) else {
                continue;
            };
            if !callers.contains(&by.key) {
                callers.push(by.key);
            }
            let number = callers.iter().position(|key| *key == by.key).unwrap_or(0);
            let word = if by.word == "yes" { " by-yes" } else { "" };
            if number >= MOST_CALLERS {
                continue;
            }
            for (place, class) in [
                (before, format!("calls-{number}{word}")),
                (at, format!("later-{number}")),
            ] {
                if let Some(field) = asked.get_mut(place) {
                    field.called(&class);
                }
            }
        }
    }

    /// The sections of the form in their chapters, each with the numbers that belong beside it; and those that are
    /// out of the way in this kind of work.
    pub fn chapters(
        &self,
        states: &BTreeMap<&'static str, LineState>,
        today: Date,
    ) -> (Vec<ChapterView>, Vec<SectionView>) {
        let mut numbers = self.draft.numbers(today);
        let (mut chapters, mut away) = (Vec::<ChapterView>::new(), Vec::new());
        for section in catalogue() {
            let numbers = numbers.remove(section.key).unwrap_or_default();
            let Some(state) = states.get(section.key) else {
                continue;
            };
            if let Some((_, title)) = CHAPTERS.iter().find(|(first, _)| *first == section.key) {
                let sections = Vec::new();
                chapters.push(ChapterView { title, sections });
            }
            let view = self.section(section, state, numbers);
            let is_idle = match state.place {
                SectionPlace::Away => true,
                // It may well be of use, and says nothing yet.
                SectionPlace::Offered => state.mark == LineMark::Open,
                _ => false,
            };
            let is_away = is_idle && !state.is_touched && !view.is_open;
            match chapters.last_mut() {
                Some(chapter) if !is_away => chapter.sections.push(view),
                _ => away.push(view),
            }
        }
        chapters.retain(|chapter| !chapter.sections.is_empty());
        (chapters, away)
    }
}

/// Whether a message stands beside the field.
fn is_to_be_seen(field: &FieldView) -> bool {
    !field.messages.is_empty() || !field.warnings.is_empty()
}

/// Whether the field of a row names the thing that the row is about, or says what it is.
fn is_of_thing(field: &FieldView) -> bool {
    field.key.ends_with(".tag") || field.key.ends_with(".what")
}

/// The thing of a row that came from the record; empty where somebody chose the thing, or has to mend the choice.
fn fact_of(fields: &[FieldView]) -> (String, String) {
    let tag = fields.iter().find(|field| field.key.ends_with(".tag"));
    let is_quiet = |field: &FieldView| !is_of_thing(field) || field.messages.is_empty();
    let is_on_record = |field: &&FieldView| field.from == Some(ValueFrom::Draft(Origin::Record));
    let chosen = tag
        .filter(is_on_record)
        .filter(|_| fields.iter().all(is_quiet));
    let chosen = chosen.filter(|tag| tag.choices.iter().any(|choice| choice.chosen));
    chosen
        .map(|tag| (tag.key.clone(), tag.shown()))
        .unwrap_or_default()
}

/// What the review says of the fields of a row, for above the list: a column is too narrow for a sentence.
fn taken_out(row: &mut RowView) -> Vec<String> {
    let number = row.number;
    let fields = row.fields_mut().filter(|field| !field.is_silent());
    let warnings = fields.flat_map(|field| std::mem::take(&mut field.warnings));
    let warnings: Vec<String> = warnings.collect();
    // "Return 1: …" names its row itself.
    let names_it = |words: &str| {
        let head = words.split_once(':').map(|(head, _)| head);
        head.is_some_and(|head| head.ends_with(&format!(" {number}")))
    };
    let warnings = warnings.into_iter();
    warnings
        .map(|words| match names_it(&words) {
            true => words,
            false => format!("Row {number}: {words}"),
        })
        .collect()
}

/// Whether a list stands under the line: something of it is asked, or to be looked at.
fn is_asked_for(group: &GroupView) -> bool {
    // The empty last row asks for something only while there is no other.
    let fields = || group.rows.iter().flat_map(RowView::fields);
    !(group.messages.is_empty() && group.said.is_empty())
        || fields().any(|field| field.is_asked || is_to_be_seen(field))
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

impl SectionView {
    /// Whether what is asked is so short that each label stands beside its box.
    pub fn is_brief(&self) -> bool {
        let wide = [InputKind::Long, InputKind::Date, InputKind::Time];
        let is_short = |field: &FieldView| {
            !wide.contains(&field.input)
                && field.messages.is_empty()
                && !field.classes.contains("long")
        };
        let signs: usize = self.asked.iter().map(|one| one.label.chars().count()).sum();
        self.asked.len() <= 2 && signs <= 44 && self.asked.iter().all(is_short)
    }

    /// Whether anything stands under the line while the section is folded.
    pub fn has_asked(&self) -> bool {
        !(self.asked.is_empty() && self.asked_groups.is_empty() && self.said.is_empty())
    }
}
