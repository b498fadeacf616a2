//! Rows of lists that are drawn from the entries of a case, each held against its case before it is shown: once for each
//! state of both.

use super::case_work::CaseWork;
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
    pub rows: Vec<R>,
    /// How many are left out, since their cases cannot be read, are of other houses, or say something else.
    pub unread: usize,
    /// Whether there are more behind these, which the next pages hold.
    pub more: bool,
}

/// Holds the rows of a list, each with its case: so many of them for the first time. `list` tells lists of the same cases
/// apart; `says` is whether the case says what the row does.
///
/// # Errors
/// If the database does not answer, or the record is another key's.
pub(super) async fn held<R: Debug>(
    app: &App,
    conn: &mut Connection,
    person: &Person,
    (list, most): (&'static str, usize),
    rows: impl IntoIterator<Item = (CaseNumber, R)>,
    says: impl Fn(&CaseWork, &R) -> bool,
) -> Result<HeldList<R>, AppError> {
    let (mut held, mut new) = (Vec::new(), 0);
    let (mut unread, mut again) = (0, 0);
    for (number, row) in rows {
        // Whoever opens a case again or changes what is kept of it counts its version up.
        let version = cases::version(conn, &number).await?;
        let mark = sha256_hex(format!("{row:?} {version:?}").as_bytes());
        match app.read_models.was_held(list, &number, &mark) {
            Some(true) => {
                held.push(row);
                continue;
            }
            // One that is wrong is not to take the place of those behind it.
            Some(false) if again == HELD_AGAIN => {
                unread += 1;
                continue;
            }
            Some(false) => again += 1,
            None if new == most => {
                return Ok(HeldList {
                    rows: held,
                    unread,
                    more: true,
                });
            }
            None => new += 1,
        }
        let is_said = async {
            let work = CaseWork::load(app, conn, person, &number).await?;
            work.hold(app, conn).await?;
            Ok(says(&work, &row))
        };
        let is_said = match is_said.await {
            Ok(is_said) => is_said,
            Err(error) if AppError::is_of_one_alone(&error) => false,
            Err(error) => return Err(error),
        };
        app.read_models.store_held(list, &number, mark, is_said);
        if is_said {
            held.push(row);
        } else {
            tracing::error!(case = %number, list, "a row of a list is not as the entries of its case say");
            unread += 1;
        }
    }
    Ok(HeldList {
        rows: held,
        unread,
        more: false,
    })
}
