//! What an agenda can be narrowed down by: as its address says it, and as lists to choose from.

use super::extract::Query;
use super::keys::ONLY;
use crate::app::Person;
use crate::app::agenda::{AgendaList, BenchPeople, Filter, OnlyThese};
use crate::domain::prescription::Stage;
use crate::domain::values::ids::{AccountId, PartyId};
use crate::domain::values::moment::{day_in_words, parse_date, show_date};
use percent_encoding::{NON_ALPHANUMERIC, utf8_percent_encode};
use time::{Date, Duration};

/// Weeks that can be chosen, this one the first.
const WEEKS: i64 = 6;

/// What the address asks for; what it cannot mean is left out.
pub fn filter(query: &Query) -> Filter {
    let some = |key: &str| Some(query.text(key)).filter(|text| !text.is_empty());
    Filter {
        only: some(ONLY).and_then(OnlyThese::from_word),
        house: some("house").map(PartyId::new),
        stage: some("stage").and_then(Stage::from_word),
        technician: some("technician").map(AccountId::new),
        week: some("week").and_then(|day| parse_date(day).ok()),
        closed: query.text("closed") == "1",
        list: some("list").and_then(AgendaList::from_word),
        page: query.text("page").parse().unwrap_or(0).clamp(0, 100_000),
    }
}

/// The query of such a page; empty for the whole agenda.
fn query_of(filter: &Filter) -> String {
    let mut parts = Vec::new();
    let mut add = |key: &str, text: String| {
        if !text.is_empty() {
            let text = utf8_percent_encode(&text, NON_ALPHANUMERIC);
            parts.push(format!("{key}={text}"));
        }
    };
    add(
        ONLY,
        filter
            .only
            .map(OnlyThese::word)
            .unwrap_or_default()
            .to_owned(),
    );
    let house = filter.house.as_ref().map(|house| house.as_str().to_owned());
    add("house", house.unwrap_or_default());
    add(
        "stage",
        filter.stage.map(Stage::word).unwrap_or_default().to_owned(),
    );
    let technician = filter.technician.as_ref();
    let technician = technician.map(|one| one.as_str().to_owned());
    add("technician", technician.unwrap_or_default());
    add("week", filter.week.map(show_date).unwrap_or_default());
    add("closed", if filter.closed { "1" } else { "" }.to_owned());
    add(
        "list",
        filter
            .list
            .map(AgendaList::word)
            .unwrap_or_default()
            .to_owned(),
    );
    let page = if filter.page > 0 {
        filter.page.to_string()
    } else {
        String::new()
    };
    add("page", page);
    parts.join("&")
}

/// The address of such a page.
pub fn address(filter: &Filter) -> String {
    match query_of(filter).as_str() {
        "" => "/".to_owned(),
        query => format!("/?{query}"),
    }
}

/// Something that can be chosen.
pub struct NarrowingChoice {
    pub value: String,
    pub label: String,
    pub chosen: bool,
}

/// The choices of a select, the one that leaves everything first.
pub fn choices(
    all: &str,
    chosen: &str,
    of: impl Iterator<Item = (String, String)>,
) -> Vec<NarrowingChoice> {
    let none = (String::new(), all.to_owned());
    let choice = |(value, label): (String, String)| NarrowingChoice {
        chosen: value == chosen,
        value,
        label,
    };
    std::iter::once(none).chain(of).map(choice).collect()
}

/// This week and those after it.
pub fn weeks(today: Date, chosen: &str) -> Vec<NarrowingChoice> {
    let monday = today - Duration::days(i64::from(today.weekday().number_days_from_monday()));
    let week = |count: i64| {
        let begins = monday.saturating_add(Duration::weeks(count));
        let label = match count {
            0 => "This week".to_owned(),
            1 => "Next week".to_owned(),
            _ => format!("From {}", day_in_words(begins, today)),
        };
        (show_date(begins), label)
    };
    choices("Week: all", chosen, (0..WEEKS).map(week))
}

/// The technicians of a lab, oneself the first; nothing for an office.
pub fn technicians(person: &Person, people: &BenchPeople, filter: &Filter) -> Vec<NarrowingChoice> {
    let own = &person.account.id;
    let mut all: Vec<(String, String)> = Vec::new();
    for (id, name) in people.all() {
        let entry = |name: &str| (id.as_str().to_owned(), name.to_owned());
        match id == own {
            true => all.insert(0, entry("Mine")),
            false => all.push(entry(name)),
        }
    }
    if all.is_empty() {
        return Vec::new();
    }
    let chosen = filter.technician.as_ref().map_or("", AccountId::as_str);
    choices("Technician: all", chosen, all.into_iter())
}
