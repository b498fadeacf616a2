//! Somebody's word, by password, that a clock far ahead of the newest entry is right. It is an entry of the record.

use super::clock_doubt::{question, trust, trust_as_before};
use super::recorded::reference::note;
use super::run::write;
use super::sign_in::confirm_password;
use super::{App, AppError, Person};
use crate::domain::form::{PASSWORD, Secret, command};
use crate::store::record::head;
use crate::store::reference::ReferenceData;
use crate::store::resumption::{self, Resumed, ResumptionRow};

command! {
    /// The word of whoever has looked at another clock.
    ClockForm;
    password: Secret = PASSWORD, "Your password again", "", needed "Type your password again.";
}

/// Takes the word; where nobody asks any more, it was given already.
///
/// # Errors
/// If the password is wrong, or the word cannot be kept: then the question stands.
pub async fn say_right(app: &App, person: &Person, form: &ClockForm) -> Result<(), AppError> {
    let mut conn = app.store.read_at_once().await?;
    let Some(asked) = question(app, &mut conn).await? else {
        return Ok(());
    };
    let found = head(&mut conn).await?.checkpoint;
    drop(conn);
    confirm_password(app, person, form.password.as_str()).await?;
    let row = ResumptionRow {
        id: app.outside.identity()?,
        why: Resumed::ClockRight,
        signed: String::new(),
        found,
        account: Some(person.account.id.clone()),
        name: person.account.name.clone(),
        reason: asked,
        at_ms: app.outside.now_ms(),
        ahead_ms: 0,
    };
    let before = trust(app);
    let written = write(app, |mut tx| async {
        resumption::insert(&mut tx, &row).await?;
        note(app, &mut tx, ReferenceData::Resumption, &row.id).await?;
        Ok((tx, ()))
    });
    let written = written.await;
    if written.is_err() {
        trust_as_before(app, before);
    }
    tracing::warn!(account = %person.account.id, "the clock was said to be right");
    written
}
