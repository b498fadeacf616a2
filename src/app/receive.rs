//! Receiving: the other side says item by item what it found. Two people at once: one wins, the other is told.

use super::case_work::CaseWork;
use super::entry::{Late, late};
use super::manage::Typed;
use super::record_event::{pieces, text};
use super::run::on_case::run_on_case;
use super::sign_in::prove;
use super::{App, AppError, Person, PostKey, see_case};
use crate::domain::custody::events::Received;
use crate::domain::custody::handoff::Handoff;
use crate::domain::custody::{Found, Outcome, ParcelFound, SealFound, What};
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::{CaseNumber, Tag};
use crate::store::StoreError;
use crate::store::custody::find_handoff;

/// A handoff with its case, for the page.
pub async fn see(app: &App, person: &Person, id: &str) -> Result<(CaseWork, Handoff), AppError> {
    let mut conn = app.store.read().await?;
    let row = find_handoff(&mut conn, id)
        .await?
        .ok_or(AppError::NotFound)?;
    drop(conn);
    let view = see_case::see(app, person, &row.case).await?;
    let work = view.work.clone();
    let handoff = work
        .state
        .handoffs
        .iter()
        .cloned()
        .into_iter()
        .find(|one| one.id == id);
    let handoff = handoff.ok_or_else(|| StoreError::row("handoff", id, "no event tells of it"))?;
    Ok((work, handoff))
}

/// What the form of a receipt says.
struct Receipt {
    items: Vec<Found>,
    parcels: Vec<ParcelFound>,
    unannounced: String,
    foreign: String,
    late: Option<Late>,
}

/// How each box that is not open yet came. A box without a seal of which nothing is said came without one.
fn read_boxes(typed: &Typed, handoff: &Handoff, faults: &mut Vec<Fault>) -> Vec<ParcelFound> {
    let waiting = handoff.waiting();
    let mut boxes = Vec::new();
    for number in &waiting {
        let key = |part: &str| format!("box.{number}.{part}");
        let word = typed.get(&key("seal")).map(String::as_str);
        let sent = (1..)
            .zip(&handoff.parcels)
            .find(|(place, _)| place == number)
            .map(|(_, parcel)| parcel.seal.as_str())
            .unwrap_or_default();
        let is_plain = handoff.parcels.len() == 1 && sent.is_empty();
        let seal = match SealFound::from_word(word.unwrap_or_default()) {
            Some(seal) => seal,
            None if is_plain && word.unwrap_or_default().is_empty() => SealFound::None,
            None => {
                faults.push(Fault::new(
                    key("seal"),
                    "Say how this box and its seal came.",
                ));
                continue;
            }
        };
        let read = text(typed, &key("number"), faults);
        if seal == SealFound::Intact && read.is_empty() {
            faults.push(Fault::new(
                key("number"),
                "Type the number that you read on the seal: it is compared with the one that was sent.",
            ));
        }
        boxes.push(ParcelFound {
            parcel: *number,
            seal,
            number: read,
        });
    }
    boxes
}

/// Pieces counted in: needed where they were counted out and something is there.
fn read_pieces(
    typed: &Typed,
    handoff: &Handoff,
    tag: &Tag,
    outcome: Outcome,
    faults: &mut Vec<Fault>,
) -> Option<u32> {
    let key = format!("{}.pieces", tag.as_str());
    let before = faults.len();
    let counted = pieces(typed, &key, faults).filter(|_| outcome != Outcome::Missing);
    let sent = handoff.sent.iter().find(|sent| sent.tag == *tag);
    let was_counted = sent.is_some_and(|sent| sent.pieces.is_some());
    if counted.is_none() && was_counted && outcome != Outcome::Missing && faults.len() == before {
        faults.push(Fault::new(key, "Count the pieces that are there."));
    }
    counted
}

/// Reads how each box came, and what was found of each item that is awaited in a box that is here.
fn read(person: &Person, typed: &Typed, handoff: &Handoff) -> Result<Receipt, AppError> {
    let mut faults = Vec::new();
    let mut found = Vec::new();
    let parcels = read_boxes(typed, handoff, &mut faults);
    let is_away = |tag: &Tag| {
        parcels
            .iter()
            .any(|one| one.seal == SealFound::NotHere && one.parcel == handoff.parcel_of(tag))
    };
    for tag in handoff
        .outstanding()
        .into_iter()
        .filter(|tag| !is_away(tag))
    {
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
            pieces: read_pieces(typed, handoff, tag, outcome, &mut faults),
        });
    }
    let unannounced = text(typed, "unannounced", &mut faults);
    let foreign = text(typed, "foreign", &mut faults);
    let late = late(person, typed, &mut faults);
    if faults.is_empty() {
        Ok(Receipt {
            items: found,
            parcels,
            unannounced,
            foreign,
            late,
        })
    } else {
        Err(AppError::Invalid(faults))
    }
}

/// Receives a handoff; returns the number of its case.
pub async fn receive(
    app: &App,
    person: &Person,
    id: &str,
    typed: &Typed,
    key: &PostKey,
) -> Result<CaseNumber, AppError> {
    let event = app.outside.identity()?;
    let (seen, handoff) = see(app, person, id).await?;
    if !handoff.outstanding().is_empty() {
        read(person, typed, &handoff)?;
        let password = typed.get("password").map(String::as_str);
        prove(app, person, password.unwrap_or_default()).await?;
    }
    run_on_case(app, person, &seen, key, |mut work, mut tx| async {
        let handoff = the_handoff(&work, id)?;
        if handoff.outstanding().is_empty() {
            return Err(AppError::Refused(vec![already(&handoff)]));
        }
        let form = read(person, typed, &handoff)?;
        let what = What::Received(Received {
            handoff: id.to_owned(),
            place: work.side,
            items: form.items,
            unannounced: form.unannounced,
            parcels: form.parcels,
            foreign: form.foreign,
        });
        work.append(app, &mut tx, person, &event, what, form.late.as_ref())
            .await?;
        Ok((work, tx, ()))
    })
    .await?;
    Ok(seen.case.number)
}

pub(super) fn the_handoff(work: &CaseWork, id: &str) -> Result<Handoff, AppError> {
    work.state
        .handoffs
        .iter()
        .cloned()
        .into_iter()
        .find(|one| one.id == id)
        .ok_or(AppError::NotFound)
}

/// What the second of two receivers is told.
fn already(handoff: &Handoff) -> String {
    if let Some((by, at, _)) = &handoff.voided {
        return format!(
            "{} has taken this back on {at}: it never left. If it is in your hands all the same, put it aside and ask \
             them to hand it over anew.",
            by.name
        );
    }
    match (&handoff.received_by, handoff.received_at) {
        (Some(by), Some(at)) => format!("{} has received this on {at}.", by.name),
        _ => "This has been received already.".to_owned(),
    }
}
