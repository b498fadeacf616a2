//! The rows of the page: each value with what was asked, how far off it may be, and what either house has found.

use super::input::FitInput;
use crate::app::fit::{newest_of, read_at_the_bench, read_at_the_lab, read_of};
use crate::domain::custody::CaseStep;
use crate::domain::custody::Offers;
use crate::domain::custody::fit::{FitEntry, FitFound, FitLine, FitPart, FitVerdict, fit_counts};
use crate::domain::custody::forms::{CheckFitForm, FitRowForm, FitTyped, UndoForm, readings_typed};
use crate::domain::form::{FieldSpec, Form};
use crate::domain::people::party::Side;
use crate::domain::values::evidence::Source;
use crate::web::field::FieldView;
use crate::web::personal_data_check;

/// What the other house has found of a value, and whether it says that it is not as asked.
pub struct OtherCell {
    pub words: String,
    pub detail: String,
    pub is_off: bool,
}

/// One value.
pub struct FitRow {
    pub label: &'static str,
    pub asked: String,
    /// "± 1 mm", and which side is read with a minus; empty where it is looked at.
    pub within: String,
    /// Where that comes from; empty for common practice.
    pub source: String,
    pub other: Option<OtherCell>,
    /// Empty where nothing can be entered now; the verdict comes last.
    pub fields: Vec<FieldView>,
    /// The tick for a word that the readings contradict; empty for most.
    pub anyway: Vec<FieldView>,
    /// What the readings come to.
    pub result: String,
}

/// The values of one part.
pub struct FitGroup {
    pub title: &'static str,
    pub rows: Vec<FitRow>,
}

/// An entry that was made.
pub struct FitDone {
    pub id: String,
    pub what: String,
    pub who: String,
    pub lines: Vec<(String, String, bool)>,
    pub note: String,
    /// Empty where it cannot be withdrawn.
    pub undo: Vec<FieldView>,
    pub is_tried: bool,
}

/// What was found of a line, in words: the number with its plus-minus, or the readings alone.
fn compared_words(line: &FitLine, found: &FitFound) -> String {
    match line.decided_words(&found.readings) {
        words if words.is_empty() => readings_of(found),
        words if found.readings.len() > 1 => words,
        words => format!("{}. {words}", readings_of(found)),
    }
}

fn readings_of(found: &FitFound) -> String {
    let words: Vec<String> = found.readings.iter().map(ToString::to_string).collect();
    match words.is_empty() {
        true => String::new(),
        false => format!("{} {}", words.join("; "), found.value.unit()),
    }
}

fn at_the_bench(input: &FitInput<'_>, line: &FitLine) -> Option<OtherCell> {
    let (entry, reading) = read_at_the_bench(&input.view.work, line)?;
    let (all, step) = (reading.all(), entry.step.shown());
    let read: Vec<String> = all.iter().map(ToString::to_string).collect();
    let unit = reading.measure.unit();
    Some(OtherCell {
        words: format!("{} {unit}", read.join("; ")),
        detail: match all.len() {
            1 => format!("one reading, {step}"),
            _ => format!("{}, {step}", line.decided_words(&all)),
        },
        is_off: false,
    })
}

/// With its end, where there is anything.
fn sentence(words: &str) -> String {
    match words {
        "" => String::new(),
        words => format!("{words}."),
    }
}

/// What the other house found, with what its bench has read where its word has no number, and whether both lie apart.
fn other_cell(input: &FitInput<'_>, line: &FitLine) -> Option<OtherCell> {
    let work = &input.view.work;
    let mut cell = said_by_other(input, line)?;
    let is_bare = read_of(work, Side::Lab, line).is_empty();
    if work.side == Side::Office && is_bare && !newest_of(work, Side::Lab).is_empty() {
        let bench = at_the_bench(input, line).filter(|bench| bench.words != cell.words);
        let bench = bench.map(|bench| format!("At the bench {} ({}).", bench.words, bench.detail));
        cell.detail = joined(&cell.detail, &bench.unwrap_or_default());
    }
    let (lab, office) = (
        read_at_the_lab(work, line),
        read_of(work, Side::Office, line),
    );
    cell.detail = joined(&cell.detail, &line.apart_words(&lab, &office));
    Some(cell)
}

/// Two sentences, either of which may be empty.
fn joined(one: &str, other: &str) -> String {
    match (one, other) {
        (one, "") => one.to_owned(),
        ("", other) => other.to_owned(),
        (one, other) => format!("{} {other}", sentence(one.trim_end_matches('.'))),
    }
}

fn said_by_other(input: &FitInput<'_>, line: &FitLine) -> Option<OtherCell> {
    let work = &input.view.work;
    let newest = newest_of(work, work.side.other()).into_iter();
    let mut newest = newest.filter(|(_, found)| found.value == line.value);
    match newest.next() {
        Some((entry, found)) => Some(OtherCell {
            words: found.verdict.shown().to_owned(),
            detail: match work.found_otherwise((entry, found)) {
                None => compared_words(line, found),
                Some((before, other)) => format!(
                    "{} Before: {}, {}, {}.",
                    sentence(&compared_words(line, found)),
                    other.verdict.shown(),
                    before.by,
                    before.at.in_words()
                ),
            },
            is_off: found.verdict == FitVerdict::NotAsAsked,
        }),
        None if work.side == Side::Office => at_the_bench(input, line),
        None => None,
    }
}

fn fields_of(input: &FitInput<'_>, line: &FitLine) -> Vec<FieldView> {
    let under = CheckFitForm::under(line.value);
    let shown = line.value.shown();
    let measured = CheckFitForm::readings().into_iter();
    let measured = measured.filter(|_| line.is_read());
    let specs = measured.chain([FitRowForm::verdict()]);
    let field = |spec: &'static FieldSpec| {
        let label = format!("{shown}: {}", spec.label.to_lowercase());
        let field = FieldView::under(spec, &under).label(&label);
        field.filled(&input.tried.typed, &input.tried.faults)
    };
    specs.map(field).collect()
}

/// The tick for a word that the readings contradict, once it is asked for.
fn anyway(input: &FitInput<'_>, line: &FitLine) -> Vec<FieldView> {
    let field = FieldView::under(FitRowForm::all_the_same(), &CheckFitForm::under(line.value));
    let field = field.filled(&input.tried.typed, &input.tried.faults);
    let is_asked = !field.value.is_empty() || !field.messages.is_empty();
    is_asked.then_some(field).into_iter().collect()
}

fn row(input: &FitInput<'_>, line: &FitLine, typed: &[FitTyped], is_open: bool) -> FitRow {
    let value = line.value;
    let source = line
        .tolerance
        .map_or(Source::COMMON_PRACTICE, |(_, source)| source);
    let own = typed.iter().find(|one| one.value == value);
    FitRow {
        label: value.shown(),
        asked: line.asked.clone(),
        within: match line.within() {
            Some(within) => format!("± {within} {}{}", value.unit(), value.minus()),
            None => String::new(),
        },
        source: match source == Source::COMMON_PRACTICE || line.within().is_none() {
            true => String::new(),
            false => source.to_string(),
        },
        other: other_cell(input, line),
        fields: match is_open {
            true => fields_of(input, line),
            false => Vec::new(),
        },
        anyway: match is_open {
            true => anyway(input, line),
            false => Vec::new(),
        },
        result: own.map_or_else(String::new, |one| line.decided_words(&one.readings)),
    }
}

/// The values of the page, part by part.
pub fn groups(input: &FitInput<'_>, is_open: bool) -> Vec<FitGroup> {
    let typed = readings_typed(&input.tried.typed);
    let mut groups: Vec<FitGroup> = Vec::new();
    for line in input.lines {
        let title = FitPart::title(line.value.part());
        let row = row(input, line, &typed, is_open);
        match groups.iter_mut().find(|group| group.title == title) {
            Some(group) => group.rows.push(row),
            None => groups.push(FitGroup {
                title,
                rows: vec![row],
            }),
        }
    }
    groups
}

fn done_row(input: &FitInput<'_>, offers: &Offers<'_>, entry: &FitEntry) -> FitDone {
    let sent = input.tried.typed.get(UndoForm::undone().key);
    let is_tried = sent == Some(&entry.event.to_string());
    let tried = input.tried.only_if(is_tried);
    let mut undo = Vec::new();
    if offers.has(CaseStep::UndoFit(entry)) {
        let field = FieldView::under(UndoForm::undone_why(), "");
        undo.push(field.filled(&tried.typed, &tried.faults));
        let sets = UndoForm::field_sets();
        undo.extend(personal_data_check::tick_for(&tried.typed, &sets));
        for field in &mut undo {
            field.scope = format!("{}-", entry.event).into();
        }
    }
    let line = |found: &FitFound| {
        let mut words = readings_of(found);
        if let Some(decided) = found.decided {
            words = format!("{words}: {}", decided.shown());
        }
        let is_off = found.verdict == FitVerdict::NotAsAsked;
        let label = format!("{}: {}", found.value.shown(), found.verdict.shown());
        (label, words, is_off)
    };
    FitDone {
        id: entry.event.to_string(),
        what: format!(
            "At the {}, against revision {}: {}",
            entry.from.shown(),
            entry.revision,
            fit_counts(&entry.found)
        ),
        who: format!("{}, {}", entry.by, entry.at.in_words()),
        lines: entry.found.iter().map(line).collect(),
        note: entry.note.clone(),
        undo,
        is_tried,
    }
}

/// What was entered, the newest first.
pub fn done_rows(input: &FitInput<'_>, offers: &Offers<'_>) -> Vec<FitDone> {
    let entries = input.view.work.fit_entries();
    entries.map(|one| done_row(input, offers, one)).collect()
}
