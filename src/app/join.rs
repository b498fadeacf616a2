//! Opening a one-time link: the person chooses a sign-in name and a password, and is in.

use super::admitted::is_admitted;
use super::own_account::set_password;
use super::recorded::reference::{hold_account, note};
use super::run::write;
use super::security::{Happened, happened};
use super::sign_in::{Entered, begin_session, secret_hash};
use super::visit::Visit;
use super::{App, AppError};
use crate::domain::form::{NEW_PASSWORD, Secret, command, name};
use crate::domain::people::account::{Account, Invite, Login, NewPassword};
use crate::domain::people::party::{Party, Role};
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::AccountId;
use crate::store::reference::ReferenceData;
use crate::store::{StoreError, Tx, admissions, parties, people};

const PASSWORD_HINT: &str =
    "At least 12 characters. A short sentence is easy to remember and hard to guess.";
const CHOOSE_A_PASSWORD: &str = "Choose a password: at least 12 characters.";

/// What the link offers.
#[derive(Debug)]
pub struct Offer {
    pub invite: Invite,
    pub party: Option<Party>,
    /// Whose password it replaces; none where it makes an account.
    pub account: Option<Account>,
}

/// Reads the link; one that is used up, too old or never was is not open.
pub async fn offer(app: &App, secret: &str) -> Result<Offer, AppError> {
    let mut conn = app.store.read_at_once().await?;
    let hash = secret_hash(secret);
    let invite = people::open_invite(&mut conn, &hash)
        .await?
        .ok_or(AppError::LinkOver)?;
    if invite.ends_ms <= app.outside.now_ms() {
        return Err(AppError::LinkOver);
    }
    if !is_admitted(app, &mut conn, &hash, &invite).await? {
        tracing::error!(
            role = invite.role.word(),
            "a one-time link that nobody has made here"
        );
        return Err(AppError::LinkOver);
    }
    let account = match &invite.account {
        Some(id) => people::account_by_id(&mut conn, id).await?,
        None => None,
    };
    if let Some(account) = &account {
        hold_account(app, &mut conn, account).await?;
    }
    let party = match &invite.party {
        Some(id) => parties::find(&mut conn, id).await?,
        None => None,
    };
    Ok(Offer {
        invite,
        party,
        account,
    })
}

command! {
    /// Who one is, and how one will sign in. Only a dentist is asked for the licence.
    JoinForm;
    name: String = name(120), "Your name, as it is to be printed", "", needed "Type your name as it is to be printed, at most 120 characters.";
    licence: String = name(60), "Your license number", "It is printed on every prescription that you sign.";
    login: Login = name(40), "Sign-in name", "3 to 40 letters, digits, dots, hyphens. You choose it.", needed "Choose a sign-in name.";
    password: NewPassword = NEW_PASSWORD, "Password", PASSWORD_HINT, needed CHOOSE_A_PASSWORD;
    password_again: Secret = NEW_PASSWORD, "The same password again", "", needed "Type the same password once more.";
}

/// The account that the link makes of the form; its password is still the typed one.
fn account(form: &JoinForm, invite: &Invite) -> Result<Account, Vec<Fault>> {
    let mut faults = Vec::new();
    if invite.role == Role::Dentist && form.licence.is_empty() {
        faults.push(Fault::new(
            JoinForm::licence().key,
            "A dentist's license number stands on every prescription: type yours.",
        ));
    }
    let login = form.login.as_str();
    let keys = [JoinForm::password().key, JoinForm::password_again().key];
    let password = form
        .password
        .checked(login, &form.password_again, keys)
        .unwrap_or_else(|fault| {
            faults.push(fault);
            ""
        });
    if !faults.is_empty() {
        return Err(faults);
    }
    Ok(Account {
        id: AccountId::default(),
        party: invite.party.clone(),
        role: invite.role,
        login: login.to_owned(),
        name: form.name.clone(),
        licence: form.licence.clone(),
        password: password.to_owned(),
        disabled: false,
        admission: invite.admission.clone(),
        version: 1,
    })
}

/// Makes the account and begins a session.
pub async fn join(
    app: &App,
    secret: &str,
    form: &JoinForm,
    visit: &Visit,
) -> Result<Entered, AppError> {
    let offer = offer(app, secret).await?;
    if offer.account.is_some() {
        return Err(AppError::NotFound);
    }
    let mut account = account(form, &offer.invite).map_err(AppError::Invalid)?;
    account.id = AccountId::new(app.outside.identity()?);
    account.password = app.hash_password(&account.password).await?;
    let now = app.outside.now_ms();
    write(app, |mut tx| async {
        refuse_twin(&mut tx, &account).await?;
        match people::insert_account(&mut tx, &account).await {
            Err(error) if error.is_duplicate() => {
                return Err(AppError::field(
                    JoinForm::login().key,
                    "This sign-in name is taken; choose another.",
                ));
            }
            done => done?,
        }
        note(app, &mut tx, ReferenceData::Account, &account.id).await?;
        // Who was let in before is nobody's surprise.
        admissions::note_seen(&mut tx, &account.id, now).await?;
        spend(&mut tx, secret, now).await?;
        Ok((tx, ()))
    })
    .await?;
    happened(Happened::Joined, Some(&account), visit, "");
    begin_session(app, &account, visit).await
}

/// Two people of one name in one house are told apart by nobody on a paper, and a licence is one person's, who may work
/// in two houses.
async fn refuse_twin(tx: &mut Tx, account: &Account) -> Result<(), AppError> {
    let same = |a: &str, b: &str| {
        let words = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
        words(a).to_lowercase() == words(b).to_lowercase()
    };
    let mut everybody = people::all_accounts(tx.conn()).await?;
    // Whoever comes again under a new account has the old one shut out before.
    everybody.retain(|one| !one.disabled);
    let of_house = everybody.iter().filter(|one| one.party == account.party);
    let mut faults = Vec::new();
    if of_house
        .into_iter()
        .any(|one| same(&one.name, &account.name))
    {
        let wanted = "Somebody of this name works here already: write yours so that papers tell you apart. If that is you, \
                      an administrator shuts your old account out first.";
        faults.push(Fault::new(JoinForm::name().key, wanted));
    }
    let has_licence = |one: &Account| {
        let is_other = one.party == account.party || !same(&one.name, &account.name);
        is_other && same(&one.licence, &account.licence)
    };
    if !account.licence.is_empty() && everybody.iter().any(has_licence) {
        let wanted = "This license number belongs to another account: look at it once more, or ask your administrator.";
        faults.push(Fault::new(JoinForm::licence().key, wanted));
    }
    match faults.is_empty() {
        true => Ok(()),
        false => Err(AppError::Invalid(faults)),
    }
}

async fn spend(tx: &mut Tx, secret: &str, now: i64) -> Result<(), AppError> {
    let spent = people::spend_invite(tx, &secret_hash(secret), now).await;
    spent.map_err(|error| match error {
        StoreError::Stale(_) => AppError::LinkOver,
        other => other.into(),
    })
}

command! {
    /// The new password of somebody who has forgotten the old one.
    WayInForm;
    password: NewPassword = NEW_PASSWORD, "New password", PASSWORD_HINT, needed CHOOSE_A_PASSWORD;
    password_again: Secret = NEW_PASSWORD, "The same password again", "", needed "Type the same password once more.";
}

/// Gives somebody the new password, ends what was begun with the old one, and begins a session.
pub async fn new_password(
    app: &App,
    secret: &str,
    form: &WayInForm,
    visit: &Visit,
) -> Result<Entered, AppError> {
    let found = offer(app, secret).await?.account;
    let account = found.ok_or(AppError::NotFound)?;
    let keys = [WayInForm::password().key, WayInForm::password_again().key];
    let new = form
        .password
        .checked(&account.login, &form.password_again, keys)
        .map_err(|fault| AppError::Invalid(vec![fault]))?;
    let hash = app.hash_password(new).await?;
    let now = app.outside.now_ms();
    let account = write(app, |mut tx| async {
        spend(&mut tx, secret, now).await?;
        let account = set_password(app, &mut tx, &account.id, &hash).await?;
        Ok((tx, account))
    })
    .await?;
    happened(
        Happened::PasswordChanged,
        Some(&account),
        visit,
        "by a one-time link",
    );
    begin_session(app, &account, visit).await
}
