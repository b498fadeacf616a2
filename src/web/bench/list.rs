//! The work of a lab by technician.

use super::timers::{TimerView, running_views};
use crate::app::bench_card::bench_card_pdf;
use crate::app::bench_list::{self, BenchGroup, LoadLine};
use crate::app::{App, Person};
use crate::domain::custody::DAYS;
use crate::domain::people::access::Permission;
use crate::domain::values::moment::day_in_words;
use crate::domain::values::words::counted;
use crate::web::changes::NewsLine;
use crate::web::error::WebError;
use crate::web::extract::SignedIn;
use crate::web::frame::{Frame, page, pdf};
use askama::Template;
use axum::extract::State;
use axum::response::Response;
use time::{Date, Duration};

/// What waits for a lab, by technician.
#[derive(Template)]
#[template(path = "bench_list.html")]
pub struct BenchListPage {
    pub frame: Frame,
    pub today: String,
    pub groups: Vec<BenchGroup>,
    pub more: bool,
    /// What is said of cases that cannot be read; empty for most.
    pub unreadable: String,
    pub loads: Vec<LoadLine>,
    /// The days of the next seven on which anything is due, by how far they are off, with their names; today always.
    pub load_days: Vec<(usize, String)>,
    /// Whose list is asked for by its own address.
    pub own: String,
    pub timers: Vec<TimerView>,
    /// Whether this person keeps the devices.
    pub may_allow: bool,
    pub news: NewsLine,
}

impl BenchListPage {
    /// "3 cases, 11 steps to do"
    fn sums(&self, group: &BenchGroup) -> String {
        let cases = i64::try_from(group.cases.len()).unwrap_or(i64::MAX);
        format!(
            "{}, {} to do",
            counted(cases, "case"),
            counted(group.open, "step")
        )
    }
}

/// A day on which nothing is due takes no room.
fn load_days(loads: &[LoadLine], today: Date) -> Vec<(usize, String)> {
    let is_shown = |day: &usize| *day == 0 || loads.iter().any(|one| one.load.on(*day) > 0);
    let name = |day: usize| match day {
        0 => "Today".to_owned(),
        off => {
            let off = i64::try_from(off).unwrap_or_default();
            day_in_words(today.saturating_add(Duration::days(off)), today)
        }
    };
    (0..DAYS)
        .filter(is_shown)
        .map(|day| (day, name(day)))
        .collect()
}

async fn list_page(app: &App, person: &Person) -> Result<BenchListPage, WebError> {
    let today = person.moment(app.outside.now_ms()).date();
    let loads = bench_list::loads(app, person).await?;
    let list = bench_list::list(app, person).await?;
    Ok(BenchListPage {
        frame: Frame::new(app, person, "Bench", "/bench")
            .at_bench()
            .on_device(person, "/bench"),
        may_allow: person.may(Permission::KeepDevices),
        today: format!("{} {}", day_in_words(today, today), today.year()),
        groups: list.groups,
        more: list.more,
        unreadable: list.unreadable,
        load_days: load_days(&loads, today),
        own: person.account.id.to_string(),
        loads,
        timers: running_views(app, person).await?,
        news: NewsLine {
            watch: "/changes".to_owned(),
            mark: person.changes,
        },
    })
}

/// Shows the list.
pub async fn list(
    State(app): State<App>,
    SignedIn(person): SignedIn,
) -> Result<Response, WebError> {
    page(&list_page(&app, &person).await?)
}

/// The card with what a scanner reads in place of a touch.
pub async fn card(SignedIn(person): SignedIn) -> Result<Response, WebError> {
    Ok(pdf("bench-card.pdf", bench_card_pdf(&person)?))
}
