//! A lab loads its mould list, an office a shade guide: read whole or not at all. What was in force before
//! stays as an older version.

use super::manage::Typed;
use super::recorded::reference::note;
use super::run::run;
use super::see_lists::own_list;
use super::{App, AppError, Person, PostKey};
use crate::domain::form::check_readable;
use crate::domain::trade::lists::ListKind;
use crate::domain::values::fault::Fault;
use crate::store::Tx;
use crate::store::lists::{self, List, Version};
use crate::store::reference::ReferenceData;

/// The longest text of a list: far more than five thousand moulds take.
pub const LIST_BYTES: usize = 512 * 1024;
/// Guides that one office may keep, in use or not.
pub const GUIDES_MOST: usize = 40;
/// Characters of a guide's name: what the field of the prescription holds.
const NAME_MOST: usize = 80;

fn text<'a>(typed: &'a Typed, key: &str) -> &'a str {
    typed.get(key).map(String::as_str).unwrap_or_default()
}

/// How many entries the typed list has.
fn count(kind: ListKind, typed: &Typed) -> Result<i64, Vec<Fault>> {
    let list = text(typed, "text");
    if list.trim().is_empty() {
        return Err(vec![Fault::new(
            "text",
            "Paste the list, or choose its file.",
        )]);
    }
    if list.len() > LIST_BYTES {
        let message = format!(
            "This list has {} KB; at most {} KB are taken. Nothing of it was stored.",
            list.len().div_ceil(1024),
            LIST_BYTES / 1024
        );
        return Err(vec![Fault::new("text", message)]);
    }
    let complaints = |why: Vec<String>| -> Vec<Fault> {
        why.into_iter().map(|one| Fault::new("text", one)).collect()
    };
    let entries = kind.read(list).map_err(complaints)?;
    i64::try_from(entries.count()).map_err(|_| vec![Fault::new("text", "This list is too long.")])
}

/// The version that the form was opened at; 0 for a list that was not there.
fn seen_version(typed: &Typed) -> i64 {
    text(typed, "version").trim().parse().unwrap_or(0)
}

fn version(app: &App, person: &Person, list: &List, text: &str) -> Version {
    Version {
        list: list.id.clone(),
        version: list.version,
        text: text.to_owned(),
        entries: list.entries,
        account: person.account.id.clone(),
        name: person.account.name.clone(),
        at_ms: app.outside.now_ms(),
    }
}

async fn begin_list(
    app: &App,
    tx: &mut Tx,
    person: &Person,
    list: &List,
    text: &str,
) -> Result<(), AppError> {
    lists::insert(tx, list).await?;
    lists::insert_version(tx, &version(app, person, list, text)).await?;
    note(app, tx, ReferenceData::List, &list.id).await
}

/// Puts the next version in force, if the form showed the one before it.
async fn next_version(
    app: &App,
    tx: &mut Tx,
    person: &Person,
    mut list: List,
    typed: &Typed,
    entries: i64,
) -> Result<(), AppError> {
    list.version = seen_version(typed);
    list.entries = entries;
    lists::update(tx, &list).await?;
    list.version += 1;
    let kept = if entries == 0 {
        ""
    } else {
        text(typed, "text")
    };
    lists::insert_version(tx, &version(app, person, &list, kept)).await?;
    note(app, tx, ReferenceData::List, &list.id).await
}

/// Loads the lab's mould list in place of the one before.
pub async fn load_moulds(
    app: &App,
    person: &Person,
    typed: &Typed,
    key: &PostKey,
) -> Result<(), AppError> {
    let entries = count(ListKind::Moulds, typed).map_err(AppError::Invalid)?;
    set_moulds(app, person, typed, key, entries).await
}

/// Takes the lab's mould list out of use; its versions stay.
pub async fn take_moulds_out(
    app: &App,
    person: &Person,
    typed: &Typed,
    key: &PostKey,
) -> Result<(), AppError> {
    set_moulds(app, person, typed, key, 0).await
}

async fn set_moulds(
    app: &App,
    person: &Person,
    typed: &Typed,
    key: &PostKey,
    entries: i64,
) -> Result<(), AppError> {
    let id = app.outside.identity()?;
    run(app, person, key, |mut tx| async {
        let all = lists::of_party(tx.conn(), person.party_id()).await?;
        let stored = all.into_iter().find(|list| list.kind == ListKind::Moulds);
        match stored {
            Some(list) => next_version(app, &mut tx, person, list, typed, entries).await?,
            None if entries == 0 => return Err(AppError::NotFound),
            None => {
                let list = List {
                    id: id.clone(),
                    party: person.party_id().to_owned(),
                    kind: ListKind::Moulds,
                    name: String::new(),
                    version: 1,
                    entries,
                };
                begin_list(app, &mut tx, person, &list, text(typed, "text")).await?;
            }
        }
        Ok((tx, ()))
    })
    .await
}

/// Reads the form of a new guide: kind, name and number of entries.
fn read_guide(typed: &Typed) -> Result<(ListKind, String, i64), Vec<Fault>> {
    let mut faults = Vec::new();
    let kind = ListKind::from_word(text(typed, "kind").trim());
    let kind = kind.filter(|kind| *kind != ListKind::Moulds);
    if kind.is_none() {
        faults.push(Fault::new("kind", "Choose one."));
    }
    let name = text(typed, "guide").trim().to_owned();
    let length = name.chars().count();
    if name.is_empty() {
        faults.push(Fault::new("guide", "Type the name of the guide."));
    } else if length > NAME_MOST {
        let message = format!("At most {NAME_MOST} characters; these are {length}.");
        faults.push(Fault::new("guide", message));
    } else if name.contains(['\n', '\t']) {
        faults.push(Fault::new("guide", "A name is one line."));
    } else if let Err(why) = check_readable(&name) {
        faults.push(Fault::new("guide", why));
    }
    // The columns of both kinds of guide are the same, so that the list can be looked at in any case.
    match count(kind.unwrap_or(ListKind::ToothGuide), typed) {
        Ok(entries) if faults.is_empty() => kind.map(|kind| (kind, name, entries)).ok_or(faults),
        Ok(_) => Err(faults),
        Err(of_list) => {
            faults.extend(of_list);
            Err(faults)
        }
    }
}

/// What stands against one more guide beside these.
fn refusal(stored: &[List], kind: ListKind, name: &str) -> Option<AppError> {
    let small = name.to_lowercase();
    if stored
        .iter()
        .any(|list| list.kind == kind && list.name.to_lowercase() == small)
    {
        let message = format!(
            "A {} of this name is there already: open it, and load its list anew.",
            kind.shown()
        );
        return Some(AppError::field("guide", message));
    }
    (stored.len() >= GUIDES_MOST).then(|| {
        AppError::Refused(vec![format!(
            "An office keeps at most {GUIDES_MOST} guides: load one of them anew instead."
        )])
    })
}

/// Loads a guide that the office has not had yet; returns its id.
pub async fn add_guide(
    app: &App,
    person: &Person,
    typed: &Typed,
    key: &PostKey,
) -> Result<String, AppError> {
    let (kind, name, entries) = read_guide(typed).map_err(AppError::Invalid)?;
    let id = app.outside.identity()?;
    run(app, person, key, |mut tx| async {
        let stored = lists::of_party(tx.conn(), person.party_id()).await?;
        if let Some(refusal) = refusal(&stored, kind, &name) {
            return Err(refusal);
        }
        let list = List {
            id: id.clone(),
            party: person.party_id().to_owned(),
            kind,
            name: name.clone(),
            version: 1,
            entries,
        };
        begin_list(app, &mut tx, person, &list, text(typed, "text")).await?;
        Ok((tx, id.clone()))
    })
    .await
}

/// Loads a guide's list in place of the one before.
pub async fn load_guide(
    app: &App,
    person: &Person,
    id: &str,
    typed: &Typed,
    key: &PostKey,
) -> Result<(), AppError> {
    let entries = count(ListKind::ToothGuide, typed).map_err(AppError::Invalid);
    set_guide(app, person, id, typed, key, entries).await
}

/// Takes a guide out of use; its versions stay.
pub async fn take_guide_out(
    app: &App,
    person: &Person,
    id: &str,
    typed: &Typed,
    key: &PostKey,
) -> Result<(), AppError> {
    set_guide(app, person, id, typed, key, Ok(0)).await
}

async fn set_guide(
    app: &App,
    person: &Person,
    id: &str,
    typed: &Typed,
    key: &PostKey,
    entries: Result<i64, AppError>,
) -> Result<(), AppError> {
    // A stranger hears nothing of what is wrong with a list.
    own_guide(&mut *app.store.read().await?, person, id).await?;
    let entries = entries?;
    run(app, person, key, |mut tx| async {
        let list = own_guide(tx.conn(), person, id).await?;
        next_version(app, &mut tx, person, list, typed, entries).await?;
        Ok((tx, ()))
    })
    .await
}

async fn own_guide(
    conn: &mut crate::store::Connection,
    person: &Person,
    id: &str,
) -> Result<List, AppError> {
    let list = own_list(conn, person, id).await?;
    Some(list)
        .filter(|list| list.kind != ListKind::Moulds)
        .ok_or(AppError::NotFound)
}
