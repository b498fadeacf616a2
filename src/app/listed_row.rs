//! Rows of lists that are drawn from the entries of a case, each held against its case before it is shown: once for each
//! state of both.

use super::case_work::CaseWork;
use super::proven::find_together;
use super::{App, AppError, Person};
use crate::domain::values::digest::sha256_hex;
use crate::domain::values::ids::CaseNumber;
use crate::store::{Connection, cases};
use std::fmt::Debug;

/// Rows that the page of a list holds for the first time in the state they are in: each costs as much as the page of its case.
pub(super) const HELD_AT_ONCE: usize = 25;
/// Rows that were found to be wrong and are held again with each page; the others are as they were found.
const HELD_AGAIN: usize = 10;

/// What is left of a list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct HeldList<R> {
    /// In their order.
    pub rows: Vec<(CaseNumber, R)>,
    /// How many are left out, since their cases cannot be read, are of other houses, or say something else.
    pub unread: usize,
    /// Whether there are more behind these: than are listed, or that the next pages hold.
    pub more: bool,
}

/// Cuts a list to so many rows; answers whether there were more.
pub(super) fn cut<R>(rows: &mut Vec<R>, most: i64) -> bool {
    let most = usize::try_from(most).unwrap_or(usize::MAX);
    let more = rows.len() > most;
    rows.truncate(most);
    more
}

/// Holds the rows of a list, each with its case: of so many rows, so many for the first time. `list` tells lists of the same
/// cases apart; `says` is whether the case says what the row does.
///
/// # Errors
/// If the database does not answer, or the record is another key's.
pub(super) async fn held<R: Debug>(
    app: &App,
    conn: &mut Connection,
    person: &Person,
    (list, listed, at_once): (&'static str, i64, usize),
    mut rows: Vec<(CaseNumber, R)>,
    says: impl Fn(&CaseWork, &R) -> bool,
) -> Result<HeldList<R>, AppError> {
    let more = cut(&mut rows, listed);
    let marked = marked(app, conn, list, rows).await?;
    let new = marked.iter().filter(|row| row.known.is_none());
    let new: Vec<CaseNumber> = new.take(at_once).map(|row| row.number.clone()).collect();
    find_together(app, conn, &new).await?;
    let mut held = HeldList {
        rows: Vec::with_capacity(marked.len()),
        unread: 0,
        more,
    };
    let (mut new, mut again) = (0, 0);
    for MarkedRow {
        number,
        row,
        mark,
        known,
    } in marked
    {
        match known {
            Some(true) => {
                held.rows.push((number, row));
                continue;
            }
            // One that is wrong is not to take the place of those behind it.
            Some(false) if again == HELD_AGAIN => {
                held.unread += 1;
                continue;
            }
            Some(false) => again += 1,
            None if new == at_once => {
                held.more = true;
                return Ok(held);
            }
            None => new += 1,
        }
        let loaded = CaseWork::load(app, conn, person, &number).await;
        let work = CaseWork::held_alone(app, conn, loaded).await?;
        let is_said = work.is_ok_and(|work| says(&work, &row));
        app.read_models.store_held(list, &number, mark, is_said);
        if is_said {
            held.rows.push((number, row));
        } else {
            tracing::error!(case = %number, list, "a row of a list is not as the entries of its case say");
            held.unread += 1;
        }
    }
    Ok(held)
}

/// A row with the state that it and its case are in, and what was found when it was held in that state.
struct MarkedRow<R> {
    number: CaseNumber,
    row: R,
    mark: String,
    known: Option<bool>,
}

async fn marked<R: Debug>(
    app: &App,
    conn: &mut Connection,
    list: &'static str,
    rows: Vec<(CaseNumber, R)>,
) -> Result<Vec<MarkedRow<R>>, AppError> {
    let mut marked = Vec::with_capacity(rows.len());
    for (number, row) in rows {
        // Whoever opens a case again or changes what is kept of it counts its version up.
        let version = cases::version(conn, &number).await?;
        let mark = sha256_hex(format!("{row:?} {version:?}").as_bytes());
        let known = app.read_models.was_held(list, &number, &mark);
        marked.push(MarkedRow {
            number,
            row,
            mark,
            known,
        });
    }
    Ok(marked)
}
