//! Opening a one-time link: the person chooses a sign-in name and a password, and is in.

use super::manage::Typed;
use super::recorded::reference::note;
use super::run::write;
use super::sign_in::{begin_session, secret_hash};
use super::{App, AppError};
use crate::domain::people::account::{Account, Invite, check_new_password, parse_login};
use crate::domain::people::party::{Party, Role};
use crate::domain::values::fault::Fault;
use crate::store::reference::ReferenceData;
use crate::store::{StoreError, parties, people};

/// What the link offers.
#[derive(Debug)]
pub struct Offer {
    pub invite: Invite,
    pub party: Option<Party>,
}

/// Reads the link; one that is used up, too old or never was is not found.
pub async fn offer(app: &App, secret: &str) -> Result<Offer, AppError> {
    let mut conn = app.store.read().await?;
    let invite = people::open_invite(&mut conn, &secret_hash(secret))
        .await?
        .ok_or(AppError::NotFound)?;
    if invite.ends_ms <= app.outside.now_ms() {
        return Err(AppError::NotFound);
    }
    let party = match &invite.party {
        Some(id) => parties::find(&mut conn, id).await?,
        None => None,
    };
    Ok(Offer { invite, party })
}

fn read(typed: &Typed, invite: &Invite) -> Result<Account, Vec<Fault>> {
    let text = |key: &str| {
        typed
            .get(key)
            .map(|text| text.trim().to_owned())
            .unwrap_or_default()
    };
    let mut faults = Vec::new();
    let login = parse_login(&text("login")).unwrap_or_else(|message| {
        faults.push(Fault::new("login", message));
        String::new()
    });
    let (name, licence) = (text("name"), text("licence"));
    if name.is_empty() || name.chars().count() > 120 {
        faults.push(Fault::new(
            "name",
            "Type your name as it is to be printed, at most 120 characters.",
        ));
    }
    if invite.role == Role::Dentist && licence.is_empty() {
        faults.push(Fault::new(
            "licence",
            "A dentist's licence number stands on every prescription: type yours.",
        ));
    } else if licence.chars().count() > 60 {
        faults.push(Fault::new("licence", "At most 60 characters."));
    }
    // Passwords are taken as they are typed, with spaces at their ends.
    let password = typed.get("password").cloned().unwrap_or_default();
    if let Err(message) = check_new_password(&password, &login) {
        faults.push(Fault::new("password", message));
    } else if typed.get("password_again") != Some(&password) {
        faults.push(Fault::new("password_again", "The two passwords differ."));
    }
    if !faults.is_empty() {
        return Err(faults);
    }
    Ok(Account {
        id: String::new(),
        party: invite.party.clone(),
        role: invite.role,
        login,
        name,
        licence,
        password,
        disabled: false,
        version: 1,
    })
}

/// Makes the account and begins a session; returns the session's secret.
pub async fn join(app: &App, secret: &str, typed: &Typed) -> Result<String, AppError> {
    let offer = offer(app, secret).await?;
    let mut account = read(typed, &offer.invite).map_err(AppError::Invalid)?;
    account.id = app.outside.identity()?;
    account.password = app.hash_password(&account.password).await?;
    let now = app.outside.now_ms();
    write(app, |mut tx| async {
        match people::insert_account(&mut tx, &account).await {
            Err(error) if error.is_duplicate() => {
                return Err(AppError::field(
                    "login",
                    "This sign-in name is taken; choose another.",
                ));
            }
            done => done?,
        }
        note(app, &mut tx, ReferenceData::Account, &account.id).await?;
        people::spend_invite(&mut tx, &secret_hash(secret), now)
            .await
            .map_err(|error| match error {
                StoreError::Stale(_) => AppError::NotFound,
                other => other.into(),
            })?;
        Ok((tx, ()))
    })
    .await?;
    begin_session(app, &account.id, &account.login).await
}
