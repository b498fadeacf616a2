//! Timers of the bench on the page of a case, and all that run in a lab.

use super::arches::arch_field;
use super::input::BenchInput;
use crate::app::bench_timers::{self, TimerRow, state_of, which_of};
use crate::app::{App, Person};
use crate::domain::custody::bench::{
    BenchStep, BenchTimer, TimerButton, TimerState, nth, span, timers_of,
};
use crate::domain::custody::forms::StartTimerForm;
use crate::domain::values::arch::{Arch, Arches};
use crate::domain::values::words::capitalised;
use crate::web::error::WebError;
use crate::web::extract::SignedIn;
use crate::web::field::FieldView;
use crate::web::frame::{Frame, page};
use askama::Template;
use axum::extract::State;
use axum::response::Response;

/// A timer as it stands where the page is made; a script counts on from there.
pub struct TimerView {
    pub id: String,
    /// "Cure, 540 min"
    pub what: String,
    pub step: String,
    pub state: String,
    /// Whether its time is over.
    pub rings: bool,
    pub runs: bool,
    /// Seconds that are left where the page is made; less than nothing where it is over.
    pub left_s: i64,
    pub began: String,
    /// Empty on the page of the case itself.
    pub path_number: String,
    pub number: String,
    pub pan: String,
}

/// The timers of a step that can be started.
pub struct StartView {
    pub step: &'static str,
    pub minutes: FieldView,
    /// Whether one more is started while one of the kind runs; none where nothing asks.
    pub another: Option<FieldView>,
    /// Which arch it is of; none where only one can be worked on.
    pub arch: Vec<FieldView>,
    /// Those that can be worked on.
    pub arches: &'static str,
    /// By the minutes that are typed, each with its name.
    pub kinds: Vec<(TimerButton, String)>,
    /// With the minutes of last time, each with its words.
    pub again: Vec<(TimerButton, String)>,
}

fn timer_view(
    (app, person): (&App, &Person),
    row: &TimerRow,
    all: &[&TimerRow],
    pan: &str,
) -> TimerView {
    let state = state_of(app, row);
    let which = which_of(all, row).map_or_else(String::new, |which| format!(", {}", nth(which)));
    TimerView {
        id: row.id.to_string(),
        what: format!(
            "{}, {}{which}",
            capitalised(row.timer.shown()),
            span(row.seconds)
        ),
        step: match row.arches {
            Arches::Both => capitalised(row.step.shown()),
            one => format!("{}, {}", capitalised(row.step.shown()), one.shown()),
        },
        state: state.words(),
        rings: matches!(state, TimerState::Rings(_)),
        runs: row.stopped_ms == 0,
        left_s: match state {
            TimerState::Runs(left) => i64::from(left),
            TimerState::Rings(over) => -i64::from(over),
            TimerState::Stopped(_) => 0,
        },
        began: format!("{}, {}", person.moment(row.began_ms).clock(), row.by_name),
        path_number: row.case.as_str().to_owned(),
        number: row.case.to_string(),
        pan: pan.to_owned(),
    }
}

/// The timers of the case.
pub fn timer_views(input: &BenchInput<'_>) -> Vec<TimerView> {
    let all: Vec<&TimerRow> = input.timers.iter().collect();
    let whose = (input.app, input.person);
    let views = all.iter().map(|row| timer_view(whose, row, &all, ""));
    views.collect()
}

/// What can be started at a step; none where nothing of it is timed.
pub fn start_view(
    input: &BenchInput<'_>,
    step: BenchStep,
    (free, open): (&[Arch], &[Arch]),
) -> Option<StartView> {
    let kinds: Vec<BenchTimer> = timers_of(step).collect();
    if kinds.is_empty() {
        return None;
    }
    let sent = input
        .tried
        .typed
        .contains_key(StartTimerForm::timer_step().key);
    let tried = input.tried.only_if(sent);
    let minutes = FieldView::under(StartTimerForm::timer_minutes(), "");
    let again = input.last_set.iter().map(|(timer, seconds)| {
        let words = format!("{}, {} again", capitalised(timer.shown()), span(*seconds));
        let button = TimerButton {
            timer: *timer,
            seconds: Some(*seconds),
        };
        (button, words)
    });
    let another = FieldView::under(StartTimerForm::timer_another(), "");
    let another = another.filled(&tried.typed, &tried.faults);
    let is_asked = !another.value.is_empty() || !another.messages.is_empty();
    Some(StartView {
        step: step.word(),
        another: is_asked.then_some(another),
        minutes: minutes.filled(&tried.typed, &tried.faults),
        arch: match free {
            [_, _] => vec![arch_field(
                StartTimerForm::timer_arches(),
                (free, open),
                tried,
            )],
            _ => Vec::new(),
        },
        arches: Arches::of(free).map_or("", Arches::word),
        kinds: kinds
            .iter()
            .map(|one| {
                let button = TimerButton {
                    timer: *one,
                    seconds: None,
                };
                (button, capitalised(one.shown()))
            })
            .collect(),
        again: again.collect(),
    })
}

/// All timers of a lab that run.
#[derive(Template)]
#[template(path = "bench_timers.html")]
pub struct TimersPage {
    pub frame: Frame,
    pub now: String,
    pub timers: Vec<TimerView>,
}

/// All timers that run in the lab.
pub async fn running_views(app: &App, person: &Person) -> Result<Vec<TimerView>, WebError> {
    let running = bench_timers::running(app, person).await?;
    let all: Vec<&TimerRow> = running.iter().map(|(row, _)| row).collect();
    let views = running
        .iter()
        .map(|(row, pan)| timer_view((app, person), row, &all, pan));
    Ok(views.collect())
}

/// The page of them, which asks again by itself.
pub async fn timers(
    State(app): State<App>,
    SignedIn(person): SignedIn,
) -> Result<Response, WebError> {
    page(&TimersPage {
        timers: running_views(&app, &person).await?,
        now: person.moment(app.outside.now_ms()).clock(),
        frame: Frame::new(&app, &person, "Timers", "/bench")
            .at_bench()
            .on_device(&person, "/bench/timers"),
    })
}
