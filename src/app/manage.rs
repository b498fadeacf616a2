//! What an administrator does: parties, people, one-time links.

use super::recorded::reference::note;
use super::run::{run, run_again, write};
use super::sign_in::secret_hash;
pub use super::typed::Typed;
use super::{App, AppError, Person, PostKey};
use crate::clock::is_zone;
use crate::domain::law::profile::{DEFAULT, Profiles};
use crate::domain::people::account::{Account, Invite};
use crate::domain::people::party::{Paper, Party, Role, Side};
use crate::domain::values::fault::Fault;
use crate::domain::values::tooth::Numbering;
use crate::store::reference::ReferenceData;
use crate::store::{StoreError, Tx, parties, people};

/// A one-time link works for two days: long enough for a weekend, short enough to be forgotten in a mailbox.
pub const INVITE_MS: i64 = 48 * 60 * 60_000;

fn text(typed: &Typed, key: &str) -> String {
    typed
        .get(key)
        .map(|text| text.trim().to_owned())
        .unwrap_or_default()
}

/// The profile of local law that a form names; one that is not there is a fault beside the field.
pub(super) fn read_profile(typed: &Typed, profiles: &Profiles) -> Result<String, Fault> {
    let key = text(typed, "profile");
    if profiles.has(&key) {
        return Ok(key);
    }
    Err(Fault::new(
        "profile",
        "This installation has no such profile of local law: choose another.",
    ))
}

/// Reads the form of a party; `id` and `version` are those of the party it changes.
pub fn read_party(
    typed: &Typed,
    profiles: &Profiles,
    id: String,
    version: i64,
) -> Result<Party, Vec<Fault>> {
    let mut faults = Vec::new();
    let mut needed = |key: &str, most: usize, what: &str| {
        let text = text(typed, key);
        let length = text.chars().count();
        if text.is_empty() {
            faults.push(Fault::new(key, format!("Type the {what}.")));
        } else if length > most {
            faults.push(Fault::new(
                key,
                format!("At most {most} characters; these are {length}."),
            ));
        }
        text
    };
    let name = needed("name", 120, "name");
    let address = needed("address", 400, "address");
    let licence = needed("licence", 60, "licence or registration number");
    let zone = needed("zone", 60, "time zone");
    if !zone.is_empty() && !is_zone(&zone) {
        faults.push(Fault::new(
            "zone",
            "No such time zone. Write it as region and city, such as Europe/Vienna.",
        ));
    }
    let kind = Side::from_word(&text(typed, "kind"));
    let paper = Paper::from_word(&text(typed, "paper"));
    let numbering = Numbering::from_word(&text(typed, "numbering"));
    for (key, missing) in [
        ("kind", kind.is_none()),
        ("paper", paper.is_none()),
        ("numbering", numbering.is_none()),
    ] {
        if missing {
            faults.push(Fault::new(key, "Choose one."));
        }
    }
    let profile = read_profile(typed, profiles).unwrap_or_else(|fault| {
        faults.push(fault);
        String::new()
    });
    match (kind, paper, numbering) {
        (Some(kind), Some(paper), Some(numbering)) if faults.is_empty() => Ok(Party {
            id,
            kind,
            name,
            address,
            licence,
            zone,
            paper,
            numbering,
            profile,
            version,
        }),
        _ => Err(faults),
    }
}

pub async fn add_party(
    app: &App,
    person: &Person,
    typed: &Typed,
    key: &PostKey,
) -> Result<String, AppError> {
    let mut typed = typed.clone();
    typed
        .entry("profile".to_owned())
        .or_insert_with(|| DEFAULT.to_owned());
    let party = read_party(&typed, &app.profiles, app.outside.identity()?, 1);
    let party = party.map_err(AppError::Invalid)?;
    run(app, person, key, |mut tx| async {
        parties::insert(&mut tx, &party).await?;
        note(app, &mut tx, ReferenceData::Party, &party.id).await?;
        Ok((tx, party.id.clone()))
    })
    .await
}

pub async fn change_party(
    app: &App,
    person: &Person,
    id: &str,
    typed: &Typed,
    key: &PostKey,
) -> Result<(), AppError> {
    let version = text(typed, "version").parse().unwrap_or(0);
    run(app, person, key, |mut tx| async {
        let stored = parties::find(tx.conn(), id)
            .await?
            .ok_or(AppError::NotFound)?;
        let mut typed = typed.clone();
        typed.insert("kind".into(), stored.kind.word().into());
        // A form that does not name the profile leaves it as it is.
        typed.entry("profile".into()).or_insert(stored.profile);
        let party = read_party(&typed, &app.profiles, id.to_owned(), version);
        let party = party.map_err(AppError::Invalid)?;
        parties::update(&mut tx, &party).await?;
        note(app, &mut tx, ReferenceData::Party, id).await?;
        Ok((tx, ()))
    })
    .await
}

pub async fn party(app: &App, id: &str) -> Result<Party, AppError> {
    parties::find(&mut *app.store.read().await?, id)
        .await?
        .ok_or(AppError::NotFound)
}

/// Parties with the people who work there; the administrators come first, under no party.
#[derive(Debug)]
pub struct Everybody {
    pub administrators: Vec<Account>,
    pub parties: Vec<(Party, Vec<Account>)>,
}

pub async fn everybody(app: &App) -> Result<Everybody, AppError> {
    let mut conn = app.store.read().await?;
    let (parties, accounts) = (
        parties::all(&mut conn).await?,
        people::all_accounts(&mut conn).await?,
    );
    let of = |party: Option<&str>| -> Vec<Account> {
        accounts
            .iter()
            .filter(|account| account.party.as_deref() == party)
            .cloned()
            .collect()
    };
    Ok(Everybody {
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

/// Reads the form that invites somebody.
async fn read_invite(app: &App, typed: &Typed, ends_ms: i64) -> Result<Invite, AppError> {
    let name = text(typed, "name");
    let mut faults = Vec::new();
    if name.is_empty() || name.chars().count() > 120 {
        faults.push(Fault::new(
            "name",
            "Type the name as it is to be printed, at most 120 characters.",
        ));
    }
    let role = Role::from_word(&text(typed, "role"));
    let party_id = text(typed, "party");
    let party = match party_id.as_str() {
        "" => None,
        id => parties::find(&mut *app.store.read().await?, id).await?,
    };
    match role {
        None => faults.push(Fault::new("role", "Choose a role.")),
        Some(role) if role.works_in() != party.as_ref().map(|party| party.kind) => {
            let message = match role.works_in() {
                Some(kind) => format!(
                    "A {} works in a {}: choose one.",
                    role.shown(),
                    kind.shown()
                ),
                None => "An administrator belongs to no party: leave it empty.".to_owned(),
            };
            faults.push(Fault::new("party", message));
        }
        Some(_) => {}
    }
    match role {
        Some(role) if faults.is_empty() => Ok(Invite {
            party: party.map(|party| party.id),
            role,
            name,
            ends_ms,
        }),
        _ => Err(AppError::Invalid(faults)),
    }
}

/// Makes a one-time link. It is shown in this answer and nowhere else: only its hash is kept. A repeated
/// post, such as a double click, takes the place of an answer that nobody saw, so the link of the first is
/// made void and a fresh one is shown.
pub async fn invite(
    app: &App,
    person: &Person,
    typed: &Typed,
    key: &PostKey,
) -> Result<String, AppError> {
    let now = app.outside.now_ms();
    let invite = read_invite(app, typed, now + INVITE_MS).await?;
    let secret = app.outside.token()?;
    let hash = secret_hash(&secret);
    run_again(app, person, key, |mut tx, shown| async {
        people::insert_invite(&mut tx, &hash, &invite, now).await?;
        if let Some(shown) = shown {
            make_void(&mut tx, &shown, now).await?;
        }
        Ok((tx, hash.clone()))
    })
    .await?;
    Ok(format!("/join/{secret}"))
}

async fn make_void(tx: &mut Tx, hash: &str, now: i64) -> Result<(), AppError> {
    match people::spend_invite(tx, hash, now).await {
        Err(StoreError::Stale(_)) => Err(AppError::Conflict(
            "This link has been made and used already. To invite somebody else, open the page anew."
                .to_owned(),
        )),
        done => Ok(done?),
    }
}

/// The link that makes the first administrator. Refused once there is one: then he or she invites others.
pub async fn first_link(app: &App) -> Result<String, AppError> {
    let secret = app.outside.token()?;
    let now = app.outside.now_ms();
    let invite = Invite {
        party: None,
        role: Role::Administrator,
        name: String::new(),
        ends_ms: now + INVITE_MS,
    };
    write(app, |mut tx| async {
        if people::count_administrators(tx.conn()).await? > 0 {
            return Err(AppError::Conflict(
                "There is an administrator already, who can invite others.".to_owned(),
            ));
        }
        people::insert_invite(&mut tx, &secret_hash(&secret), &invite, now).await?;
        Ok((tx, format!("/join/{secret}")))
    })
    .await
}

/// Disables an account, or lets it sign in again. Disabling ends its sessions at once.
pub async fn set_disabled(
    app: &App,
    person: &Person,
    id: &str,
    disabled: bool,
    key: &PostKey,
) -> Result<(), AppError> {
    if id == person.account.id {
        return Err(AppError::Refused(vec![
            "You cannot disable yourself: another administrator can.".to_owned(),
        ]));
    }
    run(app, person, key, |mut tx| async {
        let mut account = people::account_by_id(tx.conn(), id)
            .await?
            .ok_or(AppError::NotFound)?;
        account.disabled = disabled;
        people::update_account(&mut tx, &account).await?;
        note(app, &mut tx, ReferenceData::Account, id).await?;
        if disabled {
            people::end_sessions_of(&mut tx, id).await?;
        }
        Ok((tx, ()))
    })
    .await
}
