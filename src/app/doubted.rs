//! Which cases of the first page are not as the record says. To hold a case costs as much as its page, so it is done once for
//! each state of it, a few with each page that is drawn; those that were found so are held each time.

use super::agenda::Agenda;
use super::{App, AppError, Person, see_case};
use crate::domain::custody::case::Case;
use crate::domain::values::ids::CaseNumber;
use std::collections::BTreeSet;

/// Cases that one page holds: some 50 ms.
const HELD_AT_ONCE: usize = 10;

/// What the line of such a case says.
pub const DOUBTED: &str = "Not as the record says: somebody has changed it past this program";

/// Those among the lines of the page that are known to be so.
pub async fn among(
    app: &App,
    person: &Person,
    found: &Agenda,
) -> Result<BTreeSet<CaseNumber>, AppError> {
    let lists = found.lists.iter().map(|(_, lines)| lines);
    let cases = lists
        .chain(&found.closed)
        .flat_map(|lines| &lines.cases)
        .filter(|case| !app.read_models.is_held(&case.number, case.version));
    let cases: Vec<&Case> = cases.take(HELD_AT_ONCE).collect();
    let mut doubted = BTreeSet::new();
    for case in cases {
        if is_doubted(app, person, case).await? {
            doubted.insert(case.number.clone());
        }
    }
    Ok(doubted)
}

async fn is_doubted(app: &App, person: &Person, case: &Case) -> Result<bool, AppError> {
    match see_case::see(app, person, &case.number).await {
        Ok(view) if view.work.doubt.is_none() => {
            let version = view.work.case.version;
            app.read_models.store_held(&case.number, version);
            Ok(false)
        }
        // It has gone to another house, or was taken away, since the lists were read.
        Err(AppError::NotFound) => Ok(false),
        Err(error) if !error.is_of_one_alone() => Err(error),
        Ok(_) | Err(_) => Ok(true),
    }
}
