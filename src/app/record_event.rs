//! One event of one case: disinfecting, moving, fitting, taking out, giving, giving back, bringing back,
//! using up, keeping back, destroying, writing off, correcting. Which of them may happen is the rules' word.

use super::entry::{Late, MEANS_WRITTEN_OFF, late, signed};
use super::manage::Typed;
use super::run::on_case::run_on_case;
use super::sign_in::confirm_password;
use super::{App, AppError, Person, PostKey};
use crate::domain::custody::{Exception, Spare, What};
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::{CaseNumber, Tag};
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

/// An item chosen from a list; none where nothing is chosen.
fn chosen(typed: &Typed, key: &str, faults: &mut Vec<Fault>) -> Option<Tag> {
    let word = typed.get(key).filter(|word| !word.is_empty())?;
    Tag::parse(word)
        .map_err(|why| faults.push(Fault::new(key, why.to_string())))
        .ok()
}

/// The minutes of a disinfection: 1 to a day.
pub(super) fn minutes(typed: &Typed, key: &str, faults: &mut Vec<Fault>) -> u32 {
    let typed = typed.get(key).map(|text| text.trim()).unwrap_or_default();
    let minutes = typed
        .parse()
        .ok()
        .filter(|minutes| (1..=1440).contains(minutes));
    if minutes.is_none() {
        faults.push(Fault::new(key, "Whole minutes, from 1 to 1440."));
    }
    minutes.unwrap_or_default()
}

/// Reads the form of an action on one item, and when it was done if not now.
fn read(person: &Person, typed: &Typed, tag: &Tag) -> Result<(What, Option<Late>), AppError> {
    let mut faults = Vec::new();
    let needed =
        |key: &str, message: &str, faults: &mut Vec<Fault>| needed(typed, key, message, faults);
    let ticked = |key: &str| typed.get(key).is_some_and(|text| text == "yes");
    let tag = tag.clone();
    let what = match typed.get("action").map(String::as_str).unwrap_or_default() {
        "disinfect" => What::Disinfected {
            tag,
            agent: needed("agent", "Name the agent.", &mut faults),
            dilution: needed(
                "dilution",
                "Write the dilution, or “ready to use”.",
                &mut faults,
            ),
            minutes: minutes(typed, "minutes", &mut faults),
            rinsed: ticked("rinsed"),
        },
        "use_up" => What::UsedUp {
            tag,
            into: needed("into", "Say what became of it.", &mut faults),
            into_item: chosen(typed, "into_item", &mut faults),
        },
        "move" => What::Moved {
            tag,
            to: needed("moved_to", "Name the place.", &mut faults),
        },
        "keep_back" => What::Withheld {
            tag,
            consent: ticked("consent"),
            kept: needed("kept", "Say where it is kept.", &mut faults),
        },
        "destroy" => What::Destroyed {
            tag,
            how: needed("how", "Say how and why.", &mut faults),
            consent: ticked("consent"),
        },
        "write_off" => What::WrittenOff {
            tag,
            how: needed(
                "how",
                "Say what was done to find it, and why it is given up.",
                &mut faults,
            ),
            signed: None,
        },
        "give" => What::Given {
            tag,
            spare: Some(Spare {
                mark: needed("mark", "Say what stands on it.", &mut faults),
                place: needed("kept", "Say where it is kept.", &mut faults),
                keeper: needed("keeper", "Say who keeps it.", &mut faults),
                in_water: ticked("in_water"),
            }),
        },
        "give_back" => {
            let pieces = pieces(typed, "pieces", &mut faults);
            if pieces.is_none() {
                faults.push(Fault::new("pieces", "Count the pieces."));
            }
            What::GivenBack {
                tag,
                pieces: pieces.unwrap_or_default(),
            }
        }
        "bring_back" => What::BroughtBack { tag },
        "correct" => What::Corrected {
            event: needed("event", "Choose the entry.", &mut faults),
            note: needed(
                "correction",
                "Say what is wrong and what is right.",
                &mut faults,
            ),
        },
        _ => return Err(AppError::field("action", "Choose what to record.")),
    };
    let late = late(person, typed, &mut faults);
    if faults.is_empty() {
        Ok((what, late))
    } else {
        Err(AppError::Invalid(faults))
    }
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
    if let What::WrittenOff { signed: under, .. } = &mut what {
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
