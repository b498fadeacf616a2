//! A party's dentist or lab manager chooses the profile of local law that applies to it.

use super::recorded::reference::hold;
use super::run::run;
use super::{App, AppError, Person, PostKey};
use crate::domain::form::{Kind, command};
use crate::domain::values::fault::Fault;
use crate::store::parties;
use crate::store::reference::ReferenceData;

command! {
    /// The choice of a profile; the version is that of the party that the page showed.
    LawForm;
    profile: String = Kind::Listed, "Profile of local law", "What a prescription must contain, how long it is kept, and marking. The profiles of office and lab apply together.", needed "This installation has no such profile of local law: choose another.";
    version: i64 = Kind::Hidden, "", "";
}

/// A profile that is not there, as a fault beside the field.
pub(super) fn not_installed(app: &App, profile: &str) -> Option<Fault> {
    let field = LawForm::profile();
    (!app.profiles.has(profile)).then(|| Fault::new(field.key, field.needed))
}

/// Writes the choice.
pub async fn choose(
    app: &App,
    person: &Person,
    form: &LawForm,
    key: &PostKey,
) -> Result<(), AppError> {
    if let Some(fault) = not_installed(app, &form.profile) {
        return Err(AppError::Invalid(vec![fault]));
    }
    run(app, person, key, |mut tx| async {
        let mut party = parties::find(tx.conn(), person.party_id())
            .await?
            .ok_or(AppError::NotFound)?;
        party.profile.clone_from(&form.profile);
        party.version = form.version;
        let held = hold(app, tx.conn(), ReferenceData::Party, &party.id).await?;
        parties::update(&mut tx, &party).await?;
        held.note(app, &mut tx).await?;
        Ok((tx, ()))
    })
    .await
}
