//! One's own password.

use super::recorded::reference::note;
use super::run::write;
use super::sign_in::{begin_session, confirm_password};
use super::{App, AppError, Person};
use crate::domain::form::{NEW_PASSWORD, PASSWORD, Secret, command};
use crate::domain::people::account::NewPassword;
use crate::store::people;
use crate::store::reference::ReferenceData;

command! {
    /// The present password, and the new one twice.
    PasswordForm;
    password: Secret = PASSWORD, "Your present password", "", needed "Type your password again.";
    new_password: NewPassword = NEW_PASSWORD, "New password", "At least 12 characters.", needed "Choose a new password: at least 12 characters.";
    password_again: Secret = NEW_PASSWORD, "The new password again", "", needed "Type the new password once more.";
}

/// Changes the password, ends all sessions, and begins a new one; returns its secret.
pub async fn change_password(
    app: &App,
    person: &Person,
    form: &PasswordForm,
) -> Result<String, AppError> {
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
    write(app, |mut tx| async {
        let mut account = people::account_by_id(tx.conn(), &person.account.id)
            .await?
            .ok_or(AppError::NotFound)?;
        account.password.clone_from(&hash);
        people::update_account(&mut tx, &account).await?;
        note(app, &mut tx, ReferenceData::Account, &account.id).await?;
        people::end_sessions_of(&mut tx, &account.id).await?;
        Ok((tx, ()))
    })
    .await?;
    begin_session(app, &person.account.id, &person.account.login).await
}
