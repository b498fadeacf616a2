//! Registering an item: from then on it has a tag and exactly one holder.

use super::case_work::CaseWork;
use super::manage::Typed;
use super::{App, AppError, Person, PostKey, recorded};
use crate::domain::arch::Arch;
use crate::domain::custody::What;
use crate::domain::fault::Fault;
use crate::domain::ids::{CaseNumber, Tag};
use crate::domain::item::{Item, ItemKind};
use crate::domain::party::PartyKind;
use crate::store::{custody, retry};

/// Pieces that one item may consist of.
const PIECES_MOST: u32 = 99;
/// Characters of an item's note.
const NOTE_MOST: usize = 300;

/// The item as typed, and whether it is in the patient's mouth.
fn read(typed: &Typed, case: &CaseNumber, tag: Tag) -> Result<(Item, bool), AppError> {
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
    match (kind, pieces) {
        (Some(kind), Some(pieces)) if faults.is_empty() => {
            let borrowed = text("borrowed") == "yes";
            Ok((
                Item {
                    tag,
                    case: case.clone(),
                    kind,
                    arch,
                    note,
                    pieces,
                    borrowed,
                },
                worn,
            ))
        }
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
    let (item, worn) = read(typed, number, app.outside.code(Tag::from_random)?)?;
    let id = app.outside.identity()?;
    retry(|| async {
        let mut tx = app.store.begin().await?;
        let mut work = CaseWork::load(tx.conn(), person, number).await?;
        if let Some(outcome) = app.earlier(&mut tx, person, key).await? {
            return Tag::parse(&outcome).map_err(|why| AppError::Inner(why.to_string()));
        }
        let position =
            i64::try_from(work.items.len()).map_err(|why| AppError::Inner(why.to_string()))?;
        custody::insert_item(&mut tx, &item, position).await?;
        recorded::item(app, &mut tx, &item).await?;
        work.items.push(item.clone());
        let house: PartyKind = work.house();
        let what = What::Registered {
            tag: item.tag.clone(),
            place: house,
            worn,
            note: item.note.clone(),
        };
        work.append(app, &mut tx, person, &id, what).await?;
        work.save(app, &mut tx).await?;
        app.finish(tx, person, key, item.tag.as_str()).await?;
        Ok(item.tag.clone())
    })
    .await
}
