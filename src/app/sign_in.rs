//! Signing in, being signed in, and signing out.

use super::bindings::{
    SessionTimes, binding_of_browser, binding_of_row, binding_of_session, is_bound,
};
use super::hashing::HashingQueue;
use super::person::NoCases;
use super::recorded::reference::{hold_account, hold_signed_in, note_held};
use super::run::write;
use super::security::{Happened, happened};
use super::tries::Doors;
use super::visit::Visit;
use super::{App, AppError, Person, another_key, ended, witness};
use crate::domain::form::{Kind, PASSWORD, Proof, Secret, command, name};
use crate::domain::people::account::{Account, parse_login};
use crate::domain::values::digest::sha256_hex;
use crate::domain::values::ids::{AccountId, DeviceId};
pub use crate::store::people::SessionLine;
use crate::store::people::{self, KnownBrowser, NewSession, SessionRow};
use crate::store::{Outage, bench_codes};

/// A session ends after this time without a request: a working pause, not a lunch.
pub const IDLE_MS: i64 = 30 * 60_000;
/// A session ends after this time at the latest: an office day.
pub const WHOLE_MS: i64 = 10 * 60 * 60_000;
/// For this long a browser is known in which somebody has signed in.
pub const KNOWN_MS: i64 = 365 * 24 * 60 * 60_000;
/// The last-seen time is written at most this often, so that reading pages does not write each time.
const TOUCH_MS: i64 = 60_000;
/// A clock that is set back by no more throws nobody out: time zone and summer time are set wrong by a few hours.
const SET_BACK_MS: i64 = 3 * 60 * 60_000;
/// For this long after the password was typed, a release or a receipt does not ask for it again.
const PROVED_MS: i64 = 10 * 60_000;

/// The stored form of a secret: whoever reads the database cannot sign in with it.
pub fn secret_hash(secret: &str) -> String {
    sha256_hex(secret.as_bytes())
}

command! {
    /// Who comes in. Whatever is wrong with either is told in the same words.
    SignInForm;
    login: String = name(200), "Sign-in name", "";
    password: Secret = PASSWORD, "Password", "";
}

command! {
    /// Which of one's sessions is ended.
    EndForm;
    session: String = Kind::Hidden, "", "";
}

/// What a browser is given that has come in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Entered {
    /// The secret of the session.
    pub session: String,
    /// The secret by which the browser is known next time; none where it has one.
    pub browser: Option<String>,
}

/// Checks name and password, and begins a session; `before` is the secret of one that this browser holds, which ends: its
/// cookie is written over, and whoever sat there would never sign out of it.
pub async fn sign_in(
    app: &App,
    form: &SignInForm,
    visit: &Visit,
    before: Option<&str>,
) -> Result<Entered, AppError> {
    let typed = parse_login(&form.login).ok();
    let account = match &typed {
        Some(login) => known_account(app, login).await?,
        None => None,
    };
    let is_known = knows(app, account.as_ref(), visit).await?;
    let doors = Doors::of_sign_in(typed.as_deref().unwrap_or_default(), visit, is_known);
    let hash = account.as_ref().map(|account| account.password.as_str());
    let lane = match is_known {
        true => HashingQueue::KnownBrowser,
        false => HashingQueue::Stranger(visit.house()),
    };
    let tried = try_password(app, &doors, lane, hash, form.password.as_str()).await;
    let by = account.as_ref();
    let Some(account) = by.filter(|_| matches!(tried, Ok(true))) else {
        match tried {
            Err(AppError::Closed { .. }) => happened(Happened::ShutName, by, visit, ""),
            Err(_) => {}
            Ok(_) => happened(Happened::WrongPassword, by, visit, "signing in"),
        }
        tried?;
        return Err(AppError::field(
            SignInForm::password().key,
            "Sign-in name and password do not fit.",
        ));
    };
    // Whatever is wrong with the record is seen by all, also where it keeps this person out.
    witness::compare(app, account).await?;
    hold_account(app, &mut *app.store.read_at_once().await?, account).await?;
    happened(Happened::SignedIn, by, visit, "");
    let entered = begin_session(app, account, visit).await?;
    // Whatever stands of the other, whoever has come in is in.
    if let Some(secret) = before
        && let Err(why) = leave_behind(app, secret).await
    {
        tracing::warn!(%why, "the session that was begun in this browser before has not ended");
    }
    Ok(entered)
}

async fn known_account(app: &App, login: &str) -> Result<Option<Account>, AppError> {
    let mut conn = app.store.read().await?;
    let account = people::account_by_login(&mut conn, login).await?;
    Ok(account.filter(|account| !account.disabled))
}

/// Whether this person has signed in in this browser before.
async fn knows(app: &App, account: Option<&Account>, visit: &Visit) -> Result<bool, AppError> {
    let (Some(account), Some(browser)) = (account, &visit.known_as) else {
        return Ok(false);
    };
    Ok(known_in(app, browser).await?.contains(&account.id))
}

/// Who has signed in in this browser, by rows that this program has written itself.
async fn known_in(app: &App, browser: &str) -> Result<Vec<AccountId>, AppError> {
    let (mut conn, now) = (app.store.read().await?, app.outside.now_ms());
    let mut rows = people::known_in(&mut conn, browser, now).await?;
    rows.retain(|row| binding_of_browser(app, browser, row) == row.binding);
    Ok(rows.into_iter().map(|row| row.account).collect())
}

/// Whether the password fits, if one may try. A wrong one is counted before the next is looked at.
async fn try_password(
    app: &App,
    doors: &Doors,
    lane: HashingQueue,
    hash: Option<&str>,
    typed: &str,
) -> Result<bool, AppError> {
    let _one_by_one = app.hashing.one_by_one(doors.name()).await;
    let turn = app.hashing.turn(lane).await?;
    doors.ask(app).await?;
    let fits = turn.password_fits(typed, hash).await?;
    match fits {
        true => doors.forget(app).await?,
        false => {
            doors.count(app).await?;
        }
    }
    Ok(fits)
}

/// Begins a session for an account whose password has just been checked or chosen.
pub(super) async fn begin_session(
    app: &App,
    account: &Account,
    visit: &Visit,
) -> Result<Entered, AppError> {
    ended::look(app).await;
    let now = app.outside.now_ms();
    let mut entered = Entered {
        session: app.outside.token()?,
        browser: None,
    };
    // A secret that the program has not drawn itself is nobody's.
    let known_as = match &visit.known_as {
        Some(known) if !known_in(app, known).await?.is_empty() => known.clone(),
        _ => secret_hash(entered.browser.insert(app.outside.token()?)),
    };
    // It was held or written just now.
    note_held(app, account);
    let session = session_of(account, visit, &entered.session, now);
    let mut browser = KnownBrowser {
        account: account.id.clone(),
        ends_ms: now + KNOWN_MS,
        binding: String::new(),
    };
    browser.binding = binding_of_browser(app, &known_as, &browser);
    let binding = binding_of_session(app, &session, seen_and_proved(now));
    write(app, |mut tx| async {
        people::insert_session(&mut tx, &session, &binding).await?;
        people::note_browser(&mut tx, &known_as, &browser).await?;
        if let Some(device) = &visit.device {
            bench_codes::forget_wrong_codes(&mut tx, &account.id, device).await?;
        }
        people::forget_old(&mut tx, now - 2 * WHOLE_MS).await?;
        Ok((tx, ()))
    })
    .await?;
    Ok(entered)
}

/// As after a password.
fn seen_and_proved(now: i64) -> SessionTimes {
    SessionTimes {
        seen_ms: now,
        proved_ms: now,
    }
}

/// A session of this secret that begins now, as after a password.
fn session_of(account: &Account, visit: &Visit, secret: &str, now: i64) -> NewSession {
    NewSession {
        secret_hash: secret_hash(secret),
        account: account.id.clone(),
        password: account.password.clone(),
        version: account.version,
        began_ms: now,
        ends_ms: now + WHOLE_MS,
        address: visit.address_text(),
        browser: visit.browser.clone(),
        device: None,
    }
}

/// Begins a session for an account whose code has just been checked on a device. The browser is known for nobody by it.
pub(super) async fn begin_session_by_code(
    app: &App,
    account: &Account,
    visit: &Visit,
    device: &DeviceId,
) -> Result<Entered, AppError> {
    ended::look(app).await;
    let now = app.outside.now_ms();
    let entered = Entered {
        session: app.outside.token()?,
        browser: None,
    };
    let session = NewSession {
        device: Some(device.clone()),
        ..session_of(account, visit, &entered.session, now)
    };
    let times = SessionTimes {
        seen_ms: now,
        proved_ms: 0,
    };
    let binding = binding_of_session(app, &session, times);
    write(app, |mut tx| async {
        people::insert_session(&mut tx, &session, &binding).await?;
        bench_codes::note_use(&mut tx, device, now).await?;
        Ok((tx, ()))
    })
    .await?;
    Ok(entered)
}

/// Whether a session has ended, or nobody has worked in it for long. One that was begun while the clock was far ahead
/// would last for as long as the clock is set back.
pub fn is_over(now_ms: i64, seen_ms: i64, ends_ms: i64) -> bool {
    now_ms >= ends_ms || ends_ms - now_ms > WHOLE_MS + SET_BACK_MS || now_ms - seen_ms >= IDLE_MS
}

/// The person behind a cookie's secret; `None` when the session has ended or the account is disabled.
pub async fn person(app: &App, secret: &str) -> Result<Option<Person>, AppError> {
    of_secret(app, secret, true).await
}

/// The same where a page asks by itself, which makes the session last no longer.
pub async fn onlooker(app: &App, secret: &str) -> Result<Option<Person>, AppError> {
    of_secret(app, secret, false).await
}

/// What is said to everybody of a house, or of an account, whose row says what this program never writes there.
const NOT_READ: &str = "What is stored of your account or of your house cannot be read: somebody has changed it past this \
                        program. Nothing is lost, and nothing can be entered until it is put right. Tell whoever runs this \
                        installation: “vestibule check” says more.";

async fn of_secret(app: &App, secret: &str, by_hand: bool) -> Result<Option<Person>, AppError> {
    let hash = secret_hash(secret);
    let before = app.store.newest_seen();
    let mut conn = app.store.read().await?;
    let row = match people::session(&mut conn, &hash).await {
        Err(why) if why.is_of_a_value() => {
            tracing::error!(%why, "an account or its house cannot be read");
            return Err(AppError::Refused(vec![NOT_READ.to_owned()]));
        }
        found => found?,
    };
    let Some(row) = row else {
        return Ok(None);
    };
    drop(conn);
    app.store.check_read(before.as_deref(), &row.checkpoint);
    ended::look(app).await;
    if ended::holds(app, &hash, row.began_ms) {
        return Ok(None);
    }
    if !is_bound(app, &hash, &row) {
        // One of before sessions were bound has ended; any other, nobody here has begun.
        if !row.binding.is_empty() {
            tracing::error!(account = %row.account.id, "a session that nobody has begun here");
        }
        return Ok(None);
    }
    let now = app.outside.now_ms();
    if row.account.disabled || is_over(now, row.seen_ms, row.ends_ms) {
        return Ok(None);
    }
    let is_proved = hold_signed_in(app, &row.account).await?;
    let is_other = another_key::is_of_another_key(app, before.as_deref(), &row.checkpoint);
    if by_hand && (now - row.seen_ms).abs() >= TOUCH_MS {
        match touch(app, &hash, &row, now).await {
            Ok(()) => witness::compare(app, &row.account).await?,
            // On a full disk reading goes on, and so does leaving.
            Err(AppError::Store(why)) if why.outage() == Outage::DiskFull => {
                tracing::warn!(%why, "when a session was seen last is not written down");
            }
            Err(other) => return Err(other),
        }
    }
    Ok(Some(Person {
        account: row.account,
        party: row.party,
        session: hash,
        changes: row.changes,
        proved_ms: row.proved_ms,
        checkpoint: row.checkpoint,
        alarms: row.alarms,
        unread: row.unread,
        visit: Visit::default(),
        by_code: row.by_code,
        no_cases: match (is_other, is_proved) {
            (true, _) => Some(NoCases::AnotherKey),
            (false, false) => Some(NoCases::Account),
            (false, true) => None,
        },
    }))
}

async fn touch(app: &App, hash: &str, row: &SessionRow, now: i64) -> Result<(), AppError> {
    let times = SessionTimes {
        seen_ms: now,
        proved_ms: row.proved_ms,
    };
    let binding = binding_of_row(app, hash, row, times);
    write(app, |mut tx| async {
        let bindings = (row.binding.as_str(), binding.as_str());
        people::touch_session(&mut tx, hash, now, bindings).await?;
        Ok((tx, ()))
    })
    .await
}

pub async fn sign_out(app: &App, person: &Person) -> Result<(), AppError> {
    end(app, &person.account, &person.session).await?;
    person.note(Happened::SignedOut, "");
    Ok(())
}

/// Ends the session of whoever sat in this browser before somebody else came in there.
pub(super) async fn leave_behind(app: &App, secret: &str) -> Result<(), AppError> {
    let hash = secret_hash(secret);
    let found = people::session(&mut *app.store.read().await?, &hash).await;
    // One that cannot be read ends all the same.
    if !matches!(found, Ok(None)) {
        ended::note_sessions(app, vec![hash.clone()]).await;
    }
    match found? {
        Some(before) => delete(app, &before.account, &hash).await,
        None => Ok(()),
    }
}

/// Ends a session of this account, whatever its row says.
pub(super) async fn end(app: &App, account: &Account, session: &str) -> Result<(), AppError> {
    ended::note_sessions(app, vec![session.to_owned()]).await;
    delete(app, account, session).await
}

async fn delete(app: &App, account: &Account, session: &str) -> Result<(), AppError> {
    write(app, |mut tx| async {
        people::end_session(&mut tx, session, &account.id).await?;
        Ok((tx, ()))
    })
    .await
}

async fn hashes_of(app: &App, account: &Account) -> Result<Vec<String>, AppError> {
    let mut conn = app.store.read().await?;
    Ok(people::session_hashes_of(&mut conn, &account.id).await?)
}

/// Signs out everywhere, and lets every browser be as strange as any other.
pub async fn sign_out_everywhere(app: &App, person: &Person) -> Result<(), AppError> {
    ended::note_sessions(app, hashes_of(app, &person.account).await?).await;
    write(app, |mut tx| async {
        people::end_sessions_of(&mut tx, &person.account.id).await?;
        people::forget_browsers_of(&mut tx, &person.account.id).await?;
        Ok((tx, ()))
    })
    .await?;
    person.note(Happened::SignedOutEverywhere, "");
    Ok(())
}

/// One's own sessions, this one first, then the newest.
pub async fn sessions(app: &App, person: &Person) -> Result<Vec<SessionLine>, AppError> {
    let now = app.outside.now_ms();
    let mut conn = app.store.read().await?;
    let mut found = people::sessions_of(&mut conn, &person.account.id).await?;
    found.retain(|one| {
        let is_ended = ended::holds(app, &one.secret_hash, one.began_ms);
        !is_ended && !is_over(now, one.seen_ms, one.ends_ms)
    });
    found.sort_by_key(|one| (one.secret_hash != person.session, -one.began_ms));
    Ok(found)
}

/// Ends one of one's own sessions.
///
/// # Errors
/// If there is none such among them.
pub async fn end_session(app: &App, person: &Person, form: &EndForm) -> Result<(), AppError> {
    if !hashes_of(app, &person.account)
        .await?
        .contains(&form.session)
    {
        return Err(AppError::NotFound);
    }
    end(app, &person.account, &form.session).await?;
    person.note(Happened::SessionEnded, "");
    Ok(())
}

/// Checks the password again before something that counts: a signature, an exception, a new password.
pub async fn confirm_password(app: &App, person: &Person, typed: &str) -> Result<(), AppError> {
    if typed.is_empty() {
        return Err(AppError::field(
            Proof::password().key,
            "Type your password again.",
        ));
    }
    let doors = Doors::of_account(&person.account.id);
    let hash = Some(person.account.password.as_str());
    match try_password(app, &doors, HashingQueue::SignedIn, hash, typed).await {
        Ok(true) => {}
        Ok(false) => {
            person.note(Happened::WrongPassword, "typing it again");
            return Err(AppError::field(
                Proof::password().key,
                "This is not your password.",
            ));
        }
        Err(shut) => {
            if matches!(shut, AppError::Closed { .. }) {
                person.note(Happened::ShutName, "typing it again");
            }
            return Err(shut);
        }
    }
    hold_account(app, &mut *app.store.read_at_once().await?, &person.account).await?;
    let now = app.outside.now_ms();
    write(app, |mut tx| async {
        let hash = person.session.as_str();
        let row = people::session(tx.conn(), hash).await?;
        // What somebody has written there since the request came in is not bound with it.
        if let Some(row) = row.filter(|row| is_bound(app, hash, row)) {
            let binding = binding_of_row(app, hash, &row, seen_and_proved(now));
            people::prove_session(&mut tx, hash, now, &binding).await?;
        }
        Ok((tx, ()))
    })
    .await
}

/// Whether this session has proved within the last minutes who sits at it. A clock that was set back
/// proves nothing.
pub fn is_proved(app: &App, person: &Person) -> bool {
    (0..PROVED_MS).contains(&(app.outside.now_ms() - person.proved_ms))
}

/// Asks for the password before a release or a receipt, unless it was typed a moment ago.
pub async fn prove(app: &App, person: &Person, typed: &str) -> Result<(), AppError> {
    if typed.is_empty() && is_proved(app, person) {
        return Ok(());
    }
    confirm_password(app, person, typed).await
}
