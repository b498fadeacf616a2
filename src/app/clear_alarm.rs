//! An administrator clears the open alarms with a sentence, by password. The alarms stay written down with
//! what was kept; the record of now is what every side keeps from then on.

use super::recorded::reference::note;
use super::run::run;
use super::sign_in::confirm_password;
use super::witness::all_keys;
use super::{App, AppError, Person, PostKey};
use crate::domain::form::{Kind, PASSWORD, Secret, command, long};
use crate::store::Tx;
use crate::store::reference::ReferenceData;
use crate::store::witness::{self as stored, AlarmRow, ClearanceRow};

/// Alarms on one page; more are cleared in several goes.
pub(super) const MOST: i64 = 50;

/// Names these alarms in a form: whoever clears has seen all of them.
pub fn named(alarms: &[AlarmRow]) -> String {
    let ids: Vec<&str> = alarms.iter().map(|alarm| alarm.id.as_str()).collect();
    ids.join(" ")
}

command! {
    /// What the form asks for.
    ClearAlarmForm;
    alarms: String = Kind::Hidden, "", "";
    reason: String = long(500), "What has happened, and what was done about it", "Kept for good, with your name, and shown to everybody.", needed "Say what has happened, and what was done about it.";
    password: Secret = PASSWORD, "Your password again", "", needed "Type your password again.";
}

/// Clears the alarms that the form names.
pub async fn clear(
    app: &App,
    person: &Person,
    form: &ClearAlarmForm,
    key: &PostKey,
) -> Result<(), AppError> {
    confirm_password(app, person, form.password.as_str()).await?;
    let clearance = ClearanceRow {
        account: person.account.id.clone(),
        name: person.account.name.clone(),
        sentence: form.reason.clone(),
        at_ms: app.outside.now_ms(),
    };
    run(app, person, key, |mut tx| async {
        let alarms = stored::open_alarms(tx.conn(), MOST).await?;
        if alarms.is_empty() || form.alarms != named(&alarms) {
            return Err(AppError::Conflict(
                "The open alarms are others than those on your page.".to_owned(),
            ));
        }
        for alarm in &alarms {
            stored::clear(&mut tx, alarm, &clearance).await?;
            note(app, &mut tx, ReferenceData::Clearance, &alarm.id).await?;
        }
        drop_seen(&mut tx, &alarms).await?;
        Ok((tx, ()))
    })
    .await
}

/// What was kept and no longer fits stands in the alarm; everybody begins again with the record of now.
async fn drop_seen(tx: &mut Tx, alarms: &[AlarmRow]) -> Result<(), AppError> {
    let is_cleared = |note: &str| alarms.iter().any(|alarm| alarm.kept == note);
    for row in stored::seen_by_all(tx.conn()).await? {
        if is_cleared(&row.checkpoint) {
            stored::drop_seen(tx, &row.party).await?;
        }
    }
    for row in all_keys(tx.conn()).await? {
        if is_cleared(&row.checkpoint) {
            stored::drop_cosigned(tx, &row.key).await?;
        }
    }
    Ok(())
}
