//! Which cases of the first page are not as the record says. To hold a case costs as much as its page, so it is done once for
//! each state of it, a few with each page that is drawn. Of those that were found so as many are held again with each page;
//! the others are as they were found.

use super::agenda::Agenda;
use super::{App, AppError, Person, see_case};
use crate::domain::custody::case::Case;
use crate::domain::values::ids::CaseNumber;
use std::collections::BTreeSet;

/// Cases that one page holds for the first time in the state they are in, and as many again: some 50 ms each.
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
    let lists = lists.chain(&found.closed);
    let cases: Vec<&Case> = lists.flat_map(|lines| &lines.cases).collect();
    let (mut doubted, mut new, mut again) = (BTreeSet::new(), 0, 0);
    for case in cases {
        match app.read_models.was_sound(&case.number, case.version) {
            Some(true) => continue,
            // Whoever changes all cases is not to make the page wait for all of them.
            Some(false) if again == HELD_AT_ONCE => {
                doubted.insert(case.number.clone());
                continue;
            }
            Some(false) => again += 1,
            None if new == HELD_AT_ONCE => continue,
            None => new += 1,
        }
        if is_doubted(app, person, case).await? {
            doubted.insert(case.number.clone());
        }
    }
    Ok(doubted)
}

async fn is_doubted(app: &App, person: &Person, case: &Case) -> Result<bool, AppError> {
    let (version, is_sound) = match see_case::see(app, person, &case.number).await {
        Ok(view) => (view.work.case.version, view.work.doubt.is_none()),
        // It was taken away since the lists were read.
        Err(AppError::NotFound) => return Ok(false),
        Err(error) if error.is_of_one_alone() => (case.version, false),
        Err(error) => return Err(error),
    };
    app.read_models.store_sound(&case.number, version, is_sound);
    Ok(!is_sound)
}
