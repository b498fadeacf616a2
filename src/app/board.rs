//! Where things are: the first page, and the long list behind each of its columns.

use super::{App, AppError, Person};
use crate::domain::custody::case::{Case, Place};
use crate::domain::people::party::Side;
use crate::domain::values::ids::{CaseNumber, PatientCode};
use crate::domain::values::moment::show_date;
use crate::store::cases;
use std::sync::Arc;

/// A part of a long list.
#[derive(Debug, Clone, Copy)]
struct Page {
    limit: i64,
    offset: i64,
}

/// Cases shown in a column before "all of them".
const COLUMN_CASES: i64 = 12;
/// Cases on one page of a long list.
const LIST_CASES: i64 = 50;
/// A column's count stops here and reads "99 and more".
pub const COUNT_MOST: i64 = 100;

/// One of the four columns.
#[derive(Debug, Clone)]
pub struct BoardColumn {
    pub place: Place,
    pub cases: Vec<Case>,
    /// Up to [`COUNT_MOST`].
    pub count: i64,
}

impl BoardColumn {
    /// How many cases stand in it, as far as it is counted.
    pub fn count_words(&self) -> String {
        match self.count >= COUNT_MOST {
            true => format!("{} and more", COUNT_MOST - 1),
            false => self.count.to_string(),
        }
    }

    /// Whether there are more than the column shows.
    pub fn has_more(&self) -> bool {
        self.count > COLUMN_CASES
    }
}

/// A case as a card of a column.
#[derive(Debug, Clone)]
pub struct Card {
    pub number: CaseNumber,
    pub patient: PatientCode,
    pub summary: String,
    pub due: String,
    pub late: bool,
    /// Something lent is due back then; empty where nothing is.
    pub lent: String,
    pub lent_late: bool,
    pub held: String,
    pub waiting_for: String,
    /// Whether the next step is one's own.
    pub mine: bool,
}

impl Card {
    /// The case as this side sees it on this day. With the patient nothing of it is late any more; what is
    /// lent is late on the day itself.
    pub fn of(case: &Case, side: Side, today: time::Date) -> Card {
        Card {
            number: case.number.clone(),
            patient: case.patient.clone(),
            summary: case.summary.clone(),
            late: case.due.is_some_and(|due| due < today) && case.place != Place::Patient,
            due: case.due.map(show_date).unwrap_or_default(),
            lent: case.lent_due.map(show_date).unwrap_or_default(),
            lent_late: case.lent_due.is_some_and(|due| due <= today),
            held: case.held_shown(),
            waiting_for: case.waiting_for_shown(),
            mine: case.waits_for(side),
        }
    }
}

/// Cases as this person's cards of today.
pub fn cards(app: &App, person: &Person, cases: &[Case]) -> Result<Vec<Card>, AppError> {
    let side = side(person)?;
    let today = person.moment(app.outside.now_ms()).date();
    Ok(cases
        .iter()
        .map(|case| Card::of(case, side, today))
        .collect())
}

/// The side of a person's party; an administrator has none.
pub fn side(person: &Person) -> Result<Side, AppError> {
    let party = person.party.as_ref().ok_or(AppError::NotFound)?;
    Ok(party.kind)
}

/// The four columns of the first page, read again only when something of the party has changed.
pub async fn board(app: &App, person: &Person) -> Result<Arc<Vec<BoardColumn>>, AppError> {
    let side = side(person)?;
    if let Some(columns) = app.read_models.board(person.party_id(), person.changes) {
        return Ok(columns);
    }
    let mut columns = Vec::new();
    for &place in Place::ALL {
        let page = Page {
            limit: COLUMN_CASES,
            offset: 0,
        };
        let cases = list(app, person, side, place, page).await?;
        let mut conn = app.store.read().await?;
        let party = person.party_id();
        let count = cases::count_standing(&mut conn, side, party, place, COUNT_MOST).await?;
        columns.push(BoardColumn {
            place,
            cases,
            count,
        });
    }
    let columns = Arc::new(columns);
    app.read_models
        .store_board(person.party_id(), person.changes, columns.clone());
    Ok(columns)
}

/// One page of a column's whole list, `number` counted from 0; and whether another may follow.
pub async fn column(
    app: &App,
    person: &Person,
    place: Place,
    number: i64,
) -> Result<(Vec<Card>, bool), AppError> {
    let page = Page {
        limit: LIST_CASES,
        offset: number.clamp(0, 100_000) * LIST_CASES,
    };
    let found = list(app, person, side(person)?, place, page).await?;
    let is_full = i64::try_from(found.len()).unwrap_or(0) == LIST_CASES;
    Ok((cards(app, person, &found)?, is_full))
}

/// Dated cases first, undated after them.
async fn list(
    app: &App,
    person: &Person,
    side: Side,
    place: Place,
    page: Page,
) -> Result<Vec<Case>, AppError> {
    let mut conn = app.store.read().await?;
    let party = person.party_id();
    let mut found =
        cases::standing_in(&mut conn, side, party, place, page.limit, page.offset).await?;
    let missing = page.limit - i64::try_from(found.len()).unwrap_or(page.limit);
    if missing > 0 {
        let dated = if found.is_empty() && page.offset > 0 {
            cases::count_dated(&mut conn, side, party, place, page.offset).await?
        } else {
            page.offset
        };
        let skip = if found.is_empty() {
            page.offset - dated
        } else {
            0
        };
        found.extend(cases::standing_undated(&mut conn, side, party, place, missing, skip).await?);
    }
    Ok(found)
}
