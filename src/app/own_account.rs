//! One's own password.

use super::recorded::reference::hold;
use super::run::write;
use super::security::Happened;
use super::sign_in::{Entered, begin_session, confirm_password};
use super::visit::Visit;
use super::{App, AppError, Person, ended};
use crate::domain::form::{NEW_PASSWORD, PASSWORD, Secret, command};
use crate::domain::people::account::{Account, NewPassword};
use crate::domain::values::ids::AccountId;
use crate::store::reference::ReferenceData;
use crate::store::{Tx, bench_codes, feeds, people};

command! {
    /// The present password, and the new one twice.
    PasswordForm;
    password: Secret = PASSWORD, "Your present password", "", needed "Type your password again.";
    new_password: NewPassword = NEW_PASSWORD, "New password", "At least 12 characters.", needed "Choose a new password: at least 12 characters.";
    password_again: Secret = NEW_PASSWORD, "The new password again", "", needed "Type the new password once more.";
}

/// Changes the password, ends all sessions, and begins a new one. No other browser is known any more, no calendar is
/// read by an address of before, and no code of before is taken at the bench.
pub async fn change_password(
    app: &App,
    person: &Person,
    form: &PasswordForm,
) -> Result<Entered, AppError> {
    let keys = [
        PasswordForm::new_password().key,
        PasswordForm::password_again().key,
    ];
    let new = form
        .new_password
        .checked(&person.account.login, &form.password_again, keys)
        .map_err(|fault| AppError::Invalid(vec![fault]))?;
    confirm_password(app, person, form.password.as_str()).await?;
    let hash = app.hash_password(new).await?;
    let account = write(app, |mut tx| async {
        let account = set_password(app, &mut tx, &person.account.id, &hash).await?;
        Ok((tx, account))
    })
    .await?;
    person.note(Happened::PasswordChanged, "");
    // Its own mark went with those of the others: it gets a new one.
    let visit = Visit {
        known_as: None,
        ..person.visit.clone()
    };
    begin_session(app, &account, &visit).await
}

/// Writes a new password: whoever came in by the old one is out, and has to come in like a stranger.
pub(super) async fn set_password(
    app: &App,
    tx: &mut Tx,
    id: &AccountId,
    hash: &str,
) -> Result<Account, AppError> {
    let found = people::account_by_id(tx.conn(), id).await?;
    let mut account = found
        .filter(|account| !account.disabled)
        .ok_or(AppError::NotFound)?;
    account.password = hash.to_owned();
    let held = hold(app, tx.conn(), ReferenceData::Account, id.as_str()).await?;
    people::update_account(tx, &account).await?;
    // A session is bound to the account as it stands now.
    account.version += 1;
    held.note(app, tx).await?;
    let begun = ended::all_of(app, tx.conn(), id).await?;
    people::end_sessions_of(tx, id).await?;
    people::forget_browsers_of(tx, id).await?;
    feeds::end(tx, id).await?;
    bench_codes::drop_code(tx, id).await?;
    // Before the new password is kept: a program that is ended in between would leave open whose row comes back.
    ended::note_all(app, begun).await;
    Ok(account)
}
