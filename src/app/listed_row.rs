//! Rows of lists that are drawn from the entries of a case, each held against its case before it is shown: once for each
//! state of both.

use super::case_work::CaseWork;
use super::{App, AppError, Person};
use crate::domain::values::digest::sha256_hex;
use crate::domain::values::ids::CaseNumber;
use crate::store::{Connection, cases};
use std::fmt::Debug;

/// Rows that one page holds for the first time in the state they are in: each costs as much as the page of its case.
const HELD_AT_ONCE: usize = 25;

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

/// Holds the rows of a list, each with its case. `list` tells lists of the same cases apart; `says` is whether the case says
/// what the row does.
///
/// # Errors
/// If the database does not answer, or the record is another key's.
pub(super) async fn held<R: Debug>(
    app: &App,
    conn: &mut Connection,
    person: &Person,
    list: &'static str,
    rows: impl IntoIterator<Item = (CaseNumber, R)>,
    says: impl Fn(&CaseWork, &R) -> bool,
) -> Result<HeldList<R>, AppError> {
    let (mut held, mut new) = (Vec::new(), 0);
    let mut unread = 0;
    for (number, row) in rows {
        // Whoever opens a case again or changes what is kept of it counts its version up.
        let version = cases::version(conn, &number).await?;
        let mark = sha256_hex(format!("{row:?} {version:?}").as_bytes());
        if app.read_models.was_held(list, &number, &mark) {
            held.push(row);
            continue;
        }
        if new == HELD_AT_ONCE {
            return Ok(HeldList {
                rows: held,
                unread,
                more: true,
            });
        }
        new += 1;
        let is_said = async {
            let work = CaseWork::load(app, conn, person, &number).await?;
            work.hold(app, conn).await?;
            Ok(says(&work, &row))
        };
        match is_said.await {
            Ok(true) => {
                app.read_models.store_held(list, &number, mark);
                held.push(row);
            }
            Ok(false) => {
                tracing::error!(case = %number, list, "a row of a list is not as the entries of its case say");
                unread += 1;
            }
            Err(error) if AppError::is_of_one_alone(&error) => unread += 1,
            Err(error) => return Err(error),
        }
    }
    Ok(HeldList {
        rows: held,
        unread,
        more: false,
    })
}
