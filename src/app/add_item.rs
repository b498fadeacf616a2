//! Registering an item: from then on it has a tag and exactly one holder.

use super::avoided_things::{avoided_in, is_for_the_mouth};
use super::case_work::CaseWork;
use super::entry::{Late, late};
use super::run::on_case::run_on_case;
use super::{App, AppError, Person, PostKey, new_codes, recorded};
use crate::domain::custody::What;
use crate::domain::custody::events::Registered;
use crate::domain::custody::forms::{Registration, RegistrationForm};
use crate::domain::custody::item::Item;
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::{CaseNumber, EventId, Tag};
use crate::store::{Tx, custody};

/// Registers an item with a tag of its own; returns the tag.
pub async fn add(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    new: &Registration,
    key: &PostKey,
) -> Result<Tag, AppError> {
    let tag = new_codes::tag(app, &mut *app.store.read().await?).await?;
    let late = late(person, new.from_paper.as_ref())?;
    let item = &Item {
        tag,
        case: number.clone(),
        kind: new.form.item_kind,
        arch: new.form.arch,
        note: new.form.note.clone(),
        pieces: new.form.pieces.unwrap_or(1),
        borrowed: new.form.borrowed,
    };
    let id = EventId::new(app.outside.identity()?);
    run_on_case(app, person, number, key, |mut work, mut tx| async {
        ask_material(&work, new)?;
        let registered = Registered {
            tag: item.tag.clone(),
            place: work.side,
            worn: new.is_worn(),
            note: item.note.clone(),
            pieces: (item.pieces > 1).then_some(item.pieces),
            made: new.made.clone(),
            due_back: new.form.due_back,
            file: new.file.clone(),
        };
        enter(
            app,
            &mut tx,
            person,
            &mut work,
            (&id, item),
            registered,
            late.as_ref(),
        )
        .await?;
        Ok((work, tx, item.tag.clone()))
    })
    .await
}

/// Asks before something for the mouth is registered of a material that is to be avoided.
fn ask_material(work: &CaseWork, new: &Registration) -> Result<(), AppError> {
    let made = new
        .made
        .as_ref()
        .filter(|_| is_for_the_mouth(new.form.item_kind));
    let made = made.filter(|made| made.avoided_why.trim().is_empty());
    match made.and_then(|made| avoided_in(work, &made.material)) {
        None => Ok(()),
        Some(sentence) => {
            let ask = "Take another material, or say here who has agreed to this one.";
            let why = Fault::new(RegistrationForm::made_why().key, ask);
            let found = Fault::new(RegistrationForm::material().key, sentence);
            Err(AppError::Invalid(vec![found, why]))
        }
    }
}

/// Stores an item at the end of its case, with the entry that registers it.
pub(super) async fn enter(
    app: &App,
    tx: &mut Tx,
    person: &Person,
    work: &mut CaseWork,
    (id, item): (&EventId, &Item),
    registered: Registered,
    late: Option<&Late>,
) -> Result<(), AppError> {
    let position =
        i64::try_from(work.items.len()).map_err(|why| AppError::Inner(why.to_string()))?;
    custody::insert_item(tx, item, position).await?;
    recorded::item(app, tx, item).await?;
    work.items.push(item.clone());
    let what = What::Registered(registered);
    work.append(app, tx, person, id, what, late).await
}
