//! The page of a case's bench, read again.

use super::input::BenchInput;
use super::page::{self, AskedOfBench, bench_page};
use crate::app::agenda::BenchPeople;
use crate::app::{App, Person, assign, bench, bench_timers};
use crate::domain::values::ids::CaseNumber;
use crate::web::error::WebError;
use crate::web::tried::Tried;

/// The page of a case's bench, with what came back of a form.
pub async fn shown(
    (app, person, number): (&App, &Person, &CaseNumber),
    asked: AskedOfBench<'_>,
    tried: &Tried,
) -> Result<page::BenchPage, WebError> {
    let view = bench::see(app, person, number).await?;
    let people = BenchPeople::of(app, person).await?;
    let open = assign::who_can_work(app, person).await?;
    let step = asked.step.or_else(|| page::next_step(&view));
    let lots = match step {
        Some(step) => bench::last_lots(app, person, &view.work, step).await?,
        None => Vec::new(),
    };
    let timers = bench_timers::of_case(app, number).await?;
    let last_set = match step {
        Some(step) => bench_timers::last_set(app, person, step).await?,
        None => Vec::new(),
    };
    let input = BenchInput {
        app,
        person,
        view: &view,
        people: &people,
        open: &open,
        lots: &lots,
        timers: &timers,
        last_set: &last_set,
        picture: asked.picture,
        tried,
    };
    let mut shown = bench_page(&input, step, &asked)?;
    let own = format!("/cases/{}/bench", number.as_str());
    shown.frame = shown.frame.on_device(person, &own);
    Ok(shown)
}
