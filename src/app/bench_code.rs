//! A short code at the bench: set beside one's password, and taken on a device that the lab has allowed.
//!
//! Whoever comes in by a code makes entries at the bench and signs nothing: `web/guard.rs` lets nothing else through,
//! and `CaseWork::append` refuses every other kind of entry.

use super::bindings::{binding_of_code, is_allowed_as, is_set};
use super::hashing::HashingQueue;
use super::recorded::reference::{hold_account, hold_signed_in};
use super::run::write;
use super::security::{Happened, happened};
use super::sign_in::{
    Entered, begin_session, begin_session_by_code, confirm_password, end, leave_behind,
};
use super::tries::Doors;
use super::visit::Visit;
use super::{App, AppError, Person, ended, witness};
use crate::domain::form::{Kind, NEW_PASSWORD, PASSWORD, Proof, Secret, command};
use crate::domain::people::access::{Permission, may};
use crate::domain::people::account::Account;
use crate::domain::people::bench_code::{BenchCode, LOCKED, as_typed, is_locked, wrong_words};
use crate::domain::values::ids::AccountId;
use crate::store::bench_codes::{self as stored, DeviceRow};
use crate::store::{Connection, people};

command! {
    /// A new code, with the password.
    CodeForm;
    password: Secret = PASSWORD, "Your password", "", needed "Type your password again.";
    new_bench_code: BenchCode = NEW_PASSWORD, "New code", "4 to 6 digits.", needed "Choose a code: 4 to 6 digits.";
}

command! {
    /// No code any more.
    NoCodeForm;
    password: Secret = PASSWORD, "Your password", "", needed "Type your password again.";
}

command! {
    /// Who comes in by a code.
    ByCodeForm;
    bench_code: Secret = PASSWORD, "Code", "";
    bench_person: Option<AccountId> = Kind::Hidden, "", "";
}

/// Whether somebody has a code.
pub async fn has_code(app: &App, person: &Person) -> Result<bool, AppError> {
    let mut conn = app.store.read().await?;
    let row = stored::code_of(&mut conn, &person.account.id).await?;
    Ok(row.is_some_and(|row| is_set(app, &row)))
}

/// Sets one's own code.
pub async fn set_code(app: &App, person: &Person, form: &CodeForm) -> Result<(), AppError> {
    if !person.may(Permission::WorkAtBench) {
        return Err(AppError::NotFound);
    }
    confirm_password(app, person, form.password.as_str()).await?;
    Doors::count_made(app, &person.account.id).await?;
    let hash = app.hash_password(form.new_bench_code.as_str()).await?;
    let now = app.outside.now_ms();
    let id = &person.account.id;
    write(app, |mut tx| async {
        let account = people::account_by_id(tx.conn(), id).await?;
        let account = account.filter(|one| !one.disabled);
        let version = account.ok_or(AppError::NotFound)?.version;
        let binding = binding_of_code(app, id, &hash, version);
        let before = of_code(app, tx.conn(), id).await?;
        stored::set_code(&mut tx, id, (&hash, &binding), now).await?;
        // Before the new one is kept: a program that is ended in between would leave the one before open. Where the new one
        // cannot be kept, neither is taken, and whoever sets it is told so.
        ended::note_all(app, before).await;
        Ok((tx, ()))
    })
    .await?;
    person.note(Happened::CodeSet, "");
    Ok(())
}

/// Takes one's own code away.
pub async fn drop_code(app: &App, person: &Person, form: &NoCodeForm) -> Result<(), AppError> {
    confirm_password(app, person, form.password.as_str()).await?;
    // First of all, whatever becomes of their rows.
    let id = &person.account.id;
    let before = of_code(app, &mut *app.store.read().await?, id).await?;
    ended::note_all(app, before).await;
    write(app, |mut tx| async {
        stored::drop_code(&mut tx, &person.account.id).await?;
        Ok((tx, ()))
    })
    .await?;
    person.note(Happened::CodeDropped, "");
    Ok(())
}

/// One's code and the sessions that were begun by it, as they are noted when they end.
async fn of_code(
    app: &App,
    conn: &mut Connection,
    id: &AccountId,
) -> Result<Vec<(String, i64)>, AppError> {
    let mut all = ended::as_sessions(app, stored::begun_by_code(conn, id).await?);
    if let Some(code) = stored::code_of(conn, id).await? {
        all.push((code.binding, ended::until_for_good(app)));
    }
    Ok(all)
}

/// The device that asks, with those who have a code there.
#[derive(Debug, Clone)]
pub struct AtBench {
    pub device: DeviceRow,
    pub people: Vec<(AccountId, String)>,
}

/// The device from which somebody comes, if it is allowed, and who can come in there.
pub async fn who(app: &App, visit: &Visit) -> Result<Option<AtBench>, AppError> {
    let Some(secret) = &visit.device else {
        return Ok(None);
    };
    ended::look(app).await;
    let mut conn = app.store.read().await?;
    let device = stored::allowed_device(&mut conn, secret).await?;
    let Some(device) = device.filter(|one| is_allowed_as(app, secret, one)) else {
        return Ok(None);
    };
    let codes = stored::people_with_code(&mut conn, &device.party).await?;
    drop(conn);
    let mut people = Vec::new();
    for one in codes.into_iter().filter(|one| is_set(app, one)) {
        if is_of_here(app, &device, &one.account).await? {
            people.push((one.account, one.name));
        }
    }
    Ok(Some(AtBench { device, people }))
}

/// Whether the record too has this account for the lab of the device: of anybody else no name is told.
async fn is_of_here(app: &App, device: &DeviceRow, id: &AccountId) -> Result<bool, AppError> {
    let Some(account) = account_here(app, device, id).await? else {
        return Ok(false);
    };
    match hold_signed_in(app, &account).await {
        Ok(is_proved) => Ok(is_proved),
        Err(error) if error.is_of_one_alone() => Ok(false),
        Err(error) => Err(error),
    }
}

/// What is said on any other device.
pub const NOT_ALLOWED: &str = "Codes are not taken on this device: a manager of the lab allows it, and can take that back. \
                               Sign in with your password.";

/// The account of this lab that may work at the bench, if it is one.
async fn account_here(
    app: &App,
    device: &DeviceRow,
    id: &AccountId,
) -> Result<Option<Account>, AppError> {
    let mut conn = app.store.read().await?;
    let account = people::account_by_id(&mut conn, id).await?;
    Ok(account.filter(|one| {
        let is_own = one.party.as_ref() == Some(&device.party);
        is_own && !one.disabled && may(one.role, Permission::WorkAtBench)
    }))
}

/// Whether the code fits, if one may try. A wrong one is counted, for this person on this device alone.
async fn try_code(
    app: &App,
    device: &DeviceRow,
    account: Option<&Account>,
    typed: &str,
) -> Result<(), AppError> {
    let id = account.map_or_else(AccountId::default, |one| one.id.clone());
    let name = format!("code:{id}:{}", device.id);
    let _one_by_one = app.hashing.one_by_one(&name).await;
    let turn = app.hashing.turn(HashingQueue::KnownBrowser).await?;
    ended::look(app).await;
    let mut conn = app.store.read().await?;
    let (wrong, hash) = match account {
        Some(_) => (
            stored::wrong_codes(&mut conn, &id, &device.id).await?,
            stored::code_of(&mut conn, &id)
                .await?
                .filter(|code| is_set(app, code))
                .map(|code| code.hash),
        ),
        None => (0, None),
    };
    drop(conn);
    if is_locked(wrong) {
        return Err(AppError::Refused(vec![LOCKED.to_owned()]));
    }
    let fits = turn.password_fits(typed, hash.as_deref()).await?;
    let count = if fits { 0 } else { wrong + 1 };
    if count != wrong && hash.is_some() {
        write(app, |mut tx| async {
            stored::set_wrong_codes(&mut tx, &id, &device.id, count).await?;
            Ok((tx, ()))
        })
        .await?;
    }
    match fits {
        true => Ok(()),
        false => Err(AppError::field(
            ByCodeForm::bench_code().key,
            wrong_words(count),
        )),
    }
}

/// Comes in by a code, for entries at the bench; `before` is the secret of a session that this browser holds, which ends.
pub async fn enter(
    app: &App,
    form: &ByCodeForm,
    visit: &Visit,
    before: Option<&str>,
) -> Result<Entered, AppError> {
    let not_allowed = || AppError::Refused(vec![NOT_ALLOWED.to_owned()]);
    let at = who(app, visit).await?.ok_or_else(not_allowed)?;
    if form.bench_code.as_str().is_empty() {
        let key = ByCodeForm::bench_code().key;
        return Err(AppError::field(
            key,
            "Type your code, then touch your name.",
        ));
    }
    let Some(id) = &form.bench_person else {
        let key = ByCodeForm::bench_code().key;
        return Err(AppError::field(
            key,
            "Type your code, and touch your name below.",
        ));
    };
    let account = account_here(app, &at.device, id).await?;
    let typed = as_typed(form.bench_code.as_str());
    if let Err(wrong) = try_code(app, &at.device, account.as_ref(), &typed).await {
        happened(
            Happened::WrongCode,
            account.as_ref(),
            visit,
            &at.device.name,
        );
        return Err(wrong);
    }
    let account = account.ok_or_else(not_allowed)?;
    witness::compare(app, &account).await?;
    hold_account(app, &mut *app.store.read_at_once().await?, &account).await?;
    let entered = begin_session_by_code(app, &account, visit, &at.device.id).await?;
    if let Some(secret) = before {
        leave_behind(app, secret).await?;
    }
    happened(Happened::CameByCode, Some(&account), visit, &at.device.name);
    Ok(entered)
}

/// Goes on with the password, where somebody has come in by a code: a session of its own takes the place of this one.
pub async fn with_password(app: &App, person: &Person, form: &Proof) -> Result<Entered, AppError> {
    confirm_password(app, person, form.password.as_str()).await?;
    let entered = begin_session(app, &person.account, &person.visit).await?;
    end(app, &person.account, &person.session).await?;
    person.note(Happened::SignedIn, "after a code");
    Ok(entered)
}
