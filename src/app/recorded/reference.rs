//! Into the record of reference data: every version of a party, an account, a patient's card, a list and a set of
//! usual values, and every cleared alarm. Who may sign, and what stands on a slip besides the prescription, hangs on these rows.
//!
//! What comes and goes without anybody answering for it is not vouched for: sessions, one-time links, post
//! keys, drafts, and what is drawn from the events for lists.

use super::put;
use crate::app::another_key::refuse_another_key;
use crate::app::proven::{erased_of, is_signed, is_whole};
use crate::app::{App, AppError, Person};
use crate::domain::people::account::Account;
use crate::domain::people::party::{Party, Side};
use crate::domain::values::digest::sha256_hex;
use crate::domain::values::ids::{AccountId, PartyId, PatientCode};
use crate::record::entry::{Entry, LeafKind};
use crate::record::leaf::{Salts, salts_to_json};
use crate::store::admissions::{self, AdmissionRow};
use crate::store::cases::{self, PatientRow};
use crate::store::lists::{self, PartyList, Version};
use crate::store::record::{self, LeafRow, has_kind, write_salts};
use crate::store::reference::{ReferenceData, keys_after};
use crate::store::resumption::{self, ResumptionRow};
use crate::store::usual::{self, UsualRow};
use crate::store::witness::{self, AlarmRow, ClearanceRow};
use crate::store::{Connection, StoreError, Tx, agenda, parties, people};
use serde_json::{Value, json};

/// Rows that are read at once.
const CHUNK: i64 = 200;

/// The kind of leaf that stands for these rows.
pub fn kind_of(of: ReferenceData) -> LeafKind {
    match of {
        ReferenceData::Party => LeafKind::Party,
        ReferenceData::Account => LeafKind::Account,
        ReferenceData::Patient => LeafKind::Patient,
        ReferenceData::List => LeafKind::List,
        ReferenceData::UsualSet => LeafKind::UsualSet,
        ReferenceData::Clearance => LeafKind::Clearance,
        ReferenceData::Resumption => LeafKind::Resumption,
        ReferenceData::Admission => LeafKind::Admission,
    }
}

/// What a row of reference data is now.
#[derive(Debug, Clone, PartialEq)]
pub struct Stands {
    /// The version in force; a settlement is written once and has the version 1.
    pub version: i64,
    /// What is stored of it, by the keys of the leaves.
    pub entries: Vec<(String, Entry)>,
}

fn about(key: &str, version: i64) -> String {
    format!("{key}/{version}")
}

fn one(key: &str, version: i64, kind: LeafKind, body: serde_json::Value) -> Stands {
    Stands {
        version,
        entries: vec![(about(key, version), Entry::new(kind, body))],
    }
}

/// The version that the key of a leaf of reference data ends with.
pub fn version_of(about: &str) -> Option<i64> {
    about.rsplit_once('/')?.1.parse().ok()
}

fn of_party(row: &Party) -> Stands {
    let mut body = json!({
        "id": row.id,
        "version": row.version,
        "side": row.kind.word(),
        "name": row.name,
        "address": row.address,
        "licence": row.licence,
        "zone": row.zone,
        "paper": row.paper.word(),
        "numbering": row.numbering.word(),
        "profile": row.profile,
    });
    // Rows of before there was one have the leaf that they always had.
    if !row.telephone.is_empty()
        && let Some(fields) = body.as_object_mut()
    {
        fields.insert("telephone".to_owned(), json!(row.telephone));
    }
    one(&row.id, row.version, LeafKind::Party, body)
}

/// The hash of the password is a text under its salt: whoever knows the leaf can try no password on it.
fn of_account(row: &Account) -> Stands {
    let mut body = json!({
        "id": row.id,
        "version": row.version,
        "party": row.party,
        "role": row.role.word(),
        "login": row.login,
        "name": row.name,
        "licence": row.licence,
        "password": row.password,
        "disabled": row.disabled,
    });
    // Rows of before it was kept have the leaf that they always had.
    if let (Some(admission), Some(fields)) = (&row.admission, body.as_object_mut()) {
        fields.insert("admission".to_owned(), json!(admission));
    }
    one(&row.id, row.version, LeafKind::Account, body)
}

/// What of a patient's card is stored.
pub fn of_patient(row: &PatientRow) -> Stands {
    let body = json!({
        "code": row.code.as_str(),
        "version": row.version,
        "office": row.office,
        "facts": row.facts,
        "made_ms": row.made_ms,
    });
    one(row.code.as_str(), row.version, LeafKind::Patient, body)
}

fn of_version(list: &PartyList, row: &Version) -> (String, Entry) {
    let body = json!({
        "id": list.id,
        "version": row.version,
        "party": list.party,
        "list": list.kind.word(),
        "name": list.name,
        "text": row.text,
        "entries": row.entries,
        "account": row.account,
        "by": row.name,
        "at_ms": row.at_ms,
    });
    (
        about(&list.id, row.version),
        Entry::new(LeafKind::List, body),
    )
}

fn of_usual(row: &UsualRow) -> (String, Entry) {
    let body = json!({
        "id": row.id,
        "version": row.version,
        "party": row.party,
        "text": row.text,
        "account": row.account,
        "by": row.name,
        "at_ms": row.at_ms,
    });
    (
        about(&row.id, row.version),
        Entry::new(LeafKind::UsualSet, body),
    )
}

/// Words that are not about the clock are written as they were before there were any that are.
fn of_resumption(row: &ResumptionRow) -> Stands {
    let mut body = json!({
        "id": row.id,
        "why": row.why.word(),
        "signed": row.signed,
        "found": row.found,
        "account": row.account,
        "by": row.name,
        "reason": row.reason,
        "at_ms": row.at_ms,
    });
    if row.ahead_ms != 0
        && let Some(body) = body.as_object_mut()
    {
        body.insert("ahead_ms".to_owned(), row.ahead_ms.into());
    }
    one(&row.id, 1, LeafKind::Resumption, body)
}

fn of_admission(row: &AdmissionRow) -> Stands {
    let body = json!({
        "id": row.id,
        "what": row.what.word(),
        "party": row.party,
        "role": row.role.word(),
        "name": row.name,
        "account": row.account,
        "link": row.link,
        "by": row.by,
        "by_name": row.by_name,
        "at_ms": row.at_ms,
    });
    one(&row.id, 1, LeafKind::Admission, body)
}

/// With the alarm that it clears: both are written once.
fn of_clearance(alarm: &AlarmRow, row: &ClearanceRow) -> Stands {
    let body = json!({
        "alarm": alarm.id,
        "why": alarm.why.word(),
        "kept": alarm.kept,
        "found": alarm.found,
        "party": alarm.party,
        "raised_by": alarm.account,
        "raised_name": alarm.account_name,
        "raised_ms": alarm.at_ms,
        "account": row.account,
        "name": row.name,
        "sentence": row.sentence,
        "settled_ms": row.at_ms,
    });
    one(&alarm.id, 1, LeafKind::Clearance, body)
}

/// A row as it is stored; none where it is not.
pub async fn stands(
    conn: &mut Connection,
    of: ReferenceData,
    key: &str,
) -> Result<Option<Stands>, AppError> {
    Ok(match of {
        ReferenceData::Party => parties::find(conn, &PartyId::new(key))
            .await?
            .as_ref()
            .map(of_party),
        ReferenceData::Account => {
            let row = people::account_by_id(conn, &AccountId::new(key)).await?;
            row.as_ref().map(of_account)
        }
        ReferenceData::Patient => {
            let code =
                PatientCode::parse(key).map_err(|why| StoreError::row("patient", key, why))?;
            let row = cases::find_patient(conn, &code).await?;
            row.as_ref().map(of_patient)
        }
        ReferenceData::List => list_stands(conn, key).await?,
        ReferenceData::UsualSet => {
            let rows = usual::versions(conn, key).await?;
            rows.last().map(|newest| Stands {
                version: newest.version,
                entries: rows.iter().map(of_usual).collect(),
            })
        }
        ReferenceData::Clearance => {
            let row = witness::cleared_alarm(conn, key).await?;
            row.map(|(alarm, row)| of_clearance(&alarm, &row))
        }
        ReferenceData::Resumption => {
            let row = resumption::find(conn, key).await?;
            row.as_ref().map(of_resumption)
        }
        ReferenceData::Admission => {
            let row = admissions::find(conn, key).await?;
            row.as_ref().map(of_admission)
        }
    })
}

/// A list with all its versions: each of them is kept.
async fn list_stands(conn: &mut Connection, key: &str) -> Result<Option<Stands>, AppError> {
    let Some(list) = lists::find(conn, key).await? else {
        return Ok(None);
    };
    let mut entries = Vec::new();
    for number in lists::version_numbers(conn, key).await? {
        if let Some(row) = lists::find_version(conn, key, number).await? {
            if number == list.version && row.entries != list.entries {
                let why = "the number of entries is not that of the version in force";
                return Err(StoreError::row("party_list", key, why).into());
            }
            entries.push(of_version(&list, &row));
        }
    }
    Ok(Some(Stands {
        version: list.version,
        entries,
    }))
}

/// The version in force alone: of a list or a set, the texts of the older ones are not read for it.
async fn in_force(
    conn: &mut Connection,
    of: ReferenceData,
    key: &str,
) -> Result<Option<(String, Entry)>, AppError> {
    if of == ReferenceData::UsualSet {
        return Ok(usual::newest(conn, key).await?.as_ref().map(of_usual));
    }
    if of != ReferenceData::List {
        return Ok(stands(conn, of, key)
            .await?
            .and_then(|row| row.entries.into_iter().next()));
    }
    let Some(list) = lists::find(conn, key).await? else {
        return Ok(None);
    };
    let row = lists::find_version(conn, key, list.version).await?;
    Ok(row.map(|row| of_version(&list, &row)))
}

/// Puts what has just been written into the record: a new row, or a new version of one of which all are kept.
pub async fn note(app: &App, tx: &mut Tx, of: ReferenceData, key: &str) -> Result<(), AppError> {
    let (about, entry) = written(tx, of, key).await?;
    if !of.keeps_all_versions() && version_of(&about) != Some(1) {
        let why = format!("{about} was written over, and nobody has held what stood there");
        return Err(AppError::Inner(why));
    }
    put(app, tx, &entry, about, key).await
}

async fn written(tx: &mut Tx, of: ReferenceData, key: &str) -> Result<(String, Entry), AppError> {
    let written = in_force(tx.conn(), of, key).await?;
    written.ok_or_else(|| AppError::Inner(format!("{key} has just been written")))
}

/// A row that is as its newest leaf says. Only such a row is written over: what somebody has put there past this
/// program would else be signed with the next version.
#[derive(Debug)]
#[must_use = "what is written over it is noted by it"]
pub struct HeldRow {
    of: ReferenceData,
    key: String,
}

impl HeldRow {
    /// Puts what has just been written over the row into the record.
    pub async fn note(self, app: &App, tx: &mut Tx) -> Result<(), AppError> {
        let (about, entry) = written(tx, self.of, &self.key).await?;
        forget_before(app, tx, self.of, &self.key, &about).await?;
        put(app, tx, &entry, about, &self.key).await
    }
}

/// Holds a stored row against its newest leaf, with all its texts. The row and its leaf are two questions, so all that `conn`
/// reads is of one moment: it writes, or is of [`Store::read_at_once`](crate::store::Store). So it is with all of these.
///
/// # Errors
/// A refusal in words, if it is another one.
pub async fn hold(
    app: &App,
    conn: &mut Connection,
    of: ReferenceData,
    key: &str,
) -> Result<HeldRow, AppError> {
    let row = match stands(conn, of, key).await {
        // This program writes nothing that it cannot read.
        Err(AppError::Store(why)) if why.is_of_a_value() => {
            return Err(changed_past_us(conn, of, key).await?);
        }
        found => found?.ok_or(AppError::NotFound)?,
    };
    match is_recorded(app, conn, of, key, &row).await? {
        true => Ok(HeldRow {
            of,
            key: key.to_owned(),
        }),
        false => Err(changed_past_us(conn, of, key).await?),
    }
}

/// Holds somebody's account as it was read: one leaf is looked at, unless the account has changed since.
///
/// # Errors
/// See [`hold`]; also if the account has meanwhile become another one, or was shut out: what is under way then, such as a
/// long upload, ends with it, and of two administrators who shut each other out at once one stays.
pub async fn hold_account(
    app: &App,
    conn: &mut Connection,
    account: &Account,
) -> Result<(), AppError> {
    let id = account.id.as_str();
    if is_recorded(app, conn, ReferenceData::Account, id, &of_account(account)).await? {
        return Ok(());
    }
    // Under another key's checkpoint the leaves say nothing, and no single account is to blame.
    refuse_another_key(app, conn).await?;
    // Somebody else may have written a new version of it since it was read.
    let _held = hold(app, conn, ReferenceData::Account, id).await?;
    let now = people::account_by_id(conn, &account.id).await?;
    let is_same = |now: &Account| {
        (&now.party, now.role, &now.name, &now.licence)
            == (
                &account.party,
                account.role,
                &account.name,
                &account.licence,
            )
    };
    if now.as_ref().is_some_and(|now| now.disabled) {
        return Err(AppError::Refused(vec![SHUT_OUT.to_owned()]));
    }
    match now.as_ref().is_some_and(is_same) {
        true => Ok(()),
        false => Err(changed_past_us(conn, ReferenceData::Account, id).await?),
    }
}

/// How long an account that was held is taken as it was then: its row of before, put back, opens nothing any more by then
/// in a program that has not seen how it was changed.
const HELD_FOR_MS: i64 = 60_000;

/// Holds the account of a session that goes on: once a minute for each state of its row, since it is asked with every request.
/// Answers whether the record proves house and role: where it is another one, the leaf that is there all the same lets
/// somebody look at the record, and nothing of a case is shown by it.
///
/// # Errors
/// See [`hold_account`].
pub async fn hold_signed_in(app: &App, account: &Account) -> Result<bool, AppError> {
    let (now, row) = (app.outside.now_ms(), hash_of(account));
    let held_ms = app.read_models.account_held_ms(&account.id, &row);
    if held_ms.is_some_and(|at| (at..at + HELD_FOR_MS).contains(&now)) {
        return Ok(true);
    }
    let mut conn = app.store.read_at_once().await?;
    match hold_account(app, &mut conn, account).await {
        Ok(()) => {
            note_held(app, account);
            Ok(true)
        }
        // It was as the record says; what has come over the record since stands on every page.
        Err(why) if held_ms.is_some() && !matches!(why, AppError::Refused(_)) => Ok(true),
        Err(AppError::Store(StoreError::Forked(why))) => {
            let leaf = record::newest_owned_by(&mut conn, account.id.as_str()).await?;
            let leaf = leaf.filter(|leaf| is_of_account(leaf, account));
            let leaf = leaf.ok_or(StoreError::Forked(why))?;
            match is_signed(app, &mut conn, &leaf).await {
                Err(AppError::Store(StoreError::Forked(_))) => Ok(false),
                found => found,
            }
        }
        Err(other) => Err(other),
    }
}

/// The people of a house by its rows, those who may no longer sign in too, as far as the record has each of them there under
/// this name: nobody else is offered work, or named for it.
pub async fn people_of(app: &App, house: &PartyId) -> Result<Vec<Account>, AppError> {
    let mut conn = app.store.read_at_once().await?;
    let mut held = Vec::new();
    for account in people::accounts_of(&mut conn, house).await? {
        if is_held(app, &mut conn, &account).await? {
            held.push(account);
        }
    }
    Ok(held)
}

/// Whether an account is as the record says; looked at once for each state of its row.
async fn is_held(app: &App, conn: &mut Connection, account: &Account) -> Result<bool, AppError> {
    let is_known = app
        .read_models
        .account_held_ms(&account.id, &hash_of(account))
        .is_some();
    if is_known {
        return Ok(true);
    }
    let (key, row) = (account.id.as_str(), of_account(account));
    match is_recorded(app, conn, ReferenceData::Account, key, &row).await {
        Ok(true) => {
            note_held(app, account);
            Ok(true)
        }
        Ok(false) => {
            tracing::error!(
                account = key,
                "an account is not as the record says, and is left out of a list"
            );
            Ok(false)
        }
        // What stands on every page says that the record is another one.
        Err(AppError::Store(StoreError::Forked(_))) => Ok(false),
        Err(other) => Err(other),
    }
}

/// What a list calls a house that is not as the record says.
pub const UNPROVED_NAME: &str = "House not as the record says";

/// The houses that this one works with, by name: whoever can write the database could call one by another's name, and a list
/// would lead to the wrong door.
pub async fn held_houses(
    app: &App,
    conn: &mut Connection,
    (side, party): (Side, &PartyId),
) -> Result<Vec<(PartyId, String)>, AppError> {
    let mut named = Vec::new();
    for (id, row) in agenda::houses(conn, side, party).await? {
        let name = match row {
            Some(row) if is_house_held(app, conn, &row).await? => row.name,
            _ => UNPROVED_NAME.to_owned(),
        };
        named.push((id, name));
    }
    Ok(named)
}

/// Whether a house is as the record says; looked at once for each state of its row.
async fn is_house_held(app: &App, conn: &mut Connection, house: &Party) -> Result<bool, AppError> {
    let hash = sha256_hex(format!("{house:?}").as_bytes());
    if app.read_models.was_house_held(&house.id, &hash) {
        return Ok(true);
    }
    let (key, row) = (house.id.as_str(), of_party(house));
    match is_recorded(app, conn, ReferenceData::Party, key, &row).await {
        Ok(true) => {
            app.read_models.store_house_held(&house.id, hash);
            Ok(true)
        }
        Ok(false) => {
            tracing::error!(
                house = key,
                "a house is not as the record says, and no list calls it by its name"
            );
            Ok(false)
        }
        // What stands on every page says that the record is another one.
        Err(AppError::Store(StoreError::Forked(_))) => Ok(true),
        Err(other) => Err(other),
    }
}

/// Remembers an account that has just been held, or written.
pub fn note_held(app: &App, account: &Account) {
    let now = app.outside.now_ms();
    app.read_models
        .store_account(&account.id, hash_of(account), now);
}

fn hash_of(account: &Account) -> String {
    sha256_hex(format!("{account:?}").as_bytes())
}

fn is_of_account(leaf: &LeafRow, account: &Account) -> bool {
    let whole: Value = serde_json::from_str(&leaf.body).unwrap_or_default();
    let said = |place| whole.pointer(place).and_then(Value::as_str);
    leaf.kind == LeafKind::Account.word()
        && said("/account/party") == account.party.as_ref().map(PartyId::as_str)
        && said("/account/role") == Some(account.role.word())
}

/// What is said to somebody who was shut out while this was under way.
const SHUT_OUT: &str = "An administrator has just shut you out: you may not sign in any more.";

/// Holds a patient's card as it was read on the same connection.
///
/// # Errors
/// See [`hold`].
pub async fn hold_card(app: &App, conn: &mut Connection, row: &PatientRow) -> Result<(), AppError> {
    let code = row.code.as_str();
    match is_recorded(app, conn, ReferenceData::Patient, code, &of_patient(row)).await? {
        true => Ok(()),
        false => Err(changed_past_us(conn, ReferenceData::Patient, code).await?),
    }
}

/// Holds the version in force of a list or a set, as it is read for a page: its older versions are not read for it.
///
/// # Errors
/// See [`hold`].
pub async fn hold_in_force(
    app: &App,
    conn: &mut Connection,
    of: ReferenceData,
    key: &str,
) -> Result<(), AppError> {
    let entry = in_force(conn, of, key).await?.ok_or(AppError::NotFound)?;
    let row = Stands {
        version: version_of(&entry.0).unwrap_or_default(),
        entries: vec![entry],
    };
    match is_recorded(app, conn, of, key, &row).await? {
        true => Ok(()),
        false => Err(changed_past_us(conn, of, key).await?),
    }
}

/// Holds one version of a set, in force or not.
///
/// # Errors
/// See [`hold`].
pub async fn hold_usual(app: &App, conn: &mut Connection, row: &UsualRow) -> Result<(), AppError> {
    let (about, entry) = of_usual(row);
    hold_version(
        app,
        conn,
        ReferenceData::UsualSet,
        (row.id.as_str(), about.as_str(), &entry),
    )
    .await
}

/// Holds one version of a list, in force or not; of the one in force also what the list itself says of its length.
///
/// # Errors
/// See [`hold`].
pub async fn hold_list_version(
    app: &App,
    conn: &mut Connection,
    list: &PartyList,
    row: &Version,
) -> Result<(), AppError> {
    if list.version == row.version && list.entries != row.entries {
        return Err(changed_past_us(conn, ReferenceData::List, &list.id).await?);
    }
    let (about, entry) = of_version(list, row);
    hold_version(
        app,
        conn,
        ReferenceData::List,
        (list.id.as_str(), about.as_str(), &entry),
    )
    .await
}

/// Holds whoever enters something: the account, and the house with name, clock and numbering as they were read with the
/// request. An entry keeps these for good, also where somebody puts the row right afterwards.
///
/// # Errors
/// See [`hold_account`] and [`hold_house`].
pub async fn hold_person(
    app: &App,
    conn: &mut Connection,
    person: &Person,
) -> Result<(), AppError> {
    hold_account(app, conn, &person.account).await?;
    match &person.party {
        Some(house) => hold_house(app, conn, house).await,
        None => Ok(()),
    }
}

/// Holds a house as it was read before.
///
/// # Errors
/// See [`hold`]; a conflict, where an administrator has meanwhile changed what entries say of it.
pub async fn hold_house(app: &App, conn: &mut Connection, house: &Party) -> Result<(), AppError> {
    let id = house.id.as_str();
    if is_recorded(app, conn, ReferenceData::Party, id, &of_party(house)).await? {
        return Ok(());
    }
    // Somebody else may have written a new version of it since it was read.
    let _held = hold(app, conn, ReferenceData::Party, id).await?;
    let now = parties::find(conn, &house.id).await?;
    let now = now.ok_or(AppError::NotFound)?;
    let said = |one: &Party| {
        let (kind, numbering) = (one.kind, one.numbering);
        (kind, one.name.clone(), one.zone.clone(), numbering)
    };
    match (said(&now) == said(house), now.version > house.version) {
        (true, _) => Ok(()),
        (false, true) => Err(StoreError::Stale(HOUSE).into()),
        (false, false) => Err(changed_past_us(conn, ReferenceData::Party, id).await?),
    }
}

/// What an administrator may have changed while something was under way.
const HOUSE: &str = "what is stored of your house";

async fn hold_version(
    app: &App,
    conn: &mut Connection,
    of: ReferenceData,
    (key, about, entry): (&str, &str, &Entry),
) -> Result<(), AppError> {
    let leaf = app
        .store
        .leaf_about(conn, kind_of(of).word(), about)
        .await?;
    let is_recorded = match &leaf {
        Some(leaf) => is_whole(app, conn, leaf, entry).await?,
        // A database of an earlier version is as it was until its rows are entered in the record.
        None => !has_begun(app, conn).await?,
    };
    match is_recorded {
        true => Ok(()),
        false => Err(changed_past_us(conn, of, key).await?),
    }
}

async fn is_recorded(
    app: &App,
    conn: &mut Connection,
    of: ReferenceData,
    key: &str,
    row: &Stands,
) -> Result<bool, AppError> {
    let newest = app.store.newest_owned_by(conn, key).await?;
    match (newest, row.entries.last()) {
        (Some(leaf), Some((about, entry))) => {
            let is_newest = leaf.kind == kind_of(of).word() && leaf.about == *about;
            let is_recorded = is_newest && is_whole(app, conn, &leaf, entry).await?;
            if is_recorded {
                app.proven.begin();
            }
            Ok(is_recorded)
        }
        // A database of an earlier version is as it was until its rows are entered in the record.
        (None, _) => Ok(!has_begun(app, conn).await?),
        (Some(_), None) => Ok(false),
    }
}

/// None for a row of which a value cannot be read.
fn if_readable<T>(found: Result<Option<T>, StoreError>) -> Result<Option<T>, StoreError> {
    match found {
        Err(why) if why.is_of_a_value() => Ok(None),
        found => found,
    }
}

async fn changed_past_us(
    conn: &mut Connection,
    of: ReferenceData,
    key: &str,
) -> Result<AppError, AppError> {
    let what = match of {
        ReferenceData::Account => {
            let account = if_readable(people::account_by_id(conn, &AccountId::new(key)).await)?;
            let name = account.map_or_else(|| key.to_owned(), |account| account.name);
            format!("The account of {name}")
        }
        ReferenceData::Party => {
            let party = if_readable(parties::find(conn, &PartyId::new(key)).await)?;
            format!(
                "What is stored of {}",
                party.map_or_else(|| key.to_owned(), |party| party.name)
            )
        }
        ReferenceData::Patient => format!("The card of patient {key}"),
        other => format!("What is stored as {} {key}", kind_of(other).word()),
    };
    tracing::error!(
        kind = kind_of(of).word(),
        key,
        "a row is not as the record says"
    );
    Ok(AppError::Refused(vec![format!(
        "{what} is not as the record says: somebody has changed it past this program. Nothing was entered. Tell whoever \
         runs this installation: “vestibule check” says more."
    )]))
}

/// What is written over is stored no more: the salts of the version before go along, so that nobody guesses
/// from its leaf what a card or an account said. Of lists and sets every version is kept, with its salts.
async fn forget_before(
    app: &App,
    tx: &mut Tx,
    of: ReferenceData,
    key: &str,
    about_now: &str,
) -> Result<(), AppError> {
    let before = version_of(about_now).map(|version| about(key, version - 1));
    let Some(before) = before.filter(|_| !of.keeps_all_versions()) else {
        return Ok(());
    };
    let kind = kind_of(of).word();
    if let Some(leaf) = app.store.leaf_about(tx.conn(), kind, &before).await? {
        write_salts(tx, leaf.number, &salts_to_json(&Salts::new()).to_string()).await?;
    }
    Ok(())
}

/// A patient's card of this office, by its row and by the record.
///
/// # Errors
/// Of another office, by the record, it does not exist, nor where neither has it for this one. A refusal in words, where the
/// record has it for this office, and the row says anything else, or is gone; and where the row alone has it.
pub async fn own_card(
    app: &App,
    conn: &mut Connection,
    office: &PartyId,
    code: &PatientCode,
) -> Result<PatientRow, AppError> {
    let row = cases::find_patient(conn, code).await?;
    let by_row = row.filter(|row| row.office == *office);
    let leaf = match app.store.newest_owned_by(conn, code.as_str()).await {
        // Every page says that the record is another one; of whom the card is, the leaf that is there has to prove.
        Err(StoreError::Forked(_)) => record::newest_owned_by(conn, code.as_str()).await?,
        found => found?,
    };
    let is_card = |leaf: &LeafRow| leaf.kind == LeafKind::Patient.word();
    let Some(leaf) = leaf.filter(is_card) else {
        let row = by_row.ok_or(AppError::NotFound)?;
        // A database of an earlier version is as it was until its rows are entered in the record.
        return match has_begun(app, conn).await? {
            false => Ok(row),
            true => Err(changed_past_us(conn, ReferenceData::Patient, code.as_str()).await?),
        };
    };
    if let Some(row) = &by_row
        && stands_for(app, conn, &leaf, row).await?
    {
        return by_row.ok_or(AppError::NotFound);
    }
    let whole: Value = serde_json::from_str(&leaf.body).unwrap_or_default();
    let recorded = whole.pointer("/patient/office").and_then(Value::as_str);
    let is_recorded_here = recorded == Some(office.as_str());
    match (by_row.is_some(), is_recorded_here) {
        (false, false) => Err(AppError::NotFound),
        // By a leaf that is not proved, a card is of nobody else.
        (true, false) if is_signed(app, conn, &leaf).await? => Err(AppError::NotFound),
        (true, _) | (false, true) => {
            Err(changed_past_us(conn, ReferenceData::Patient, code.as_str()).await?)
        }
    }
}

/// Whether the record has a card for the office that its row names. What else the card says is not asked.
pub async fn names_office(
    app: &App,
    conn: &mut Connection,
    row: &PatientRow,
) -> Result<bool, AppError> {
    let key = row.code.as_str();
    let leaf = match app.store.newest_owned_by(conn, key).await {
        // What stands on every page says so; the office is that of the leaf that is there, where that can be proved.
        Err(StoreError::Forked(_)) => record::newest_owned_by(conn, key).await?,
        found => found?,
    };
    let Some(leaf) = leaf.filter(|leaf| leaf.kind == LeafKind::Patient.word()) else {
        // A database of an earlier version is as it was until its rows are entered in the record.
        return Ok(!has_begun(app, conn).await?);
    };
    let whole: Value = serde_json::from_str(&leaf.body).unwrap_or_default();
    let office = whole.pointer("/patient/office").and_then(Value::as_str);
    if office != Some(row.office.as_str()) {
        tracing::error!(
            patient = key,
            "a card is listed for an office that the record does not name"
        );
        return Ok(false);
    }
    // A leaf that stands for the row is proved once; of any other it is asked each time.
    Ok(stands_for(app, conn, &leaf, row).await? || is_signed(app, conn, &leaf).await?)
}

/// Whether a leaf of the signed record stands for a card.
async fn stands_for(
    app: &App,
    conn: &mut Connection,
    leaf: &LeafRow,
    row: &PatientRow,
) -> Result<bool, AppError> {
    for (about, entry) in of_patient(row).entries {
        if leaf.about == about && erased_of(app, conn, leaf, &entry).await?.is_some() {
            return Ok(true);
        }
    }
    Ok(false)
}

/// Whether such rows are in the record: nobody acts without an account, and no leaf ever goes.
pub async fn is_in_record(conn: &mut Connection) -> Result<bool, AppError> {
    for of in [ReferenceData::Party, ReferenceData::Account] {
        if has_kind(conn, kind_of(of).word()).await? {
            return Ok(true);
        }
    }
    Ok(false)
}

/// The same as far as this program has seen: once it was so, nobody can take those leaves away.
pub async fn has_begun(app: &App, conn: &mut Connection) -> Result<bool, AppError> {
    if !app.proven.has_begun() && is_in_record(conn).await? {
        app.proven.begin();
    }
    Ok(app.proven.has_begun())
}

/// Enters in the record what was written before such rows were in it; does nothing once one of them is.
pub(super) async fn backfill(app: &App) -> Result<(), AppError> {
    let mut conn = app.store.read().await?;
    if is_in_record(&mut conn).await? {
        return Ok(());
    }
    let mut tx = app.store.begin().await?;
    for &of in ReferenceData::ALL {
        let mut after = String::new();
        loop {
            let keys = keys_after(&mut conn, of, &after, CHUNK).await?;
            for key in &keys {
                let row = stands(tx.conn(), of, key).await?;
                for (about, entry) in row.map(|row| row.entries).unwrap_or_default() {
                    put(app, &mut tx, &entry, about, key).await?;
                }
            }
            match keys.last() {
                Some(last) => after.clone_from(last),
                None => break,
            }
        }
    }
    Ok(tx.commit().await?)
}
