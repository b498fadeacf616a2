//! A tag scanned into a form of a case: which of the case's items it is, or at once what is wrong with it.

use super::case_work::CaseWork;
use super::whose_case::own_case;
use super::{App, AppError, Person};
use crate::domain::custody::item::Item;
use crate::domain::custody::{CaseStep, Wanted, stands_against};
use crate::domain::values::ids::{Code, Tag};
use crate::store::{custody, parties};

/// The field that a form's scan is typed into.
pub const FIELD: &str = "scan";

fn no(sentence: impl Into<String>) -> AppError {
    AppError::field(FIELD, sentence.into())
}

/// What is said of a code that does not exist and of one that belongs to strangers alike.
pub fn not_known(code: &Code) -> String {
    format!("The {} {code} is not known here.", code.kind().words())
}

/// Reads a scanned tag as an item of this case that nothing stands against.
pub async fn scan<'a>(
    app: &App,
    person: &Person,
    work: &'a CaseWork,
    typed: &str,
    wanted: Wanted<'_>,
) -> Result<&'a Item, AppError> {
    let code = Code::parse_any(typed).map_err(|error| no(error.to_string()))?;
    if code.as_str() == work.case.number.as_str() {
        return Err(no(
            "This is the number of this case. Scan the tag of an item.",
        ));
    }
    let tag = Tag::parse(code.as_str()).map_err(|error| no(error.to_string()))?;
    let Some(item) = work.item(&tag) else {
        return Err(no(whose(app, person, &code, &tag).await?));
    };
    if let Some(sentence) = stands_against(&work.items, &work.events, &work.state, &tag, wanted) {
        return Err(no(sentence));
    }
    let offer = match wanted {
        Wanted::ToHandOver(_) => CaseStep::HandOver(&tag),
        Wanted::InHand(_) => CaseStep::Put(&tag),
        Wanted::ToFit(_) => CaseStep::Fit(&tag),
        Wanted::ToReceive { .. } | Wanted::ToLabel => return Ok(item),
    };
    // What the form does not offer is not chosen in it either.
    let against = work.offers(app, person).against(offer);
    match against.as_slice() {
        [] => Ok(item),
        [first, ..] => Err(no(first.sentence.as_str())),
    }
}

/// Says of an item that is not of this case which one it belongs to, if that is one's own.
async fn whose(app: &App, person: &Person, code: &Code, tag: &Tag) -> Result<String, AppError> {
    let mut conn = app.store.read_at_once().await?;
    let Some(item) = custody::find_item(&mut conn, tag).await? else {
        return Ok(not_known(code));
    };
    let case = match own_case(app, &mut conn, person, &item.case).await {
        Ok(case) => case,
        Err(AppError::NotFound) => return Ok(not_known(code)),
        Err(other) => return Err(other),
    };
    let office = parties::find(&mut conn, &case.office).await?;
    let office = office.map(|office| office.name).unwrap_or_default();
    Ok(format!(
        "Wrong case: {} {tag} belongs to case {} of {office}, not to this one.",
        item.title(),
        item.case
    ))
}
