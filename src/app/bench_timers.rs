//! Timers of the bench: started with one touch, stopped, and taken into the entry of their step.

use super::case_work::CaseWork;
use super::run::run;
use super::{App, AppError, Person, PostKey};
use crate::domain::custody::What;
use crate::domain::custody::bench::{
    BenchStep, BenchTimer, SECONDS_MOST, TimedRun, TimerState, seconds_of, timer_state, timers_of,
};
use crate::domain::custody::forms::{StartTimerForm, TimerForm};
use crate::domain::people::party::Side;
use crate::domain::values::ids::CaseNumber;
use crate::store::bench_timers as stored;
pub use crate::store::bench_timers::TimerRow;
use crate::store::{Connection, Tx, custody};

/// Timers of one case that wait for their step at most.
const TIMERS_MOST: usize = 12;

/// How a timer stands now.
pub fn state_of(app: &App, row: &TimerRow) -> TimerState {
    timer_state(
        row.seconds,
        row.began_ms,
        row.stopped_ms,
        app.outside.now_ms(),
    )
}

/// The timers of a case.
pub async fn of_case(app: &App, number: &CaseNumber) -> Result<Vec<TimerRow>, AppError> {
    let mut conn = app.store.read().await?;
    Ok(stored::timers_of_case(&mut conn, number).await?)
}

/// The timers that run in one's own lab, the first that is over first, each with its pan.
pub async fn running(app: &App, person: &Person) -> Result<Vec<(TimerRow, String)>, AppError> {
    let mut conn = app.store.read().await?;
    let mut found = stored::running_timers(&mut conn, person.party_id()).await?;
    found.sort_by_key(|(row, _)| row.began_ms + 1_000 * i64::from(row.seconds));
    Ok(found)
}

/// The case, if it is open and of this person's lab.
async fn open_case(
    app: &App,
    conn: &mut Connection,
    person: &Person,
    number: &CaseNumber,
) -> Result<CaseWork, AppError> {
    let work = CaseWork::load(app, conn, person, number).await?;
    match work.side {
        Side::Office => Err(AppError::NotFound),
        Side::Lab if work.case.closed => {
            let sentence = "The case is closed: nothing is made, and nothing is timed.";
            Err(AppError::Refused(vec![sentence.to_owned()]))
        }
        Side::Lab => Ok(work),
    }
}

/// What is timed, and for how long: typed, or as it was typed before for the same step.
fn wanted(form: &StartTimerForm) -> Result<(BenchTimer, u32), AppError> {
    let minutes = StartTimerForm::timer_minutes().key;
    let (word, before) = match form.timer.split_once('/') {
        Some((word, seconds)) => (word, seconds.parse::<u32>().ok()),
        None => (form.timer.as_str(), None),
    };
    let timer = BenchTimer::from_word(word)
        .filter(|one| timers_of(form.timer_step).any(|other| other == *one))
        .ok_or_else(|| AppError::field(minutes, "Choose what is timed."))?;
    let seconds = match (before, form.timer_minutes) {
        (Some(seconds), _) if (1..=SECONDS_MOST).contains(&seconds) => seconds,
        (_, Some(typed)) => seconds_of(typed).map_err(|why| AppError::field(minutes, why))?,
        _ => {
            let wanted = "Type the minutes that the maker's sheet says, then touch what is timed.";
            return Err(AppError::field(minutes, wanted));
        }
    };
    Ok((timer, seconds))
}

/// The timer that a form names, of an open case of this person's lab; none where it is away already.
async fn named(
    app: &App,
    tx: &mut Tx,
    person: &Person,
    number: &CaseNumber,
    form: &TimerForm,
) -> Result<Option<TimerRow>, AppError> {
    open_case(app, tx.conn(), person, number).await?;
    let rows = stored::timers_of_case(tx.conn(), number).await?;
    Ok(rows.into_iter().find(|one| one.id == form.timer_id))
}

/// Starts a timer.
pub async fn start(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    form: &StartTimerForm,
    key: &PostKey,
) -> Result<(), AppError> {
    let (timer, seconds) = wanted(form)?;
    let id = app.outside.identity()?;
    run(app, person, key, |mut tx| async {
        let work = open_case(app, tx.conn(), person, number).await?;
        let before = stored::timers_of_case(tx.conn(), number).await?;
        if before.len() >= TIMERS_MOST {
            let sentence = "So many timers wait here already: enter their steps, or take away what was started by mistake.";
            return Err(AppError::Refused(vec![sentence.to_owned()]));
        }
        let row = TimerRow {
            id: id.clone(),
            case: number.clone(),
            lab: work.case.lab.clone(),
            step: form.timer_step,
            timer,
            seconds,
            began_ms: app.outside.now_ms(),
            by_name: person.account.name.clone(),
            stopped_ms: 0,
        };
        stored::insert_timer(&mut tx, &row).await?;
        Ok((tx, ()))
    })
    .await
}

/// Stops a timer; one that has stopped already, or is in its entry, is what was wanted.
pub async fn stop(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    form: &TimerForm,
    key: &PostKey,
) -> Result<(), AppError> {
    run(app, person, key, |mut tx| async {
        let found = named(app, &mut tx, person, number, form).await?;
        if let Some(row) = found.filter(|one| one.stopped_ms == 0) {
            stored::stop_timer(&mut tx, number, &row.id, app.outside.now_ms()).await?;
        }
        Ok((tx, ()))
    })
    .await
}

/// Takes a timer away that was started by mistake.
pub async fn take_away(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    form: &TimerForm,
    key: &PostKey,
) -> Result<(), AppError> {
    run(app, person, key, |mut tx| async {
        if let Some(row) = named(app, &mut tx, person, number, form).await? {
            stored::remove_timer(&mut tx, number, &row.id).await?;
        }
        Ok((tx, ()))
    })
    .await
}

/// Takes the timers of a step into its entry: those that run are stopped by it.
pub(super) async fn into_entry(
    app: &App,
    tx: &mut Tx,
    work: &CaseWork,
    step: BenchStep,
) -> Result<Vec<TimedRun>, AppError> {
    let number = &work.case.number;
    let rows = stored::timers_of_case(tx.conn(), number).await?;
    let mut runs = Vec::new();
    for row in rows.iter().filter(|row| row.step == step) {
        runs.push(TimedRun {
            timer: row.timer,
            asked_s: row.seconds,
            took_s: state_of(app, row).ran(row.seconds),
            began: crate::clock::moment_in(row.began_ms, &work.lab.zone),
        });
        stored::remove_timer(tx, number, &row.id).await?;
    }
    Ok(runs)
}

/// How long each timer of a step was set to last time, by what this lab has entered lately: one touch starts it again.
pub async fn last_set(
    app: &App,
    person: &Person,
    step: BenchStep,
) -> Result<Vec<(BenchTimer, u32)>, AppError> {
    let mut conn = app.store.read().await?;
    let entries = custody::newest_at_bench(&mut conn, person.party_id()).await?;
    let mut found: Vec<(BenchTimer, u32)> = Vec::new();
    for (event, _) in entries {
        let What::Worked(worked) = event.what else {
            continue;
        };
        for run in worked.timed.iter().filter(|_| worked.step == step) {
            if !found.iter().any(|(timer, _)| *timer == run.timer) {
                found.push((run.timer, run.asked_s));
            }
        }
    }
    Ok(found)
}
