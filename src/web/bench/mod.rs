//! The bench of a lab: the page of one case, its entries, and the list of the work by technician.

mod again;
mod arches;
mod code;
mod devices;
mod input;
mod list;
mod page;
mod rows;
mod said;
mod scan;
mod shown;
mod step;
mod timers;
mod top;

use self::page::{AskedOfBench, BenchPage};
use self::shown::shown;
use super::done::Done;
use super::error::WebError;
use super::extract::{On, Typed};
use super::form_page::{FormPage, Onward, refuse_of_another};
use super::frame::Frame;
use super::tried::Tried;
use crate::app::{AppError, assign, bench, bench_timers};
use crate::domain::custody::bench::BenchStep;
use crate::domain::custody::forms::{StartTimerForm, StepForm, TimerForm};
use crate::domain::values::ids::CaseNumber;
use axum::response::Response;

pub use code::{enter_by_code, go_on_with_password, password_form, who};
pub use devices::{allow_device, devices, take_device_back};
pub use list::{card, list};
pub use timers::timers;

impl FormPage for BenchPage {
    type At = CaseNumber;

    fn says_done(number: &CaseNumber) -> String {
        format!("/cases/{}/bench", number.as_str())
    }

    fn frame(&mut self) -> &mut Frame {
        &mut self.frame
    }

    fn refuse(on: &On<CaseNumber>, form: &Typed) -> Result<(), AppError> {
        refuse_of_another(&on.person, form)
    }

    async fn draw(on: &On<CaseNumber>, tried: &Tried) -> Result<BenchPage, WebError> {
        let (app, person, number) = (&on.app, &on.person, &on.at);
        let keys = [StepForm::bench_step().key, StartTimerForm::timer_step().key];
        let sent = keys.iter().find_map(|key| tried.typed.get(*key));
        let asked = AskedOfBench {
            step: BenchStep::from_word(sent.map_or(on.query.text("step"), String::as_str)),
            scanned: on.query.text("scanned"),
            picture: on.query.text("picture"),
        };
        shown((app, person, number), asked, tried).await
    }
}

/// Shows the bench of a case.
pub async fn form(on: On<CaseNumber>) -> Result<Response, WebError> {
    BenchPage::show(on).await
}

/// Enters a step that was done.
pub async fn work(on: On<CaseNumber>, mut form: Typed) -> Result<Response, WebError> {
    if let Some(answer) = scan::answer((&on.app, &on.person, &on.at), &mut form).await? {
        return Ok(answer);
    }
    BenchPage::post(on, form, bench::work, Done::Worked).await
}

/// Withdraws an entry that was a mistake.
pub async fn undo(on: On<CaseNumber>, form: Typed) -> Result<Response, WebError> {
    BenchPage::post(on, form, bench::undo, Done::Undone).await
}

/// Enters what is done again for the revision in force.
pub async fn carry_over(on: On<CaseNumber>, form: Typed) -> Result<Response, WebError> {
    BenchPage::post(on, form, bench::carry_over, Done::CarriedOver).await
}

/// Enters pan and technician.
pub async fn assign(on: On<CaseNumber>, form: Typed) -> Result<Response, WebError> {
    BenchPage::post(on, form, assign::assign, Done::Assigned).await
}

/// Back to the timers of the step that a form was of.
fn at_timers(number: &CaseNumber, form: &Typed, done: Done) -> Onward {
    let step = BenchStep::from_word(form.text(StartTimerForm::timer_step().key));
    step.map_or(done.into(), |step| {
        let path = BenchPage::says_done(number);
        let path = done.at(&format!("{path}?step={}", step.word()));
        Onward::To(format!("{path}#timers"))
    })
}

/// Starts a timer.
pub async fn start_timer(on: On<CaseNumber>, form: Typed) -> Result<Response, WebError> {
    let number = on.at.clone();
    let then = |form: &Typed, _: &StartTimerForm, ()| at_timers(&number, form, Done::Timer);
    BenchPage::post_then(on, form, bench_timers::start, then).await
}

/// Stops a timer.
pub async fn stop_timer(on: On<CaseNumber>, form: Typed) -> Result<Response, WebError> {
    let number = on.at.clone();
    let then = |form: &Typed, _: &TimerForm, ()| at_timers(&number, form, Done::TimerStopped);
    BenchPage::post_then(on, form, bench_timers::stop, then).await
}

/// Takes a timer away that was started by mistake.
pub async fn remove_timer(on: On<CaseNumber>, form: Typed) -> Result<Response, WebError> {
    let number = on.at.clone();
    let then = |form: &Typed, _: &TimerForm, ()| at_timers(&number, form, Done::TimerAway);
    BenchPage::post_then(on, form, bench_timers::take_away, then).await
}
