//! How much is passed on to a house, as its first page says it. The rows that are counted are drawn from entries of other
//! houses' cases, and whoever writes in them would have work lie about that nobody looks for: so each is held against its
//! entry, once for each state of the row.

use super::case_work::CaseWork;
use super::doubted::not_counted;
use super::proven::find_together;
use super::{App, AppError, Person};
use crate::domain::values::digest::sha256_hex;
use crate::domain::values::ids::CaseNumber;
use crate::store::passed::{self, PassedCount, PassedRow};
use crate::store::{Connection, StoreError};

/// Rows that are looked at: what is open stands first.
const ROWS_MOST: i64 = 100;
/// Rows that one page holds for the first time in the state they are in: each costs as much as the page of its case.
const HELD_AT_ONCE: usize = 10;

/// What is passed on to a house.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct PassedNow {
    pub open: i64,
    /// Answers to questions of this house since it has entered something last.
    pub new_answers: i64,
    /// Of how much more what is stored cannot be read, or no entry passes it on, or it is not listed.
    pub unread: usize,
}

impl PassedNow {
    /// What is said of what is not counted; empty for most.
    pub fn unread_words(&self) -> String {
        let what = match self.unread {
            0 => return String::new(),
            1 => "1 piece of work passed on to you is".to_owned(),
            many => format!("{many} pieces of work passed on to you are"),
        };
        not_counted(&what)
    }
}

/// Whether a row says that it is open, and how many answers count of it.
fn says(row: &PassedRow) -> (i64, i64) {
    match row.is_open {
        true => (1, row.new_answers),
        false => (0, 0),
    }
}

/// What the entries say of a row; none where they do not pass it on to this house, or its case is not as the record says.
async fn said(
    app: &App,
    conn: &mut Connection,
    person: &Person,
    row: &PassedRow,
) -> Result<Option<PassedRow>, AppError> {
    let loaded = CaseWork::passed_to(app, conn, person, &row.event).await;
    let loaded = loaded.map(|(work, _)| work);
    match CaseWork::held_alone(app, conn, loaded).await? {
        Ok(work) => {
            let mut rows = work.passed_rows().into_iter();
            Ok(rows.find(|one| one.event == row.event))
        }
        // What stands on every page says that the record is another one.
        Err(AppError::Store(StoreError::Forked(_))) => Ok(Some(row.clone())),
        Err(_) => Ok(None),
    }
}

/// Counts it.
pub async fn count(app: &App, person: &Person) -> Result<PassedNow, AppError> {
    let mut conn = app.store.read_at_once().await?;
    let PassedCount { open, new_answers } =
        passed::count_open(&mut conn, person.party_id()).await?;
    let mut now = PassedNow {
        open,
        new_answers,
        unread: passed::unlisted(&mut conn, person.party_id()).await?,
    };
    let mut new = Vec::new();
    for row in passed::of_party(&mut conn, person.party_id(), ROWS_MOST).await? {
        let Ok(row) = row else {
            now.unread += 1;
            continue;
        };
        let mark = sha256_hex(format!("{row:?}").as_bytes());
        if !app.read_models.was_passed(&row.event, &mark) && new.len() < HELD_AT_ONCE {
            new.push((row, mark));
        }
    }
    let numbers: Vec<CaseNumber> = new.iter().map(|(row, _)| row.case.clone()).collect();
    find_together(app, &mut conn, &numbers).await?;
    for (row, mark) in new {
        let said = said(app, &mut conn, person, &row).await?;
        if said.as_ref() == Some(&row) {
            app.read_models.store_passed(&row.event, mark);
            continue;
        }
        tracing::error!(case = %row.case, "what is passed on is listed otherwise than its entries say");
        let (open, answers) = says(&row);
        let (is_open, are_new) = said.as_ref().map_or((0, 0), says);
        now.unread += usize::from(said.is_none());
        now.open += is_open - open;
        now.new_answers += are_new - answers;
    }
    Ok(now)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_not_counted_is_said_in_words_and_nothing_otherwise() {
        let unread = |unread| PassedNow {
            unread,
            ..PassedNow::default()
        };
        assert_eq!(unread(0).unread_words(), "");
        assert!(
            unread(1)
                .unread_words()
                .starts_with("1 piece of work passed on to you is not")
        );
        assert!(
            unread(2)
                .unread_words()
                .starts_with("2 pieces of work passed on to you are not")
        );
    }
}
