//! Looks through what is stored while the program runs: counts rows against leaves and looks at the tables as a start does,
//! and holds houses, accounts and cases with the rows by which lists show them: the open cases, and those that their rows
//! alone call closed. What is changed past this program is told by `/healthz` and to administrators also where nobody opens
//! its page.
//!
//! It goes on calmly: nobody waits for it, each of its readers is given back after a few rows, and it rests between them.

use super::case_work::{CaseWork, InCommon};
use super::counted::{self, Met};
use super::proven::{find_together, is_signed_once};
use super::recorded::reference::hold;
use super::redraw::redraw;
use super::{App, AppError, doubted, watching};
use crate::domain::custody::case::Case;
use crate::domain::custody::events::{Closed, Constants};
use crate::domain::people::party::Side;
use crate::domain::values::ids::{CaseNumber, PartyId};
use crate::record::entry::LeafKind;
use crate::store::record::LeafRow;
use crate::store::reference::{ReferenceData, keys_after};
use crate::store::reports::NumberedCase;
use crate::store::{Connection, StoreError, cases, reports};
use serde_json::Value;
use std::time::Duration;
use tokio::time::sleep;

/// Rows of houses and accounts that are read on one reader.
const ROWS_AT_ONCE: i64 = 50;
/// Cases that are held on one reader: each costs as much as its page.
const CASES_AT_ONCE: i64 = 5;
/// Cases that are closed by their rows and read on one reader: of most, one leaf says that they are.
const CLOSED_AT_ONCE: i64 = 25;

/// How calmly it is looked.
#[derive(Debug, Clone, Copy)]
pub struct Pace {
    /// From the end of one look to the next, unless an alarm is raised.
    pub each: Duration,
    /// The same at the least, however many alarms are raised.
    pub least: Duration,
    /// Between two readers of one look.
    pub rest: Duration,
}

impl Default for Pace {
    fn default() -> Pace {
        Pace {
            each: Duration::from_secs(60 * 60),
            least: Duration::from_secs(60),
            rest: Duration::from_millis(250),
        }
    }
}

/// Looks again and again, until the program stops.
pub async fn keep_looking(app: App, pace: Pace) {
    let mut ended = watching::ended(&app);
    // Soon after a start, which has only counted.
    counted::ask(&app);
    while !*ended.borrow_and_update() {
        let looked = async {
            app.counted.due(pace.least, pace.each).await;
            look(&app, pace.rest).await
        };
        let looked = tokio::select! {
            _ = ended.changed() => return,
            looked = looked => looked,
        };
        // What was found before stays said.
        if let Err(error) = looked {
            tracing::warn!(%error, "what is stored could not be looked through, and is again later");
        }
    }
}

/// One look at everything.
///
/// # Errors
/// If the database does not answer.
pub async fn look(app: &App, rest: Duration) -> Result<(), AppError> {
    counted::look(app).await?;
    app.store.look_at_tables().await?;
    let mut changed = Vec::new();
    for (of, what) in [
        (ReferenceData::Party, "house"),
        (ReferenceData::Account, "account"),
    ] {
        match changed_rows(app, of, rest).await? {
            0 => {}
            many => changed.push((many, what)),
        }
    }
    counted::note_changed(app, &changed);
    open_cases(app, rest).await?;
    not_open_cases(app, rest).await?;
    again(app, rest).await?;
    // A start has drawn all of them: of what says that another version drew it, nobody compares how it is listed.
    match redraw(app).await? {
        0 => {}
        cases => tracing::error!(
            cases,
            "cases that another program has drawn are drawn again"
        ),
    }
    Ok(())
}

/// How many of these rows are not as their newest leaves say; none under a record that is another one, as every page says.
async fn changed_rows(app: &App, of: ReferenceData, rest: Duration) -> Result<i64, AppError> {
    let (mut after, mut changed) = (String::new(), 0);
    loop {
        let mut conn = app.store.read_at_once().await?;
        let keys = keys_after(&mut conn, of, &after, ROWS_AT_ONCE).await?;
        for key in &keys {
            match hold(app, &mut conn, of, key).await {
                Ok(_held) => {}
                Err(AppError::Store(StoreError::Forked(_)) | AppError::AnotherKey) => return Ok(0),
                Err(error) if error.is_of_one_alone() => changed += 1,
                Err(other) => return Err(other),
            }
        }
        drop(conn);
        let Some(last) = keys.last() else {
            return Ok(changed);
        };
        after.clone_from(last);
        sleep(rest).await;
    }
}

/// Holds the open cases of all laboratories, a few on each reader.
async fn open_cases(app: &App, rest: Duration) -> Result<(), AppError> {
    let (mut after, mut conn) = (String::new(), app.store.read().await?);
    let mut houses = Vec::new();
    loop {
        let keys = keys_after(&mut conn, ReferenceData::Party, &after, ROWS_AT_ONCE).await?;
        let Some(last) = keys.last() else { break };
        after.clone_from(last);
        houses.extend(keys);
    }
    drop(conn);
    for house in houses.into_iter().map(PartyId::new) {
        let mut after = Some(String::new());
        while let Some(number) = after {
            after = some_of_lab(app, &house, &number).await?;
            sleep(rest).await;
        }
    }
    Ok(())
}

/// Holds the next open cases of a laboratory; answers with the number behind which it goes on, where it does.
async fn some_of_lab(app: &App, lab: &PartyId, after: &str) -> Result<Option<String>, AppError> {
    let mut conn = app.store.read_at_once().await?;
    let rows = reports::open_after(&mut conn, (Side::Lab, lab), after, CASES_AT_ONCE).await?;
    let is_full = i64::try_from(rows.len()).is_ok_and(|many| many == CASES_AT_ONCE);
    let readable = rows.iter().filter_map(|(_, case)| case.as_ref().ok());
    let numbers: Vec<CaseNumber> = readable.map(|case| case.number.clone()).collect();
    find_together(app, &mut conn, &numbers).await?;
    let (mut next, mut shared) = (None, InCommon::default());
    for (number, case) in rows {
        next = Some(number.clone())
            .filter(|number| !number.is_empty())
            .or(next);
        look_at_row(app, &mut conn, (number, case), &mut shared).await?;
    }
    Ok(next.filter(|_| is_full))
}

/// Holds the cases that are not open by their rows, as far as the record does not say of them that they were closed.
async fn not_open_cases(app: &App, rest: Duration) -> Result<(), AppError> {
    let mut after = Some(String::new());
    while let Some(number) = after {
        after = some_not_open(app, &number).await?;
        sleep(rest).await;
    }
    Ok(())
}

/// The next of them; answers with the number behind which it goes on, where it does.
async fn some_not_open(app: &App, after: &str) -> Result<Option<String>, AppError> {
    let mut conn = app.store.read_at_once().await?;
    let rows = reports::not_open_after(&mut conn, after, CLOSED_AT_ONCE).await?;
    let is_full = i64::try_from(rows.len()).is_ok_and(|many| many == CLOSED_AT_ONCE);
    let (mut next, mut shared) = (None, InCommon::default());
    for (number, case) in rows {
        next = Some(number.clone())
            .filter(|number| !number.is_empty())
            .or(next);
        if !is_closed_by_record(app, &mut conn, &number).await? {
            look_at_row(app, &mut conn, (number, case), &mut shared).await?;
        }
    }
    Ok(next.filter(|_| is_full))
}

/// Whether the newest leaf of a case says that it was closed, and is signed. Where another one came behind it, its entries
/// say what it is.
async fn is_closed_by_record(
    app: &App,
    conn: &mut Connection,
    number: &str,
) -> Result<bool, AppError> {
    let newest = match app.store.newest_owned_by(conn, number).await {
        // What stands on every page says that the record is another one.
        Err(StoreError::Forked(_)) => return Ok(true),
        found => found?.filter(says_closed),
    };
    let Some(leaf) = newest else {
        return Ok(false);
    };
    match is_signed_once(app, conn, &leaf).await {
        Err(AppError::Store(StoreError::Forked(_))) => Ok(true),
        found => found,
    }
}

fn says_closed(leaf: &LeafRow) -> bool {
    let whole: Value = serde_json::from_str(&leaf.body).unwrap_or_default();
    let kind = whole.pointer("/event/what/kind").and_then(Value::as_str);
    leaf.kind == LeafKind::Event.word() && kind == Some(Closed::WORD)
}

/// Looks again at what lists were found to show otherwise: put right, a case may be among none of those above.
async fn again(app: &App, rest: Duration) -> Result<(), AppError> {
    for number in counted::listed_otherwise(app) {
        let mut conn = app.store.read_at_once().await?;
        match cases::find_case(&mut conn, &number).await {
            Ok(Some(case)) => look_at(app, &mut conn, &case, &mut InCommon::default()).await?,
            // It is counted as taken away.
            Ok(None) => counted::forget(app, &number, Met::Listed),
            Err(why) if why.is_of_a_value() => {}
            Err(why) => return Err(why.into()),
        }
        drop(conn);
        sleep(rest).await;
    }
    Ok(())
}

/// Holds one case by its row. One that cannot be read stands in no list, or in none as what it is.
async fn look_at_row(
    app: &App,
    conn: &mut Connection,
    (number, case): NumberedCase,
    shared: &mut InCommon,
) -> Result<(), AppError> {
    match case {
        Ok(case) => look_at(app, conn, &case, shared).await,
        Err(why) => {
            tracing::error!(case = %number, %why, "the row by which lists show a case cannot be read");
            if let Ok(number) = CaseNumber::parse(&number) {
                counted::note(app, &number, Met::Listed);
            }
            Ok(())
        }
    }
}

/// Holds one case, and the row by which lists show it. What speaks against it is noted where it is held.
async fn look_at(
    app: &App,
    conn: &mut Connection,
    case: &Case,
    shared: &mut InCommon,
) -> Result<(), AppError> {
    let loaded = CaseWork::beside(app, conn, (case.clone(), Side::Lab), shared).await;
    let work = match CaseWork::held_alone(app, conn, loaded).await {
        Ok(Ok(work)) => work,
        Ok(Err(_)) | Err(AppError::AnotherKey) => return Ok(()),
        Err(other) => return Err(other),
    };
    // Whether it is closed is drawn by every version alike.
    let is_listed = work.is_listed_as(case) && work.state.closed == case.closed;
    match is_listed {
        true => counted::forget(app, &case.number, Met::Listed),
        false => {
            tracing::error!(case = %case.number, "a case is listed otherwise than its entries say");
            counted::note(app, &case.number, Met::Listed);
        }
    }
    let row = doubted::hash_of(case);
    app.read_models.store_sound(&case.number, row, is_listed);
    Ok(())
}
