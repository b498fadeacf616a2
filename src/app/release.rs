//! Handing over: a release names items, boxes, carrier, purpose and disinfection, in one transaction.

use super::case_work::CaseWork;
use super::disinfection;
use super::entry::{Late, late};
use super::manage::Typed;
use super::record_event::{exception, pieces, text};
use super::run::on_case::run_on_case;
use super::sign_in::prove;
use super::{App, AppError, Person, PostKey, see_case};
use crate::domain::custody::events::{DisinfectedForm, Released};
use crate::domain::custody::item::Item;
use crate::domain::custody::{Parcel, Purpose, Sent, What};
use crate::domain::people::party::Side;
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::{CaseNumber, Tag};

/// What the form of a release says.
struct Release {
    items: Vec<Sent>,
    /// One entry for every ticked item that has none; none where nothing was typed.
    disinfection: Option<DisinfectedForm>,
    carrier: String,
    tracking: String,
    purpose_code: Purpose,
    purpose: String,
    parcels: Vec<Parcel>,
    late: Option<Late>,
}

/// Boxes that one release may have.
pub const BOXES_MOST: u32 = 4;

/// The boxes up to the last one that an item lies in. What is typed of another one is a fault: its item
/// was forgotten.
fn read_parcels(typed: &Typed, sent: &[Sent], faults: &mut Vec<Fault>) -> Vec<Parcel> {
    let used = sent.iter().map(Sent::parcel).max().unwrap_or(1);
    let mut parcels = Vec::new();
    for number in 1..=BOXES_MOST {
        let key = |part: &str| format!("box.{number}.{part}");
        let ticked = |part: &str| typed.contains_key(&key(part));
        let parcel = Parcel {
            seal: text(typed, &key("seal"), faults),
            moist_bag: ticked("moist"),
            hard_box: ticked("hard"),
            note: text(typed, &key("note"), faults),
        };
        if number <= used {
            parcels.push(parcel);
        } else if parcel != Parcel::default() {
            let message = format!("No item lies in box {number}: say of an item that it does.");
            faults.push(Fault::new(key("seal"), message));
        }
    }
    parcels
}

/// The box of an item: the first, if nothing is said.
fn read_box(typed: &Typed, key: &str, faults: &mut Vec<Fault>) -> u32 {
    let word = typed.get(key).map(|text| text.trim()).unwrap_or_default();
    let number = match word {
        "" => Some(1),
        typed => typed
            .parse()
            .ok()
            .filter(|number| (1..=BOXES_MOST).contains(number)),
    };
    if number.is_none() {
        faults.push(Fault::new(key, format!("A box from 1 to {BOXES_MOST}.")));
    }
    number.unwrap_or(1)
}

/// Pieces counted out: needed where an item consists of several.
fn read_pieces(typed: &Typed, item: &Item, known: u32, faults: &mut Vec<Fault>) -> Option<u32> {
    let key = format!("{}.pieces", item.tag.as_str());
    let before = faults.len();
    let counted = pieces(typed, &key, faults);
    if counted.is_none() && known > 1 && faults.len() == before {
        faults.push(Fault::new(
            key,
            "Count the pieces: the other side counts them too.",
        ));
    }
    counted
}

/// The purpose from the list, and what was added; none where it has to be asked for again.
fn read_purpose(from: Side, typed: &Typed, faults: &mut Vec<Fault>) -> (Option<Purpose>, String) {
    let remark = text(typed, "purpose", faults);
    let word = typed.get("purpose_code").map(String::as_str);
    let code = word
        .and_then(Purpose::from_word)
        .filter(|code| Purpose::of(from).contains(code));
    match code {
        None => faults.push(Fault::new("purpose_code", "Choose what it goes there for.")),
        Some(code) if code.needs_words() && remark.is_empty() => faults.push(Fault::new(
            "purpose",
            "Say in a few words what it goes there for.",
        )),
        Some(_) => {}
    }
    (code, remark)
}

fn read(person: &Person, typed: &Typed, work: &CaseWork) -> Result<Release, AppError> {
    let mut faults = Vec::new();
    let mut sent = Vec::new();
    let custody = &work.state.custody;
    for item in &work.items {
        let tag = item.tag.as_str();
        if typed.contains_key(&format!("{tag}.take")) {
            let condition = text(typed, &format!("{tag}.condition"), &mut faults);
            let known = custody.get(&item.tag).and_then(|state| state.pieces);
            let known = known.unwrap_or(item.pieces);
            sent.push(Sent {
                tag: item.tag.clone(),
                condition,
                parcel: read_box(typed, &format!("{tag}.box"), &mut faults),
                pieces: read_pieces(typed, item, known, &mut faults),
            });
        }
    }
    if sent.is_empty() {
        faults.push(Fault::new("items", "Tick at least one item to hand over."));
    }
    let disinfection = disinfection::read(typed, &mut faults);
    let carrier = text(typed, "carrier", &mut faults);
    if carrier.is_empty() {
        faults.push(Fault::new(
            "carrier",
            "Name who carries it: a courier, the post, or a person of yours.",
        ));
    }
    let (purpose_code, purpose) = read_purpose(work.side, typed, &mut faults);
    let tracking = text(typed, "tracking", &mut faults);
    let parcels = read_parcels(typed, &sent, &mut faults);
    let late = late(person, typed, &mut faults);
    match purpose_code {
        Some(purpose_code) if faults.is_empty() => Ok(Release {
            items: sent,
            disinfection,
            carrier,
            tracking,
            purpose_code,
            purpose,
            parcels,
            late,
        }),
        _ => Err(AppError::Invalid(faults)),
    }
}

/// Releases items to the other side; returns the handoff's id.
pub async fn release(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    typed: &Typed,
    key: &PostKey,
) -> Result<String, AppError> {
    let handoff = app.outside.identity()?;
    let view = see_case::see(app, person, number).await?;
    let seen = &view.work;
    let form = read(person, typed, seen)?;
    let exception = exception(app, person, typed).await?;
    if exception.is_none() {
        prove(app, person, password(typed)).await?;
    }
    // One id for each disinfection that may be entered along, and one for the release.
    let ids = (0..=seen.items.len())
        .map(|_| app.outside.identity())
        .collect::<Result<Vec<_>, _>>()?;
    run_on_case(app, person, seen, key, |mut work, mut tx| async {
        let mut ids = ids.iter();
        if let Some(entry) = &form.disinfection {
            for tag in without_entry(&work, &form.items) {
                let id = ids
                    .next()
                    .ok_or_else(|| AppError::Inner("too few ids".to_owned()))?;
                let what = entry.of(tag).into();
                work.append(app, &mut tx, person, id, what, form.late.as_ref())
                    .await?;
            }
        }
        let from = work.side;
        let to = from.other();
        let what = What::Released(Released {
            handoff: handoff.clone(),
            items: form.items.clone(),
            from,
            to,
            carrier: form.carrier.clone(),
            tracking: form.tracking.clone(),
            purpose_code: Some(form.purpose_code),
            purpose: form.purpose.clone(),
            seal: String::new(),
            exception: exception.clone(),
            parcels: form.parcels.clone(),
        });
        let id = ids
            .next()
            .ok_or_else(|| AppError::Inner("too few ids".to_owned()))?;
        work.append(app, &mut tx, person, id, what, form.late.as_ref())
            .await?;
        Ok((work, tx, handoff.clone()))
    })
    .await
}

fn password(typed: &Typed) -> &str {
    typed
        .get("password")
        .map(String::as_str)
        .unwrap_or_default()
}

/// The ticked items that need a disinfection entry and have none.
fn without_entry(work: &CaseWork, sent: &[Sent]) -> Vec<Tag> {
    let custody = &work.state.custody;
    let needs = |tag: &Tag| {
        work.items
            .iter()
            .any(|item| item.tag == *tag && item.kind.needs_disinfection())
    };
    sent.iter()
        .map(|sent| sent.tag.clone())
        .filter(|tag| needs(tag) && custody.get(tag).is_some_and(|state| !state.disinfected))
        .collect()
}
