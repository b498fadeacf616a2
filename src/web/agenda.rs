//! The first page of an office or a lab: an agenda, narrowed down by links and one small form.

use super::changes::NewsLine;
use super::error::WebError;
use super::extract::Query;
use super::frame::Frame;
use super::narrowing::{NarrowingChoice, address, choices, filter, technicians, weeks};
use crate::app::agenda::{
    self, Agenda, AgendaLine, AgendaList, AgendaReader, BenchPeople, Filter, Lines, OnlyThese,
    Urgency,
};
use crate::app::find::FoundCases;
use crate::app::passed_count::{self, PassedNow};
use crate::app::patient_wears::Contradicting;
use crate::app::{App, AppError, Person, doubted, in_house};
use crate::domain::custody::case::Case;
use crate::domain::people::party::Side;
use crate::domain::prescription::Stage;
use crate::domain::values::ids::{AccountId, CaseNumber, PartyId};
use crate::domain::values::moment::{day_in_words, show_date};
use askama::Template;
use std::collections::{BTreeMap, BTreeSet};
use time::Date;

/// A line with the address of its case.
pub struct AgendaLineView {
    pub path: String,
    pub line: AgendaLine,
}

/// Lines under one heading.
pub struct Group {
    /// Empty where the lines need none.
    pub heading: &'static str,
    pub lines: Vec<AgendaLineView>,
}

/// One list of the page.
#[derive(Template)]
#[template(path = "partials/agenda_list.html")]
pub struct ListView {
    pub word: &'static str,
    pub title: &'static str,
    pub count: String,
    pub hint: &'static str,
    pub groups: Vec<Group>,
    /// Said where there is no line.
    pub nothing: &'static str,
    /// Address and words of what there is beyond.
    pub more: Option<(String, &'static str)>,
    pub before: Option<String>,
}

/// The agenda.
#[derive(Template)]
#[template(path = "home.html")]
pub struct AgendaPage {
    pub frame: Frame,
    /// Whose page it is: what lies unsaved in the browser is nobody else's.
    pub reader: AccountId,
    pub today: String,
    pub lists: Vec<ListView>,
    pub late: String,
    pub held: String,
    pub ended: String,
    /// The word of what alone is shown; empty where all is.
    pub only: &'static str,
    pub only_late: bool,
    pub only_held: bool,
    pub closed: bool,
    pub is_narrowed: bool,
    pub houses: Vec<NarrowingChoice>,
    pub stages: Vec<NarrowingChoice>,
    pub weeks: Vec<NarrowingChoice>,
    /// Empty for an office.
    pub technicians: Vec<NarrowingChoice>,
    pub is_office: bool,
    pub is_newcomer: bool,
    pub news: NewsLine,
    pub may_prepare: bool,
    /// Work of other laboratories that is passed on to this one.
    pub passed: i64,
    /// Its questions about them that were answered, in words; empty where none was since it entered something last.
    pub passed_answers: String,
    /// What is said of such work that is not counted; empty for most.
    pub passed_unread: String,
    /// Of a lab: how many cases there are whose casts were kept until a day that has passed, in words; empty where none is.
    pub casts: String,
    /// What is said of cases that cannot be read; empty for most.
    pub unreadable: String,
    /// Of an office: cases of one patient that contradict each other; empty for most.
    pub contradicting: Vec<Contradicting>,
}

/// Lines of these cases, as they come.
fn lines(
    cases: &[Case],
    reader: AgendaReader<'_>,
    names: &BTreeMap<&PartyId, &str>,
) -> Vec<AgendaLineView> {
    let view = |case: &Case| {
        let other = match reader.side {
            Side::Office => &case.lab,
            Side::Lab => &case.office,
        };
        let house = names.get(other).copied().unwrap_or_default();
        AgendaLineView {
            path: format!("/cases/{}", case.number.as_str()),
            line: AgendaLine::of(case, reader, house),
        }
    };
    cases.iter().map(view).collect()
}

/// In one list of urgency each kind under its heading; elsewhere all together.
fn groups(mut lines: Vec<AgendaLineView>, by_urgency: bool) -> Vec<Group> {
    if !by_urgency {
        return vec![Group { heading: "", lines }];
    }
    let mut groups: Vec<(Urgency, Group)> = Vec::new();
    // A check that is due stands under its heading, wherever the list has read its case.
    lines.sort_by_key(|one| one.line.urgency);
    for line in lines {
        let urgency = line.line.urgency;
        match groups.last_mut().filter(|(last, _)| *last == urgency) {
            Some((_, group)) => group.lines.push(line),
            None => {
                let group = Group {
                    heading: urgency.shown(),
                    lines: vec![line],
                };
                groups.push((urgency, group));
            }
        }
    }
    // Within a heading: what a lab's work waits for, the oldest first; all else by its day.
    for (_, group) in &mut groups {
        let lines = &mut group.lines;
        lines.sort_by_key(|one| one.line.waits_since_ms.unwrap_or(i64::MAX));
    }
    groups.into_iter().map(|(_, group)| group).collect()
}

/// What a list says of itself, and what it says where it is empty.
fn list_words(list: AgendaList, side: Side) -> (&'static str, &'static str) {
    match (list, side) {
        (AgendaList::You, _) => (
            "most urgent first",
            "Nothing waits for you. What your side has to do stands here, the most urgent first.",
        ),
        (AgendaList::Coming, _) => (
            "check it in when it comes",
            "No parcel is on its way. What the other side has sent stands here until you check it in.",
        ),
        (AgendaList::Others, Side::Office) => (
            "",
            "No case waits for a lab. Cases that the lab works on, and what the patient wears, stand here.",
        ),
        (AgendaList::Others, Side::Lab) => (
            "",
            "No case waits for an office. Cases of which the office has the next step stand here.",
        ),
    }
}

fn list_view(shown: &Shown<'_>, list: AgendaList, found: &Lines) -> ListView {
    let (hint, nothing) = list_words(list, shown.reader.side);
    let here = shown.filter;
    let is_alone = here.list == Some(list);
    let to = |page: i64| {
        address(&Filter {
            list: Some(list),
            page,
            ..here.clone()
        })
    };
    let more = match (found.more, is_alone) {
        (false, _) => None,
        (true, true) => Some((to(here.page + 1), "The next ones")),
        (true, false) => Some((to(0), "Show all")),
    };
    ListView {
        word: list.word(),
        title: list.shown(),
        count: found.count_words(),
        hint,
        groups: groups(shown.lines(&found.cases), list == AgendaList::You),
        nothing: match *here == Filter::default() {
            true => nothing,
            false => "Nothing of this kind.",
        },
        more,
        before: (is_alone && here.page > 0).then(|| to(here.page - 1)),
    }
}

fn closed_view(shown: &Shown<'_>, found: &Lines) -> ListView {
    let to = |page: i64| {
        address(&Filter {
            page,
            ..shown.filter.clone()
        })
    };
    let page = shown.filter.page;
    ListView {
        word: "closed",
        title: "Closed",
        count: found.count_words(),
        hint: "the latest due first",
        groups: groups(shown.lines(&found.cases), false),
        nothing: "No case is closed.",
        more: found.more.then(|| (to(page + 1), "Earlier ones")),
        before: (page > 0).then(|| to(page - 1)),
    }
}

/// What lines are made of.
struct Shown<'a> {
    reader: AgendaReader<'a>,
    filter: &'a Filter,
    names: &'a BTreeMap<&'a PartyId, &'a str>,
}

impl Shown<'_> {
    fn lines(&self, cases: &[Case]) -> Vec<AgendaLineView> {
        lines(cases, self.reader, self.names)
    }
}

/// Says first in its line that a case is not as the record says.
fn say_doubted(lists: &mut [ListView], cases: &BTreeSet<CaseNumber>) {
    let groups = lists.iter_mut().flat_map(|list| &mut list.groups);
    let lines = groups.flat_map(|group| &mut group.lines);
    for line in lines.map(|one| &mut one.line) {
        if cases.contains(&line.number) {
            line.more.insert(0, doubted::DOUBTED.to_owned());
        }
    }
}

/// That questions to another laboratory were answered.
fn answers_words(count: i64) -> String {
    match count {
        0 => String::new(),
        1 => ", 1 new answer".to_owned(),
        many => format!(", {many} new answers"),
    }
}

/// The page as this person sees it now.
pub async fn page_of(app: &App, person: &Person, query: &Query) -> Result<AgendaPage, WebError> {
    let filter = filter(query);
    let (side, today) = (
        agenda::side(person)?,
        person.moment(app.outside.now_ms()).date(),
    );
    let found = agenda::agenda(app, person, &filter, today).await?;
    let names = found.names();
    let people = BenchPeople::of(app, person).await?;
    let shown = Shown {
        reader: AgendaReader {
            person,
            side,
            people: &people,
            today,
        },
        filter: &filter,
        names: &names,
    };
    let mut lists: Vec<ListView> = (found.lists.iter())
        .map(|(list, lines)| list_view(&shown, *list, lines))
        .collect();
    lists.extend(found.closed.iter().map(|lines| closed_view(&shown, lines)));
    say_doubted(&mut lists, &doubted::among(app, person, &found).await?);
    let mut page = view(app, person, &found, &filter, today);
    let missing = doubted::missing_words(app, person).await?;
    let technicians = technicians(person, &people, &filter);
    let casts = in_house::casts_at_first(app, person, today).await?;
    let mut unreadable = vec![page.unreadable, missing, casts.unread_words()];
    unreadable.retain(|words| !words.is_empty());
    page.unreadable = unreadable.join(" ");
    let passed = match side {
        Side::Lab => passed_count::count(app, person).await?,
        Side::Office => PassedNow::default(),
    };
    Ok(AgendaPage {
        casts: match casts.over.is_empty() {
            true => String::new(),
            false => casts.words(),
        },
        lists,
        technicians,
        passed: passed.open,
        passed_answers: answers_words(passed.new_answers),
        passed_unread: passed.unread_words(),
        ..page
    })
}

fn view(app: &App, person: &Person, found: &Agenda, filter: &Filter, today: Date) -> AgendaPage {
    let (late, held, ended) = found.counts();
    let is_office = agenda::side(person).is_ok_and(|side| side == Side::Office);
    let house = filter.house.as_ref().map_or("", PartyId::as_str);
    let houses = found.houses.iter();
    let houses = houses.map(|(id, name)| (id.as_str().to_owned(), name.clone()));
    let stages = Stage::CHOICES.iter();
    let stages = stages.map(|(word, shown)| ((*word).to_owned(), (*shown).to_owned()));
    let week = filter.week.map(show_date).unwrap_or_default();
    let whole = day_in_words(today, today);
    AgendaPage {
        frame: Frame::new(app, person, "Cases", "/"),
        reader: person.account.id.clone(),
        today: format!("{whole} {}", today.year()),
        lists: Vec::new(),
        late,
        held,
        ended,
        only: filter.only.map(OnlyThese::word).unwrap_or_default(),
        only_late: filter.only == Some(OnlyThese::Late),
        only_held: filter.only == Some(OnlyThese::Held),
        closed: filter.closed,
        is_narrowed: *filter != Filter::default(),
        houses: choices(
            if is_office { "Lab: all" } else { "Office: all" },
            house,
            houses,
        ),
        stages: choices(
            "Stage: all",
            filter.stage.map(Stage::word).unwrap_or_default(),
            stages,
        ),
        weeks: weeks(today, &week),
        technicians: Vec::new(),
        passed: 0,
        passed_answers: String::new(),
        passed_unread: String::new(),
        is_office,
        news: NewsLine {
            watch: "/changes".to_owned(),
            mark: person.changes,
        },
        is_newcomer: found.is_of_a_newcomer(),
        may_prepare: person.may(crate::domain::people::access::Permission::PrepareCases),
        casts: String::new(),
        unreadable: agenda::unreadable_words(&found.unreadable),
        contradicting: found.contradicting.clone(),
    }
}

/// What a search has found, as one list.
pub async fn found_list(
    app: &App,
    person: &Person,
    found: &FoundCases,
) -> Result<ListView, AppError> {
    let (side, today) = (
        agenda::side(person)?,
        person.moment(app.outside.now_ms()).date(),
    );
    let all = agenda::agenda(app, person, &Filter::default(), today).await?;
    let names = all.names();
    let people = BenchPeople::of(app, person).await?;
    let reader = AgendaReader {
        person,
        side,
        people: &people,
        today,
    };
    Ok(ListView {
        word: "found",
        title: "Found",
        count: match found.more {
            true => format!("{}+", found.cases.len()),
            false => found.cases.len().to_string(),
        },
        hint: match found.more {
            true => "open cases first; there are more: type another word to narrow it down",
            false => "open cases first",
        },
        groups: groups(lines(&found.cases, reader, &names), false),
        nothing: "There is no such case.",
        more: None,
        before: None,
    })
}
