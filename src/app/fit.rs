//! What came back, or what was made, held against the prescription in force.

use super::entry::{Late, late};
use super::run::on_case::enter_on_case;
use super::see_case::{self, CaseView};
use super::{App, AppError, Person, PostKey};
use crate::app::case_work::CaseWork;
use crate::domain::custody::bench::{BenchEntry, MeasuredValue};
use crate::domain::custody::events::FitChecked;
use crate::domain::custody::fit::{
    FitEntry, FitFound, FitLine, fit_counts, fit_lines, newest_fit, newest_found,
};
use crate::domain::custody::forms::{CheckFitForm, FitRowForm, FitTyped};
use crate::domain::custody::{What, by_revision, fit_is_due};
use crate::domain::people::party::Side;
use crate::domain::prescription::revision::Document;
use crate::domain::trade::conformity::Decided;
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::CaseNumber;
use crate::domain::values::measure::Decimal;

/// What of the prescription in force can be checked on the work that is ordered; nothing before one is signed.
pub fn lines_of(view: &CaseView) -> Vec<FitLine> {
    let pieces = &view.work.ordered.bench;
    let lines = |one: &Document| fit_lines(&one.prescription, one.numbering, pieces);
    view.document().map(lines).unwrap_or_default()
}

/// What a house has found last of each value, held against the revision in force.
pub fn newest_of(work: &CaseWork, side: Side) -> Vec<(&FitEntry, &FitFound)> {
    newest_found(&work.state.fits, side, work.case.revision)
}

/// What the newest entry of the bench measured of a value, made to the revision in force.
pub fn read_at_the_bench<'a>(
    work: &'a CaseWork,
    line: &FitLine,
) -> Option<(&'a BenchEntry, &'a MeasuredValue)> {
    let measure = line.value.bench()?;
    let own = |entry: &&BenchEntry| entry.revision == work.case.revision;
    let mut entries = work.bench_entries().filter(own);
    entries.find_map(|entry| {
        let mut readings = entry.readings.iter();
        let reading = readings.find(|one| one.measure == measure)?;
        Some((entry, reading))
    })
}

/// What the lab has read of a value: where it checked the work, otherwise at the bench.
pub fn read_at_the_lab(work: &CaseWork, line: &FitLine) -> Vec<Decimal> {
    let checked = read_of(work, Side::Lab, line);
    match read_at_the_bench(work, line) {
        Some((_, reading)) if checked.is_empty() => reading.all(),
        _ => checked,
    }
}

/// What a house has read last of a value where it checked the work.
pub fn read_of(work: &CaseWork, side: Side, line: &FitLine) -> Vec<Decimal> {
    let newest = newest_of(work, side).into_iter();
    let mut newest = newest.filter(|(_, found)| found.value == line.value);
    newest
        .next()
        .map_or_else(Vec::new, |(_, found)| found.readings.clone())
}

/// Whether the office has something in hand that came back and was not checked; nothing for the lab to do.
pub fn is_due(work: &CaseWork) -> bool {
    let is_signed = against_checking(work).is_none();
    let is_asked = work.side == Side::Office && is_signed && !work.case.closed;
    is_asked && fit_is_due(&work.items, &work.state)
}

/// What each house has found, in a sentence, and what the office has not looked at yet.
pub fn sentences(work: &CaseWork) -> Vec<String> {
    let said = |side: &Side| {
        let entry = newest_fit(&work.state.fits, *side)?;
        // Of each value the last word counts, whichever entry says it.
        let found = newest_found(&work.state.fits, *side, entry.revision);
        Some(format!(
            "Checked against revision {} at the {} on {}: {}.",
            entry.revision,
            side.shown(),
            entry.at.in_words(),
            fit_counts(found.into_iter().map(|(_, found)| found))
        ))
    };
    let mut sentences: Vec<String> = Side::ALL.iter().filter_map(said).collect();
    sentences.extend(mounted_sentence(work));
    if is_due(work) {
        let words = "What came back is not checked against the prescription yet.";
        sentences.push(words.to_owned());
    }
    sentences
}

/// That the casts stand otherwise than is prescribed; none where they do not.
pub fn mounted_sentence(work: &CaseWork) -> Option<String> {
    let otherwise = work.mounted_otherwise();
    (!otherwise.is_empty()).then(|| format!("At the bench: {}.", otherwise.join("; ")))
}

/// What of the typed rows is entered: each is of something that was asked, and is read only where it is measured.
fn found(lines: &[FitLine], rows: &[FitTyped]) -> Result<Vec<FitFound>, AppError> {
    let one = |row: &FitTyped| {
        let typed = (row.readings.as_slice(), row.verdict);
        FitFound::typed(lines, row.value, typed).map_err(|why| AppError::Refused(vec![why]))
    };
    let found: Vec<FitFound> = rows.iter().map(one).collect::<Result<_, _>>()?;
    match asked_again(&found, rows) {
        faults if faults.is_empty() => Ok(found),
        faults => Err(AppError::Invalid(faults)),
    }
}

/// Where the word says one thing and the readings another, that is asked once: a slip of the pen is found before it is
/// entered. The word decides all the same.
fn asked_again(found: &[FitFound], rows: &[FitTyped]) -> Vec<Fault> {
    let rows = found.iter().zip(rows);
    let contrary = rows.filter(|(one, row)| one.contradicts_its_readings() && !row.all_the_same);
    let fault = |(one, row): (&FitFound, &FitTyped)| {
        let key = FitRowForm::all_the_same().key;
        let decided = one.decided.map_or("", Decided::shown);
        Fault::new(
            format!("{}{key}", CheckFitForm::under(row.value)),
            format!(
                "These readings are {decided}, and your word is “{}”. Look at the numbers again, or tick that it is so.",
                one.verdict.shown()
            ),
        )
    };
    contrary.map(fault).collect()
}

fn is_of_force(work: &CaseWork, shown: i64) -> Result<(), AppError> {
    let checked = by_revision::checked_against(work.case.revision, shown);
    checked.map_err(|why| AppError::Refused(vec![why]))
}

/// Why there is nothing to hold the work against; none where there is.
pub fn against_checking(work: &CaseWork) -> Option<String> {
    let newest = work.case.revision;
    by_revision::checked_against(newest, newest).err()
}

/// What is copied from paper is no earlier than the revision that it is held against.
fn is_after_signing(view: &CaseView, late: Option<&Late>) -> Result<(), AppError> {
    let (Some(late), Some(revision)) = (late, view.in_force()) else {
        return Ok(());
    };
    let signed = revision.signature.at;
    if by_revision::is_after_signing(late.at, signed) {
        return Ok(());
    }
    let sentence = format!(
        "Revision {} was signed on {signed}, after this check: nothing was held against it by then.",
        revision.number
    );
    Err(AppError::Refused(vec![sentence]))
}

/// Enters what was found.
pub async fn enter(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    form: &CheckFitForm,
    key: &PostKey,
) -> Result<(), AppError> {
    let view = see_case::see(app, person, number).await?;
    let late = late(person, form.from_paper.as_ref())?;
    let lines = lines_of(&view);
    let what = |work: &CaseWork| {
        is_of_force(work, form.revision)?;
        // What was read is of the revision that is in force where this is written.
        is_of_force(work, view.work.case.revision)?;
        is_after_signing(&view, late.as_ref())?;
        Ok(What::from(FitChecked {
            from: work.side,
            revision: work.case.revision,
            found: found(&lines, &form.rows)?,
            note: form.note.clone(),
        }))
    };
    enter_on_case(app, person, number, key, late.as_ref(), what).await
}
