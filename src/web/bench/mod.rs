//! The bench of a lab: the page of one case, its entries, and the list of the work by technician.

mod arches;
mod code;
mod devices;
mod input;
mod list;
mod page;
mod rows;
mod step;
mod timers;

use self::input::Input;
use self::page::{Asked, bench_page};
use super::error::WebError;
use super::extract::{At, Query, Signed, Typed};
use super::frame::{page, page_with, see_other};
use super::tried::Tried;
use crate::app::agenda::BenchPeople;
use crate::app::{App, AppError, Person, assign, bench, bench_timers};
use crate::domain::custody::bench::BenchStep;
use crate::domain::custody::forms::{AssignForm, StartTimerForm, StepForm, UndoForm, WorkForm};
use crate::domain::values::ids::CaseNumber;
use axum::extract::State;
use axum::response::Response;

pub use code::{enter_by_code, go_on_with_password, password_form, who};
pub use devices::{allow_device, devices, take_device_back};
pub use list::list;
pub use timers::timers;

/// The page of a case's bench, with what came back of a form.
async fn shown(
    (app, person, number): (&App, &Person, &CaseNumber),
    asked: Asked<'_>,
    tried: &Tried,
) -> Result<page::BenchPage, WebError> {
    let view = bench::see(app, person, number).await?;
    let people = BenchPeople::of(app, person).await?;
    let open = assign::own_people(app, person).await?;
    let step = asked.step.or_else(|| page::next_step(&view));
    let lots = match step {
        Some(step) => bench::last_lots(app, person, step).await?,
        None => Vec::new(),
    };
    let timers = bench_timers::of_case(app, number).await?;
    let last_set = match step {
        Some(step) => bench_timers::last_set(app, person, step).await?,
        None => Vec::new(),
    };
    let input = Input {
        app,
        person,
        view: &view,
        people: &people,
        open: &open,
        lots: &lots,
        timers: &timers,
        last_set: &last_set,
        tried,
    };
    bench_page(&input, step, &asked)
}

/// Shows the bench of a case.
pub async fn form(
    State(app): State<App>,
    Signed(person): Signed,
    At(number): At<CaseNumber>,
    query: Query,
) -> Result<Response, WebError> {
    let asked = Asked {
        step: BenchStep::from_word(query.text("step")),
        scanned: query.text("scanned"),
    };
    let mut shown = shown((&app, &person, &number), asked, &Tried::default()).await?;
    let path = format!("/cases/{}/bench", number.as_str());
    shown.frame = shown
        .frame
        .done(query.text("done"))
        .on_device(&person, &path);
    page(&shown)
}

/// Back to the bench, or the form again with what is wrong with it.
async fn answered(
    (app, person, number): (&App, &Person, &CaseNumber),
    form: Typed,
    done: Result<&'static str, AppError>,
) -> Result<Response, WebError> {
    let (status, tried) = match done {
        Ok(word) => {
            let path = format!("/cases/{}/bench?done={word}", number.as_str());
            return Ok(see_other(&path));
        }
        Err(error) => Tried::of(form.0, error)?,
    };
    let keys = [StepForm::bench_step().key, StartTimerForm::timer_step().key];
    let sent = keys.iter().find_map(|key| tried.typed.get(*key));
    let asked = Asked {
        step: sent.and_then(|word| BenchStep::from_word(word)),
        ..Asked::default()
    };
    let shown = shown((app, person, number), asked, &tried).await?;
    page_with(status, &shown)
}

/// Refuses what was typed on a page that was opened by somebody else: at a device of the lab one comes in after another.
pub fn refuse_of_another(person: &Person, form: &Typed) -> Result<(), AppError> {
    let shown_to = form.text("shown_to");
    if shown_to.is_empty() || shown_to == person.account.id.as_str() {
        return Ok(());
    }
    Err(AppError::Refused(vec![format!(
        "Somebody else had opened this page, and it is {} who is here now: nothing was entered. Is it yours, send it again.",
        person.account.name
    )]))
}

/// Enters a step that was done.
pub async fn work(
    State(app): State<App>,
    Signed(person): Signed,
    At(number): At<CaseNumber>,
    form: Typed,
) -> Result<Response, WebError> {
    let key = form.key()?;
    let done = async {
        refuse_of_another(&person, &form)?;
        let command: WorkForm = form.read()?;
        bench::work(&app, &person, &number, &command, &key).await?;
        Ok("worked")
    };
    let done = done.await;
    answered((&app, &person, &number), form, done).await
}

/// Withdraws an entry that was a mistake.
pub async fn undo(
    State(app): State<App>,
    Signed(person): Signed,
    At(number): At<CaseNumber>,
    form: Typed,
) -> Result<Response, WebError> {
    let key = form.key()?;
    let done = async {
        refuse_of_another(&person, &form)?;
        let command: UndoForm = form.read()?;
        bench::undo(&app, &person, &number, &command, &key).await?;
        Ok("undone")
    };
    let done = done.await;
    answered((&app, &person, &number), form, done).await
}

/// Enters pan and technician.
pub async fn assign(
    State(app): State<App>,
    Signed(person): Signed,
    At(number): At<CaseNumber>,
    form: Typed,
) -> Result<Response, WebError> {
    let key = form.key()?;
    let done = async {
        refuse_of_another(&person, &form)?;
        let command: AssignForm = form.read()?;
        assign::assign(&app, &person, &number, &command, &key).await?;
        Ok("assigned")
    };
    let done = done.await;
    answered((&app, &person, &number), form, done).await
}

/// Starts a timer.
pub async fn start_timer(
    State(app): State<App>,
    Signed(person): Signed,
    At(number): At<CaseNumber>,
    form: Typed,
) -> Result<Response, WebError> {
    let key = form.key()?;
    let done = async {
        refuse_of_another(&person, &form)?;
        bench_timers::start(&app, &person, &number, &form.read()?, &key).await
    };
    let done = done.await.map(|()| "timer");
    timed((&app, &person, &number), form, done).await
}

/// Stops a timer.
pub async fn stop_timer(
    State(app): State<App>,
    Signed(person): Signed,
    At(number): At<CaseNumber>,
    form: Typed,
) -> Result<Response, WebError> {
    let key = form.key()?;
    let done = async {
        refuse_of_another(&person, &form)?;
        bench_timers::stop(&app, &person, &number, &form.read()?, &key).await
    };
    let done = done.await.map(|()| "timer_stopped");
    timed((&app, &person, &number), form, done).await
}

/// Takes a timer away that was started by mistake.
pub async fn remove_timer(
    State(app): State<App>,
    Signed(person): Signed,
    At(number): At<CaseNumber>,
    form: Typed,
) -> Result<Response, WebError> {
    let key = form.key()?;
    let done = async {
        refuse_of_another(&person, &form)?;
        bench_timers::take_away(&app, &person, &number, &form.read()?, &key).await
    };
    let done = done.await.map(|()| "timer_away");
    timed((&app, &person, &number), form, done).await
}

/// Back to the step that the form was of.
async fn timed(
    (app, person, number): (&App, &Person, &CaseNumber),
    form: Typed,
    done: Result<&'static str, AppError>,
) -> Result<Response, WebError> {
    let step = BenchStep::from_word(form.text(StartTimerForm::timer_step().key));
    match (done, step) {
        (Ok(word), Some(step)) => {
            let (number, step) = (number.as_str(), step.word());
            let to = format!("/cases/{number}/bench?step={step}&done={word}#timers");
            Ok(see_other(&to))
        }
        (done, _) => answered((app, person, number), form, done).await,
    }
}
