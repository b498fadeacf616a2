//! Which cases of a list are not as the record says. To hold a case costs as much as its page, so it is done once for each
//! state of its row, a few with each page that is drawn. Of those that were found so as many are held again with each page;
//! the others are as they were found.

use super::agenda::{Agenda, side, unreadable_words};
use super::case_work::CaseWork;
use super::counted::{self, Met};
use super::proven::find_together;
use super::recorded::reference::hold_house;
use super::whose_case::{find_own, keep_own};
use super::{App, AppError, Person, see_case};
use crate::domain::custody::agenda::WhoseTurn;
use crate::domain::custody::case::Case;
use crate::domain::values::digest::sha256_hex;
use crate::domain::values::ids::{CaseNumber, PartyId};
use crate::store::agenda::{self as lists, Part, ReadCases, Sought};
use crate::store::cases;
use std::collections::BTreeSet;

/// Cases that one page holds for the first time in the state they are in, and as many again: some 50 ms each.
pub(super) const HELD_AT_ONCE: usize = 10;

/// The same of cases that a list of open ones has not.
const HELD_ELSEWHERE: usize = 5;
/// Rows of each other list that are looked at for it.
const ELSEWHERE_MOST: i64 = 200;

/// What the line of such a case says.
pub const DOUBTED: &str = "Not as the record says: somebody has changed it past this program";

/// Those among the lines of the page that are known to be so.
pub async fn among(
    app: &App,
    person: &Person,
    found: &Agenda,
) -> Result<BTreeSet<CaseNumber>, AppError> {
    let lists = found.lists.iter().map(|(_, lines)| lines);
    let lists = lists.chain(&found.closed);
    let cases: Vec<&Case> = lists.flat_map(|lines| &lines.cases).collect();
    among_rows(app, person, &cases, HELD_AT_ONCE).await
}

/// Those among these rows that are known to be so; so many of them are held for the first time.
pub(super) async fn among_rows(
    app: &App,
    person: &Person,
    cases: &[&Case],
    most: usize,
) -> Result<BTreeSet<CaseNumber>, AppError> {
    let met = counted::listed_otherwise(app);
    // Whoever changes a row past this program leaves its version as it is.
    let rows: Vec<(&&Case, String)> = cases.iter().map(|case| (case, hash_of(case))).collect();
    let is_new = |(case, row): &&(&&Case, String)| {
        let known = app.read_models.was_sound(&case.number, row);
        known.is_none()
    };
    let numbers = rows.iter().filter(is_new).take(most);
    let numbers: Vec<CaseNumber> = numbers.map(|(case, _)| case.number.clone()).collect();
    if !numbers.is_empty() {
        find_together(app, &mut *app.store.read_at_once().await?, &numbers).await?;
    }
    let (mut doubted, mut new, mut again) = (BTreeSet::new(), 0, 0);
    for (case, row) in rows {
        match app.read_models.was_sound(&case.number, &row) {
            // One that was found to be listed otherwise is asked about until its row is right.
            Some(true) if !met.contains(&case.number) => continue,
            // Whoever changes all cases is not to make the page wait for all of them.
            Some(false) if again == HELD_AT_ONCE => {
                doubted.insert(case.number.clone());
                continue;
            }
            None if new == most => continue,
            known => {
                // One that is none of this person's costs little, and is not to take the place of one that is.
                let Some(is_doubted) = is_doubted(app, person, case, row).await? else {
                    continue;
                };
                match known {
                    Some(_) => again += 1,
                    None => new += 1,
                }
                if is_doubted {
                    doubted.insert(case.number.clone());
                }
            }
        }
    }
    Ok(doubted)
}

/// Under what it is kept whether a case was as the record says.
pub(super) fn hash_of(case: &Case) -> String {
    sha256_hex(format!("{case:?}").as_bytes())
}

/// Cases that are closed by their rows and wait for this person's house all the same, as far as they are not as the record
/// says: a list of open cases has none of them. Where nobody has changed a row, there is none to be held.
pub(super) async fn closed_by_row(
    app: &App,
    person: &Person,
) -> Result<BTreeSet<CaseNumber>, AppError> {
    let (side, party) = (side(person)?, person.party_id());
    let mut conn = app.store.read().await?;
    let mut found = ReadCases::default();
    for &turn in WhoseTurn::ALL {
        if turn == WhoseTurn::Others {
            continue;
        }
        let asked = Sought {
            closed: true,
            ..Sought::open(side, party, turn)
        };
        let part = Part {
            limit: i64::try_from(HELD_AT_ONCE).unwrap_or(i64::MAX),
            offset: 0,
        };
        found.append(lists::listed(&mut conn, asked, part).await?);
    }
    drop(conn);
    // The other house has found those for which nothing is to be done here now.
    for case in closed_among_met(app, party).await? {
        if found.cases.iter().all(|one| one.number != case.number) {
            found.cases.push(case);
        }
    }
    if found.cases.is_empty() {
        return Ok(BTreeSet::new());
    }
    keep_own(app, party, &mut found.cases).await?;
    let rows: Vec<&Case> = found.cases.iter().collect();
    among_rows(app, person, &rows, HELD_AT_ONCE).await
}

/// Open cases of this person's house that stand in none of these lists, as far as they are not as the record says: one of
/// them may have been put there past this program. A few are held with each page, those of which the row has changed first.
pub(super) async fn open_elsewhere(
    app: &App,
    person: &Person,
    listed: &[WhoseTurn],
) -> Result<BTreeSet<CaseNumber>, AppError> {
    let (side, party) = (side(person)?, person.party_id());
    let mut conn = app.store.read().await?;
    let mut found = ReadCases::default();
    for &turn in WhoseTurn::ALL {
        if listed.contains(&turn) {
            continue;
        }
        let part = Part {
            limit: ELSEWHERE_MOST,
            offset: 0,
        };
        let asked = Sought::open(side, party, turn);
        found.append(lists::listed(&mut conn, asked, part).await?);
    }
    drop(conn);
    keep_own(app, party, &mut found.cases).await?;
    let rows: Vec<&Case> = found.cases.iter().collect();
    among_rows(app, person, &rows, HELD_ELSEWHERE).await
}

/// The cases of this party that are closed by their rows, among those that lists were found to show otherwise than they are.
async fn closed_among_met(app: &App, party: &PartyId) -> Result<Vec<Case>, AppError> {
    let met = counted::listed_otherwise(app);
    let mut closed = Vec::new();
    if met.is_empty() {
        return Ok(closed);
    }
    let mut conn = app.store.read_at_once().await?;
    for number in met {
        match find_own(app, &mut conn, party, &number).await {
            Ok((case, _)) if case.closed => closed.push(case),
            Ok(_) => {}
            Err(error) if error.is_of_one_alone() => {}
            Err(error) => return Err(error),
        }
    }
    Ok(closed)
}

/// What the first page says of cases that stand in none of its lists and belong there; empty for most.
pub async fn missing_words(app: &App, person: &Person) -> Result<String, AppError> {
    not_listed_words(app, person, &[]).await
}

/// The same where a list could not read some of its cases.
pub(super) async fn not_listed_words(
    app: &App,
    person: &Person,
    unreadable: &[String],
) -> Result<String, AppError> {
    counted::look_for_cases(app, (side(person)?, person.party_id())).await?;
    let closed = closed_by_row(app, person).await?;
    Ok(not_to_go_by(app, person.party_id(), unreadable, &closed))
}

/// What a count over cases, open and closed, says of those that it has not: taken away, or listed for another house; empty for
/// most.
pub async fn taken_away_words(app: &App, person: &Person) -> Result<String, AppError> {
    counted::look_for_cases(app, (side(person)?, person.party_id())).await?;
    let none = BTreeSet::new();
    Ok(not_to_go_by(app, person.party_id(), &[], &none))
}

/// What pages say whose days go by the clock of a house that is not as the record says.
const OTHER_CLOCK: &str = "What is stored of your house is not as the record says: somebody has changed it past this program. Days and hours \
     here may be others than yours. Tell your administrator: “vestibule check” says more.";

/// Refuses a file of days by the clock of a house that is not as the record says.
///
/// # Errors
/// A refusal in words.
pub(super) async fn hold_own_house(app: &App, person: &Person) -> Result<(), AppError> {
    match &person.party {
        Some(house) => hold_house(app, &mut *app.store.read_at_once().await?, house).await,
        None => Ok(()),
    }
}

/// What a page says of such a house; empty for most.
pub async fn clock_words(app: &App, person: &Person) -> Result<&'static str, AppError> {
    match hold_own_house(app, person).await {
        Err(AppError::Refused(_)) => Ok(OTHER_CLOCK),
        // An administrator has just changed it.
        Ok(()) | Err(AppError::Conflict(_)) => Ok(""),
        Err(other) => Err(other),
    }
}

/// None for what is none of this person's.
async fn is_doubted(
    app: &App,
    person: &Person,
    case: &Case,
    row: String,
) -> Result<Option<bool>, AppError> {
    let view = match see_case::see(app, person, &case.number).await {
        Ok(view) => Some(view),
        Err(AppError::NotFound) => return Ok(None),
        Err(error) if error.is_of_one_alone() => None,
        Err(error) => return Err(error),
    };
    let sound = view.as_ref().map(|view| &view.work);
    let sound = sound.filter(|work| work.doubt.is_none() && work.is_listed_as(case));
    app.read_models
        .store_sound(&case.number, row, sound.is_some());
    match sound {
        Some(work) => forget_if_right(app, work).await?,
        // What speaks against the case itself is noted where it is held.
        None if view.as_ref().is_some_and(|view| view.work.doubt.is_none()) => {
            counted::note(app, &case.number, Met::Listed);
        }
        None => {}
    }
    Ok(Some(sound.is_none()))
}

/// Forgets that a case was listed otherwise, where its row is right by now: a page that was kept may have shown an earlier one.
async fn forget_if_right(app: &App, work: &CaseWork) -> Result<(), AppError> {
    let number = &work.case.number;
    if !counted::listed_otherwise(app).contains(number) {
        return Ok(());
    }
    let row = cases::find_case(&mut *app.store.read().await?, number).await?;
    if row.is_some_and(|row| work.is_listed_as(&row)) {
        counted::forget(app, number, Met::Listed);
    }
    Ok(())
}

/// What a list says of this party's cases that cannot be read, of those that nobody goes by, and of those that were taken
/// away; empty where there is none.
pub(super) fn not_to_go_by(
    app: &App,
    party: &PartyId,
    unreadable: &[String],
    doubted: &BTreeSet<CaseNumber>,
) -> String {
    let mut words = vec![
        unreadable_words(unreadable),
        doubted_words(doubted),
        counted::gone_words(app, party),
        counted::moved_words(app, party),
    ];
    words.retain(|one| !one.is_empty());
    words.join(" ")
}

/// What a count says of rows that it leaves out: "2 pieces of work are" goes on here.
pub(super) fn not_counted(what: &str) -> String {
    format!(
        "{what} not as the record says, and not counted here. Tell your administrator: “vestibule check” says more."
    )
}

fn doubted_words(doubted: &BTreeSet<CaseNumber>) -> String {
    if doubted.is_empty() {
        return String::new();
    }
    let numbers: Vec<String> = doubted.iter().map(CaseNumber::to_string).collect();
    format!(
        "{DOUBTED}: {}. Go by the page of the case, and tell your administrator: “vestibule check” says more.",
        numbers.join(", ")
    )
}
