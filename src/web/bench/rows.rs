//! The rows of the bench page: the steps, what was done, and what went into the case.

use super::input::BenchInput;
use crate::app::case_work::CaseWork;
use crate::domain::custody::CaseStep;
use crate::domain::custody::Offers;
use crate::domain::custody::bench::{
    BenchEntry, BenchLine, BenchProgress, BenchStep, MeasuredValue, Mounting, avoided_words,
    timed_words,
};
use crate::domain::custody::forms::UndoForm;
use crate::domain::form::Form;
use crate::domain::values::arch::Arch;
use crate::domain::values::moment::{day_in_words, whole_day};
use crate::domain::values::words::{capitalised, counted};
use crate::web::field::{Choice, FieldView};
use crate::web::personal_data_check;

/// One step of the list.
pub struct StepRow {
    pub word: &'static str,
    pub shown: String,
    pub asked: bool,
    pub is_next: bool,
    /// For each treated arch when and by whom it was done; none while it is open, empty where it is not asked for.
    pub cells: Vec<Option<String>>,
}

/// An entry of the bench.
pub struct DoneRow {
    pub id: String,
    pub what: String,
    pub who: String,
    pub details: Vec<String>,
    /// Where the picture of it is looked at; none where there is none, or where it was taken out.
    pub picture: Option<String>,
    /// Empty where it cannot be withdrawn.
    pub undo: Vec<FieldView>,
    pub is_tried: bool,
}

/// A material that went into the case.
pub struct UsedRow {
    pub material: String,
    pub lot: String,
    pub step: &'static str,
    pub day: String,
}

fn cell(
    input: &BenchInput<'_>,
    found: &BenchProgress<'_>,
    at: (&BenchLine<'_>, Arch),
) -> Option<String> {
    let (line, arch) = at;
    let own = line.arches.iter().find(|(one, _)| *one == arch);
    match own {
        None => Some(String::new()),
        Some((_, None)) => None,
        Some((_, Some(done))) => {
            let day = day_in_words(done.at.date(), input.today());
            let mut unsaid = found.unsaid.iter();
            let is_unsaid = unsaid.any(|one| (one.step, one.arch) == (line.step, arch));
            let done_for = match is_unsaid {
                true => format!(", for revision {}", done.revision),
                false => String::new(),
            };
            Some(format!("{day}, {}{done_for}", done.name))
        }
    }
}

/// The steps of the case in their order.
pub fn step_rows(input: &BenchInput<'_>, found: &BenchProgress<'_>) -> Vec<StepRow> {
    let next = found.next().map(|line| line.step);
    let arches = input.view.work.case.arches.treated();
    let row = |line: &BenchLine<'_>| StepRow {
        word: line.step.word(),
        shown: capitalised(line.step.shown()),
        asked: line.asked,
        is_next: next == Some(line.step),
        cells: arches
            .iter()
            .map(|arch| cell(input, found, (line, *arch)))
            .collect(),
    };
    found.lines.iter().map(row).collect()
}

/// Steps that are not on the list, to be entered all the same.
pub fn other_steps(found: &BenchProgress<'_>) -> Vec<Choice> {
    let is_listed = |step: BenchStep| found.lines.iter().any(|line| line.step == step);
    let others = BenchStep::ALL.iter().filter(|step| !is_listed(**step));
    others
        .map(|step| Choice::new(step.word(), capitalised(step.shown())))
        .collect()
}

fn details(
    entry: &BenchEntry,
    measured: impl Fn(&MeasuredValue) -> String,
    prescribed: &Mounting,
) -> Vec<String> {
    let mut details: Vec<String> = entry.readings.iter().map(measured).collect();
    details.extend(entry.mounting.iter().flat_map(|one| one.beside(prescribed)));
    details.extend(entry.used.iter().map(|one| one.words()));
    details.extend(avoided_words(&entry.avoided_why));
    details.extend(match entry.photographed {
        Some(true) => Some("cast photographed before".to_owned()),
        Some(false) => Some(format!("cast not photographed: {}", entry.no_photo)),
        None => None,
    });
    details.extend(timed_words(&entry.timed));
    details.extend(
        entry
            .keep_until
            .map(|day| format!("matrix and casts are kept until {}", whole_day(day))),
    );
    details.extend(entry.minutes.map(|minutes| format!("{minutes} min")));
    details.push(entry.note.clone());
    details.retain(|words| !words.is_empty());
    details
}

/// The address of the picture that shows a step.
fn picture_of(work: &CaseWork, entry: &BenchEntry) -> Option<String> {
    let picture = work.picture(entry.picture.as_ref()?)?;
    let case = work.case.number.as_str();
    (!picture.is_erased()).then(|| format!("/cases/{case}/pictures/{}/picture.jpg", picture.event))
}

/// For each arch what the lab has made of it and has here: its names once all is disinfected, none before, empty where
/// nothing is here.
pub fn disinfected_cells(work: &CaseWork) -> Vec<Option<String>> {
    let cell = |arch: &Arch| {
        let here = work.made_in_hand(*arch);
        let names: Vec<&str> = here.iter().map(|item| item.kind.shown()).collect();
        here.iter()
            .all(|item| work.is_disinfected(&item.tag))
            .then(|| capitalised(&names.join(", ")))
    };
    let cells: Vec<Option<String>> = work.case.arches.treated().iter().map(cell).collect();
    match cells.iter().all(|cell| cell.as_deref() == Some("")) {
        true => Vec::new(),
        false => cells,
    }
}

/// What was done, the newest first.
pub fn done_rows(
    input: &BenchInput<'_>,
    offers: &Offers<'_>,
    prescribed: impl Fn(&MeasuredValue) -> Option<String>,
) -> Vec<DoneRow> {
    let newest = input.view.work.case.revision;
    let mounting = input.view.work.prescribed_mounting();
    let measured = |reading: &MeasuredValue| match prescribed(reading) {
        Some(said) => format!("{} (prescribed {said})", reading.words()),
        None => reading.words(),
    };
    let row = |entry: &BenchEntry| {
        let sent = input.tried.typed.get(UndoForm::undone().key);
        let is_tried = sent == Some(&entry.event.to_string());
        let tried = input.tried.only_if(is_tried);
        let mut undo = Vec::new();
        if offers.has(CaseStep::UndoBench(entry)) {
            let field = FieldView::under(UndoForm::undone_why(), "");
            undo.push(field.filled(&tried.typed, &tried.faults));
            undo.extend(personal_data_check::tick_for(
                &tried.typed,
                &UndoForm::field_sets(),
            ));
            for field in &mut undo {
                field.scope = format!("{}-", entry.event).into();
            }
        }
        let of = match entry.revision == newest {
            true => String::new(),
            false => format!(", to revision {}", entry.revision),
        };
        // The values of an earlier revision stand beside no others.
        let plain = |reading: &MeasuredValue| reading.words();
        DoneRow {
            id: entry.event.to_string(),
            what: format!(
                "{}, {}{of}",
                capitalised(entry.step.shown()),
                entry.arches.shown()
            ),
            who: format!("{}, {}", entry.at.in_words(), entry.name),
            details: match entry.revision == newest {
                true => details(entry, measured, &mounting),
                false => details(entry, plain, &Mounting::default()),
            },
            picture: picture_of(&input.view.work, entry),
            undo,
            is_tried,
        }
    };
    let entries = input.view.work.bench_entries();
    entries.map(row).collect()
}

/// What went into the case, the newest first.
pub fn used_rows(input: &BenchInput<'_>) -> Vec<UsedRow> {
    let entries = input.view.work.bench_entries();
    let rows = entries.flat_map(|entry| {
        entry.used.iter().map(|one| UsedRow {
            material: one.material.clone(),
            lot: one.lot.clone(),
            step: entry.step.shown(),
            day: day_in_words(entry.at.date(), input.today()),
        })
    });
    rows.collect()
}

/// "5 of 11 steps done", and how many of those for an earlier revision.
pub fn count_words(found: &BenchProgress<'_>) -> String {
    let (asked, done) = found.counts();
    let asked = i64::try_from(asked).unwrap_or(i64::MAX);
    let earlier = match found.done_for_earlier() {
        0 => String::new(),
        some => format!(", {some} of them for an earlier revision"),
    };
    format!("{done} of {} done{earlier}", counted(asked, "step"))
}

/// By which revision the work is done: of a later one who signed it, after which try-in, and where what it changed is
/// told.
pub fn order_words(input: &BenchInput<'_>) -> (String, Option<String>) {
    let work = &input.view.work;
    let revision = work.case.revision;
    let signed = input.view.in_force().filter(|_| revision > 1);
    let Some(signed) = signed.map(|one| &one.signature) else {
        return (format!("Revision {revision}"), None);
    };
    let rounds = work.rounds().into_iter();
    let after = match rounds.map(|round| round.tries).max() {
        None | Some(0) => String::new(),
        Some(tries) => format!("After try-in {tries}, "),
    };
    let (by, day) = (&signed.name, day_in_words(signed.at.date(), input.today()));
    let words = format!("{after}revision {revision}, signed by {by} on {day}");
    let changed = format!("/cases/{}/revisions/{revision}", work.case.number.as_str());
    (capitalised(&words), Some(changed))
}
