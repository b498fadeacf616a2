//! Receiving: the other side says item by item what it found. Two people at once: one wins, the other is told.

use super::case_work::CaseWork;
use super::manage::Typed;
use super::record_event::text;
use super::{App, AppError, Person, PostKey};
use crate::domain::custody::{Found, Outcome, What};
use crate::domain::fault::Fault;
use crate::domain::handoff::{self, Handoff};
use crate::domain::ids::{CaseNumber, Tag};
use crate::store::custody::{HandoffRow, find_handoff, update_handoff};
use crate::store::{StoreError, Tx, retry};

/// A handoff with its case, for the page.
pub async fn see(app: &App, person: &Person, id: &str) -> Result<(CaseWork, Handoff), AppError> {
    let mut conn = app.store.read().await?;
    let row = find_handoff(&mut conn, id)
        .await?
        .ok_or(AppError::NotFound)?;
    let work = CaseWork::load(&mut conn, person, &row.case).await?;
    let handoff = handoff::fold(&work.events)
        .into_iter()
        .find(|one| one.id == id);
    let handoff = handoff.ok_or_else(|| StoreError::row("handoff", id, "no event tells of it"))?;
    Ok((work, handoff))
}

/// Reads what was found of each outstanding item.
fn read(typed: &Typed, outstanding: &[Tag]) -> Result<(Vec<Found>, String), AppError> {
    let mut faults = Vec::new();
    let mut found = Vec::new();
    for tag in outstanding {
        let key = |part: &str| format!("{}.{part}", tag.as_str());
        let word = |part: &str| {
            typed
                .get(&key(part))
                .map(String::as_str)
                .unwrap_or_default()
        };
        let Some(outcome) = Outcome::from_word(word("outcome")) else {
            faults.push(Fault::new(
                key("outcome"),
                "Say what you found; “missing from the box” is an answer.",
            ));
            continue;
        };
        if outcome == Outcome::Missing && typed.contains_key(&key("here")) {
            faults.push(Fault::new(
                key("outcome"),
                "It is ticked as being in your hand: untick it, or say what you found.",
            ));
        }
        let note = text(typed, &key("note"), &mut faults);
        if matches!(outcome, Outcome::Damaged | Outcome::NotAsDescribed) && note.is_empty() {
            faults.push(Fault::new(
                key("note"),
                "Say what is damaged or different: the other side has to know.",
            ));
        }
        let marked = word("marked");
        if outcome != Outcome::Missing && marked.is_empty() {
            faults.push(Fault::new(
                key("marked"),
                "Say whether it came marked as disinfected.",
            ));
        }
        found.push(Found {
            tag: tag.clone(),
            outcome,
            marked_disinfected: marked == "yes",
            note,
        });
    }
    let unannounced = text(typed, "unannounced", &mut faults);
    if faults.is_empty() {
        Ok((found, unannounced))
    } else {
        Err(AppError::Invalid(faults))
    }
}

/// Receives a handoff. The case number is the outcome.
pub async fn receive(
    app: &App,
    person: &Person,
    id: &str,
    typed: &Typed,
    key: &PostKey,
) -> Result<CaseNumber, AppError> {
    let event = app.outside.identity()?;
    retry(|| async {
        let mut tx = app.store.begin().await?;
        let row = find_handoff(tx.conn(), id)
            .await?
            .ok_or(AppError::NotFound)?;
        let mut work = CaseWork::load(tx.conn(), person, &row.case).await?;
        if app.earlier(&mut tx, person, key).await?.is_some() {
            return Ok(row.case);
        }
        let handoff = the_handoff(&work, id)?;
        let outstanding: Vec<Tag> = handoff.outstanding().into_iter().cloned().collect();
        if outstanding.is_empty() {
            return Err(AppError::Conflict(already(&handoff)));
        }
        let (items, unannounced) = read(typed, &outstanding)?;
        let what = What::Received {
            handoff: id.to_owned(),
            place: work.house(),
            items,
            unannounced,
        };
        work.append(app, &mut tx, person, &event, what).await?;
        set_state(&mut tx, row.clone(), &the_handoff(&work, id)?).await?;
        work.save(app, &mut tx).await?;
        app.finish(tx, person, key, id).await?;
        Ok(row.case)
    })
    .await
}

fn the_handoff(work: &CaseWork, id: &str) -> Result<Handoff, AppError> {
    handoff::fold(&work.events)
        .into_iter()
        .find(|one| one.id == id)
        .ok_or(AppError::NotFound)
}

/// What the second of two receivers is told.
fn already(handoff: &Handoff) -> String {
    match (&handoff.received_by, handoff.received_at) {
        (Some(by), Some(at)) => format!("{} has received this on {at}.", by.name),
        _ => "This has been received already.".to_owned(),
    }
}

async fn set_state(tx: &mut Tx, mut row: HandoffRow, handoff: &Handoff) -> Result<(), StoreError> {
    row.state = handoff.state().word().to_owned();
    update_handoff(tx, &row).await
}
