//! What an agenda can be narrowed down by, as lists to choose from.

use crate::app::Person;
use crate::app::agenda::{BenchPeople, Filter};
use crate::domain::values::ids::AccountId;
use crate::domain::values::moment::{day_in_words, show_date};
use time::{Date, Duration};

/// Weeks that can be chosen, this one the first.
const WEEKS: i64 = 6;

/// Something that can be chosen.
pub struct Choice {
    pub value: String,
    pub label: String,
    pub chosen: bool,
}

/// The choices of a select, the one that leaves everything first.
pub fn choices(all: &str, chosen: &str, of: impl Iterator<Item = (String, String)>) -> Vec<Choice> {
    let none = (String::new(), all.to_owned());
    let choice = |(value, label): (String, String)| Choice {
        chosen: value == chosen,
        value,
        label,
    };
    std::iter::once(none).chain(of).map(choice).collect()
}

/// This week and those after it.
pub fn weeks(today: Date, chosen: &str) -> Vec<Choice> {
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
pub fn technicians(person: &Person, people: &BenchPeople, filter: &Filter) -> Vec<Choice> {
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
