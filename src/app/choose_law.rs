//! A party's dentist or lab manager chooses the profile of local law that applies to it.

use super::manage::{Typed, read_profile};
use super::recorded::reference::note;
use super::run::run;
use super::{App, AppError, Person, PostKey};
use crate::store::parties;
use crate::store::reference::ReferenceData;

/// Writes the choice; `version` in the form is that of the party that the page showed.
pub async fn choose(
    app: &App,
    person: &Person,
    typed: &Typed,
    key: &PostKey,
) -> Result<(), AppError> {
    let profile =
        read_profile(typed, &app.profiles).map_err(|fault| AppError::Invalid(vec![fault]))?;
    let version = typed.get("version").and_then(|text| text.parse().ok());
    run(app, person, key, |mut tx| async {
        let mut party = parties::find(tx.conn(), person.party_id())
            .await?
            .ok_or(AppError::NotFound)?;
        party.profile.clone_from(&profile);
        party.version = version.unwrap_or(0);
        parties::update(&mut tx, &party).await?;
        note(app, &mut tx, ReferenceData::Party, &party.id).await?;
        Ok((tx, ()))
    })
    .await
}
