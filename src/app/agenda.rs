//! The first page: what waits for one's own house, what is on its way to it, and what waits for others.

use super::patient_wears::{Contradicting, contradicting};
use super::recorded::reference::{UNPROVED_NAME, held_houses, people_of};
use super::whose_case::keep_own;
use super::{App, AppError, Person};
use crate::domain::custody::agenda::{AskedFirst, OnAgenda, OnBench, WhoseTurn};
use crate::domain::custody::case::{Case, Step};
use crate::domain::custody::held::HoldReason;
use crate::domain::custody::to_do::ToDo;
use crate::domain::people::account::Account;
use crate::domain::people::party::{Side, short_name};
use crate::domain::prescription::Stage;
use crate::domain::values::ids::{AccountId, CaseNumber, PartyId};
use crate::domain::values::moment::{Moment, day_in_words, days_off, since};
use crate::domain::values::words::{counted, lowered};
use crate::domain::values::words_of;
use crate::store::agenda::{self as lists, Part, ReadCases, Sought};
use crate::store::{Connection, StoreError};
use std::collections::BTreeMap;
use std::sync::Arc;
use time::{Date, Duration};

/// Lines of one list on the first page; of what waits for others fewer, since nobody here has to do anything.
const SHOWN: i64 = 40;
/// What waits for others folds after so many.
const OTHERS_SHOWN: i64 = 8;
/// Lines on one page of a list on its own.
const LIST_SHOWN: i64 = 50;
/// A count stops here and reads "100+".
const COUNT_MOST: i64 = 101;

words_of! {
    /// One of the lists, as a page of its own.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub enum AgendaList {
        You = "For you",
        Coming = "On its way to you",
        Others = "Waiting for others",
    }
}

impl AgendaList {
    /// In this order: what stands still comes first.
    fn turns(self) -> &'static [WhoseTurn] {
        use WhoseTurn::{Asked, Check, Coming, Held, HeldByOthers, Others, Toothless, Yours};
        match self {
            AgendaList::You => &[Toothless, Held, Asked, Check, Yours],
            AgendaList::Coming => &[Coming],
            AgendaList::Others => &[HeldByOthers, Others, Check],
        }
    }

    /// What of these cases stands in this list on a day: a check after the fit is somebody's own from its day on.
    fn of_turn(self, asked: Sought<'_>, today: Date) -> Sought<'_> {
        let tomorrow = Some(today.saturating_add(Duration::days(1)));
        match (asked.turn, self) {
            (WhoseTurn::Check, AgendaList::Others) => Sought {
                from: asked.from.max(tomorrow),
                ..asked
            },
            (WhoseTurn::Check, _) => Sought {
                before: asked.before.into_iter().chain(tomorrow).min(),
                ..asked
            },
            _ => asked,
        }
    }
}

words_of! {
    /// What alone is wanted.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub enum OnlyThese {
        Late = "Late",
        Held = "Held",
    }
}

/// What an agenda is narrowed down to.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Filter {
    pub only: Option<OnlyThese>,
    pub house: Option<PartyId>,
    pub stage: Option<Stage>,
    /// Of a lab: whose cases.
    pub technician: Option<AccountId>,
    /// The Monday of a week.
    pub week: Option<Date>,
    pub closed: bool,
    pub list: Option<AgendaList>,
    /// Counted from 0.
    pub page: i64,
}

/// Lines of one list.
#[derive(Debug, Clone, Default)]
pub struct Lines {
    pub cases: Vec<Case>,
    /// Up to [`COUNT_MOST`].
    count: i64,
    /// Whether there are more than are shown.
    pub more: bool,
    /// The numbers of cases whose rows cannot be read.
    unreadable: Vec<String>,
}

impl Lines {
    /// How many there are, as far as they are counted.
    pub fn count_words(&self) -> String {
        count_words(self.count)
    }
}

fn count_words(count: i64) -> String {
    match count >= COUNT_MOST {
        true => format!("{}+", COUNT_MOST - 1),
        false => count.to_string(),
    }
}

/// What a list says of the cases of it that cannot be read: "1 case cannot be read: C…"; empty where there is none.
pub fn unreadable_words(numbers: &[String]) -> String {
    if numbers.is_empty() {
        return String::new();
    }
    let many = i64::try_from(numbers.len()).unwrap_or(i64::MAX);
    let (many, which) = (counted(many, "case"), numbers.join(", "));
    format!("{many} cannot be read: {which}. Tell your administrator: “vestibule check” says more.")
}

/// An agenda as it was read.
#[derive(Debug, Clone, Default)]
pub struct Agenda {
    pub lists: Vec<(AgendaList, Lines)>,
    /// Closed cases, where they were asked for.
    pub closed: Option<Lines>,
    pub late: i64,
    pub held: i64,
    pub ended: i64,
    /// The numbers of cases that belong into these lists and cannot be read.
    pub unreadable: Vec<String>,
    /// The houses that this one works with, by name.
    pub houses: Vec<(PartyId, String)>,
    /// Of an office: cases of one patient that contradict each other, where the whole is shown.
    pub contradicting: Vec<Contradicting>,
}

impl Agenda {
    /// Whether no case of this house is open or closed.
    pub fn is_of_a_newcomer(&self) -> bool {
        self.houses.is_empty()
    }

    /// Count of late cases, of held ones, and of closed ones, in words.
    pub fn counts(&self) -> (String, String, String) {
        let words = (self.late, self.held, self.ended);
        (
            count_words(words.0),
            count_words(words.1),
            count_words(words.2),
        )
    }

    /// What a house is called in a line: in short, unless two houses are called the same.
    pub fn names(&self) -> BTreeMap<&PartyId, &str> {
        let of = |name: &str| {
            let mut same = self.houses.iter().map(|(_, name)| short_name(name));
            let short = short_name(name);
            same.by_ref().filter(|other| *other == short).count()
        };
        let names = self.houses.iter().map(|(id, name)| {
            let short = if of(name) > 1 {
                name.as_str()
            } else {
                short_name(name)
            };
            (id, short)
        });
        names.collect()
    }
}

/// How near something is, the nearest first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Urgency {
    Toothless,
    Held,
    Asked,
    Check,
    Late,
    Today,
    Week,
    Later,
    NoDay,
}

impl Urgency {
    /// The heading above lines of this kind.
    pub fn shown(self) -> &'static str {
        match self {
            Urgency::Toothless => "A patient is without teeth",
            Urgency::Held => "Held: the work stands still until you act",
            Urgency::Asked => "Asked or told by the other side",
            Urgency::Check => "A check after the fit is due",
            Urgency::Late => "Late",
            Urgency::Today => "Today",
            Urgency::Week => "Next 7 days",
            Urgency::Later => "Later",
            Urgency::NoDay => "No day yet",
        }
    }

    fn of(case: &Case, side: Side, today: Date) -> Urgency {
        let on = case.agenda.of(side);
        let week = today.saturating_add(Duration::days(7));
        match on.day {
            _ if on.turn == WhoseTurn::Toothless => Urgency::Toothless,
            _ if on.turn == WhoseTurn::Held => Urgency::Held,
            _ if on.turn == WhoseTurn::Asked => Urgency::Asked,
            _ if is_headed_by_check(on, today) => Urgency::Check,
            None => Urgency::NoDay,
            Some(day) if day < today => Urgency::Late,
            Some(day) if day == today => Urgency::Today,
            Some(day) if day <= week => Urgency::Week,
            Some(_) => Urgency::Later,
        }
    }
}

/// Whether a check that is due stands above what else there is; elsewhere the line says it.
fn is_headed_by_check(on: OnAgenda, today: Date) -> bool {
    matches!(on.turn, WhoseTurn::Check | WhoseTurn::Yours) && on.is_check_due(today)
}

/// One case in one line.
#[derive(Debug, Clone)]
pub struct AgendaLine {
    pub number: CaseNumber,
    pub urgency: Urgency,
    pub late: bool,
    pub is_held: bool,
    /// With its weekday; empty where there is none.
    pub day: String,
    /// How far it is off.
    pub off: String,
    pub to_do: String,
    /// Why it is held, what is lent, which seal comes: in lighter words behind.
    pub more: Vec<String>,
    pub house: String,
    pub work: String,
    pub things: String,
    /// Whether it is one's own to do.
    pub mine: bool,
    /// "Pan 14, Bruno Kiesel", for the lab; empty where neither is entered.
    pub bench: String,
    /// Since when the lab's work, or the other house, waits for an answer of one's own.
    pub waits_since_ms: Option<i64>,
}

/// Whom lines are for.
#[derive(Debug, Clone, Copy)]
pub struct AgendaReader<'a> {
    pub person: &'a Person,
    pub side: Side,
    pub people: &'a BenchPeople,
    pub today: Date,
}

/// "Asked 3 days ago, and the lab’s work waits for the answer".
fn asked_words(asked: AskedFirst, at: Moment, today: Date) -> String {
    let since = since(at, today);
    match asked.waits {
        true => format!("Asked {since}, and the lab’s work waits for the answer"),
        false => format!("Asked {since}"),
    }
}

/// What a lab is told of an empty arch.
const WAITS_TOOTHLESS: &str = "The patient waits without teeth";

/// Days for which a line tells that an answer has come.
const ANSWERED_DAYS: i64 = 7;

/// "Answered today 19:22"; none where no answer has come lately that this side has not gone on from.
pub fn answered_words(on: OnAgenda, person: &Person, today: Date) -> Option<String> {
    let at = person.moment(on.answered_ms?);
    let is_new = (today - at.date()).whole_days() <= ANSWERED_DAYS;
    is_new.then(|| format!("Answered {}", since(at, today)))
}

/// The people of a lab by their accounts, to name the technician of a case; an office has none of them.
#[derive(Debug, Clone, Default)]
pub struct BenchPeople(BTreeMap<AccountId, String>);

impl BenchPeople {
    /// The people of this person's own lab.
    pub async fn of(app: &App, person: &Person) -> Result<BenchPeople, AppError> {
        if side(person)? == Side::Office {
            return Ok(BenchPeople::default());
        }
        let accounts = people_of(app, person.party_id()).await?;
        Ok(BenchPeople::named(&accounts))
    }

    /// Of a lab whose accounts have been read.
    pub(super) fn named(accounts: &[Account]) -> BenchPeople {
        let named = accounts.iter();
        let named = named.map(|one| (one.id.clone(), one.name.clone()));
        BenchPeople(named.collect())
    }

    /// What somebody is called.
    pub fn name(&self, id: &AccountId) -> &str {
        self.0.get(id).map_or("somebody", String::as_str)
    }

    /// Pan and technician in one line; nothing for an office.
    pub fn words(&self, side: Side, bench: &OnBench) -> String {
        if side == Side::Office {
            return String::new();
        }
        let pan = Some(&bench.pan).filter(|pan| !pan.is_empty());
        let pan = pan.map(|pan| format!("Pan {pan}"));
        let technician = bench.technician.as_ref();
        let technician = technician.map(|id| self.name(id).to_owned());
        let both: Vec<String> = pan.into_iter().chain(technician).collect();
        both.join(", ")
    }

    /// Everybody, with their accounts, by name.
    pub fn all(&self) -> Vec<(&AccountId, &str)> {
        let mut all: Vec<_> = self
            .0
            .iter()
            .map(|(id, name)| (id, name.as_str()))
            .collect();
        all.sort_by_key(|(_, name)| *name);
        all
    }
}

/// The side of a person's party; an administrator has none.
pub fn side(person: &Person) -> Result<Side, AppError> {
    let party = person.party.as_ref().ok_or(AppError::NotFound)?;
    Ok(party.kind)
}

impl AgendaLine {
    /// The case as this side sees it on this day.
    pub fn of(case: &Case, reader: AgendaReader<'_>, house: &str) -> AgendaLine {
        let AgendaReader {
            side,
            people,
            today,
            ..
        } = reader;
        let on = case.agenda.of(side);
        let urgency = Urgency::of(case, side, today);
        let is_held = match on.turn {
            WhoseTurn::Toothless => case.held.is_some(),
            turn => matches!(turn, WhoseTurn::Held | WhoseTurn::HeldByOthers),
        };
        AgendaLine {
            number: case.number.clone(),
            urgency,
            late: on.day.is_some_and(|day| day < today) && !case.closed,
            is_held,
            day: on
                .day
                .map(|day| day_in_words(day, today))
                .unwrap_or_default(),
            // Of a closed case that is all that is to do.
            off: match on.day.filter(|_| !case.closed) {
                Some(day) => days_off(day, today),
                None => String::new(),
            },
            to_do: to_do(case, side, today),
            more: more(case, reader),
            house: house.to_owned(),
            work: case.agenda.work_in_short(case.arches),
            things: counted(case.agenda.items, "item"),
            mine: on.turn.is_own() || on.is_check_due(today),
            bench: people.words(side, &case.agenda.bench),
            waits_since_ms: on
                .asked
                .filter(|one| one.waits || urgency == Urgency::Asked)
                .map(|one| one.at_ms),
        }
    }
}

/// What is to be done from the day of a check on.
pub const MAKE_CHECK: &str = "Make the check after the fit";

fn to_do(case: &Case, side: Side, today: Date) -> String {
    let on = case.agenda.of(side);
    match (of_side(case, side), of_side(case, side.other())) {
        _ if case.closed => "Closed".to_owned(),
        (Some(own), _) if on.is_check_due(today) => format!("{own}; {}", lowered(MAKE_CHECK)),
        _ if on.is_check_due(today) => MAKE_CHECK.to_owned(),
        (None, None) if on.turn == WhoseTurn::Check => {
            "With the patient, until the next check after the fit".to_owned()
        }
        (Some(own), _) => own,
        (None, Some(others)) => theirs(side.other(), &others),
        (None, None) => "With the patient".to_owned(),
    }
}

/// What waits for a side, the first first; none where nothing does.
fn of_side(case: &Case, side: Side) -> Option<String> {
    let mut words = ToDo::of(case, side).into_iter().map(ToDo::words);
    let first = words.next()?;
    Some(words.fold(first, |all, more| format!("{all}; {}", lowered(&more))))
}

/// "Lab: check in the parcel"
fn theirs(side: Side, words: &str) -> String {
    let whom = match side {
        Side::Office => "Office",
        Side::Lab => "Lab",
    };
    format!("{whom}: {}", lowered(words))
}

/// Why the case is held, but for the question whose age the line tells already.
fn held_besides(case: &Case, asked: Option<AskedFirst>) -> String {
    let Some(mut held) = case.held.clone() else {
        return String::new();
    };
    if asked.is_some_and(|one| one.waits) {
        let is_unanswered = |reason: &HoldReason| matches!(reason, HoldReason::Unanswered(_));
        held.reasons.retain(|reason| !is_unanswered(reason));
    }
    match held.reasons.is_empty() {
        true => String::new(),
        false => held.to_string(),
    }
}

fn more(case: &Case, reader: AgendaReader<'_>) -> Vec<String> {
    let (side, today) = (reader.side, reader.today);
    let on = case.agenda.of(side);
    let asked = on.asked.map(|one| {
        let at = reader.person.moment(one.at_ms);
        asked_words(one, at, today)
    });
    let answered = answered_words(on, reader.person, today);
    let mut more: Vec<String> = answered.into_iter().chain(asked).collect();
    // Under the heading the office reads it already, and the lab in the lists that it is not at the head of.
    if side == Side::Lab && case.asks(Step::Toothless) {
        more.push(WAITS_TOOTHLESS.to_owned());
    }
    if on.turn.is_own() || on.is_check_due(today) {
        more.extend(of_side(case, side.other()).map(|words| theirs(side.other(), &words)));
    }
    // The day of such a line may be that of the check.
    let ahead = on
        .check
        .filter(|day| *day > today && on.turn == WhoseTurn::Yours);
    more.extend(ahead.map(|day| format!("Check after the fit on {}", day_in_words(day, today))));
    let held = held_besides(case, on.asked);
    if !held.is_empty() {
        more.push(format!("Held: {held}"));
    }
    if on.turn == WhoseTurn::Coming && !case.agenda.seals.is_empty() {
        more.push(format!("Seal {}", case.agenda.seals));
    }
    match case.lent_due.filter(|_| !case.closed) {
        Some(lent) if lent == today => more.push("Loan due back today".to_owned()),
        Some(lent) if lent < today => more.push(format!("Loan {}", days_off(lent, today))),
        _ => {}
    }
    more
}

/// The agenda as it stands, narrowed down. Without a filter it is read again only when something of the party has
/// changed, or with a new day.
pub async fn agenda(
    app: &App,
    person: &Person,
    filter: &Filter,
    today: Date,
) -> Result<Arc<Agenda>, AppError> {
    let side = side(person)?;
    let mark = (person.changes, today);
    let is_whole = *filter == Filter::default();
    if is_whole && let Some(kept) = app.read_models.agenda(person.party_id(), &mark) {
        return Ok(kept);
    }
    let mut conn = app.store.read_at_once().await?;
    let reading = Reading {
        side,
        party: person.party_id(),
        filter,
        today,
    };
    let mut agenda = reading.all(&mut conn).await?;
    agenda.houses = held_houses(app, &mut conn, (side, person.party_id())).await?;
    drop(conn);
    let mut unsaid = 0;
    let lists = agenda.lists.iter_mut().map(|(_, lines)| lines);
    for lines in lists.chain(&mut agenda.closed) {
        unsaid += keep_own(app, person.party_id(), &mut lines.cases).await?;
    }
    if is_whole && side == Side::Office {
        agenda.contradicting = contradicting(app, person, person.party_id()).await?;
    }
    let agenda = Arc::new(agenda);
    let is_named = agenda.houses.iter().all(|(_, name)| name != UNPROVED_NAME);
    // What is put right past this program is listed again without a change that is counted.
    if is_whole && unsaid == 0 && is_named {
        let kept = agenda.clone();
        app.read_models.store_agenda(person.party_id(), mark, kept);
    }
    Ok(agenda)
}

/// What is read, for whom.
struct Reading<'a> {
    side: Side,
    party: &'a PartyId,
    filter: &'a Filter,
    today: Date,
}

impl<'a> Reading<'a> {
    fn asked(&self, turn: WhoseTurn) -> Sought<'a> {
        let is_late = self.filter.only == Some(OnlyThese::Late);
        let late = is_late.then_some(self.today);
        let week = self.filter.week;
        let week_ends = week.map(|monday| monday.saturating_add(Duration::days(7)));
        Sought {
            side: self.side,
            party: self.party,
            turn,
            closed: self.filter.closed,
            house: self.filter.house.as_ref(),
            stage: self.filter.stage,
            technician: self.filter.technician.as_ref(),
            from: week,
            before: [late, week_ends].into_iter().flatten().min(),
        }
    }

    async fn all(&self, conn: &mut Connection) -> Result<Agenda, AppError> {
        let mut agenda = self.counted(conn).await?;
        if self.filter.closed {
            let offset = self.filter.page * LIST_SHOWN;
            let part = Part {
                limit: LIST_SHOWN + 1,
                offset,
            };
            let asked = self.asked(WhoseTurn::Others);
            let read = lists::listed_from_the_end(conn, asked, part).await?;
            agenda.unreadable.clone_from(&read.unreadable);
            agenda.closed = Some(cut(read, LIST_SHOWN, agenda.ended));
            return Ok(agenda);
        }
        for &list in AgendaList::ALL {
            let (limit, offset) = match self.filter.list {
                Some(wanted) if wanted != list => continue,
                Some(_) => (LIST_SHOWN, self.filter.page * LIST_SHOWN),
                None if list == AgendaList::Others => (OTHERS_SHOWN, 0),
                None => (SHOWN, 0),
            };
            let mut lines = self.list(conn, list, (limit, offset)).await?;
            agenda.unreadable.append(&mut lines.unreadable);
            agenda.lists.push((list, lines));
        }
        Ok(agenda)
    }

    /// What stands beside the lists, whatever they are narrowed down to.
    async fn counted(&self, conn: &mut Connection) -> Result<Agenda, StoreError> {
        let whole = Filter::default();
        let bare = Reading {
            filter: &whole,
            ..*self
        };
        let (mut late, mut held) = (0, 0);
        for &turn in WhoseTurn::ALL {
            let asked = bare.asked(turn);
            let before = Some(self.today);
            late += lists::count(conn, Sought { before, ..asked }, COUNT_MOST).await?;
            if matches!(turn, WhoseTurn::Held | WhoseTurn::HeldByOthers) {
                held += lists::count(conn, asked, COUNT_MOST).await?;
            }
        }
        let closed = Sought {
            closed: true,
            ..bare.asked(WhoseTurn::Others)
        };
        Ok(Agenda {
            late,
            held,
            ended: lists::count(conn, closed, COUNT_MOST).await?,
            ..Agenda::default()
        })
    }

    /// A part of one list, which goes through its turns one after the other.
    async fn list(
        &self,
        conn: &mut Connection,
        list: AgendaList,
        (limit, mut offset): (i64, i64),
    ) -> Result<Lines, StoreError> {
        let only_held = self.filter.only == Some(OnlyThese::Held);
        let is_wanted = |turn: &&WhoseTurn| {
            !only_held || matches!(turn, WhoseTurn::Held | WhoseTurn::HeldByOthers)
        };
        let (mut all, mut count) = (ReadCases::default(), 0);
        for &turn in list.turns().iter().filter(is_wanted) {
            let asked = list.of_turn(self.asked(turn), self.today);
            // The page begins behind all of these, or among them.
            let before = match offset {
                0 => 0,
                offset => lists::count(conn, asked, offset).await?,
            };
            let missing = limit + 1 - i64::try_from(all.cases.len()).unwrap_or(limit);
            if before == offset && missing > 0 {
                let part = Part {
                    limit: missing,
                    offset,
                };
                all.append(lists::listed(conn, asked, part).await?);
            }
            offset -= before;
            count += lists::count(conn, asked, COUNT_MOST).await?;
        }
        Ok(cut(all, limit, count))
    }
}

fn cut(read: ReadCases, limit: i64, count: i64) -> Lines {
    let ReadCases {
        mut cases,
        unreadable,
    } = read;
    let limit = usize::try_from(limit).unwrap_or_default();
    let more = cases.len() > limit;
    cases.truncate(limit);
    Lines {
        cases,
        count,
        more,
        unreadable,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::values::moment::parse_date;

    #[test]
    fn a_line_says_since_when_something_is_asked_and_whether_work_waits() {
        // 2022-02-22T19:22:22Z = 1645557742000 ms: RFC 9562, appendix A.6.
        let at = Moment::new(1_645_557_742_000, 0);
        let table = [
            (false, "2022-02-22", "Asked today 19:22"),
            (
                true,
                "2022-02-22",
                "Asked today 19:22, and the lab’s work waits for the answer",
            ),
            (false, "2022-02-23", "Asked yesterday 19:22"),
            (
                true,
                "2022-02-25",
                "Asked 3 days ago, and the lab’s work waits for the answer",
            ),
        ];
        for (waits, today, words) in table {
            let asked = AskedFirst {
                at_ms: at.unix_ms,
                waits,
            };
            assert_eq!(asked_words(asked, at, parse_date(today).unwrap()), words);
        }
    }
}
