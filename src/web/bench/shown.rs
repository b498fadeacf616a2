//! The page of a case's bench, read again.

use super::input::BenchInput;
use super::page::{self, AskedOfBench, bench_page};
use crate::app::lately_at_bench::LatelyAtBench;
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
    let (people, open) = assign::who_can_work(app, person).await?;
    let step = asked.step.or_else(|| page::next_step(&view));
    let timers = bench_timers::of_case(app, number).await?;
    let (lots, last_set) = match step {
        Some(step) => {
            let lately = LatelyAtBench::of(app, person).await?;
            let lots = bench::last_lots(&lately, &view.work, step);
            (lots, bench_timers::last_set(&lately, step))
        }
        None => Default::default(),
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
