//! Until when papers of closed cases are kept, as it is listed, against the signed texts and the entries.

use super::Examined;
use crate::app::case_work::CaseWork;
use crate::app::papers_noted::row_of;
use crate::app::{App, AppError};
use crate::domain::custody::case::DRAWN;
use crate::store::Connection;
use crate::store::papers_kept;

/// Cases that are read at once.
const CASES_AT_ONCE: i64 = 200;

/// Notes what is to be listed of a case; of one that an earlier version drew, nothing is yet.
pub fn said(examined: &mut Examined, work: &CaseWork) {
    if work.case.drawn == DRAWN {
        let row = row_of(&work.case, &work.state, &work.signed);
        let row = row.map(|row| (row.case.as_str().to_owned(), row));
        examined.papers.extend(row);
    }
}

/// What is listed must be what was noted.
pub async fn listed(
    examined: &mut Examined,
    app: &App,
    conn: &mut Connection,
) -> Result<(), AppError> {
    let mut said = std::mem::take(&mut examined.papers);
    if !app.store.has_papers_kept(conn).await? {
        return Ok(());
    }
    let mut last = String::new();
    loop {
        let rows = papers_kept::after(conn, &last, CASES_AT_ONCE).await?;
        let Some(end) = rows.last() else { break };
        last = end.case.as_str().to_owned();
        for row in rows {
            if said.remove(row.case.as_str()).as_ref() != Some(&row) {
                let case = row.case;
                let sentence = format!(
                    "How long the papers of case {case} are kept is not listed as it was signed and entered."
                );
                examined.fault(None, sentence);
            }
        }
    }
    for row in said.values() {
        let sentence = format!(
            "How long the papers of case {} are kept is not listed.",
            row.case
        );
        examined.fault(None, sentence);
    }
    Ok(())
}
