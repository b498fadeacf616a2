//! Signing in, being signed in, and signing out.

use super::run::write;
use super::{App, AppError, Person, witness};
use crate::domain::form::{PASSWORD, Secret, command, name};
use crate::domain::people::account::{parse_login, pause_after};
use crate::domain::values::digest::sha256_hex;
use crate::domain::values::ids::AccountId;
use crate::store::people;

/// A session ends after this time without a request: a working pause, not a lunch.
pub const IDLE_MS: i64 = 30 * 60_000;
/// A session ends after this time at the latest: an office day.
pub const WHOLE_MS: i64 = 10 * 60 * 60_000;
/// The last-seen time is written at most this often, so that reading pages does not write each time.
const TOUCH_MS: i64 = 60_000;
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

/// Checks name and password, and begins a session. Returns the session's secret for the cookie.
pub async fn sign_in(app: &App, form: &SignInForm) -> Result<String, AppError> {
    let password = form.password.as_str();
    let wrong = || AppError::field("password", "Sign-in name and password do not fit.");
    let Ok(login) = parse_login(&form.login) else {
        app.password_fits(password, None).await?;
        return Err(wrong());
    };
    count_try(app, &login).await?;
    let mut conn = app.store.read().await?;
    let account = people::account_by_login(&mut conn, &login)
        .await?
        .filter(|account| !account.disabled);
    drop(conn);
    let fits = app
        .password_fits(
            password,
            account.as_ref().map(|account| account.password.as_str()),
        )
        .await?;
    let Some(account) = account.filter(|_| fits) else {
        tracing::warn!(login, "wrong password");
        return Err(wrong());
    };
    tracing::info!(login, "signed in");
    let secret = begin_session(app, &account.id, &login).await?;
    witness::compare(app, &account).await?;
    Ok(secret)
}

/// Counts a try as a failure before its password is looked at, in one transaction with the question
/// whether the name is closed: of many guesses at once no more are looked at than of as many in a row.
/// Whoever turns out to be right has the count set back to nothing.
async fn count_try(app: &App, name: &str) -> Result<(), AppError> {
    let now = app.outside.now_ms();
    write(app, |mut tx| async {
        let (failures, closed_until) = people::failures(tx.conn(), name).await?;
        if now < closed_until {
            return Err(AppError::Closed {
                minutes: (closed_until - now + 59_999) / 60_000,
            });
        }
        let failures = failures + 1;
        people::set_failures(&mut tx, name, failures, now + pause_after(failures)).await?;
        Ok((tx, ()))
    })
    .await
}

/// Begins a session for an account whose password has just been checked or chosen.
pub(super) async fn begin_session(
    app: &App,
    account: &AccountId,
    login: &str,
) -> Result<String, AppError> {
    let secret = app.outside.token()?;
    let now = app.outside.now_ms();
    write(app, |mut tx| async {
        people::set_failures(&mut tx, login, 0, 0).await?;
        people::insert_session(&mut tx, &secret_hash(&secret), account, now, now + WHOLE_MS)
            .await?;
        people::forget_old(&mut tx, now - 2 * WHOLE_MS).await?;
        Ok((tx, ()))
    })
    .await?;
    Ok(secret)
}

/// The person behind a cookie's secret; `None` when the session has ended or the account is disabled.
pub async fn person(app: &App, secret: &str) -> Result<Option<Person>, AppError> {
    let hash = secret_hash(secret);
    let mut conn = app.store.read().await?;
    let Some(row) = people::session(&mut conn, &hash).await? else {
        return Ok(None);
    };
    drop(conn);
    let now = app.outside.now_ms();
    if row.account.disabled || now >= row.ends_ms || now - row.seen_ms >= IDLE_MS {
        return Ok(None);
    }
    if now - row.seen_ms >= TOUCH_MS {
        write(app, |mut tx| async {
            people::touch_session(&mut tx, &hash, now).await?;
            Ok((tx, ()))
        })
        .await?;
        witness::compare(app, &row.account).await?;
    }
    Ok(Some(Person {
        account: row.account,
        party: row.party,
        session: hash,
        changes: row.changes,
        proved_ms: row.proved_ms,
        checkpoint: row.checkpoint,
        alarms: row.alarms,
    }))
}

pub async fn sign_out(app: &App, person: &Person) -> Result<(), AppError> {
    write(app, |mut tx| async {
        people::end_session(&mut tx, &person.session).await?;
        Ok((tx, ()))
    })
    .await
}

pub async fn sign_out_everywhere(app: &App, person: &Person) -> Result<(), AppError> {
    write(app, |mut tx| async {
        people::end_sessions_of(&mut tx, &person.account.id).await?;
        Ok((tx, ()))
    })
    .await
}

/// Checks the password again before something that counts: a signature, an exception, a new password.
/// It counts by account and apart from the way in, so that a stranger who guesses at the door keeps
/// nobody from signing; a sign-in name holds no colon.
pub async fn confirm_password(app: &App, person: &Person, typed: &str) -> Result<(), AppError> {
    if typed.is_empty() {
        return Err(AppError::field("password", "Type your password again."));
    }
    let name = format!("again:{}", person.account.id);
    count_try(app, &name).await?;
    if !app
        .password_fits(typed, Some(&person.account.password))
        .await?
    {
        return Err(AppError::field("password", "This is not your password."));
    }
    let now = app.outside.now_ms();
    write(app, |mut tx| async {
        people::set_failures(&mut tx, &name, 0, 0).await?;
        people::prove_session(&mut tx, &person.session, now).await?;
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
