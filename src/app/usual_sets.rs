//! The usual values of a house: an office's named sets, and what a lab does unless told. Made, replaced, ended; every
//! version stays, and an open draft is held to the one that it was begun with.

use super::recorded::reference::{hold_in_force, hold_usual, note};
use super::run::run;
use super::whose_case::own_case;
use super::{App, AppError, Person, PostKey};
use crate::domain::form::{FieldSet, Kind, Raw, command, text};
use crate::domain::people::party::{Party, Side};
use crate::domain::prescription::Course;
use crate::domain::prescription::usual::{NAME_MOST, SetChange, UsualSet, changes, held_by};
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::{CaseNumber, PartyId};
use crate::record::filed::RowOf;
use crate::store::reference::ReferenceData;
use crate::store::usual::{self, UsualRow};
use crate::store::{Connection, StoreError, Tx, parties};

/// Sets that one office may keep, ended or not.
pub const SETS_MOST: usize = 40;
/// Versions that the page of a set tells of.
const VERSIONS_SHOWN: usize = 50;
/// The name of a lab's one set.
pub const OF_LAB: &str = "What we do unless told";
/// What is asked for before a set is ended.
const SURE_FIRST: &str = "Tick “End this set” first.";

command! {
    /// What a set is called, and whether drafts begin with it.
    UsualHead;
    name: String = text(NAME_MOST), "Name", "As it is chosen on the form: “Full dentures, heat-cured”.", needed "Type a name for the set.", key "set_name";
    begins: bool = Kind::Tick, "Drafts begin with this set", "", key "set_begins";
}

command! {
    /// What is usual of handing over, and no part of the prescription.
    UsualHandover;
    carrier: String = text(NAME_MOST), "Carrier", "Stands in the form of a handover until somebody types over it.", key "usual_carrier";
}

command! {
    /// The version that the page showed; 0 for a set that was not there.
    SetVersion;
    version: i64 = Kind::Hidden, "", "";
}

command! {
    /// A kind of work that a set is for.
    ForCourse;
    takes: bool = Kind::Tick, "For this kind of work", "";
}

command! {
    /// Nothing is filled in from a set any more.
    EndSetForm;
    sure: bool = Kind::Tick, "End this set: no new draft is filled from it", "", key "end_set";
    version: i64 = Kind::Hidden, "", "";
}

/// A set as it is typed, over the version that the page showed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct UsualForm {
    pub version: i64,
    pub set: UsualSet,
}

impl UsualForm {
    /// Every list of fields that the form of this house may hold.
    pub fn field_sets_of(side: Side) -> Vec<FieldSet> {
        let mut sets = vec![
            FieldSet::once(SetVersion::FIELDS),
            FieldSet::once(held_by(side)),
            FieldSet::once(UsualHandover::FIELDS),
        ];
        if side == Side::Office {
            sets.insert(0, FieldSet::once(UsualHead::FIELDS));
            sets.push(FieldSet {
                under: "for.#.",
                fields: ForCourse::FIELDS,
            });
        }
        sets
    }

    /// The key of the tick for a kind of work begins with it.
    pub fn under(course: Course) -> String {
        format!("for.{}.", course.word())
    }

    /// The set, if nothing is wrong with it.
    pub fn read_of(side: Side, raw: &Raw, faults: &mut Vec<Fault>) -> Option<UsualForm> {
        let version = SetVersion::read(raw, faults)?.version;
        let (name, begins, courses) = match side {
            Side::Lab => (OF_LAB.to_owned(), true, Vec::new()),
            Side::Office => {
                let head = UsualHead::read(raw, faults)?;
                let takes = |course: &&Course| {
                    let tick = ForCourse::read_under(raw, &UsualForm::under(**course), faults);
                    tick.is_some_and(|tick| tick.takes)
                };
                let courses: Vec<Course> = Course::ALL.iter().filter(takes).copied().collect();
                (head.name, head.begins, courses)
            }
        };
        let carrier = UsualHandover::read(raw, faults)?.carrier;
        let before = faults.len();
        let values = UsualSet::read_values(raw, side, faults);
        if values.is_empty() && carrier.is_empty() && faults.len() == before {
            let first = held_by(side).first().map_or("", |spec| spec.key);
            let message = "Fill in at least one value: a set of none fills nothing in.";
            faults.push(Fault::new(first, message));
        }
        Some(UsualForm {
            version,
            set: UsualSet {
                name,
                begins,
                courses,
                carrier,
                values,
            },
        })
    }

    /// What the form of a set shows.
    pub fn raw_of(set: &UsualSet) -> Raw {
        let yes = || "yes".to_owned();
        let mut raw = set.values.clone();
        raw.insert(UsualHead::name().key.to_owned(), set.name.clone());
        raw.insert(UsualHandover::carrier().key.to_owned(), set.carrier.clone());
        if set.begins {
            raw.insert(UsualHead::begins().key.to_owned(), yes());
        }
        for course in &set.courses {
            let key = format!("{}{}", UsualForm::under(*course), ForCourse::takes().key);
            raw.insert(key, yes());
        }
        raw
    }
}

/// What stands in a stored version; none where the set was ended.
pub(super) fn set_of(row: &UsualRow) -> Result<Option<UsualSet>, AppError> {
    if row.text.is_empty() {
        return Ok(None);
    }
    let set = UsualSet::from_stored(&row.text);
    let set = set.map_err(|why| StoreError::row("usual_set", &row.id, why))?;
    Ok(Some(set))
}

/// A version of a set, with what it changed.
#[derive(Debug, Clone)]
pub struct SetVersionSeen {
    pub version: i64,
    pub name: String,
    pub at_ms: i64,
    pub is_end: bool,
    pub changes: Vec<SetChange>,
}

/// A set of a house.
#[derive(Debug, Clone)]
pub struct SeenSet {
    pub id: String,
    pub version: i64,
    /// As it was last called.
    pub name: String,
    /// None where it was ended.
    pub set: Option<UsualSet>,
    /// Newest first; empty where sets are only listed.
    pub versions: Vec<SetVersionSeen>,
}

/// What the pages of sets say where one is missing.
const SET_TAKEN_AWAY: &str = "A set of usual values that the record has is not stored here any more: somebody has taken it away past this \
     program, and no draft is filled from it. Tell your administrator: “vestibule check” says more.";

/// What is said where a house lacks a set that the record says it has made; empty for most.
pub async fn taken_away(app: &App, house: &PartyId) -> Result<&'static str, AppError> {
    let mut conn = app.store.read().await?;
    let row = RowOf::UsualSet(house.as_str().to_owned());
    if app.store.lacking(&mut conn, &row).await? == 0 {
        return Ok("");
    }
    tracing::error!(%house, "a house lacks a set of usual values that it has made");
    Ok(SET_TAKEN_AWAY)
}

/// Office or lab; an administrator has no sets.
fn side_of(person: &Person) -> Result<Side, AppError> {
    let party = person.party.as_ref().ok_or(AppError::NotFound)?;
    Ok(party.kind)
}

/// The sets of one's own house, those in use first, by name.
pub async fn own_sets(app: &App, person: &Person) -> Result<Vec<SeenSet>, AppError> {
    let mut conn = app.store.read_at_once().await?;
    let house = person.party_id();
    let mut seen = Vec::new();
    for row in usual::of_parties(&mut conn, house, house).await? {
        hold_in_force(app, &mut conn, ReferenceData::UsualSet, &row.id).await?;
        hold_usual(app, &mut conn, &row).await?;
        let set = set_of(&row)?;
        let name = match &set {
            Some(set) => set.name.clone(),
            None => last_name(&usual::versions(&mut conn, &row.id).await?)?,
        };
        seen.push(SeenSet {
            id: row.id,
            version: row.version,
            name,
            set,
            versions: Vec::new(),
        });
    }
    seen.sort_by_key(|one| (one.set.is_none(), one.name.to_lowercase()));
    Ok(seen)
}

/// What is usual of one's parcels; empty where no set says it.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct UsualOfParcels {
    pub carrier: String,
    /// What is disinfected with, offered where a disinfection is entered.
    pub agent: String,
    pub dilution: String,
}

/// As the set says that drafts begin with, or another one in use.
pub async fn usual_of_parcels(app: &App, person: &Person) -> Result<UsualOfParcels, AppError> {
    let seen = own_sets(app, person).await?;
    let mut sets: Vec<UsualSet> = seen.into_iter().filter_map(|one| one.set).collect();
    sets.sort_by_key(|set| !set.begins);
    let value = |set: &UsualSet, key: &str| set.values.get(key).cloned().unwrap_or_default();
    let carrier = sets.iter().find(|set| !set.carrier.is_empty());
    // An agent is diluted as its own set says, and never as another one says of another agent.
    let mut agents = sets.iter().map(|set| {
        let dilution = value(set, "enclosed.0.dilution");
        (value(set, "enclosed.0.agent"), dilution)
    });
    let cleaning = agents.find(|(agent, _)| !agent.is_empty());
    let (agent, dilution) = cleaning.unwrap_or_default();
    Ok(UsualOfParcels {
        carrier: carrier.map(|set| set.carrier.clone()).unwrap_or_default(),
        agent,
        dilution,
    })
}

fn last_name(rows: &[UsualRow]) -> Result<String, AppError> {
    for row in rows.iter().rev() {
        if let Some(set) = set_of(row)? {
            return Ok(set.name);
        }
    }
    Ok(String::new())
}

async fn seen(app: &App, conn: &mut Connection, id: &str) -> Result<Option<SeenSet>, AppError> {
    let rows = usual::versions(conn, id).await?;
    let Some(newest) = rows.last() else {
        return Ok(None);
    };
    hold_in_force(app, conn, ReferenceData::UsualSet, id).await?;
    for row in &rows {
        hold_usual(app, conn, row).await?;
    }
    let mut versions = Vec::new();
    let mut before: Option<UsualSet> = None;
    for row in &rows {
        let set = set_of(row)?;
        versions.push(SetVersionSeen {
            version: row.version,
            name: row.name.clone(),
            at_ms: row.at_ms,
            is_end: set.is_none(),
            changes: match &set {
                Some(_) => changes(before.as_ref(), set.as_ref()),
                None => Vec::new(),
            },
        });
        before = set.or(before);
    }
    versions.reverse();
    versions.truncate(VERSIONS_SHOWN);
    Ok(Some(SeenSet {
        id: newest.id.clone(),
        version: newest.version,
        name: before.map_or_else(String::new, |set| set.name),
        set: set_of(newest)?,
        versions,
    }))
}

/// One set of one's own house; another's does not exist.
pub async fn own_set(app: &App, person: &Person, id: &str) -> Result<SeenSet, AppError> {
    let mut conn = app.store.read_at_once().await?;
    own_newest(&mut conn, person, id).await?;
    seen(app, &mut conn, id).await?.ok_or(AppError::NotFound)
}

/// What the lab of a case does unless told, for either side of the case.
pub async fn of_lab(
    app: &App,
    person: &Person,
    number: &CaseNumber,
) -> Result<(Party, Option<SeenSet>), AppError> {
    let mut conn = app.store.read_at_once().await?;
    let case = own_case(app, &mut conn, person, number).await?;
    let lab = parties::find(&mut conn, &case.lab).await?;
    let missing = || StoreError::row("case_file", &case.number, "its lab is not there");
    let lab = lab.ok_or_else(missing)?;
    let rows = usual::of_parties(&mut conn, &case.lab, &case.lab).await?;
    let set = match rows.first() {
        Some(row) => seen(app, &mut conn, &row.id).await?,
        None => None,
    };
    Ok((lab, set))
}

async fn own_newest(
    conn: &mut Connection,
    person: &Person,
    id: &str,
) -> Result<UsualRow, AppError> {
    let row = usual::newest(conn, id).await?;
    row.filter(|row| row.party == *person.party_id())
        .ok_or(AppError::NotFound)
}

/// Which version of which set is put next.
struct NextVersion<'a> {
    id: &'a str,
    version: i64,
    party: &'a PartyId,
}

async fn put_version(
    app: &App,
    tx: &mut Tx,
    person: &Person,
    place: NextVersion<'_>,
    set: Option<&UsualSet>,
) -> Result<(), AppError> {
    let text = set.map(UsualSet::stored).transpose();
    let text = text.map_err(|why| AppError::Inner(why.to_string()))?;
    let row = UsualRow {
        id: place.id.to_owned(),
        version: place.version,
        party: place.party.clone(),
        text: text.unwrap_or_default(),
        account: person.account.id.clone(),
        name: person.account.name.clone(),
        at_ms: app.outside.now_ms(),
    };
    match usual::insert(tx, &row).await {
        // Somebody else was faster: the next attempt finds their version.
        Err(error) if error.is_duplicate() => return Err(StoreError::Again.into()),
        done => done?,
    }
    note(app, tx, ReferenceData::UsualSet, place.id).await
}

/// What stands against a set beside the others of its house.
fn refusal(others: &[(UsualRow, Option<UsualSet>)], set: &UsualSet) -> Option<AppError> {
    let small = set.name.to_lowercase();
    let mut in_use = others.iter().filter_map(|(_, other)| other.as_ref());
    let is_twice = in_use.any(|other| other.name.to_lowercase() == small);
    is_twice.then(|| {
        let message = "A set of this name is in use already: give this one another name.";
        AppError::field(UsualHead::name().key, message)
    })
}

/// The sets of a house but the one with this id.
async fn others(
    conn: &mut Connection,
    house: &PartyId,
    id: &str,
) -> Result<Vec<(UsualRow, Option<UsualSet>)>, AppError> {
    let rows = usual::of_parties(conn, house, house).await?.into_iter();
    let others = rows.filter(|row| row.id != id);
    others
        .map(|row| Ok((set_of(&row)?, row)))
        .map(|one| one.map(|(set, row)| (row, set)))
        .collect()
}

/// Drafts begin with one set only: the others lose the mark, each by a version of its own.
async fn take_mark_from(
    app: &App,
    tx: &mut Tx,
    person: &Person,
    others: Vec<(UsualRow, Option<UsualSet>)>,
) -> Result<(), AppError> {
    for (row, set) in others {
        let Some(set) = set.filter(|set| set.begins) else {
            continue;
        };
        let place = NextVersion {
            id: &row.id,
            version: row.version + 1,
            party: &row.party,
        };
        let without = UsualSet {
            begins: false,
            ..set
        };
        put_version(app, tx, person, place, Some(&without)).await?;
    }
    Ok(())
}

/// Makes a set that the house has not had yet; returns its id.
pub async fn make(
    app: &App,
    person: &Person,
    form: &UsualForm,
    key: &PostKey,
) -> Result<String, AppError> {
    let side = side_of(person)?;
    let id = app.outside.identity()?;
    run(app, person, key, |mut tx| async {
        let house = person.party_id();
        let others = others(tx.conn(), house, &id).await?;
        let most = if side == Side::Lab { 1 } else { SETS_MOST };
        if others.len() >= most {
            return Err(AppError::Refused(vec![too_many(side)]));
        }
        if let Some(refusal) = refusal(&others, &form.set) {
            return Err(refusal);
        }
        let place = NextVersion {
            id: &id,
            version: 1,
            party: house,
        };
        put_version(app, &mut tx, person, place, Some(&form.set)).await?;
        if form.set.begins {
            take_mark_from(app, &mut tx, person, others).await?;
        }
        Ok((tx, id.clone()))
    })
    .await
}

fn too_many(side: Side) -> String {
    match side {
        Side::Lab => "A lab has one set: open it, and change it.".to_owned(),
        Side::Office => {
            format!("An office keeps at most {SETS_MOST} sets: change one of them instead.")
        }
    }
}

/// Puts the next version of a set in force, if the form showed the one before it.
pub async fn replace(
    app: &App,
    person: &Person,
    id: &str,
    form: &UsualForm,
    key: &PostKey,
) -> Result<(), AppError> {
    run(app, person, key, |mut tx| async {
        let row = own_newest(tx.conn(), person, id).await?;
        if row.version != form.version {
            return Err(AppError::Refused(vec![overtaken(row.version)]));
        }
        let others = others(tx.conn(), &row.party, id).await?;
        if let Some(refusal) = refusal(&others, &form.set) {
            return Err(refusal);
        }
        if set_of(&row)?.as_ref() != Some(&form.set) {
            let place = NextVersion {
                id,
                version: row.version + 1,
                party: &row.party,
            };
            put_version(app, &mut tx, person, place, Some(&form.set)).await?;
            if form.set.begins {
                take_mark_from(app, &mut tx, person, others).await?;
            }
        }
        Ok((tx, ()))
    })
    .await
}

/// Ends a set; its versions stay, and so do the drafts that were begun with it.
pub async fn end(
    app: &App,
    person: &Person,
    id: &str,
    form: &EndSetForm,
    key: &PostKey,
) -> Result<(), AppError> {
    if !form.sure {
        return Err(AppError::Refused(vec![SURE_FIRST.to_owned()]));
    }
    run(app, person, key, |mut tx| async {
        let row = own_newest(tx.conn(), person, id).await?;
        still_shown(&row, form.version)?;
        if !row.text.is_empty() {
            let place = NextVersion {
                id,
                version: row.version + 1,
                party: &row.party,
            };
            put_version(app, &mut tx, person, place, None).await?;
        }
        Ok((tx, ()))
    })
    .await
}

/// Said above the form, which keeps what was typed and is sent for the newer version from now on.
fn overtaken(version: i64) -> String {
    format!(
        "Somebody has changed this set meanwhile: version {version} is in force and stands above. What you typed is \
         not stored and stands below. Compare; if you save it now, it takes the place of version {version}."
    )
}

fn still_shown(row: &UsualRow, version: i64) -> Result<(), AppError> {
    if row.version == version {
        return Ok(());
    }
    Err(AppError::Conflict(
        "Somebody has changed this set meanwhile. What you typed is not stored: open the set again and compare."
            .to_owned(),
    ))
}
