//! Where things are: the first page, and the long list behind each of its columns.

use super::{App, AppError, Person};
use crate::domain::custody::case::{Case, Place};
use crate::domain::people::party::Side;
use crate::store::cases;
use std::sync::Arc;

/// A part of a long list.
#[derive(Debug, Clone, Copy)]
struct Page {
    limit: i64,
    offset: i64,
}

/// Cases shown in a column before "all of them".
pub const COLUMN_CASES: i64 = 12;
/// Cases on one page of a long list.
pub const LIST_CASES: i64 = 50;
/// A column's count stops here and reads "99 and more".
pub const COUNT_MOST: i64 = 100;

/// One of the four columns.
#[derive(Debug, Clone)]
pub struct Column {
    pub place: Place,
    pub cases: Vec<Case>,
    /// Up to [`COUNT_MOST`].
    pub count: i64,
}

/// The side of a person's party; an administrator has none.
pub fn side(person: &Person) -> Result<Side, AppError> {
    match person.party.as_ref().map(|party| party.kind) {
        Some(Side::Office) => Ok(Side::Office),
        Some(Side::Lab) => Ok(Side::Lab),
        None => Err(AppError::NotFound),
    }
}

pub async fn board(app: &App, person: &Person) -> Result<Arc<Vec<Column>>, AppError> {
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
        columns.push(Column {
            place,
            cases,
            count,
        });
    }
    let columns = Arc::new(columns);
    app.read_models
        .keep_board(person.party_id(), person.changes, columns.clone());
    Ok(columns)
}

/// One page of a column's whole list, `number` counted from 0.
pub async fn column(
    app: &App,
    person: &Person,
    place: Place,
    number: i64,
) -> Result<Vec<Case>, AppError> {
    let page = Page {
        limit: LIST_CASES,
        offset: number.clamp(0, 100_000) * LIST_CASES,
    };
    list(app, person, side(person)?, place, page).await
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
