//! Timers of the bench: started with one touch, stopped, and taken into the entry of their step.

use super::case_work::CaseWork;
use super::lately_at_bench::LatelyAtBench;
use super::run::run;
use super::whose_case::{ShownTo, shown_to};
use super::{App, AppError, Person, PostKey};
use crate::domain::custody::What;
use crate::domain::custody::bench::{
    BenchEntry, BenchStep, BenchTimer, TimedRun, TimerButton, TimerState, seconds_of, timer_state,
    timers_of,
};
use crate::domain::custody::forms::{StartTimerForm, StepForm, TimerForm, WorkForm};
use crate::domain::people::party::Side;
use crate::domain::values::arch::Arches;
use crate::domain::values::ids::{CaseNumber, TimerId};
use crate::domain::values::words::capitalised;
use crate::store::bench_timers as stored;
pub use crate::store::bench_timers::TimerRow;
use crate::store::{Connection, Tx, cases};

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
    let mut conn = app.store.read_at_once().await?;
    let mut found = Vec::new();
    // Timers are in no record; of whose case each is, the record is asked.
    for (row, pan) in stored::running_timers(&mut conn, person.party_id()).await? {
        if is_own(app, &mut conn, person, &row.case).await? {
            found.push((row, pan));
        }
    }
    found.sort_by_key(|(row, _)| row.began_ms + 1_000 * i64::from(row.seconds));
    Ok(found)
}

/// Whether a case that is listed for this person's house is not another's by the record.
async fn is_own(
    app: &App,
    conn: &mut Connection,
    person: &Person,
    number: &CaseNumber,
) -> Result<bool, AppError> {
    let Some(case) = cases::find_case(conn, number).await? else {
        return Ok(false);
    };
    let shown = shown_to(app, conn, &case, person.party_id()).await?;
    Ok(shown == ShownTo::ThisParty)
}

/// The case, if it is of this person's lab.
async fn own_case(
    app: &App,
    conn: &mut Connection,
    person: &Person,
    number: &CaseNumber,
) -> Result<CaseWork, AppError> {
    let work = CaseWork::load(app, conn, person, number).await?;
    match work.side {
        Side::Office => Err(AppError::NotFound),
        Side::Lab => Ok(work),
    }
}

/// What is timed, and for how long: typed, or as it was typed before for the same step.
fn wanted(form: &StartTimerForm) -> Result<(BenchTimer, u32), AppError> {
    let minutes = StartTimerForm::timer_minutes().key;
    let TimerButton { timer, seconds } = form
        .timer
        .filter(|one| timers_of(form.timer_step).any(|other| other == one.timer))
        .ok_or_else(|| AppError::field(minutes, "Choose what is timed."))?;
    let seconds = seconds.or_else(|| form.timer_minutes.and_then(seconds_of));
    let seconds = seconds.ok_or_else(|| {
        let wanted = "Type the minutes that the maker's sheet says, then touch what is timed.";
        AppError::field(minutes, wanted)
    })?;
    Ok((timer, seconds))
}

/// For which arches a timer is started; for all of the case where nothing is said.
fn of_the_case(work: &CaseWork, form: &StartTimerForm) -> Result<Arches, AppError> {
    let treated = work.case.arches;
    match form.timer_arches {
        None => Ok(treated),
        Some(arches) if arches.shared_with(treated).1.is_none() => Ok(arches),
        Some(_) => {
            let wanted = format!("This case is of the {}.", treated.shown());
            Err(AppError::field(StartTimerForm::timer_arches().key, wanted))
        }
    }
}

/// Asks before a second timer of one kind is started for an arch of which one runs: mostly the first was touched twice;
/// where two flasks are in their baths both are wanted. The upper's and the lower's are told apart by themselves.
fn asked_of_another(
    app: &App,
    before: &[TimerRow],
    (form, timer, arches): (&StartTimerForm, BenchTimer, Arches),
) -> Result<(), AppError> {
    let mut alike = before.iter().filter(|one| {
        let is_shared = one.arches.shared_with(arches).0.is_some();
        (one.step, one.timer) == (form.timer_step, timer) && is_shared
    });
    let running = alike.find_map(|one| match state_of(app, one) {
        state @ TimerState::Runs(_) => Some((one, state)),
        _ => None,
    });
    let Some((one, state)) = running.filter(|_| !form.timer_another) else {
        return Ok(());
    };
    let sentence = format!(
        "{} runs already, {}: {}. Say whether this is another one, or choose its arch.",
        capitalised(timer.shown()),
        one.arches.shown(),
        state.words()
    );
    Err(AppError::field(
        StartTimerForm::timer_another().key,
        sentence,
    ))
}

/// Which of several of one kind for its step and arch a timer is, among these of its case; none where it is the only one.
pub fn which_of(rows: &[&TimerRow], row: &TimerRow) -> Option<usize> {
    let is_alike = |one: &TimerRow| {
        (&one.case, one.step, one.timer, one.arches) == (&row.case, row.step, row.timer, row.arches)
    };
    let alike: Vec<&TimerRow> = (rows.iter().copied()).filter(|one| is_alike(one)).collect();
    let before = alike
        .iter()
        .filter(|one| (one.began_ms, &one.id) < (row.began_ms, &row.id));
    (alike.len() > 1).then(|| before.count())
}

/// The timer that a form names, of a case of this person's lab, closed or not; none where it is away already.
async fn named(
    app: &App,
    tx: &mut Tx,
    person: &Person,
    number: &CaseNumber,
    form: &TimerForm,
) -> Result<Option<TimerRow>, AppError> {
    own_case(app, tx.conn(), person, number).await?;
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
    let id = TimerId::new(app.outside.identity()?);
    run(app, person, key, |mut tx| async {
        let work = own_case(app, tx.conn(), person, number).await?;
        if work.case.closed {
            let sentence = "The case is closed: nothing is made, and nothing is timed.";
            return Err(AppError::Refused(vec![sentence.to_owned()]));
        }
        let arches = of_the_case(&work, form)?;
        let before = stored::timers_of_case(tx.conn(), number).await?;
        if before.len() >= TIMERS_MOST {
            let sentence = "So many timers wait here already: enter their steps, or take away what was started by mistake.";
            return Err(AppError::Refused(vec![sentence.to_owned()]));
        }
        asked_of_another(app, &before, (form, timer, arches))?;
        let row = TimerRow {
            id: id.clone(),
            case: number.clone(),
            lab: work.case.lab.clone(),
            step: form.timer_step,
            timer,
            arches,
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

/// Asks before an entry ends what still runs.
fn asked_of_running(app: &App, rows: &[&TimerRow], form: &WorkForm) -> Result<(), AppError> {
    let running = |row: &&TimerRow| {
        let state = state_of(app, row);
        let runs = matches!(state, TimerState::Runs(_));
        runs.then(|| {
            format!(
                "{}, {}: {}",
                row.timer.shown(),
                row.arches.shown(),
                state.words()
            )
        })
    };
    let running: Vec<String> = rows.iter().filter_map(running).collect();
    if running.is_empty() || form.running {
        return Ok(());
    }
    let sentence = format!(
        "Still running: {}. Is the step done all the same?",
        running.join("; ")
    );
    Err(AppError::field(StepForm::bench_running().key, sentence))
}

/// Takes the timers of a step, for the arches of its entry, into that: those that run are stopped by it. One that is of
/// another arch as well goes on for that.
pub(super) async fn into_entry(
    app: &App,
    tx: &mut Tx,
    work: &CaseWork,
    form: &WorkForm,
) -> Result<Vec<TimedRun>, AppError> {
    let number = &work.case.number;
    let rows = stored::timers_of_case(tx.conn(), number).await?;
    let is_own =
        |row: &&TimerRow| row.step == form.step && row.arches.shared_with(form.arches).0.is_some();
    let rows: Vec<&TimerRow> = rows.iter().filter(is_own).collect();
    asked_of_running(app, &rows, form)?;
    let mut runs = Vec::new();
    for row in rows {
        let (taken, left) = row.arches.shared_with(form.arches);
        runs.push(TimedRun {
            timer: row.timer,
            asked_s: row.seconds,
            took_s: state_of(app, row).ran(row.seconds),
            began: crate::clock::moment_in(row.began_ms, &work.lab.zone),
            arch: match (form.arches, taken.map(Arches::treated)) {
                (Arches::Both, Some([arch])) => Some(*arch),
                _ => None,
            },
        });
        // What the case does not treat waits for no entry.
        let left = left.and_then(|left| left.shared_with(work.case.arches).0);
        match left {
            Some(left) => stored::leave_timer_to(tx, number, &row.id, left).await?,
            None => stored::remove_timer(tx, number, &row.id).await?,
        }
    }
    Ok(runs)
}

/// Milliseconds between the end of a timer by its entry and the time of the entry at most: a run is kept in seconds.
const SAME_MOMENT_MS: i64 = 2_000;

/// Gives the timers of an entry that is withdrawn back to the case, to be taken by the next.
/// What the entry stopped, and what would still run, runs on; the rest stands as it was stopped.
pub(super) async fn out_of_entry(
    app: &App,
    tx: &mut Tx,
    work: &CaseWork,
    entry: &BenchEntry,
) -> Result<(), AppError> {
    let number = &work.case.number;
    let before = stored::timers_of_case(tx.conn(), number).await?;
    let room = TIMERS_MOST.saturating_sub(before.len());
    for (place, run) in entry.timed.iter().enumerate().take(room) {
        let began_ms = run.began.unix_ms;
        let stopped_ms = began_ms.saturating_add(1_000 * i64::from(run.took_s));
        let was_running = (entry.at.unix_ms - stopped_ms).abs() <= SAME_MOMENT_MS;
        let state = timer_state(run.asked_s, began_ms, 0, app.outside.now_ms());
        let runs_on = was_running && matches!(state, TimerState::Runs(_));
        let row = TimerRow {
            id: TimerId::given_back(&entry.event, place),
            case: number.clone(),
            lab: work.case.lab.clone(),
            step: entry.step,
            timer: run.timer,
            arches: run.arch.map_or(entry.arches, Arches::from),
            seconds: run.asked_s,
            began_ms,
            by_name: entry.name.clone(),
            stopped_ms: if runs_on { 0 } else { stopped_ms.max(1) },
        };
        stored::insert_timer(tx, &row).await?;
    }
    Ok(())
}

/// How long each timer of a step was set to last time, by what this lab has entered lately: one touch starts it again.
pub fn last_set(lately: &LatelyAtBench, step: BenchStep) -> Vec<(BenchTimer, u32)> {
    let mut found: Vec<(BenchTimer, u32)> = Vec::new();
    for (event, _) in &lately.entries {
        if lately.withdrawn.contains(&event.id) {
            continue;
        }
        let What::Worked(worked) = &event.what else {
            continue;
        };
        for run in worked.timed.iter().filter(|_| worked.step == step) {
            if !found.iter().any(|(timer, _)| *timer == run.timer) {
                found.push((run.timer, run.asked_s));
            }
        }
    }
    found
}
