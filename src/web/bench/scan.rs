//! Scans on the page of a case at the bench. The scan box belongs to the form of the step, so that nothing typed is lost:
//! a word of the card does there what a touch would, without a script. Anything else leads where it leads from any page; where
//! something is typed, the page says so first.

use super::page::{AskedOfBench, BenchPage};
use super::shown::shown;
use super::step::StepView;
use crate::app::{App, AppError, Person, bench_timers};
use crate::domain::custody::bench::{BenchStep, BenchTimer, ScanWord};
use crate::domain::custody::forms::{StartTimerForm, StepForm, UsedForm};
use crate::domain::values::arch::Arches;
use crate::domain::values::ids::CaseNumber;
use crate::web::card_words::{ENTER_STEP, leads_to};
use crate::web::error::WebError;
use crate::web::extract::Typed;
use crate::web::form_page::is_of_another;
use crate::web::frame::{page, page_with, see_other};
use crate::web::keys::{POST_KEY, SCAN_ASKED, SCAN_INTO, SHOWN_TO};
use crate::web::led_away::{LedAway, Scanned};
use crate::web::tried::Tried;
use crate::web::typed_form::TypedForm;
use axum::http::StatusCode;
use axum::response::Response;

/// What a scan on the page of the bench is answered with; none where the step is to be entered as it stands there.
pub async fn answer(
    (app, person, number): (&App, &Person, &CaseNumber),
    form: &mut Typed,
) -> Result<Option<Response>, WebError> {
    let mut taken = |key: &str| form.0.remove(key).unwrap_or_default();
    let (mut into, asked) = (taken(SCAN_INTO), taken(SCAN_ASKED));
    let scanned = Scanned::taken(&mut form.0);
    let word = scanned.word;
    if scanned.text.is_empty() || word.is_some_and(|word| ENTER_STEP.contains(&word)) {
        return asked_once((app, person, number), form, &scanned).await;
    }
    // What somebody else has typed is refused first: drawn again, it would stand there as one's own.
    if !scanned.is_again && is_of_another(person, form) && is_typed(&form.0) {
        return Ok(None);
    }
    let at = (app, person, number);
    let before = read_again(at, &form.0).await?;
    let is_of_step = match word {
        Some(word) => leads_to(word, Some(number)).is_none(),
        None => into.ends_with(UsedForm::lot().key),
    };
    if !is_of_step {
        return led_away(at, form, (&scanned, before, into)).await.map(Some);
    }
    if let Some(ScanWord::Timer(timer)) = word {
        return started(at, form, (timer, &before, into)).await.map(Some);
    }
    let said = match (&before.step, word) {
        (Some(step), Some(word)) => apply((word, &asked), &mut into, &mut form.0, step),
        (Some(_), None) => {
            let lot = scanned.text.clone();
            let said = format!("Lot {lot}. Scan the place of its material under “Used last”.");
            form.0.insert(into.clone(), lot);
            Ok(said)
        }
        (None, _) => Err("Nothing can be entered here now.".to_owned()),
    };
    let mut after = read_again(at, &form.0).await?;
    match said {
        Ok(said) => after.frame.done = Some(said),
        Err(why) => after.refusals.push(why),
    }
    after.scan_into = into;
    page(&after).map(Some)
}

/// Asks once where “Done” is scanned moments after another step was entered, and nothing is typed for this one: mostly the
/// card was read twice.
async fn asked_once(
    at: (&App, &Person, &CaseNumber),
    form: &Typed,
    scanned: &Scanned,
) -> Result<Option<Response>, WebError> {
    let is_bare = !is_typed(&form.0) && !is_of_another(at.1, form);
    if scanned.text.is_empty() || scanned.is_again || !is_bare {
        return Ok(None);
    }
    let mut page_again = read_again(at, &form.0).await?;
    let (Some(step), Some(entered)) = (&page_again.step, page_again.just_entered) else {
        return Ok(None);
    };
    // The same step is the same page, sent twice.
    let arches = Arches::from_word(form.text(StepForm::bench_arches().key));
    if (step.step, arches) == (entered.0, Some(entered.1)) {
        return Ok(None);
    }
    let name = match step.arches.as_str() {
        "" => step.title.to_owned(),
        arches => format!("{}, {arches}", step.title),
    };
    let words = format!("Nothing is typed for “{name}”: scan “Done” once more to enter it.");
    page_again.led = LedAway::once_more(scanned, words);
    page(&page_again).map(Some)
}

/// Whether it holds anything that the page did not come with.
fn is_typed(form: &TypedForm) -> bool {
    let carried = [
        POST_KEY,
        SHOWN_TO,
        StepForm::bench_step().key,
        StepForm::bench_arches().key,
        StepForm::bench_revision().key,
        StepForm::bench_shown().key,
    ];
    let mut texts = form.iter();
    texts.any(|(key, text)| !carried.contains(&key.as_str()) && !text.trim().is_empty())
}

/// Leaves the page, or, where something is typed there, says first what was scanned.
async fn led_away(
    at: (&App, &Person, &CaseNumber),
    form: &Typed,
    (scanned, mut page_again, into): (&Scanned, BenchPage, String),
) -> Result<Response, WebError> {
    let to = match scanned.word {
        Some(ScanWord::Ask) => page_again.ask.clone(),
        _ => scanned.leads(at.2),
    };
    if scanned.is_again || !is_typed(&form.0) {
        return Ok(see_other(&to));
    }
    page_again.led = LedAway::of(at, scanned, to).await;
    page_again.scan_into = into;
    page(&page_again)
}

/// What is asked of a field of the timers, which nobody has filled in by scanning, is said on top of the page.
fn in_words(error: AppError) -> AppError {
    match error {
        AppError::Invalid(faults) => {
            AppError::Refused(faults.into_iter().map(|fault| fault.message).collect())
        }
        other => other,
    }
}

/// Starts a timer of the step, for as long as it was set last: how long something takes is typed once, from the maker's
/// sheet.
async fn started(
    at: (&App, &Person, &CaseNumber),
    form: &Typed,
    (timer, before, into): (BenchTimer, &BenchPage, String),
) -> Result<Response, WebError> {
    let start = before.step.as_ref().and_then(|step| {
        let again = step.start.as_ref()?.again.iter();
        let last = again
            .map(|(button, _)| button)
            .find(|button| button.timer == timer)?;
        Some(StartTimerForm {
            timer_minutes: None,
            timer_another: false,
            timer_arches: Arches::from_word(form.text(StepForm::bench_arches().key)),
            timer_step: step.step,
            timer: Some(*last),
        })
    });
    let done = match start {
        Some(start) => {
            let started = bench_timers::start(at.0, at.1, at.2, &start, &form.key()?).await;
            started.map_err(in_words)
        }
        None => {
            let why = "This timer was not set at this step before: type its minutes once.";
            Err(AppError::Refused(vec![why.to_owned()]))
        }
    };
    let step = before.step.as_ref().map(|step| step.step);
    let asked = AskedOfBench {
        step,
        ..AskedOfBench::default()
    };
    let (status, tried) = match done {
        Ok(()) => (StatusCode::OK.into(), Tried::shown(form.0.clone())),
        Err(error) => Tried::of(form.0.clone(), error)?,
    };
    let mut after = shown(at, asked, &tried).await?;
    after.scan_into = into;
    if tried.refusals.is_empty() && tried.faults.is_empty() {
        after.frame = after.frame.done("timer");
    }
    page_with(status, &after)
}

/// The page with all that was typed.
async fn read_again(
    at: (&App, &Person, &CaseNumber),
    typed: &TypedForm,
) -> Result<BenchPage, WebError> {
    let step = typed.get(StepForm::bench_step().key);
    let asked = AskedOfBench {
        step: step.and_then(|word| BenchStep::from_word(word)),
        ..AskedOfBench::default()
    };
    shown(at, asked, &Tried::shown(typed.clone())).await
}

/// Does what the word says, and tells it.
fn apply(
    (word, asked): (ScanWord, &str),
    into: &mut String,
    typed: &mut TypedForm,
    step: &StepView,
) -> Result<String, String> {
    match word {
        ScanWord::Of(arches) => {
            let mut choices = step.arch.choices.iter();
            if !choices.any(|one| one.word == arches.word()) {
                return Err("That arch cannot be worked on now.".to_owned());
            }
            let key = StepForm::bench_arches().key;
            typed.insert(key.to_owned(), arches.word().to_owned());
            Ok(format!("For: {}.", arches.shown()))
        }
        ScanWord::Yes => {
            let keys = asked.split_whitespace();
            let ticked = keys.map(|key| typed.insert(key.to_owned(), "yes".to_owned()));
            match ticked.count() {
                0 => Err("The page asks for no tick.".to_owned()),
                _ => Ok("Ticked. Scan “Done” to enter it.".to_owned()),
            }
        }
        ScanWord::Next => {
            let mut keys = step.measures.iter().map(|row| row.field.key.as_str());
            let is_there = keys.clone().any(|key| key == into);
            let next = match is_there {
                true => keys.skip_while(|key| *key != into.as_str()).nth(1),
                false => keys.next(),
            };
            *into = next
                .ok_or("That was the last number of this step.")?
                .to_owned();
            Ok(format!("{}: scan its digits.", label(into, step)))
        }
        ScanWord::Key(key) => {
            let is_empty = |key: &str| typed.get(key).is_none_or(|text| text.is_empty());
            if into.is_empty() {
                let mut keys = step.measures.iter().map(|row| row.field.key.as_str());
                let first = keys.find(|key| is_empty(key));
                *into = first.ok_or("Nothing is measured at this step.")?.to_owned();
            }
            let text = typed.entry(into.clone()).or_default();
            text.push(key);
            Ok(format!("{}: {text}", label(into, step)))
        }
        ScanWord::Clear => {
            typed.remove(into.as_str());
            Ok(format!("{}: taken out.", label(into, step)))
        }
        ScanWord::NewLot => {
            let is_free = |row: &usize| {
                let is_empty = |field: &str| {
                    let text = typed.get(&format!("used.{row}.{field}"));
                    text.is_none_or(|text| text.is_empty())
                };
                is_empty(UsedForm::material().key) && is_empty(UsedForm::lot().key)
            };
            let row = (0..ROWS).find(is_free);
            let row = row.ok_or("There is no room for a further material.")?;
            *into = format!("used.{row}.{}", UsedForm::lot().key);
            Ok("Scan the lot.".to_owned())
        }
        ScanWord::Used(place) => used(place, into, typed, step),
        _ => Err("This is no word for a step.".to_owned()),
    }
}

/// Rows of materials in the form.
const ROWS: usize = 4;

/// What stands in a place of what was used last: the material of a lot that was scanned before, or the same lot again.
fn used(
    place: usize,
    into: &mut String,
    typed: &mut TypedForm,
    step: &StepView,
) -> Result<String, String> {
    let lot = place.checked_sub(1).and_then(|place| step.lots.get(place));
    let lot = lot.ok_or("Nothing stands in that place of what was used last.")?;
    let row = into.strip_suffix(UsedForm::lot().key);
    if let Some(row) = row.filter(|_| typed.get(into.as_str()).is_some_and(|lot| !lot.is_empty())) {
        let key = format!("{row}{}", UsedForm::material().key);
        typed.insert(key, lot.material.clone());
        into.clear();
        return Ok(format!("{}, the lot that was scanned.", lot.material));
    }
    Ok(match typed.remove(&lot.key) {
        Some(_) => format!("{}: taken out.", lot.words),
        None => {
            typed.insert(lot.key.clone(), "yes".to_owned());
            format!("{}, again.", lot.words)
        }
    })
}

/// What a field is of.
fn label(key: &str, step: &StepView) -> String {
    let mut rows = step.measures.iter();
    let row = rows.find(|row| row.field.key == key);
    row.map_or_else(|| "Lot".to_owned(), |row| row.label.to_owned())
}
