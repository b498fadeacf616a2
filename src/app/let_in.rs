//! Who is let in: one-time links that make an account or a new password, and the open ones of them.
//!
//! Whoever makes a link can use it himself. So it takes the password again, it is an entry of the record, and the
//! people of the house concerned are told on their next page.

use super::another_key::refuse_another_key;
use super::bindings::bound;
use super::manage::{INVITE_MS, readable, readable_accounts};
use super::recorded::reference::{has_begun, hold, hold_account, note};
use super::run::{run, run_again, write};
use super::security::{Happened, happened};
use super::sign_in::{confirm_password, secret_hash};
use super::visit::Visit;
use super::{App, AppError, Person, PostKey};
use crate::domain::form::{Kind, PASSWORD, Secret, check_line, command, name};
use crate::domain::people::account::{Account, Invite, parse_login};
use crate::domain::people::party::Role;
use crate::domain::values::ids::{AccountId, PartyId};
use crate::record::entry::LeafKind;
pub use crate::store::admissions::{AdmissionRow, Admitted};
pub use crate::store::people::OpenLink;
use crate::store::record::LeafRow;
use crate::store::reference::ReferenceData;
use crate::store::{Connection, StoreError, Tx, admissions, parties, people};
use serde_json::Value;

/// Admissions on the page of a party.
const SHOWN_MOST: usize = 100;

command! {
    /// Who is invited, as what, and where to.
    InviteForm;
    name: String = name(120), "Name, as it is to be printed", "", needed "Type the name as it is to be printed, at most 120 characters.";
    role: Role = Role::KIND, "Role", "", needed "Choose a role.";
    party: Option<PartyId> = Kind::Listed, "Works at", "Empty for an administrator.";
    password: Secret = PASSWORD, "Your password again", "Your colleagues are told at once.", needed "Type your password again.";
}

command! {
    /// The password of whoever makes a link for a new password.
    WayBackForm;
    password: Secret = PASSWORD, "Your password again", "", needed "Type your password again.";
}

command! {
    /// The password of whoever lets somebody in again.
    LetInAgainForm;
    password: Secret = PASSWORD, "Your password again", "", needed "Type your password again.";
}

command! {
    /// Which link is made void.
    RevokeForm;
    link: String = Kind::Hidden, "", "";
}

/// The invitation, if there is such a house and people in this role work there.
async fn invitation(app: &App, form: &InviteForm) -> Result<Option<PartyId>, AppError> {
    let role = form.role;
    let party = match &form.party {
        None => None,
        Some(id) => parties::find(&mut *app.store.read().await?, id).await?,
    };
    if role.works_in() != party.as_ref().map(|party| party.kind) {
        let message = match role.works_in() {
            Some(kind) => format!(
                "A {} works in a {}: choose one.",
                role.shown(),
                kind.shown()
            ),
            None => "An administrator belongs to no party: leave it empty.".to_owned(),
        };
        return Err(AppError::field(InviteForm::party().key, message));
    }
    Ok(party.map(|party| party.id))
}

/// Makes a one-time link. It is shown in this answer and nowhere else: only its hash is kept.
pub async fn invite(
    app: &App,
    person: &Person,
    form: &InviteForm,
    key: &PostKey,
) -> Result<String, AppError> {
    let party = invitation(app, form).await?;
    confirm_password(app, person, form.password.as_str()).await?;
    let word = AdmissionRow {
        name: form.name.clone(),
        party,
        ..word(app, person, Admitted::Invited, form.role)?
    };
    let path = make_link(app, person, &word, key).await?;
    let place = word
        .party
        .as_ref()
        .map_or("the installation", PartyId::as_str);
    let about = format!("{} at {place}", word.role.word());
    person.note(Happened::Invited, &about);
    Ok(path)
}

/// Makes a one-time link by which somebody who has forgotten the password chooses a new one.
pub async fn way_back(
    app: &App,
    person: &Person,
    id: &AccountId,
    form: &WayBackForm,
    key: &PostKey,
) -> Result<String, AppError> {
    let account = way_back_for(app, person, id).await?;
    confirm_password(app, person, form.password.as_str()).await?;
    let word = AdmissionRow {
        name: account.name.clone(),
        party: account.party.clone(),
        account: Some(account.id.clone()),
        ..word(app, person, Admitted::NewPassword, account.role)?
    };
    let path = make_link(app, person, &word, key).await?;
    person.note(Happened::NewPasswordLink, account.id.as_str());
    Ok(path)
}

/// The link that an admission gives, made now.
fn link_by(word: &AdmissionRow, now_ms: i64) -> Invite {
    Invite {
        party: word.party.clone(),
        role: word.role,
        name: word.name.clone(),
        ends_ms: now_ms + INVITE_MS,
        admission: Some(word.id.clone()),
        account: word.account.clone(),
        binding: String::new(),
    }
}

/// Characters of the reason for a link that is made at the machine.
const REASON_MOST: usize = 200;

/// Makes the link by which an administrator who has forgotten the password chooses a new one. It is for whoever runs the
/// program where its key lies: no other administrator may be left to ask. The entry stands in the account's own name,
/// with the reason in place of a person's.
pub async fn way_back_at_the_machine(
    app: &App,
    login: &str,
    reason: &str,
) -> Result<String, AppError> {
    let reason = reason.trim();
    if reason.is_empty() || reason.chars().count() > REASON_MOST {
        let wanted = format!("Say why in at most {REASON_MOST} characters.");
        return Err(AppError::field("reason", wanted));
    }
    // It stands in the record for good.
    check_line(reason).map_err(|why| AppError::field("reason", why))?;
    let account = administrator_named(app, login).await?;
    hold_account(app, &mut *app.store.read_at_once().await?, &account).await?;
    let (secret, now) = (app.outside.token()?, app.outside.now_ms());
    let word = AdmissionRow {
        id: app.outside.identity()?,
        what: Admitted::AtTheMachine,
        party: None,
        role: account.role,
        name: account.name.clone(),
        account: Some(account.id.clone()),
        link: None,
        by: account.id.clone(),
        by_name: format!("whoever runs the program: {reason}"),
        at_ms: now,
    };
    let hash = secret_hash(&secret);
    let invite = bound(app, &hash, link_by(&word, now));
    write(app, |mut tx| async {
        people::spend_links_of(&mut tx, &account.id, now).await?;
        write_down(app, &mut tx, &word).await?;
        people::insert_invite(&mut tx, &hash, &invite, now).await?;
        Ok((tx, ()))
    })
    .await?;
    let nowhere = Visit::default();
    happened(
        Happened::NewPasswordLink,
        None,
        &nowhere,
        account.id.as_str(),
    );
    Ok(format!("/join/{secret}"))
}

/// The administrator with this sign-in name, who may sign in.
pub async fn administrator_named(app: &App, login: &str) -> Result<Account, AppError> {
    let none = || {
        let sentence = "No administrator who may sign in has this name. Anybody else gets a link from an administrator.";
        AppError::field("login", sentence)
    };
    let login = parse_login(login).map_err(|_| none())?;
    let found = people::account_by_login(&mut *app.store.read().await?, &login).await?;
    let is_meant = |one: &Account| one.role == Role::Administrator && !one.disabled;
    found.filter(is_meant).ok_or_else(none)
}

/// Whose password may be replaced.
pub async fn way_back_for(app: &App, person: &Person, id: &AccountId) -> Result<Account, AppError> {
    let found = people::account_by_id(&mut *app.store.read().await?, id).await?;
    let account = found.ok_or(AppError::NotFound)?;
    if account.id == person.account.id {
        return Err(AppError::Refused(vec![
            "This is your own password: change it under “My account”.".to_owned(),
        ]));
    }
    if account.disabled {
        return Err(AppError::Refused(vec![format!(
            "{} may not sign in: let him or her in again first.",
            account.name
        )]));
    }
    Ok(account)
}

/// Who may be let in again.
pub async fn shut_out_one(app: &App, id: &AccountId) -> Result<Account, AppError> {
    let found = people::account_by_id(&mut *app.store.read().await?, id).await?;
    let account = found.ok_or(AppError::NotFound)?;
    match account.disabled {
        true => Ok(account),
        false => Err(AppError::Refused(vec![format!(
            "{} may sign in: nobody has to let him or her in again.",
            account.name
        )])),
    }
}

/// Lets somebody sign in again who was shut out, with the password of before.
pub async fn again(
    app: &App,
    person: &Person,
    id: &AccountId,
    form: &LetInAgainForm,
    key: &PostKey,
) -> Result<(), AppError> {
    confirm_password(app, person, form.password.as_str()).await?;
    let drawn = word(app, person, Admitted::LetInAgain, Role::Administrator)?;
    run(app, person, key, |mut tx| async {
        let found = people::account_by_id(tx.conn(), id).await?;
        let mut account = found.ok_or(AppError::NotFound)?;
        account.disabled = false;
        let word = AdmissionRow {
            name: account.name.clone(),
            party: account.party.clone(),
            role: account.role,
            account: Some(account.id.clone()),
            ..drawn.clone()
        };
        let held = hold(app, tx.conn(), ReferenceData::Account, id).await?;
        people::update_account(&mut tx, &account).await?;
        held.note(app, &mut tx).await?;
        write_down(app, &mut tx, &word).await?;
        Ok((tx, ()))
    })
    .await?;
    person.note(Happened::LetInAgain, id.as_str());
    Ok(())
}

fn word(app: &App, person: &Person, what: Admitted, role: Role) -> Result<AdmissionRow, AppError> {
    Ok(AdmissionRow {
        id: app.outside.identity()?,
        what,
        party: None,
        role,
        name: String::new(),
        account: None,
        link: None,
        by: person.account.id.clone(),
        by_name: person.account.name.clone(),
        at_ms: app.outside.now_ms(),
    })
}

/// A repeated post, such as a double click, takes the place of an answer that nobody saw, so the link of the first is
/// made void and a fresh one is shown; it is one word and one entry all the same.
async fn make_link(
    app: &App,
    person: &Person,
    word: &AdmissionRow,
    key: &PostKey,
) -> Result<String, AppError> {
    let (secret, now) = (app.outside.token()?, word.at_ms);
    let hash = secret_hash(&secret);
    run_again(app, person, key, |mut tx, shown| async {
        let mut invite = link_by(word, now);
        match shown {
            Some(shown) => {
                let before = people::find_link(tx.conn(), &shown).await?;
                invite.admission = before.and_then(|before| before.admission);
                make_void(&mut tx, &shown, now).await?;
            }
            None => {
                if let Some(account) = &word.account {
                    people::spend_links_of(&mut tx, account, now).await?;
                }
                write_down(app, &mut tx, word).await?;
            }
        }
        let invite = bound(app, &hash, invite);
        people::insert_invite(&mut tx, &hash, &invite, now).await?;
        Ok((tx, hash.clone()))
    })
    .await?;
    Ok(format!("/join/{secret}"))
}

async fn write_down(app: &App, tx: &mut Tx, word: &AdmissionRow) -> Result<(), AppError> {
    admissions::insert(tx, word).await?;
    note(app, tx, ReferenceData::Admission, &word.id).await
}

async fn make_void(tx: &mut Tx, hash: &str, now: i64) -> Result<(), AppError> {
    match people::spend_invite(tx, hash, now).await {
        Err(StoreError::Stale(_)) => Err(AppError::Conflict(
            "This link has been used already, or was made void. To invite somebody else, open the page again.".to_owned(),
        )),
        done => Ok(done?),
    }
}

/// The links that somebody could use now.
pub async fn open_links(app: &App) -> Result<Vec<OpenLink>, AppError> {
    let now = app.outside.now_ms();
    Ok(people::open_links(&mut *app.store.read().await?, now).await?)
}

/// Makes an open link void.
pub async fn revoke(
    app: &App,
    person: &Person,
    form: &RevokeForm,
    key: &PostKey,
) -> Result<(), AppError> {
    let found = people::find_link(&mut *app.store.read().await?, &form.link).await?;
    let invite =
        found.ok_or_else(|| AppError::Conflict("There is no such link any more.".to_owned()))?;
    let word = AdmissionRow {
        name: invite.name,
        party: invite.party,
        account: invite.account,
        link: invite.admission,
        ..word(app, person, Admitted::Revoked, invite.role)?
    };
    run(app, person, key, |mut tx| async {
        make_void(&mut tx, &form.link, word.at_ms).await?;
        write_down(app, &mut tx, &word).await?;
        Ok((tx, ()))
    })
    .await?;
    person.note(
        Happened::LinkRevoked,
        word.link.as_deref().unwrap_or_default(),
    );
    Ok(())
}

/// Who works in one's own house, and who was let in there.
#[derive(Debug)]
pub struct OwnHouse {
    pub accounts: Vec<Account>,
    pub admissions: Vec<AdmissionRow>,
    /// How many of them somebody has taken away or changed past this program, or cannot be read.
    pub missing: usize,
}

/// One's own house; an administrator's is the administrators.
pub async fn own_house(app: &App, person: &Person) -> Result<OwnHouse, AppError> {
    let party = person.account.party.as_ref();
    let mut conn = app.store.read_at_once().await?;
    let mut accounts = readable_accounts(&mut conn).await?;
    accounts.retain(|account| account.party.as_ref() == party);
    let (admissions, missing) = words_about(app, &mut conn, party).await?;
    Ok(OwnHouse {
        accounts,
        admissions,
        missing,
    })
}

/// What was done about the door of a house, the newest first, and how many of these words cannot be shown. The record says
/// which there are: whoever can write the database could take one out of its table, or put one in.
async fn words_about(
    app: &App,
    conn: &mut Connection,
    party: Option<&PartyId>,
) -> Result<(Vec<AdmissionRow>, usize), AppError> {
    let house = party.map_or("", PartyId::as_str);
    let is_other = refuse_another_key(app, conn).await.is_err();
    let leaves = app
        .store
        .leaves_of_kind(conn, LeafKind::Admission.word())
        .await;
    let leaves = match leaves {
        Err(StoreError::Forked(_)) => None,
        found => Some(found?),
    };
    let Some(leaves) = leaves.filter(|_| !is_other) else {
        // What stands on every page says that the record is another one.
        return by_rows(conn, party).await;
    };
    if !has_begun(app, conn).await? {
        // A database of an earlier version is as it was until its rows are entered in the record.
        return by_rows(conn, party).await;
    }
    let (mut shown, mut missing) = (Vec::new(), 0);
    let about = leaves.iter().rev().filter(|leaf| house_of(leaf) == house);
    for leaf in about.take(SHOWN_MOST) {
        match held_word(app, conn, &leaf.case).await {
            Ok(word) => shown.push(word),
            Err(error) if error.is_of_one_alone() => missing += 1,
            Err(other) => return Err(other),
        }
    }
    Ok((shown, missing))
}

/// The house that a word about the door names in its leaf; empty where it is about an administrator.
fn house_of(leaf: &LeafRow) -> String {
    let whole: Value = serde_json::from_str(&leaf.body).unwrap_or_default();
    let house = whole.pointer("/admission/party").and_then(Value::as_str);
    house.unwrap_or_default().to_owned()
}

async fn held_word(app: &App, conn: &mut Connection, id: &str) -> Result<AdmissionRow, AppError> {
    let _held = hold(app, conn, ReferenceData::Admission, id).await?;
    admissions::find(conn, id).await?.ok_or(AppError::NotFound)
}

async fn by_rows(
    conn: &mut Connection,
    party: Option<&PartyId>,
) -> Result<(Vec<AdmissionRow>, usize), AppError> {
    let most = i64::try_from(SHOWN_MOST).unwrap_or(i64::MAX);
    let all = admissions::of_party(conn, party, most).await?;
    let many = all.len();
    let shown = readable(all);
    let missing = many - shown.len();
    Ok((shown, missing))
}

/// Notes that this person has read who was let in.
pub async fn note_read(app: &App, person: &Person) -> Result<(), AppError> {
    let now = app.outside.now_ms();
    write(app, |mut tx| async {
        admissions::note_seen(&mut tx, &person.account.id, now).await?;
        Ok((tx, ()))
    })
    .await
}
