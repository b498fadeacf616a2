//! The work of a lab by technician: what waits for the lab or is held there, the earliest due first.

use super::agenda::{AgendaLine, AgendaReader, BenchPeople, answered_words, side};
use super::doubted::{self, not_to_go_by};
use super::recorded::reference::held_houses;
use super::whose_case::keep_own;
use super::{App, AppError, Person, counted as counted_rows};
use crate::domain::custody::agenda::WhoseTurn;
use crate::domain::custody::case::{Case, Place, Step};
use crate::domain::custody::{Workload, workload};
use crate::domain::people::party::{Side, short_name};
use crate::domain::values::ids::AccountId;
use crate::domain::values::words::counted;
use crate::store::agenda::{self as lists, Part, ReadCases, Sought};
use crate::store::bench_timers::unreadable_timers;
use std::collections::BTreeMap;
use time::Date;

/// Cases on the list at most.
const LINES_MOST: usize = 200;

/// One case on the list.
#[derive(Debug, Clone)]
pub struct BenchCase {
    pub line: AgendaLine,
    pub pan: String,
    /// Steps that are still to be done.
    pub open: i64,
    /// The first of them; before it that the revision is acknowledged, or what is back from a second laboratory; empty where
    /// neither is.
    pub next: String,
    /// Why it is held, and that listed things have not come; empty where neither is so.
    pub lacks: String,
    /// That the office has answered what the lab had asked; empty where it has not, or the lab has gone on since.
    pub answered: String,
}

/// The cases of one technician.
#[derive(Debug, Clone)]
pub struct BenchGroup {
    /// Empty for what is nobody's yet.
    pub name: String,
    /// Whether it is whoever asks.
    pub is_own: bool,
    /// Steps that are still to be done in all of them.
    pub open: i64,
    pub cases: Vec<BenchCase>,
}

/// The list of a lab.
#[derive(Debug, Clone)]
pub struct BenchList {
    /// One's own cases first, and what is nobody's last.
    pub groups: Vec<BenchGroup>,
    /// Whether there are more cases than it shows.
    pub more: bool,
    /// What is said of those that cannot be read; empty for most.
    pub unreadable: String,
}

/// What is to be done next at the bench: nothing before the revision is acknowledged, nor on what is not here.
fn next_words(case: &Case, today: Date) -> String {
    if case.asks(Step::Acknowledge) {
        return format!("Acknowledge revision {} first", case.revision);
    }
    if let Some(away) = case.agenda.bench.away {
        return away.words(today);
    }
    let next = case.agenda.bench.next;
    next.map_or_else(String::new, |next| next.to_do().to_owned())
}

/// Whether a case stands on the list: of what waits for somebody else, what is here and held.
fn is_listed(case: &Case) -> bool {
    let is_here = !case.agenda.bench.pan.is_empty()
        || case.place == Place::Lab
        || case.also == Some(Place::Lab);
    case.agenda.lab.turn != WhoseTurn::HeldByOthers || is_here
}

/// The cases that wait for the lab, and those that are here and held.
pub async fn list(app: &App, person: &Person) -> Result<BenchList, AppError> {
    if side(person)? != Side::Lab {
        return Err(AppError::NotFound);
    }
    let today = person.moment(app.outside.now_ms()).date();
    let (people, party) = (BenchPeople::of(app, person).await?, person.party_id());
    let mut conn = app.store.read_at_once().await?;
    let mut found = ReadCases::default();
    for turn in WhoseTurn::WAITS
        .into_iter()
        .chain([WhoseTurn::HeldByOthers])
    {
        let asked = Sought::open(Side::Lab, party, turn);
        let part = Part {
            limit: i64::try_from(LINES_MOST + 1).unwrap_or(i64::MAX),
            offset: 0,
        };
        found.append(lists::listed(&mut conn, asked, part).await?);
    }
    let houses = held_houses(app, &mut conn, (Side::Lab, party)).await?;
    let timers = unreadable_timers(&mut conn, party).await?;
    drop(conn);
    let houses: BTreeMap<_, _> = houses.into_iter().collect();
    let mut cases = found.cases;
    cases.retain(is_listed);
    keep_own(app, party, &mut cases).await?;
    // A patient without teeth goes before every day; nothing is late that has no day.
    cases.sort_by_key(|case: &Case| {
        let day = case.agenda.lab.day;
        let is_urgent = case.agenda.lab.turn == WhoseTurn::Toothless;
        (!is_urgent, day.is_none(), day, case.number.clone())
    });
    let is_cut = cases.len() > LINES_MOST;
    cases.truncate(LINES_MOST);
    let rows: Vec<&Case> = cases.iter().collect();
    let mut doubted = doubted::among_rows(app, person, &rows, doubted::HELD_AT_ONCE).await?;
    doubted.append(&mut doubted::closed_by_row(app, person).await?);
    doubted.append(&mut doubted::open_elsewhere(app, person, &WhoseTurn::WAITS).await?);
    counted_rows::look_for_cases(app, (Side::Lab, party)).await?;
    let unreadable = not_to_go_by(app, party, &found.unreadable, &doubted);
    let words = [unreadable, unread_timers(timers)].join(" ");
    let unreadable = words.trim().to_owned();
    let reader = AgendaReader {
        person,
        side: Side::Lab,
        people: &people,
        today,
    };
    let mut groups: BTreeMap<(u8, String), BenchGroup> = BTreeMap::new();
    for case in &cases {
        let bench = &case.agenda.bench;
        let (place, name) = whose(person, &people, bench.technician.as_ref());
        let group = groups.entry((place, name.clone()));
        let group = group.or_insert_with(|| BenchGroup {
            name,
            is_own: place == 0,
            open: 0,
            cases: Vec::new(),
        });
        let house = houses.get(&case.office).map_or("", |name| short_name(name));
        group.open += bench.open;
        group.cases.push(BenchCase {
            line: AgendaLine::of(case, reader, house),
            pan: bench.pan.clone(),
            open: bench.open,
            next: next_words(case, today),
            lacks: case.lacks_shown(),
            answered: answered_words(case.agenda.lab, person, today).unwrap_or_default(),
        });
    }
    Ok(BenchList {
        groups: groups.into_values().collect(),
        more: is_cut,
        unreadable,
    })
}

/// What is said of timers that run and cannot be read; empty for most.
fn unread_timers(many: usize) -> String {
    match many {
        0 => String::new(),
        many => format!(
            "{} cannot be read: whoever started it looks at the clock. Tell your administrator: the log says more.",
            counted(many, "running timer")
        ),
    }
}

/// What waits for one technician.
#[derive(Debug, Clone)]
pub struct LoadLine {
    /// Empty for what is nobody's yet.
    pub name: String,
    /// None for what is nobody's.
    pub technician: Option<AccountId>,
    pub load: Workload,
}

/// What waits for each technician, one's own first and what is nobody's last: all cases, however many.
pub async fn loads(app: &App, person: &Person) -> Result<Vec<LoadLine>, AppError> {
    let today = person.moment(app.outside.now_ms()).date();
    let people = BenchPeople::of(app, person).await?;
    let mut conn = app.store.read().await?;
    let mut rows = Vec::new();
    for turn in WhoseTurn::WAITS {
        rows.extend(lists::by_technician(&mut conn, person.party_id(), turn).await?);
    }
    let mut lines: Vec<((u8, String), LoadLine)> = Vec::new();
    for (technician, load) in workload(&rows, today) {
        let (place, name) = whose(person, &people, technician.as_ref());
        let line = LoadLine {
            name: name.clone(),
            technician,
            load,
        };
        lines.push(((place, name), line));
    }
    lines.sort_by(|(one, _), (other, _)| one.cmp(other));
    Ok(lines.into_iter().map(|(_, line)| line).collect())
}

/// In which place a technician's group stands, and its name.
fn whose(person: &Person, people: &BenchPeople, id: Option<&AccountId>) -> (u8, String) {
    match id {
        Some(id) if *id == person.account.id => (0, people.name(id).to_owned()),
        Some(id) => (1, people.name(id).to_owned()),
        None => (2, String::new()),
    }
}
