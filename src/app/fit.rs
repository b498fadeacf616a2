//! What came back, or what was made, held against the prescription in force.

use super::entry::{Late, late};
use super::run::on_case::enter_on_case;
use super::see_case::{self, CaseView};
use super::{App, AppError, Person, PostKey};
use crate::app::case_work::CaseWork;
use crate::domain::custody::events::FitChecked;
use crate::domain::custody::fit::{
    FitEntry, FitFound, FitLine, FitVerdict, fit_counts, fit_lines, newest_fit, newest_found,
};
use crate::domain::custody::forms::{CheckFitForm, FitRowForm, FitTyped};
use crate::domain::custody::{What, fit_is_due};
use crate::domain::people::party::Side;
use crate::domain::trade::conformity::Decided;
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::CaseNumber;

/// What of the prescription in force can be checked on the work that is ordered; nothing before one is signed.
pub fn lines_of(view: &CaseView) -> Result<Vec<FitLine>, AppError> {
    let Some(document) = view.documents()?.pop() else {
        return Ok(Vec::new());
    };
    let pieces = &view.work.ordered.bench;
    Ok(fit_lines(
        &document.prescription,
        document.numbering,
        pieces,
    ))
}

/// What a house has found last of each value, held against the revision in force.
pub fn newest_of(work: &CaseWork, side: Side) -> Vec<(&FitEntry, &FitFound)> {
    newest_found(&work.state.fits, side, work.case.revision)
}

/// Whether the office has something in hand that came back and was not checked; nothing for the lab to do.
pub fn is_due(work: &CaseWork) -> bool {
    let is_asked = work.side == Side::Office && work.case.revision > 0 && !work.case.closed;
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
            entry.at,
            fit_counts(found.into_iter().map(|(_, found)| found))
        ))
    };
    let mut sentences: Vec<String> = Side::ALL.iter().filter_map(said).collect();
    if is_due(work) {
        let words = "What came back is not checked against the prescription yet.";
        sentences.push(words.to_owned());
    }
    sentences
}

/// What of the typed rows is entered: each is of something that was asked, and is read only where it is measured.
fn found(lines: &[FitLine], rows: &[FitTyped]) -> Result<Vec<FitFound>, AppError> {
    let one = |row: &FitTyped| {
        let line = lines.iter().find(|line| line.value == row.value);
        let (Some(line), Some(verdict)) = (line, row.verdict) else {
            let sentence = format!(
                "{} is not asked for by the prescription in force.",
                row.value.shown()
            );
            return Err(AppError::Refused(vec![sentence]));
        };
        if !row.readings.is_empty() && !line.is_read() {
            let sentence = format!(
                "{} is looked at and not measured: take the number out.",
                row.value.shown()
            );
            return Err(AppError::Refused(vec![sentence]));
        }
        Ok(FitFound::of(line, &row.readings, verdict))
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
    let contrary = found.iter().zip(rows).filter(|(one, row)| {
        let pair = (one.decided, one.verdict);
        let is_contrary = matches!(
            pair,
            (Some(Decided::Reject), FitVerdict::AsAsked)
                | (Some(Decided::Accept), FitVerdict::NotAsAsked)
        );
        is_contrary && !row.all_the_same
    });
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

/// Nothing is held against a prescription that nobody has signed, nor against another than the page showed.
fn is_of_force(work: &CaseWork, shown: i64) -> Result<(), AppError> {
    let sentence = match work.case.revision {
        ..=0 => "No prescription is signed: there is nothing to check against.".to_owned(),
        newest if newest != shown => format!(
            "This page was of revision {shown}, and revision {newest} is in force: nothing was entered. Look at what is asked now."
        ),
        _ => return Ok(()),
    };
    Err(AppError::Refused(vec![sentence]))
}

/// What is copied from paper is no earlier than the revision that it is held against; paper tells whole minutes.
fn is_after_signing(view: &CaseView, late: Option<&Late>) -> Result<(), AppError> {
    let (Some(late), Some(revision)) = (late, view.in_force()) else {
        return Ok(());
    };
    let signed = revision.signature.at;
    if late.at.unix_ms + 59_999 >= signed.unix_ms {
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
    let lines = lines_of(&view)?;
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
