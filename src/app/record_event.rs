//! One event of one case: disinfecting, moving, fitting, taking out, giving, giving back, bringing back,
//! using up, keeping back, destroying, writing off, correcting. Which of them may happen is the rules' word.

use super::case_work::CaseWork;
use super::entry::{Late, late, signed};
use super::manage::Typed;
use super::run::on_case::run_on_case;
use super::sign_in::confirm_password;
use super::{App, AppError, Person, PostKey};
use crate::domain::custody::events::{ACTIONS, Action, MEANS_WRITTEN_OFF, Subject, WrittenOff};
use crate::domain::custody::item::Item;
use crate::domain::custody::{Exception, What, allow_in};
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::{CaseNumber, Tag};
use crate::domain::values::moment::Moment;
use crate::store::custody;

/// Characters of a text in an event.
pub const TEXT_MOST: usize = 500;
/// Pieces that one item may consist of.
pub(super) const PIECES_MOST: u32 = 99;

/// A text of an event's form, trimmed; too long a one is a fault.
pub(super) fn text(typed: &Typed, key: &str, faults: &mut Vec<Fault>) -> String {
    let text = typed
        .get(key)
        .map(|text| text.trim().to_owned())
        .unwrap_or_default();
    if text.chars().count() > TEXT_MOST {
        faults.push(Fault::new(key, format!("At most {TEXT_MOST} characters.")));
    }
    text
}

/// A text that must not be empty.
pub(super) fn needed(typed: &Typed, key: &str, message: &str, faults: &mut Vec<Fault>) -> String {
    let text = text(typed, key, faults);
    if text.is_empty() {
        faults.push(Fault::new(key, message));
    }
    text
}

/// A number of pieces; none where nothing is typed.
pub(super) fn pieces(typed: &Typed, key: &str, faults: &mut Vec<Fault>) -> Option<u32> {
    let typed = typed.get(key).map(|text| text.trim()).unwrap_or_default();
    if typed.is_empty() {
        return None;
    }
    let pieces = typed.parse().ok().filter(|count| *count <= PIECES_MOST);
    if pieces.is_none() {
        let message = format!("A whole number, at most {PIECES_MOST}.");
        faults.push(Fault::new(key, message));
    }
    pieces
}

/// Reads the form of an action on one item, and when it was done if not now.
fn read(person: &Person, typed: &Typed, tag: &Tag) -> Result<(What, Option<Late>), AppError> {
    let word = typed.get("action").map(String::as_str).unwrap_or_default();
    let action = ACTIONS.iter().find(|action| action.word == word);
    let action = action.ok_or_else(|| AppError::field("action", "Choose what to record."))?;
    let mut faults = Vec::new();
    let what = (action.typed)(tag, typed, &mut faults);
    let late = late(person, typed, &mut faults);
    match what {
        Some(what) if faults.is_empty() => Ok((what, late)),
        _ => Err(AppError::Invalid(faults)),
    }
}

/// What this person may record about an item now: what the rules would let through if it were filled in well.
pub fn offers(
    work: &CaseWork,
    item: &Item,
    person: &Person,
    at: Moment,
) -> Vec<&'static Action<What>> {
    let context = work.context();
    let mut events = work.events.iter();
    let about = Subject {
        tag: &item.tag,
        scope: context.scope(),
        case: &work.state,
        entry: events
            .find(|event| event.what.tags().contains(&&item.tag))
            .map(|event| event.id.as_str()),
    };
    let by = person.actor();
    let is_allowed = |action: &&Action<What>| {
        let what = (action.example)(&about);
        allow_in(&context, &work.state, &what, &by, at).is_empty()
    };
    ACTIONS.iter().filter(is_allowed).collect()
}

/// Records an action on one item of one's own case.
pub async fn record(
    app: &App,
    person: &Person,
    tag: &Tag,
    typed: &Typed,
    key: &PostKey,
) -> Result<(), AppError> {
    let mut conn = app.store.read().await?;
    let item = custody::find_item(&mut conn, tag)
        .await?
        .ok_or(AppError::NotFound)?;
    super::case_work::own_case(&mut conn, person, &item.case).await?;
    drop(conn);
    let (mut what, late) = read(person, typed, tag)?;
    if let What::WrittenOff(WrittenOff { signed: under, .. }) = &mut what {
        *under = Some(signed(app, person, typed, MEANS_WRITTEN_OFF).await?);
    }
    append(app, person, &item.case, what, late, key).await
}

/// Appends one event to a case.
async fn append(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    what: What,
    late: Option<Late>,
    key: &PostKey,
) -> Result<(), AppError> {
    let id = app.outside.identity()?;
    run_on_case(app, person, number, key, |mut work, mut tx| async {
        work.append(app, &mut tx, person, &id, what.clone(), late.as_ref())
            .await?;
        Ok((work, tx, ()))
    })
    .await
}

/// An exception as typed: none without a reason; with one, the dentist's password again.
pub(super) async fn exception(
    app: &App,
    person: &Person,
    typed: &Typed,
) -> Result<Option<Exception>, AppError> {
    let mut faults = Vec::new();
    let reason = text(typed, "reason", &mut faults);
    if !faults.is_empty() {
        return Err(AppError::Invalid(faults));
    }
    if reason.is_empty() {
        return Ok(None);
    }
    if !person.may(crate::domain::people::access::Permission::Sign) {
        return Err(AppError::field(
            "reason",
            "Only the dentist signs an exception: leave this empty, or let the dentist do it.",
        ));
    }
    confirm_password(
        app,
        person,
        typed
            .get("password")
            .map(String::as_str)
            .unwrap_or_default(),
    )
    .await?;
    Ok(Some(Exception {
        name: person.account.name.clone(),
        licence: person.account.licence.clone(),
        reason,
    }))
}
