//! What an administrator does about offices and labs, and about who may sign in. Who is let in is in `let_in.rs`.

use super::bindings::bound;
use super::choose_law::{LawForm, not_installed};
use super::recorded::reference::{hold, note};
use super::run::{run, write};
use super::security::Happened;
use super::sign_in::secret_hash;
use super::{App, AppError, Person, PostKey, ended};
use crate::clock::is_zone;
use crate::domain::form::{FieldSet, Form, Kind, Raw, command, name};
use crate::domain::people::account::{Account, Invite};
use crate::domain::people::party::{Paper, Party, Role, Side};
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::{AccountId, PartyId};
use crate::domain::values::tooth::Numbering;
use crate::store::reference::ReferenceData;
use crate::store::{Connection, StoreError, Tx, bench_codes, feeds, parties, people};

/// A one-time link works for two days: long enough for a weekend, short enough to be forgotten in a mailbox.
pub const INVITE_MS: i64 = 48 * 60 * 60_000;

command! {
    /// What kind of house it is: said once, when it is new.
    SideForm;
    kind: Side = Side::KIND, "What it is", "", needed "Choose one.";
}

command! {
    /// What is printed of an office or a lab, and how it prints and counts.
    PartyForm;
    name: String = name(120), "Name", "", needed "Type the name.";
    address: String = Kind::Address { max: 400 }, "Address", "As it is to be printed, line by line.", needed "Type the address.";
    licence: String = name(60), "License or registration number", "", needed "Type the license or registration number.";
    telephone: String = name(40), "Telephone", "Printed on every sheet: whoever holds it calls before a guess.";
    zone: String = name(60), "Time zone", "Region and city, such as Europe/Vienna.", needed "Type the time zone.";
    paper: Paper = Paper::KIND, "Paper size", "", needed "Choose one.";
    numbering: Numbering = Numbering::KIND, "Tooth numbers", "", needed "Choose one.";
}

/// An office or a lab as an administrator types it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PartyEntry {
    pub form: PartyForm,
    pub law: LawForm,
}

impl Form for PartyEntry {
    fn field_sets() -> Vec<FieldSet> {
        vec![
            FieldSet::once(PartyForm::FIELDS),
            FieldSet::once(LawForm::FIELDS),
        ]
    }

    fn read(raw: &Raw, faults: &mut Vec<Fault>) -> Option<PartyEntry> {
        let (form, law) = (PartyForm::read(raw, faults), LawForm::read(raw, faults));
        Some(PartyEntry {
            form: form?,
            law: law?,
        })
    }
}

impl PartyEntry {
    /// The party that it makes, if this installation has its time zone and its profile.
    fn party(&self, app: &App, id: PartyId, kind: Side, version: i64) -> Result<Party, AppError> {
        let form = &self.form;
        let unknown_zone = (!is_zone(&form.zone)).then(|| {
            Fault::new(
                PartyForm::zone().key,
                "No such time zone. Write it as region and city, such as Europe/Vienna.",
            )
        });
        let unknown_profile = not_installed(app, &self.law.profile);
        let faults: Vec<Fault> = unknown_zone.into_iter().chain(unknown_profile).collect();
        if !faults.is_empty() {
            return Err(AppError::Invalid(faults));
        }
        Ok(Party {
            id,
            kind,
            name: form.name.clone(),
            address: form.address.clone(),
            licence: form.licence.clone(),
            telephone: form.telephone.clone(),
            zone: form.zone.clone(),
            paper: form.paper,
            numbering: form.numbering,
            profile: self.law.profile.clone(),
            version,
        })
    }
}

/// A new office or lab.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewParty {
    pub kind: Side,
    pub entry: PartyEntry,
}

impl Form for NewParty {
    fn field_sets() -> Vec<FieldSet> {
        let mut sets = vec![FieldSet::once(SideForm::FIELDS)];
        sets.extend(PartyEntry::field_sets());
        sets
    }

    fn read(raw: &Raw, faults: &mut Vec<Fault>) -> Option<NewParty> {
        let side = SideForm::read(raw, faults);
        let entry = PartyEntry::read(raw, faults);
        Some(NewParty {
            kind: side?.kind,
            entry: entry?,
        })
    }
}

pub async fn add_party(
    app: &App,
    person: &Person,
    new: &NewParty,
    key: &PostKey,
) -> Result<PartyId, AppError> {
    let party = new
        .entry
        .party(app, PartyId::new(app.outside.identity()?), new.kind, 1)?;
    run(app, person, key, |mut tx| async {
        of_another_name(&mut tx, &party).await?;
        parties::insert(&mut tx, &party).await?;
        note(app, &mut tx, ReferenceData::Party, &party.id).await?;
        Ok((tx, party.id.clone()))
    })
    .await
}

/// Papers, lists and choices tell houses apart by their names.
async fn of_another_name(tx: &mut Tx, party: &Party) -> Result<(), AppError> {
    let plain = |name: &str| {
        let words = name.split_whitespace().map(str::to_lowercase);
        words.collect::<Vec<_>>().join(" ")
    };
    let all = parties::all(tx.conn()).await?;
    let same = |other: &Party| {
        other.id != party.id && other.kind == party.kind && plain(&other.name) == plain(&party.name)
    };
    match all.iter().find(|other| same(other)) {
        None => Ok(()),
        Some(other) => Err(AppError::field(
            PartyForm::name().key,
            format!(
                "There is a house named {} already. Add what tells them apart, such as the street or the town.",
                other.name
            ),
        )),
    }
}

/// Changes a party; what kind of house it is stays.
pub async fn change_party(
    app: &App,
    person: &Person,
    id: &PartyId,
    entry: &PartyEntry,
    key: &PostKey,
) -> Result<(), AppError> {
    run(app, person, key, |mut tx| async {
        let stored = parties::find(tx.conn(), id)
            .await?
            .ok_or(AppError::NotFound)?;
        let is_renamed = stored.name != entry.form.name;
        let party = entry.party(app, stored.id, stored.kind, entry.law.version)?;
        if is_renamed {
            of_another_name(&mut tx, &party).await?;
        }
        let held = hold(app, tx.conn(), ReferenceData::Party, id).await?;
        parties::update(&mut tx, &party).await?;
        held.note(app, &mut tx).await?;
        Ok((tx, ()))
    })
    .await
}

pub async fn party(app: &App, id: &PartyId) -> Result<Party, AppError> {
    match parties::find(&mut *app.store.read().await?, id).await {
        Err(why) if why.is_of_a_value() => {
            tracing::error!(%why, "a house cannot be read");
            Err(AppError::Refused(vec![String::from(
                "What is stored of this house cannot be read: somebody has changed it past this program. Nothing was \
                 entered. “vestibule check” names the row, which has to be put right.",
            )]))
        }
        found => found?.ok_or(AppError::NotFound),
    }
}

/// Parties with the people who work there; the administrators come first, under no party.
#[derive(Debug)]
pub struct Everybody {
    pub administrators: Vec<Account>,
    pub parties: Vec<(Party, Vec<Account>)>,
    /// Of parties that cannot be read: they can be shut out like all others.
    pub of_others: Vec<Account>,
}

/// What can be read of a list; `check` names the rest.
pub(super) fn readable<T>(all: Vec<Result<T, StoreError>>) -> Vec<T> {
    let all = all.into_iter();
    all.filter_map(|one| {
        one.inspect_err(|error| tracing::warn!(%error, "a row is left out of a list"))
            .ok()
    })
    .collect()
}

/// Everybody's accounts; one that cannot be read keeps nobody from shutting out others.
pub(super) async fn readable_accounts(conn: &mut Connection) -> Result<Vec<Account>, StoreError> {
    Ok(readable(people::each_account(conn).await?))
}

/// All parties; one that cannot be read keeps nobody from working with others.
pub(super) async fn readable_parties(conn: &mut Connection) -> Result<Vec<Party>, StoreError> {
    Ok(readable(parties::each(conn).await?))
}

pub async fn everybody(app: &App) -> Result<Everybody, AppError> {
    let mut conn = app.store.read().await?;
    let (parties, accounts) = (
        readable_parties(&mut conn).await?,
        readable_accounts(&mut conn).await?,
    );
    let is_listed = |id: &PartyId| parties.iter().any(|party| party.id == *id);
    let of_others = accounts.iter().filter(|account| {
        let party = account.party.as_ref();
        party.is_some_and(|id| !is_listed(id))
    });
    let of_others = of_others.cloned().collect();
    let of = |party: Option<&PartyId>| -> Vec<Account> {
        accounts
            .iter()
            .filter(|account| account.party.as_ref() == party)
            .cloned()
            .collect()
    };
    Ok(Everybody {
        of_others,
        administrators: of(None),
        parties: parties
            .into_iter()
            .map(|party| {
                let people = of(Some(&party.id));
                (party, people)
            })
            .collect(),
    })
}

/// The link that makes the first administrator. Refused once there is one: then he or she invites others.
pub async fn first_link(app: &App) -> Result<String, AppError> {
    let secret = app.outside.token()?;
    let now = app.outside.now_ms();
    let hash = secret_hash(&secret);
    let invite = bound(
        app,
        &hash,
        Invite {
            party: None,
            role: Role::Administrator,
            name: String::new(),
            ends_ms: now + INVITE_MS,
            admission: None,
            account: None,
            binding: String::new(),
        },
    );
    write(app, |mut tx| async {
        if people::count_administrators(tx.conn()).await? > 0 {
            return Err(AppError::Conflict(
                "There is an administrator already, who can invite others.".to_owned(),
            ));
        }
        people::insert_invite(&mut tx, &hash, &invite, now).await?;
        Ok((tx, format!("/join/{secret}")))
    })
    .await
}

/// Whether nobody can administer this installation yet.
pub async fn is_empty(app: &App) -> Result<bool, AppError> {
    let mut conn = app.store.read().await?;
    Ok(people::count_administrators(&mut conn).await? == 0)
}

/// Shuts somebody out: sessions end at once, and the one-time links by which he or she could come back, or has made for
/// others, open nothing any more. Answers with how many of those made for others that were.
pub async fn shut_out(
    app: &App,
    person: &Person,
    id: &AccountId,
    key: &PostKey,
) -> Result<i64, AppError> {
    if *id == person.account.id {
        return Err(AppError::Refused(vec![
            "You cannot disable yourself: another administrator can.".to_owned(),
        ]));
    }
    let now = app.outside.now_ms();
    let links = run(app, person, key, |mut tx| async {
        let mut account = people::account_by_id(tx.conn(), id)
            .await?
            .ok_or(AppError::NotFound)?;
        account.disabled = true;
        let held = hold(app, tx.conn(), ReferenceData::Account, id).await?;
        people::update_account(&mut tx, &account).await?;
        held.note(app, &mut tx).await?;
        let begun = ended::all_of(app, tx.conn(), id).await?;
        people::end_sessions_of(&mut tx, id).await?;
        people::spend_links_of(&mut tx, id, now).await?;
        let links = people::spend_links_by(&mut tx, id, now).await?;
        feeds::end(&mut tx, id).await?;
        bench_codes::drop_code(&mut tx, id).await?;
        // Before that is kept: a program that is ended in between would leave open whose row comes back.
        ended::note_all(app, begun).await;
        Ok((tx, links))
    })
    .await?;
    app.read_models.forget_account(id);
    person.note(Happened::ShutOut, id.as_str());
    Ok(links)
}
