//! A lab loads its mould list and its days, an office a shade guide, each house its closed days: read whole or not at all. What was in force before
//! stays as an older version.

use super::recorded::reference::note;
use super::run::run;
use super::see_lists::own_guide_list;
use super::{App, AppError, Person, PostKey};
use crate::domain::form::{FieldSet, Form, Kind, Raw, command, text};
use crate::domain::people::access::{Permission, why_not};
use crate::domain::trade::lists::ListKind;
use crate::domain::values::fault::Fault;
use crate::store::Tx;
use crate::store::lists::{self, PartyList, Version};
use crate::store::reference::ReferenceData;

/// The longest text of a list: far more than five thousand moulds take.
pub const LIST_BYTES: usize = 512 * 1024;
/// Guides that one office may keep, in use or not.
pub const GUIDES_MOST: usize = 40;
/// What is asked for before a list is out of use.
const SURE_FIRST: &str = "Tick “Take this list out of use” first.";

command! {
    /// A list, and the version of it that the page showed; 0 for one that was not there.
    ListForm;
    text: String = Kind::Csv { bytes: LIST_BYTES }, "Or the list itself", "Paste it, with its heading. Nothing is taken while a line is not clear.", needed "Paste the list, or choose its file.";
    version: i64 = Kind::Hidden, "", "";
}

command! {
    /// What a guide is for and how it is called, before it has a list. A name is as long as the field of the
    /// prescription.
    GuideForm;
    kind: ListKind = Kind::Choice(ListKind::GUIDES), "What its tabs are for", "", needed "Choose one.";
    guide: String = text(80), "Name of the guide", "As it is written on a prescription.", needed "Type the name of the guide.";
}

command! {
    /// A list is used no longer.
    TakeOutForm;
    sure: bool = Kind::Tick, "Take this list out of use", "";
    version: i64 = Kind::Hidden, "", "";
}

/// A list as typed, every line of it clear.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ListEntry {
    pub form: ListForm,
    pub entries: i64,
}

impl ListEntry {
    /// The list, if nothing is wrong with it; what is wrong with its lines stands beside its box.
    pub fn read_of(kind: ListKind, raw: &Raw, faults: &mut Vec<Fault>) -> Option<ListEntry> {
        let form = ListForm::read(raw, faults)?;
        let key = ListForm::text().key;
        match kind.take(&form.text) {
            Ok(entries) => Some(ListEntry {
                form,
                entries: i64::try_from(entries.count()).unwrap_or(i64::MAX),
            }),
            Err(why) => {
                faults.extend(why.into_iter().map(|one| Fault::new(key, one)));
                None
            }
        }
    }
}

/// A guide that the office has not had yet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewGuide {
    pub guide: GuideForm,
    pub list: ListEntry,
}

impl Form for NewGuide {
    fn field_sets() -> Vec<FieldSet> {
        vec![
            FieldSet::once(GuideForm::FIELDS),
            FieldSet::once(ListForm::FIELDS),
        ]
    }

    fn read(raw: &Raw, faults: &mut Vec<Fault>) -> Option<NewGuide> {
        let guide = GuideForm::read(raw, faults);
        // The columns of both kinds of guide are the same, so that the list can be looked at in any case.
        let list = ListEntry::read_of(ListKind::ToothGuide, raw, faults);
        Some(NewGuide {
            guide: guide?,
            list: list?,
        })
    }
}

/// What the next version of a list is.
#[derive(Debug, Clone, Copy)]
struct Next<'a> {
    /// The version that the page showed.
    seen: i64,
    /// Empty where the list goes out of use.
    text: &'a str,
    entries: i64,
}

impl<'a> Next<'a> {
    fn loaded(list: &'a ListEntry) -> Next<'a> {
        Next {
            seen: list.form.version,
            text: &list.form.text,
            entries: list.entries,
        }
    }

    fn out_of_use(form: &TakeOutForm) -> Result<Next<'static>, AppError> {
        if !form.sure {
            return Err(AppError::Refused(vec![SURE_FIRST.to_owned()]));
        }
        Ok(Next {
            seen: form.version,
            text: "",
            entries: 0,
        })
    }
}

fn version(app: &App, person: &Person, list: &PartyList, text: &str) -> Version {
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
    list: &PartyList,
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
    mut list: PartyList,
    next: Next<'_>,
) -> Result<(), AppError> {
    list.version = next.seen;
    list.entries = next.entries;
    lists::update(tx, &list).await?;
    list.version += 1;
    lists::insert_version(tx, &version(app, person, &list, next.text)).await?;
    note(app, tx, ReferenceData::List, &list.id).await
}

/// Loads the one list of a kind that a house keeps, in place of the one before.
pub async fn load_only(
    app: &App,
    person: &Person,
    kind: ListKind,
    list: &ListEntry,
    key: &PostKey,
) -> Result<(), AppError> {
    set_only(app, person, kind, Next::loaded(list), key).await
}

/// Takes such a list out of use; its versions stay.
pub async fn take_only_out(
    app: &App,
    person: &Person,
    kind: ListKind,
    form: &TakeOutForm,
    key: &PostKey,
) -> Result<(), AppError> {
    if kind == ListKind::Moulds && !person.may(Permission::WithdrawMoulds) {
        let why = why_not(Permission::WithdrawMoulds);
        return Err(AppError::Refused(vec![why.to_owned()]));
    }
    set_only(app, person, kind, Next::out_of_use(form)?, key).await
}

async fn set_only(
    app: &App,
    person: &Person,
    kind: ListKind,
    next: Next<'_>,
    key: &PostKey,
) -> Result<(), AppError> {
    let id = app.outside.identity()?;
    run(app, person, key, |mut tx| async {
        let all = lists::of_party(tx.conn(), person.party_id()).await?;
        let stored = all.into_iter().find(|list| list.kind == kind);
        match stored {
            Some(list) => next_version(app, &mut tx, person, list, next).await?,
            None if next.entries == 0 => return Err(AppError::NotFound),
            None => {
                let list = PartyList {
                    id: id.clone(),
                    party: person.party_id().to_owned(),
                    kind,
                    name: String::new(),
                    version: 1,
                    entries: next.entries,
                };
                begin_list(app, &mut tx, person, &list, next.text).await?;
            }
        }
        Ok((tx, ()))
    })
    .await
}

/// What stands against one more guide beside these.
fn refusal(stored: &[PartyList], kind: ListKind, name: &str) -> Option<AppError> {
    let small = name.to_lowercase();
    if stored
        .iter()
        .any(|list| list.kind == kind && list.name.to_lowercase() == small)
    {
        let message = format!(
            "A {} of this name is there already: open it, and replace its list.",
            kind.shown()
        );
        return Some(AppError::field(GuideForm::guide().key, message));
    }
    let guides = stored.iter().filter(|list| list.kind.is_guide()).count();
    (guides >= GUIDES_MOST).then(|| {
        AppError::Refused(vec![format!(
            "An office keeps at most {GUIDES_MOST} guides: replace the list of one of them instead."
        )])
    })
}

/// Loads a guide that the office has not had yet; returns its id.
pub async fn add_guide(
    app: &App,
    person: &Person,
    new: &NewGuide,
    key: &PostKey,
) -> Result<String, AppError> {
    let GuideForm { kind, guide: name } = &new.guide;
    let next = Next::loaded(&new.list);
    let id = app.outside.identity()?;
    run(app, person, key, |mut tx| async {
        let stored = lists::of_party(tx.conn(), person.party_id()).await?;
        if let Some(refusal) = refusal(&stored, *kind, name) {
            return Err(refusal);
        }
        let list = PartyList {
            id: id.clone(),
            party: person.party_id().to_owned(),
            kind: *kind,
            name: name.clone(),
            version: 1,
            entries: next.entries,
        };
        begin_list(app, &mut tx, person, &list, next.text).await?;
        Ok((tx, id.clone()))
    })
    .await
}

/// Loads a guide's list in place of the one before.
pub async fn load_guide(
    app: &App,
    person: &Person,
    id: &str,
    list: &ListEntry,
    key: &PostKey,
) -> Result<(), AppError> {
    set_guide(app, person, id, Next::loaded(list), key).await
}

/// Takes a guide out of use; its versions stay.
pub async fn take_guide_out(
    app: &App,
    person: &Person,
    id: &str,
    form: &TakeOutForm,
    key: &PostKey,
) -> Result<(), AppError> {
    set_guide(app, person, id, Next::out_of_use(form)?, key).await
}

async fn set_guide(
    app: &App,
    person: &Person,
    id: &str,
    next: Next<'_>,
    key: &PostKey,
) -> Result<(), AppError> {
    run(app, person, key, |mut tx| async {
        let list = own_guide_list(tx.conn(), person, id).await?;
        next_version(app, &mut tx, person, list, next).await?;
        Ok((tx, ()))
    })
    .await
}
