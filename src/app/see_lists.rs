//! Looking at lists: one's own with its versions, the lab's from a case, and all that stand around a case.

use super::recorded::reference::{hold_in_force, hold_list_version};
use super::whose_case::own_case;
use super::{App, AppError, Person};
use crate::domain::custody::case::Case;
use crate::domain::people::party::Party;
use crate::domain::trade::calendar::OpenDays;
use crate::domain::trade::colour::Guide;
use crate::domain::trade::house_days::{self, HouseDays, LabDays};
use crate::domain::trade::lists::{Entries, ListKind, Lists, MouldList, NamedGuide};
use crate::domain::trade::mould::{self, Region};
use crate::domain::values::arch::Arch;
use crate::domain::values::ids::{CaseNumber, PartyId};
use crate::record::filed::RowOf;
use crate::store::lists;
pub use crate::store::lists::{PartyList, Version};
use crate::store::reference::ReferenceData;
use crate::store::{Connection, StoreError, parties};
use std::sync::Arc;

/// A list with what is in force of it, and its versions.
#[derive(Debug, Clone)]
pub struct Seen {
    pub list: PartyList,
    /// The text in force as it was loaded; empty where the list is out of use.
    pub text: String,
    /// `None` where the list is out of use.
    pub entries: Option<Entries>,
    /// Newest first, without their texts.
    pub versions: Vec<Version>,
}

/// A text that was clear when it was loaded.
fn entries(list: &PartyList, text: &str) -> Result<Entries, AppError> {
    let read = list.kind.read(text);
    Ok(read.map_err(|why| StoreError::row("party_list_version", &list.id, why.concat()))?)
}

/// The text in force, as the record says that it was loaded.
async fn text_of(app: &App, conn: &mut Connection, list: &PartyList) -> Result<String, AppError> {
    let version = lists::find_version(conn, &list.id, list.version).await?;
    let missing = || StoreError::row("party_list", &list.id, "its version is not there");
    let version = version.ok_or_else(missing)?;
    hold_in_force(app, conn, ReferenceData::List, &list.id).await?;
    hold_list_version(app, conn, list, &version).await?;
    Ok(version.text)
}

/// Those that are in use; one that its row says is none is held: the days and codes of a list that somebody has emptied past
/// this program would count for nothing, and nobody would be told.
async fn in_use(
    app: &App,
    conn: &mut Connection,
    lists: Vec<PartyList>,
) -> Result<Vec<PartyList>, AppError> {
    for list in lists.iter().filter(|list| list.entries <= 0) {
        text_of(app, conn, list).await?;
    }
    let used = lists.into_iter().filter(|list| list.entries > 0);
    Ok(used.collect())
}

async fn seen(app: &App, conn: &mut Connection, list: PartyList) -> Result<Seen, AppError> {
    let text = text_of(app, conn, &list).await?;
    Ok(Seen {
        entries: match list.entries {
            0 => None,
            _ => Some(entries(&list, &text)?),
        },
        text,
        versions: lists::versions(conn, &list.id).await?,
        list,
    })
}

/// What the pages of a list say where one is missing.
const TAKEN_AWAY: &str = "A list that the record has is not stored here any more: somebody has taken it away past this program, and what \
     was loaded with it counts for nothing. Tell your administrator: “vestibule check” says more.";

/// What is said where a house lacks a list of these kinds that the record says it has loaded; empty for most.
pub async fn taken_away(
    app: &App,
    house: &PartyId,
    kinds: &[ListKind],
) -> Result<&'static str, AppError> {
    let mut conn = app.store.read().await?;
    for kind in kinds {
        let row = RowOf::List(house.as_str().to_owned(), kind.word().to_owned());
        if app.store.lacking(&mut conn, &row).await? > 0 {
            tracing::error!(%house, ?kind, "a house lacks a list that it has loaded");
            return Ok(TAKEN_AWAY);
        }
    }
    Ok("")
}

/// The one list of a kind that a house has, where it has ever loaded one.
async fn only_list(
    conn: &mut Connection,
    house: &PartyId,
    kind: ListKind,
) -> Result<Option<PartyList>, AppError> {
    let all = lists::of_party(conn, house).await?;
    Ok(all.into_iter().find(|list| list.kind == kind))
}

/// The one list of this kind of one's own house; none where it has never loaded one.
pub async fn own_only(
    app: &App,
    person: &Person,
    kind: ListKind,
) -> Result<Option<Seen>, AppError> {
    let mut conn = app.store.read_at_once().await?;
    match only_list(&mut conn, person.party_id(), kind).await? {
        None => Ok(None),
        Some(list) => seen(app, &mut conn, list).await.map(Some),
    }
}

/// The office's own guides, in use or not.
pub async fn own_guides(app: &App, person: &Person) -> Result<Vec<PartyList>, AppError> {
    let mut conn = app.store.read().await?;
    let all = lists::of_party(&mut conn, person.party_id()).await?;
    let guides = all.into_iter().filter(|list| list.kind.is_guide());
    Ok(guides.collect())
}

/// One guide of one's own office.
pub async fn own_guide(app: &App, person: &Person, id: &str) -> Result<Seen, AppError> {
    let mut conn = app.store.read_at_once().await?;
    let list = own_guide_list(&mut conn, person, id).await?;
    seen(app, &mut conn, list).await
}

/// The guide of this id, if it is one's own office's; otherwise it does not exist.
pub(super) async fn own_guide_list(
    conn: &mut Connection,
    person: &Person,
    id: &str,
) -> Result<PartyList, AppError> {
    let list = own_list(conn, person, id).await?;
    Some(list)
        .filter(|list| list.kind.is_guide())
        .ok_or(AppError::NotFound)
}

/// The list of this id, if it is one's own party's; otherwise it does not exist.
async fn own_list(conn: &mut Connection, person: &Person, id: &str) -> Result<PartyList, AppError> {
    let list = lists::find(conn, id).await?;
    list.filter(|list| list.party == *person.party_id())
        .ok_or(AppError::NotFound)
}

/// The mould list of a case's lab, for either side of the case, with the lab.
pub async fn moulds_of_case(
    app: &App,
    person: &Person,
    number: &CaseNumber,
) -> Result<(Party, Option<Seen>), AppError> {
    let mut conn = app.store.read_at_once().await?;
    let case = own_case(app, &mut conn, person, number).await?;
    let lab = parties::find(&mut conn, &case.lab).await?;
    let missing = || StoreError::row("case_file", &case.number, "its lab is not there");
    let lab = lab.ok_or_else(missing)?;
    let list = match only_list(&mut conn, &case.lab, ListKind::Moulds).await? {
        None => None,
        Some(list) => Some(seen(app, &mut conn, list).await?),
    };
    Ok((lab, list))
}

/// A mould in a lab's list in force.
#[derive(Debug, Clone)]
pub struct ListedMould {
    pub code: String,
    /// For which places in the mouth it is listed.
    pub places: Vec<(Arch, Region)>,
    /// The lab by its name; none of one's own list.
    pub lab: Option<String>,
    pub version: i64,
}

/// The moulds of this code in the lists in force of these labs, each lab with the name by which it is told. A list that
/// cannot be read, or is not as the record says, names none: its own page says what is wrong with it.
pub(super) async fn moulds_called(
    app: &App,
    conn: &mut Connection,
    labs: Vec<(PartyId, Option<String>)>,
    code: &str,
) -> Result<Vec<ListedMould>, AppError> {
    let mut found = Vec::new();
    for (house, lab) in labs {
        let moulds = match moulds_of(app, conn, &house).await {
            Err(error) if error.is_of_one_alone() => continue,
            moulds => moulds?,
        };
        let Some(moulds) = moulds else { continue };
        let called = moulds.called(code);
        if let Some(first) = called.first() {
            found.push(ListedMould {
                code: first.code.clone(),
                places: called.iter().map(|one| (one.arch, one.region)).collect(),
                lab,
                version: moulds.version,
            });
        }
    }
    Ok(found)
}

/// One version of a list as CSV that a spreadsheet opens without running it, and its kind.
async fn csv(
    app: &App,
    conn: &mut Connection,
    list: &PartyList,
    version: i64,
) -> Result<String, AppError> {
    let version = lists::find_version(conn, &list.id, version).await?;
    // A version in which the list went out of use has no text.
    let version = version.filter(|version| version.entries > 0);
    let version = version.ok_or(AppError::NotFound)?;
    hold_list_version(app, conn, list, &version).await?;
    Ok(entries(list, &version.text)?.write())
}

/// A version of the one list of this kind of one's own house.
pub async fn only_csv(
    app: &App,
    person: &Person,
    kind: ListKind,
    version: i64,
) -> Result<String, AppError> {
    let mut conn = app.store.read_at_once().await?;
    let list = only_list(&mut conn, person.party_id(), kind).await?;
    csv(app, &mut conn, &list.ok_or(AppError::NotFound)?, version).await
}

/// A version of a guide of one's own office.
pub async fn guide_csv(
    app: &App,
    person: &Person,
    id: &str,
    version: i64,
) -> Result<String, AppError> {
    let mut conn = app.store.read_at_once().await?;
    let list = own_guide_list(&mut conn, person, id).await?;
    csv(app, &mut conn, &list, version).await
}

/// The lists that stand around a case. Which versions are in force is asked each time; a version is read
/// once and kept.
pub(super) async fn lists_context(
    app: &App,
    conn: &mut Connection,
    case: &Case,
) -> Result<Lists, AppError> {
    let all = lists::of_parties(conn, &case.office, &case.lab).await?;
    let mut in_use = in_use(app, conn, all).await?;
    let only = |house: &PartyId, kind: ListKind| {
        let mut of_house = in_use.iter().filter(|list| list.party == *house);
        of_house.find(|list| list.kind == kind).cloned()
    };
    let (moulds, lab_days) = (
        only(&case.lab, ListKind::Moulds),
        only(&case.lab, ListKind::LabDays),
    );
    let closed = [&case.office, &case.lab].map(|house| only(house, ListKind::ClosedDays));
    let [office_days, lab_closed] = closed;
    in_use.retain(|list| list.kind.is_guide() && list.party == case.office);
    Ok(Lists {
        moulds: match moulds {
            Some(list) => Some(moulds_in_force(app, conn, &list).await?),
            None => None,
        },
        guides: guides_in_force(app, conn, &case.office, in_use).await?,
        office_days: closed_in_force(app, conn, office_days).await?,
        lab_closed: closed_in_force(app, conn, lab_closed).await?,
        lab_days: lab_days_in_force(app, conn, lab_days).await?,
        under_way: None,
    })
}

/// When a house is open: Monday to Friday where it has loaded nothing.
pub(super) async fn open_days_of(
    app: &App,
    conn: &mut Connection,
    house: &PartyId,
) -> Result<OpenDays, AppError> {
    let list = only_list(conn, house, ListKind::ClosedDays).await?;
    let mut list = in_use(app, conn, list.into_iter().collect()).await?;
    let days = closed_in_force(app, conn, list.pop()).await?;
    Ok(days.map_or_else(|| OpenDays::weekdays([]), |days| days.open.clone()))
}

fn unread(list: &PartyList) -> impl Fn(Vec<String>) -> StoreError {
    let id = list.id.clone();
    move |why| StoreError::row("party_list_version", &id, why.concat())
}

async fn closed_in_force(
    app: &App,
    conn: &mut Connection,
    list: Option<PartyList>,
) -> Result<Option<Arc<HouseDays>>, AppError> {
    let Some(list) = list else { return Ok(None) };
    if let Some(kept) = app.read_models.house_days(&list.party, list.version) {
        return Ok(Some(kept));
    }
    let text = text_of(app, conn, &list).await?;
    let unread = unread(&list);
    let days = house_days::read_closed(&text).map_err(&unread)?;
    let read = Arc::new(HouseDays {
        version: list.version,
        open: house_days::open_days(&days).map_err(|why| unread(vec![why]))?,
    });
    app.read_models.store_house_days(&list.party, read.clone());
    Ok(Some(read))
}

async fn lab_days_in_force(
    app: &App,
    conn: &mut Connection,
    list: Option<PartyList>,
) -> Result<Option<Arc<LabDays>>, AppError> {
    let Some(list) = list else { return Ok(None) };
    if let Some(kept) = app.read_models.lab_days(&list.party, list.version) {
        return Ok(Some(kept));
    }
    let text = text_of(app, conn, &list).await?;
    let read = Arc::new(LabDays {
        version: list.version,
        steps: house_days::read_lab_days(&text).map_err(unread(&list))?,
    });
    app.read_models.store_lab_days(&list.party, read.clone());
    Ok(Some(read))
}

async fn moulds_in_force(
    app: &App,
    conn: &mut Connection,
    list: &PartyList,
) -> Result<Arc<MouldList>, AppError> {
    if let Some(kept) = app.read_models.moulds(&list.party, list.version) {
        return Ok(kept);
    }
    let text = text_of(app, conn, list).await?;
    let read = Arc::new(MouldList {
        version: list.version,
        moulds: mould::parse(&text).map_err(unread(list))?,
    });
    app.read_models.store_moulds(&list.party, read.clone());
    Ok(read)
}

/// A lab's moulds in force; none where it has no list, or an empty one.
async fn moulds_of(
    app: &App,
    conn: &mut Connection,
    lab: &PartyId,
) -> Result<Option<Arc<MouldList>>, AppError> {
    let list = only_list(conn, lab, ListKind::Moulds).await?;
    match list.filter(|list| list.entries > 0) {
        Some(list) => Ok(Some(moulds_in_force(app, conn, &list).await?)),
        None => Ok(None),
    }
}

async fn guides_in_force(
    app: &App,
    conn: &mut Connection,
    office: &PartyId,
    in_use: Vec<PartyList>,
) -> Result<Arc<Vec<NamedGuide>>, AppError> {
    let marks: Vec<(String, i64)> = in_use
        .iter()
        .map(|list| (list.id.clone(), list.version))
        .collect();
    if let Some(kept) = app.read_models.guides(office, &marks) {
        return Ok(kept);
    }
    let mut guides = Vec::with_capacity(in_use.len());
    for list in in_use {
        let text = text_of(app, conn, &list).await?;
        guides.push(NamedGuide {
            guide: Guide::parse(&text).map_err(unread(&list))?,
            kind: list.kind,
            version: list.version,
            name: list.name,
        });
    }
    let guides = Arc::new(guides);
    app.read_models.store_guides(office, marks, guides.clone());
    Ok(guides)
}
