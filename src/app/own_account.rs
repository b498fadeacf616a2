//! One's own password.

use super::manage::Typed;
use super::recorded::reference::note;
use super::run::write;
use super::sign_in::{begin_session, confirm_password};
use super::{App, AppError, Person};
use crate::domain::people::account::check_new_password;
use crate::store::people;
use crate::store::reference::ReferenceData;

/// Changes the password, ends all sessions, and begins a new one; returns its secret.
pub async fn change_password(
    app: &App,
    person: &Person,
    typed: &Typed,
) -> Result<String, AppError> {
    let text = |key: &str| typed.get(key).cloned().unwrap_or_default();
    let new = text("new_password");
    check_new_password(&new, &person.account.login)
        .map_err(|message| AppError::field("new_password", message))?;
    if text("password_again") != new {
        return Err(AppError::field(
            "password_again",
            "The two passwords differ.",
        ));
    }
    confirm_password(app, person, &text("password")).await?;
    let hash = app.hash_password(&new).await?;
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
