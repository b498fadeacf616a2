//! Registering an item: from then on it has a tag and exactly one holder.

use super::entry::{Late, late};
use super::manage::Typed;
use super::record_event::{PIECES_MOST, text as text_of};
use super::run::on_case::run_on_case;
use super::{App, AppError, Person, PostKey, new_codes, recorded};
use crate::domain::custody::What;
use crate::domain::custody::events::{Made, Registered};
use crate::domain::custody::item::{Item, ItemKind};
use crate::domain::values::arch::Arch;
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::{CaseNumber, Tag};
use crate::domain::values::moment::parse_date;
use crate::store::custody;

/// Characters of an item's note.
const NOTE_MOST: usize = 300;

/// The item as typed, and what its first entry says.
struct Registration {
    item: Item,
    worn: bool,
    made: Option<Made>,
    due_back: Option<String>,
    late: Option<Late>,
}

/// How it was made, where anything about that is typed.
fn read_made(typed: &Typed, faults: &mut Vec<Fault>) -> Option<Made> {
    let from: Vec<Tag> = typed
        .keys()
        .filter_map(|key| key.strip_suffix(".from"))
        .filter_map(|tag| Tag::parse(tag).ok())
        .collect();
    let pot = typed.get("pot_minutes").map(|text| text.trim());
    let pot_minutes = match pot.unwrap_or_default() {
        "" => None,
        typed => {
            let minutes = typed.parse().ok();
            if minutes.is_none() {
                faults.push(Fault::new("pot_minutes", "Whole minutes."));
            }
            minutes
        }
    };
    let made = Made {
        from,
        how: text_of(typed, "made_how", faults),
        material: text_of(typed, "material", faults),
        lot: text_of(typed, "lot", faults),
        pot_minutes,
        maker: text_of(typed, "maker", faults),
    };
    (made != Made::default()).then_some(made)
}

/// The day on which a borrowed thing is due back.
fn read_due_back(typed: &Typed, borrowed: bool, faults: &mut Vec<Fault>) -> Option<String> {
    let day = typed.get("due_back").map(|text| text.trim())?;
    if day.is_empty() {
        return None;
    }
    if !borrowed {
        faults.push(Fault::new(
            "due_back",
            "Tick that it is lent, or leave the day out.",
        ));
    }
    if let Err(why) = parse_date(day) {
        faults.push(Fault::new("due_back", why));
    }
    Some(day.to_owned())
}

fn read(
    person: &Person,
    typed: &Typed,
    case: &CaseNumber,
    tag: Tag,
) -> Result<Registration, AppError> {
    let text = |key: &str| typed.get(key).map(|text| text.trim()).unwrap_or_default();
    let mut faults = Vec::new();
    let kind = ItemKind::from_word(text("item_kind"));
    let arch = Arch::from_word(text("arch"));
    if kind.is_none() {
        faults.push(Fault::new("item_kind", "Choose what it is."));
    }
    if kind.is_some_and(ItemKind::needs_arch) && arch.is_none() {
        faults.push(Fault::new(
            "arch",
            "Say upper or lower: each is an item of its own.",
        ));
    }
    let pieces = match text("pieces") {
        "" => Some(1),
        typed => typed
            .parse()
            .ok()
            .filter(|pieces| (1..=PIECES_MOST).contains(pieces)),
    };
    if pieces.is_none() {
        faults.push(Fault::new(
            "pieces",
            format!("A whole number from 1 to {PIECES_MOST}."),
        ));
    }
    let note = text("note").to_owned();
    if note.chars().count() > NOTE_MOST {
        faults.push(Fault::new(
            "note",
            format!("At most {NOTE_MOST} characters."),
        ));
    }
    let worn = text("place") == "worn";
    if worn && !kind.is_some_and(ItemKind::is_denture) {
        faults.push(Fault::new(
            "place",
            "Only a denture can be in the patient's mouth.",
        ));
    }
    let borrowed = text("borrowed") == "yes";
    let made = read_made(typed, &mut faults);
    let due_back = read_due_back(typed, borrowed, &mut faults);
    let late = late(person, typed, &mut faults);
    match (kind, pieces) {
        (Some(kind), Some(pieces)) if faults.is_empty() => Ok(Registration {
            item: Item {
                tag,
                case: case.clone(),
                kind,
                arch,
                note,
                pieces,
                borrowed,
            },
            worn,
            made,
            due_back,
            late,
        }),
        _ => Err(AppError::Invalid(faults)),
    }
}

pub async fn add(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    typed: &Typed,
    key: &PostKey,
) -> Result<Tag, AppError> {
    let tag = new_codes::tag(app, &mut *app.store.read().await?).await?;
    let new = read(person, typed, number, tag)?;
    let item = &new.item;
    let id = app.outside.identity()?;
    run_on_case(app, person, number, key, |mut work, mut tx| async {
        let position =
            i64::try_from(work.items.len()).map_err(|why| AppError::Inner(why.to_string()))?;
        custody::insert_item(&mut tx, item, position).await?;
        recorded::item(app, &mut tx, item).await?;
        work.items.push(item.clone());
        let what = What::Registered(Registered {
            tag: item.tag.clone(),
            place: work.side,
            worn: new.worn,
            note: item.note.clone(),
            pieces: (item.pieces > 1).then_some(item.pieces),
            made: new.made.clone(),
            due_back: new.due_back.clone(),
        });
        work.append(app, &mut tx, person, &id, what, new.late.as_ref())
            .await?;
        Ok((work, tx, item.tag.clone()))
    })
    .await
}
