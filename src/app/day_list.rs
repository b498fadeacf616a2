//! What is to be done today, or in the next seven days, as a paper.

use super::agenda::{AgendaLine, AgendaReader, BenchPeople, Urgency, side};
use super::doubted::{self, not_to_go_by};
use super::health::refuse_if_forked;
use super::recorded::reference::{held_houses, hold};
use super::whose_case::keep_own;
use super::{App, AppError, Person, counted, record_mark};
use crate::domain::custody::agenda::WhoseTurn;
use crate::domain::custody::case::Case;
use crate::domain::people::access::Permission;
use crate::domain::people::party::{Paper, short_name};
use crate::domain::values::ids::AccountId;
use crate::domain::values::moment::{day_in_words, whole_day};
use crate::papers::day_list::{DayGroup, DayList, DayRow, lay_out};
use crate::papers::{LANGUAGE, Meta, write};
use crate::store::Connection;
use crate::store::agenda::{self as lists, Part, ReadCases, Sought};
use crate::store::reference::ReferenceData;
use std::collections::BTreeMap;
use time::{Date, Duration};

/// Lines on a list at most: some twenty pages.
const LINES_MOST: usize = 400;

/// Cases that stand on one paper and are held for it for the first time in the state they are in: each costs as much as the page of its case.
const HELD_MOST: usize = 100;

/// Of those that do not stand on it so many, and the others with the next papers.
const HELD_ELSEWHERE: usize = 40;

/// Where a case is listed that is to stand on a paper by its entries, and is not by its row: with no day, with another, as
/// somebody else's, or as closed, although it waits for somebody.
fn elsewhere() -> impl Iterator<Item = (WhoseTurn, bool)> {
    let is_possible = |(turn, closed): &(WhoseTurn, bool)| !*closed || *turn != WhoseTurn::Others;
    let all = WhoseTurn::ALL.iter();
    let all = all.flat_map(|turn| [(*turn, false), (*turn, true)]);
    all.filter(is_possible)
}

/// For which days a list is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ListDays {
    Today,
    Week,
}

/// The paper as PDF, on the house's own sheets or on those that are asked for.
pub async fn day_list_pdf(
    app: &App,
    person: &Person,
    (span, technician): (ListDays, Option<&AccountId>),
    paper: Option<Paper>,
) -> Result<Vec<u8>, AppError> {
    refuse_if_forked(app).await?;
    let mut conn = app.store.read_at_once().await?;
    let _held = hold(app, &mut conn, ReferenceData::Party, person.party_id()).await?;
    drop(conn);
    let now = person.moment(app.outside.now_ms());
    let today = now.date();
    let people = BenchPeople::of(app, person).await?;
    let technician = technician.filter(|_| person.may(Permission::WorkAtBench));
    let name = technician.map_or("", |id| people.name(id));
    let (groups, more, newest) = groups(app, (person, &people), (span, technician), today).await?;
    let day = format!("{} {}", day_in_words(today, today), today.year());
    let list = DayList {
        paper: paper.unwrap_or(person.paper()),
        title: match (span, name) {
            (ListDays::Today, "") => format!("To do today, {day}"),
            (ListDays::Today, name) => format!("{name}: to do today, {day}"),
            (ListDays::Week, "") => format!("To do in seven days, from {day}"),
            (ListDays::Week, name) => format!("{name}: to do in seven days, from {day}"),
        },
        house: (person.party.as_ref()).map_or_else(String::new, |party| party.name.clone()),
        // To the day: whoever prints it again before anything has happened gets the same paper.
        as_of: format!("As it stood on {}", whole_day(today)),
        groups,
        more,
        record: record_mark::now(app).await?,
    };
    let meta = Meta {
        title: list.title.clone(),
        author: list.house.clone(),
        created: person.moment(newest),
        language: Some(LANGUAGE),
    };
    write(&lay_out(&list), &meta).map_err(|error| AppError::Inner(error.to_string()))
}

/// The rows of one paper, as the lists have them.
struct ListedRows {
    mine: ReadCases,
    /// On its way here.
    coming: ReadCases,
    /// Listed elsewhere, of which some may be to stand on the paper.
    open: ReadCases,
}

async fn listed_rows(
    conn: &mut Connection,
    whole: Sought<'_>,
    (span, today): (ListDays, Date),
) -> Result<ListedRows, AppError> {
    let ends = today.saturating_add(Duration::days(match span {
        ListDays::Today => 1,
        ListDays::Week => 8,
    }));
    let part = Part {
        limit: i64::try_from(LINES_MOST + 1).unwrap_or(i64::MAX),
        offset: 0,
    };
    let mut mine = ReadCases::default();
    // Whoever has no teeth, or stands still, or asks, waits whenever the work is due.
    for turn in [WhoseTurn::Toothless, WhoseTurn::Held, WhoseTurn::Asked] {
        let asked = Sought { turn, ..whole };
        mine.append(lists::listed(conn, asked, part).await?);
    }
    let bounded = |turn| Sought {
        turn,
        before: Some(ends),
        ..whole
    };
    // A check after the fit is somebody's from its day on; until then it stands among the days that come.
    let tomorrow = Some(today.saturating_add(Duration::days(1)));
    let due = Sought {
        before: tomorrow,
        ..bounded(WhoseTurn::Check)
    };
    mine.append(lists::listed(conn, due, part).await?);
    mine.append(lists::listed(conn, bounded(WhoseTurn::Yours), part).await?);
    if span == ListDays::Week {
        let later = Sought {
            from: tomorrow,
            ..bounded(WhoseTurn::Check)
        };
        mine.append(lists::listed(conn, later, part).await?);
        let without_day = Sought {
            turn: WhoseTurn::Yours,
            from: Date::from_calendar_date(9999, time::Month::December, 31).ok(),
            ..whole
        };
        mine.append(lists::listed(conn, without_day, part).await?);
    }
    let coming = lists::listed(conn, bounded(WhoseTurn::Coming), part).await?;
    let mut open = ReadCases::default();
    for (turn, closed) in elsewhere() {
        let asked = Sought {
            turn,
            closed,
            ..whole
        };
        open.append(lists::listed(conn, asked, part).await?);
    }
    Ok(ListedRows { mine, coming, open })
}

async fn groups(
    app: &App,
    (person, people): (&Person, &BenchPeople),
    (span, technician): (ListDays, Option<&AccountId>),
    today: Date,
) -> Result<(Vec<DayGroup>, String, i64), AppError> {
    let (side, party) = (side(person)?, person.party_id());
    let whole = Sought {
        technician,
        ..Sought::open(side, party, WhoseTurn::Toothless)
    };
    let mut conn = app.store.read_at_once().await?;
    let ListedRows { mine, coming, open } = listed_rows(&mut conn, whole, (span, today)).await?;
    let houses: BTreeMap<_, _> = held_houses(app, &mut conn, (side, party))
        .await?
        .into_iter()
        .collect();
    drop(conn);
    let mut unreadable = mine.unreadable;
    unreadable.extend(coming.unreadable);
    let (mut mine, mut coming, mut open) = (mine.cases, coming.cases, open.cases);
    for cases in [&mut mine, &mut coming] {
        keep_own(app, party, cases).await?;
    }
    // Somebody goes by a paper all day: it names no day that the entries do not say, and leaves nothing out in silence.
    let rows: Vec<&Case> = mine.iter().chain(&coming).collect();
    let mut doubted = doubted::among_rows(app, person, &rows, HELD_MOST).await?;
    let rows: Vec<&Case> = open.iter().collect();
    let elsewhere = doubted::among_rows(app, person, &rows, HELD_ELSEWHERE).await?;
    open.retain(|case| elsewhere.contains(&case.number));
    keep_own(app, party, &mut open).await?;
    doubted.extend(open.into_iter().map(|case| case.number));
    mine.retain(|case| !doubted.contains(&case.number));
    coming.retain(|case| !doubted.contains(&case.number));
    let newest = mine.iter().chain(&coming).map(|case| case.changed_ms).max();
    let newest = newest.unwrap_or_default();
    let is_cut = mine.len() + coming.len() > LINES_MOST;
    let line = |case: &Case| {
        let other = if case.office == *party {
            &case.lab
        } else {
            &case.office
        };
        let house = houses.get(other).map_or("", |name| short_name(name));
        let reader = AgendaReader {
            person,
            side,
            people,
            today,
        };
        AgendaLine::of(case, reader, house)
    };
    let mut groups = by_urgency(mine.iter().take(LINES_MOST).map(line));
    let left = LINES_MOST.saturating_sub(mine.len());
    let coming: Vec<DayRow> = coming
        .iter()
        .take(left)
        .map(|case| row(&line(case)))
        .collect();
    if !coming.is_empty() {
        groups.push(DayGroup {
            heading: "On its way here".to_owned(),
            rows: coming,
        });
    }
    // The newest change dates the paper, so that the same lines give the same file.
    counted::look_for_cases(app, (side, party)).await?;
    let unsaid = not_to_go_by(app, party, &unreadable, &doubted);
    Ok((groups, more(is_cut, unsaid), newest))
}

/// Lines that follow each other in one urgency, under its heading.
fn by_urgency(lines: impl Iterator<Item = AgendaLine>) -> Vec<DayGroup> {
    let mut groups: Vec<(Urgency, DayGroup)> = Vec::new();
    // A check that is due stands under its heading, wherever the list has read its case.
    let mut lines: Vec<AgendaLine> = lines.collect();
    lines.sort_by_key(|one| one.urgency);
    for line in lines {
        let row = row(&line);
        match groups.last_mut().filter(|(last, _)| *last == line.urgency) {
            Some((_, group)) => group.rows.push(row),
            None => groups.push((
                line.urgency,
                DayGroup {
                    heading: line.urgency.shown().to_owned(),
                    rows: vec![row],
                },
            )),
        }
    }
    groups.into_iter().map(|(_, group)| group).collect()
}

/// What does not stand on the list, in words; empty for most.
fn more(is_cut: bool, unsaid: String) -> String {
    let cut = match is_cut {
        true => format!("There is more than these {LINES_MOST} lines: see the first page."),
        false => String::new(),
    };
    let mut words = vec![cut, unsaid];
    words.retain(|one| !one.is_empty());
    words.join(" ")
}

fn row(line: &AgendaLine) -> DayRow {
    let due = match line.is_held {
        true => format!("{}\n{}\nHELD", line.day, line.off),
        false => format!("{}\n{}", line.day, line.off),
    };
    let more = line.more.iter().map(|words| format!(". {words}"));
    DayRow {
        due: due.trim().to_owned(),
        number: line.number.to_string(),
        bench: line.bench.clone(),
        to_do: std::iter::once(line.to_do.clone()).chain(more).collect(),
        house: line.house.clone(),
        work: line.work.clone(),
        things: line.things.clone(),
    }
}
