//! What the page of a bench is made of.

use crate::app::agenda::BenchPeople;
use crate::app::bench::LastLot;
use crate::app::bench_timers::TimerRow;
use crate::app::see_case::CaseView;
use crate::app::{App, Person};
use crate::domain::custody::bench::BenchTimer;
use crate::domain::people::account::Account;
use crate::web::tried::Tried;
use time::Date;

/// What the page is made of.
pub struct BenchInput<'a> {
    pub app: &'a App,
    pub person: &'a Person,
    pub view: &'a CaseView,
    /// Everybody who is or was of this lab, by name.
    pub people: &'a BenchPeople,
    /// Whom the case can be given to.
    pub open: &'a [Account],
    pub lots: &'a [LastLot],
    pub timers: &'a [TimerRow],
    /// For how long each timer of the step was set last.
    pub last_set: &'a [(BenchTimer, u32)],
    /// The picture that the address chooses for the step; empty for most.
    pub picture: &'a str,
    pub tried: &'a Tried,
}

impl BenchInput<'_> {
    /// The day on the wall of this lab.
    pub fn today(&self) -> Date {
        self.person.moment(self.app.outside.now_ms()).date()
    }
}
