//! What lies in a house now, since when, and what is lent and due back: of its open cases.

use super::agenda::side;
use super::case_work::{CaseWork, InCommon};
use super::custody_words::{passed_words, title_of};
use super::doubted::not_counted;
use super::keep_papers::{self, PapersOver};
use super::listed_row::{HELD_AT_ONCE, cut, held};
use super::passed_to_us;
use super::proven::find_together;
use super::recorded::reference::held_houses;
use super::whose_case::{ShownTo, shown_to};
use super::{App, AppError, Person};
use crate::domain::custody::case::Case;
use crate::domain::custody::item::Item;
use crate::domain::custody::{
    Event, Holder, Loan, LoanNow, PassedPlace, What, is_cast, loan, overdue, unregistered_casts,
};
use crate::domain::people::party::{Side, short_name};
use crate::domain::values::ids::{CaseNumber, EventId, PartyId, Tag};
use crate::domain::values::moment::Moment;
use crate::domain::values::words::counted;
use crate::store::{Connection, StoreError, casts_kept, reports};
use std::collections::BTreeMap;
use time::Date;

/// Cases that a page goes through.
const PAGE: i64 = 25;
/// Cases of a file that are read on one reader, and looked for in the signed tree together.
const AT_ONCE: i64 = 200;
/// Cases with loans that are gone through.
const LOANS_MOST: i64 = 100;

/// An item that is here.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ItemHere {
    pub number: CaseNumber,
    /// The other house of its case.
    pub house: String,
    /// None where only the bench tells of it.
    pub tag: Option<Tag>,
    /// "Provisional denture, upper"
    pub title: String,
    /// Shelf, tray or oven; empty where nobody has said it.
    pub place: String,
    pub since: Moment,
    /// Packed, it waits for the carrier.
    pub packed: bool,
    /// When it is due back with its lender, where it is lent to this house.
    pub loan: Option<Loan>,
    /// Until when the lab keeps it, of matrix and casts.
    pub kept_until: Option<Date>,
}

/// An item that is not here, and that this house answers for: at a second laboratory, or on the way there or back.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ItemOut {
    pub number: CaseNumber,
    pub house: String,
    pub tag: Tag,
    pub title: String,
    /// "at Anvil Laboratory since Mon 2 Mar 2026"
    pub where_it_is: String,
}

/// An item of another laboratory's case that lies here, since the work was passed on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ItemOfOthers {
    /// The entry that passes it on: its page is all that is told of the case.
    pub pass: EventId,
    pub number: CaseNumber,
    /// The laboratory whose work it is.
    pub house: String,
    pub tag: Tag,
    pub title: String,
    pub since: Moment,
}

/// A loan that is due back with its lender.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LoanDue {
    pub number: CaseNumber,
    pub house: String,
    pub tag: Tag,
    pub title: String,
    pub loan: Loan,
    /// Whether it is lent to this house.
    pub is_ours: bool,
}

impl LoanDue {
    /// Who does what about a loan, as whoever reads it is one of the two houses.
    pub fn whose(&self) -> String {
        let house = &self.house;
        let agreed = if self.loan.agreed { ", agreed" } else { "" };
        match (self.loan.now, self.is_ours) {
            (LoanNow::InHand, true) => format!("send back to {house}"),
            (LoanNow::InHand, false) => format!("expected from {house}"),
            (LoanNow::Needed, true) => format!("needed for the work{agreed}; then back to {house}"),
            (LoanNow::Needed, false) => format!("with {house}, who needs it for the work{agreed}"),
            (LoanNow::ComesBack, true) => format!("on the way back to {house}"),
            (LoanNow::ComesBack, false) => format!("on the way from {house}: receive it"),
            (LoanNow::GoesOut, true) => format!("on the way from {house}: receive it"),
            (LoanNow::GoesOut, false) => format!("on the way to {house}"),
            (LoanNow::Missing, true) => format!("did not come: {house} says where it is"),
            (LoanNow::Missing, false) => format!("did not come to {house}: say where it is"),
        }
    }
}

/// A part of what is here.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct HousePage {
    pub things: Vec<ItemHere>,
    pub out: Vec<ItemOut>,
    /// Cases whose items do not stand here, since what is stored of them cannot be read.
    pub unread: usize,
    /// Cases with a loan whose rows say that there is none: no list of loans has them.
    pub untold_loans: usize,
    /// The number after which the next part begins; none where this is the last.
    pub next: Option<String>,
}

/// Since when a thing has been in a house: received, registered there, or out of the mouth, whatever came last.
fn since(work: &CaseWork, side: Side, tag: &Tag) -> Moment {
    let stands = |event: &&Event| work.state.withdrawn_on(&event.id).is_none();
    let events = work.events.iter().filter(stands);
    let begun = events.filter_map(|event| match &event.what {
        What::Registered(one) if one.tag == *tag => Some(event.at),
        What::TakenOut(_) if event.what.tags().contains(&tag) => Some(event.at),
        _ => None,
    });
    let came = work.state.handoffs.iter().filter_map(|one| {
        let is_it = one.to == side && one.sent.iter().any(|sent| sent.tag == *tag);
        one.received_at.filter(|_| is_it && one.voided.is_none())
    });
    let opened = Moment::new(work.case.opened_ms, 0);
    let all = begun.chain(came);
    all.max_by_key(|at| at.unix_ms).unwrap_or(opened)
}

/// The names of the other houses by case.
struct Houses {
    side: Side,
    names: BTreeMap<PartyId, String>,
}

impl Houses {
    async fn of(
        app: &App,
        conn: &mut Connection,
        person: &Person,
        side: Side,
    ) -> Result<Houses, AppError> {
        let names = held_houses(app, conn, (side, person.party_id())).await?;
        Ok(Houses {
            side,
            names: names.into_iter().collect(),
        })
    }

    fn other(&self, case: &Case) -> String {
        let other = match self.side {
            Side::Office => &case.lab,
            Side::Lab => &case.office,
        };
        let name = self.names.get(other).map(|name| short_name(name));
        name.unwrap_or_default().to_owned()
    }
}

fn things(work: &CaseWork, side: Side, house: &str) -> Vec<ItemHere> {
    let is_lab = side == Side::Lab;
    let here = |item: &Item| {
        let state = work.state.item(&item.tag)?;
        let is_here = state.is_there() && state.holder == Holder::of(side);
        is_here.then(|| ItemHere {
            number: work.case.number.clone(),
            house: house.to_owned(),
            tag: Some(item.tag.clone()),
            title: item.kind.title(item.arch),
            place: state.place.clone().unwrap_or_default(),
            since: since(work, side, &item.tag),
            packed: state.packed,
            loan: loan(item, &work.items, &work.state, &work.ordered),
            kept_until: work
                .state
                .casts_kept_until(item.arch)
                .filter(|_| is_lab && is_cast(item.kind)),
        })
    };
    let by_the_bench = match side {
        Side::Office => Vec::new(),
        Side::Lab => unregistered_casts(&work.items, &work.state),
    };
    let unregistered = by_the_bench.into_iter().map(|one| ItemHere {
        number: work.case.number.clone(),
        house: house.to_owned(),
        tag: None,
        title: one.kind.title(Some(one.arch)),
        place: String::new(),
        since: one.since,
        packed: false,
        loan: None,
        kept_until: Some(one.until),
    });
    let registered = work.items.iter().filter_map(here);
    registered.chain(unregistered).collect()
}

/// What of a case is at a second laboratory, or on the way there or back.
fn out(work: &CaseWork, side: Side, house: &str) -> Vec<ItemOut> {
    let is_out = |item: &Item| {
        let state = work
            .state
            .item(&item.tag)
            .filter(|state| state.is_there())?;
        let Holder::Passed(place) = state.holder else {
            return None;
        };
        (side == Side::Lab).then(|| ItemOut {
            number: work.case.number.clone(),
            house: house.to_owned(),
            tag: item.tag.clone(),
            title: item.kind.title(item.arch),
            where_it_is: passed_words(work, &item.tag, place),
        })
    };
    work.items.iter().filter_map(is_out).collect()
}

/// What lies here of the work that other laboratories have passed on to this one, and of how much of that what is stored
/// cannot be read; nothing for an office.
pub async fn of_others(app: &App, person: &Person) -> Result<(Vec<ItemOfOthers>, usize), AppError> {
    if side(person)? == Side::Office {
        return Ok((Vec::new(), 0));
    }
    let list = passed_to_us::list(app, person).await?;
    let mut here = Vec::new();
    for one in list.all.iter().filter(|one| one.pass.is_open()) {
        let (work, pass) = (&one.work, &one.pass);
        let is_here = |tag: &&Tag| {
            let state = work
                .state
                .item(tag)
                .filter(|state| state.is_there() && !state.missing);
            state.is_some_and(|state| state.holder == Holder::Passed(PassedPlace::At))
        };
        here.extend(pass.items.iter().filter(is_here).map(|tag| ItemOfOthers {
            pass: pass.event.clone(),
            number: work.case.number.clone(),
            house: work.lab.name.clone(),
            tag: tag.clone(),
            title: title_of(work, tag),
            since: pass.arrived_at.unwrap_or(pass.at),
        }));
    }
    Ok((here, list.unread))
}

/// What is here of so many of the open cases after a number.
async fn here(app: &App, person: &Person, after: &str, most: i64) -> Result<HousePage, AppError> {
    let side = side(person)?;
    let mut conn = app.store.read_at_once().await?;
    let houses = Houses::of(app, &mut conn, person, side).await?;
    let mut page = HousePage::default();
    let party = (side, person.party_id());
    let mut cases = reports::open_after(&mut conn, party, after, most + 1).await?;
    if cut(&mut cases, most) {
        // By their rows: a case that cannot be read ends no part.
        let mut numbers = cases.iter().rev().map(|(number, _)| number);
        page.next = numbers.find(|number| !number.is_empty()).cloned();
    }
    find_together(
        app,
        &mut conn,
        &readable(cases.iter().map(|(_, case)| case)),
    )
    .await?;
    let mut shared = InCommon::default();
    for (_, case) in cases {
        let work = match look_at(app, &mut conn, case, (person, side, &mut shared)).await? {
            LookedAt::Held(work) => work,
            LookedAt::OfOthers => continue,
            LookedAt::Unread => {
                page.unread += 1;
                continue;
            }
        };
        if work.case.lent_due.is_none() && work.lent_due().is_some() {
            tracing::error!(case = %work.case.number, "a case is listed without its loan");
            page.untold_loans += 1;
        }
        let house = houses.other(&work.case);
        page.things.extend(things(&work, side, &house));
        page.out.extend(out(&work, side, &house));
    }
    Ok(page)
}

/// The numbers of cases whose rows can be read.
fn readable<'a>(cases: impl Iterator<Item = &'a Result<Case, StoreError>>) -> Vec<CaseNumber> {
    let readable = cases.filter_map(|case| case.as_ref().ok());
    readable.map(|case| case.number.clone()).collect()
}

/// What became of a case that a page of the house goes through.
enum LookedAt {
    Held(Box<CaseWork>),
    /// By the record it is of other houses.
    OfOthers,
    /// It hides no other, and whoever reads the page is given the count: `check` names what is wrong.
    Unread,
}

/// A case with all that is stored of it, as the record says. Under a record that is another one, every page says so.
async fn look_at(
    app: &App,
    conn: &mut Connection,
    case: Result<Case, StoreError>,
    (person, side, shared): (&Person, Side, &mut InCommon),
) -> Result<LookedAt, AppError> {
    let case = match case {
        Ok(case) => case,
        Err(error) => return left_out(error.into()),
    };
    match shown_to(app, conn, &case, person.party_id()).await? {
        ShownTo::ThisParty => {}
        ShownTo::Others => return Ok(LookedAt::OfOthers),
        ShownTo::Nobody => return Ok(LookedAt::Unread),
    }
    let work = match CaseWork::beside(app, conn, (case, side), shared).await {
        Ok(work) => work,
        Err(error) => return left_out(error),
    };
    match work.hold(app, conn).await {
        Ok(()) | Err(AppError::Store(StoreError::Forked(_))) => Ok(LookedAt::Held(Box::new(work))),
        Err(error) => left_out(error),
    }
}

/// The error names the case, where it is about one alone.
fn left_out(error: AppError) -> Result<LookedAt, AppError> {
    if !error.is_of_one_alone() {
        return Err(error);
    }
    tracing::warn!(%error, "a case is left out of what is in the house");
    Ok(LookedAt::Unread)
}

/// What is lent and not back.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Loans {
    pub all: Vec<LoanDue>,
    /// Whether there are more cases with loans than were gone through.
    pub more: bool,
    /// Cases whose loans do not stand here, since what is stored of them cannot be read.
    pub unread: usize,
}

/// How many are left out of each list of a house, since what is stored of them cannot be read or is not as the record says.
/// One case may be missing from several of them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct LeftOutOfHouse {
    pub here: usize,
    /// Work that other laboratories have passed on.
    pub of_others: usize,
    pub casts: usize,
    pub papers: usize,
}

/// All that is told of a house.
pub struct WholeHouse {
    pub here: HousePage,
    pub loans: Loans,
    pub of_others: Vec<ItemOfOthers>,
    /// Cases whose casts may go, with the day until which they were kept.
    pub casts: Vec<(CaseNumber, Date)>,
    /// Whether there are more of them than are listed.
    pub more_casts: bool,
    pub papers: PapersOver,
    pub unread: LeftOutOfHouse,
}

/// The part after a number; what is not by cases of the house is told with the first part alone.
pub async fn whole(
    app: &App,
    person: &Person,
    after: &str,
    today: Date,
) -> Result<WholeHouse, AppError> {
    let here = here(app, person, after, PAGE).await?;
    let unread = LeftOutOfHouse {
        here: here.unread,
        ..LeftOutOfHouse::default()
    };
    if !after.is_empty() {
        return Ok(WholeHouse {
            here,
            unread,
            loans: Loans::default(),
            of_others: Vec::new(),
            casts: Vec::new(),
            more_casts: false,
            papers: PapersOver::default(),
        });
    }
    let (of_others, unread_of_others) = of_others(app, person).await?;
    let mut loans = loans(app, person).await?;
    loans.unread += here.untold_loans;
    let (casts, papers) = (
        casts_that_may_go(app, person, today, HELD_AT_ONCE).await?,
        keep_papers::over(app, person, today).await?,
    );
    Ok(WholeHouse {
        here,
        unread: LeftOutOfHouse {
            of_others: unread_of_others,
            casts: casts.unread,
            papers: papers.unread,
            ..unread
        },
        loans,
        of_others,
        casts: casts.over,
        more_casts: casts.more,
        papers,
    })
}

/// Cases of which a list of casts tells at most.
const CASTS_MOST: i64 = 100;

/// Cases of casts that the first page holds for the first time in the state they are in: it has other lists to hold.
const CASTS_AT_FIRST: usize = 10;

/// What of a lab's casts is past its day.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct CastsOver {
    /// The earliest first, each with the day until which it was kept.
    pub over: Vec<(CaseNumber, Date)>,
    /// Whether there are more, all with later days.
    pub more: bool,
    /// How many rows are not told, since their cases cannot be read, or say something else.
    pub unread: usize,
}

impl CastsOver {
    /// "at least 3 cases"
    pub fn words(&self) -> String {
        let cases = counted(i64::try_from(self.over.len()).unwrap_or(i64::MAX), "case");
        match self.more {
            true => format!("at least {cases}"),
            false => cases,
        }
    }

    /// What the first page says of cases whose casts are not counted; empty for most.
    pub fn unread_words(&self) -> String {
        let what = match self.unread {
            0 => return String::new(),
            1 => "The day until which casts are kept is, for 1 case,".to_owned(),
            many => format!("The days until which casts are kept are, for {many} cases,"),
        };
        not_counted(&what)
    }
}

/// The same for the first page, which holds fewer of them at once.
pub async fn casts_at_first(
    app: &App,
    person: &Person,
    today: Date,
) -> Result<CastsOver, AppError> {
    casts_that_may_go(app, person, today, CASTS_AT_FIRST).await
}

/// The cases of a lab, closed ones too, of which matrix and casts were kept until a day that has passed, as their entries
/// say; nothing for an office. Of many that nobody has looked at yet, the next pages tell.
async fn casts_that_may_go(
    app: &App,
    person: &Person,
    today: Date,
    at_once: usize,
) -> Result<CastsOver, AppError> {
    if side(person)? == Side::Office {
        return Ok(CastsOver::default());
    }
    let mut conn = app.store.read_at_once().await?;
    let rows = casts_kept::over(&mut conn, person.party_id(), today, CASTS_MOST + 1).await?;
    let says =
        |work: &CaseWork, until: &Date| work.casts_row().is_some_and(|row| row.until == *until);
    let list = ("casts", CASTS_MOST, at_once);
    let held = held(app, &mut conn, person, list, rows, says).await?;
    Ok(CastsOver {
        over: held.rows,
        more: held.more,
        unread: held.unread,
    })
}

/// Why there is no file: a list that is taken home says nothing of what it lacks.
const UNREAD: &str = "What is stored of a case cannot be read, and its items would be missing. The page “In the house now” has \
                      the others; tell whoever runs this installation.";

/// Refuses a file in which something would be missing.
///
/// # Errors
/// If so much as one case could not be read.
pub(super) fn refuse_unread(cases: usize) -> Result<(), AppError> {
    match cases {
        0 => Ok(()),
        _ => Err(AppError::Refused(vec![UNREAD.to_owned()])),
    }
}

/// All that is here, and what is out, for a file.
pub async fn all_here(
    app: &App,
    person: &Person,
) -> Result<(Vec<ItemHere>, Vec<ItemOut>), AppError> {
    let (mut all, mut after) = ((Vec::new(), Vec::new()), String::new());
    loop {
        let page = here(app, person, &after, AT_ONCE).await?;
        refuse_unread(page.unread + page.untold_loans)?;
        all.0.extend(page.things);
        all.1.extend(page.out);
        let Some(next) = page.next else {
            return Ok(all);
        };
        after = next;
    }
}

/// What is lent and not back with its lender, the earliest day first: what this house has to send back, and what it
/// waits for.
pub async fn loans(app: &App, person: &Person) -> Result<Loans, AppError> {
    let side = side(person)?;
    let mut conn = app.store.read_at_once().await?;
    let houses = Houses::of(app, &mut conn, person, side).await?;
    let mut loans = Loans::default();
    let party = (side, person.party_id());
    let mut cases = reports::with_loans(&mut conn, party, LOANS_MOST + 1).await?;
    loans.more = cut(&mut cases, LOANS_MOST);
    find_together(app, &mut conn, &readable(cases.iter())).await?;
    let mut shared = InCommon::default();
    for case in cases {
        let work = match look_at(app, &mut conn, case, (person, side, &mut shared)).await? {
            LookedAt::Held(work) => work,
            LookedAt::OfOthers => continue,
            LookedAt::Unread => {
                loans.unread += 1;
                continue;
            }
        };
        let house = houses.other(&work.case);
        for one in overdue(&work.items, &work.state, &work.ordered, Date::MAX) {
            let item = work.item(&one.tag);
            loans.all.push(LoanDue {
                number: work.case.number.clone(),
                house: house.clone(),
                title: item
                    .map(|item| item.kind.title(item.arch))
                    .unwrap_or_default(),
                is_ours: one.side == side,
                tag: one.tag.clone(),
                loan: one,
            });
        }
    }
    let all = &mut loans.all;
    all.sort_by(|one, other| (one.loan.due, &one.tag).cmp(&(other.loan.due, &other.tag)));
    Ok(loans)
}
