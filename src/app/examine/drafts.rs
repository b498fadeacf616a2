//! Drafts: nobody has signed them and no leaf stands for them, but a page has to be able to show each.

use super::Examined;
use crate::app::AppError;
use crate::app::own_draft::hold_draft;
use crate::domain::values::ids::CaseNumber;
use crate::store::drafts::{self, Draft};
use crate::store::{Connection, StoreError, cases};

/// Drafts that are read at once.
const AT_ONCE: i64 = 500;

/// Every draft, with the texts that were laid aside.
pub(super) async fn examine(examined: &mut Examined, conn: &mut Connection) {
    let mut after = String::new();
    loop {
        let numbers = drafts::numbers_after(conn, &after, AT_ONCE).await;
        let numbers = examined.read("The list of drafts", numbers.map_err(AppError::from));
        let Some(numbers) = numbers else { break };
        let Some(last) = numbers.last() else { break };
        for number in &numbers {
            one(examined, conn, number).await;
        }
        after.clone_from(last);
    }
}

async fn one(examined: &mut Examined, conn: &mut Connection, number: &str) {
    let read = match CaseNumber::parse(number) {
        Ok(number) => drafts::find_with_conflicts(conn, &number).await,
        Err(why) => Err(StoreError::row("draft", number, why)),
    };
    let what = format!("The draft of case {number}");
    match examined.read(&what, read.map_err(AppError::from)) {
        Some(Some((draft, _))) if draft.damaged => examined.fault(
            None,
            format!(
                "{what} is damaged. Its page shows what can be read of it, and the next text that is saved there \
                 writes it again."
            ),
        ),
        Some(Some((draft, _))) => whose(examined, conn, &what, &draft).await,
        _ => {}
    }
}

/// Whether the office of the case has written it.
async fn whose(examined: &mut Examined, conn: &mut Connection, what: &str, draft: &Draft) {
    // A case that is gone or cannot be read is named by its own leaf.
    let Ok(Some(case)) = cases::find_case(conn, &draft.case).await else {
        return;
    };
    match hold_draft(conn, &case, draft).await {
        Err(AppError::Refused(_)) => {
            examined.fault(
                None,
                format!("{what} was not written by the office of that case."),
            );
        }
        held => {
            examined.read(what, held);
        }
    }
}
