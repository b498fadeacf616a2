//! The lab gives a case its pan and its technician: taken over, passed on, or given back to nobody.

use super::case_work::CaseWork;
use super::run::on_case::run_on_case;
use super::{App, AppError, Person, PostKey};
use crate::domain::custody::bench::{Assignment, check_pan};
use crate::domain::custody::events::Assigned;
use crate::domain::custody::forms::AssignForm;
use crate::domain::people::account::Account;
use crate::domain::people::party::Side;
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::{AccountId, CaseNumber, Code, EventId};
use crate::store::{Connection, Tx, cases, people};

/// The people of a person's own house, by name.
pub async fn own_people(app: &App, person: &Person) -> Result<Vec<Account>, AppError> {
    let mut conn = app.store.read().await?;
    Ok(people::accounts_of(&mut conn, person.party_id()).await?)
}

/// Whom a case can be given to: those of the house who may sign in.
pub fn who_can_work(people: &[Account]) -> impl Iterator<Item = &Account> {
    people.iter().filter(|one| !one.disabled)
}

/// The account that was chosen, if it is one of this lab that may work.
async fn chosen(
    conn: &mut Connection,
    person: &Person,
    form: &AssignForm,
) -> Result<Option<AccountId>, AppError> {
    if form.mine {
        return Ok(Some(person.account.id.clone()));
    }
    let id = AccountId::new(form.technician.trim());
    if id.is_empty() {
        return Ok(None);
    }
    let account = people::account_by_id(conn, &id).await?;
    let is_own = |one: &Account| one.party.as_ref() == Some(person.party_id()) && !one.disabled;
    match account.filter(is_own) {
        Some(account) => Ok(Some(account.id)),
        None => Err(AppError::field(
            AssignForm::technician().key,
            "Choose somebody of the list, or nobody.",
        )),
    }
}

/// The pan, if nothing of another open case of this lab stands in it. A case that has left the house with all it had
/// gives it up, by an entry of its own.
async fn free_pan(
    app: &App,
    tx: &mut Tx,
    person: &Person,
    (number, emptied): (&CaseNumber, &EventId),
    form: &AssignForm,
) -> Result<String, AppError> {
    let pan = form.pan.trim();
    let wrong = |message: String| {
        let fault = Fault::new(AssignForm::pan().key, message);
        AppError::Invalid(vec![fault])
    };
    check_pan(pan).map_err(|message| wrong(message.to_owned()))?;
    if Code::parse_any(pan).is_ok() {
        return Err(wrong(
            "This is a code of a case, a patient or an item.".to_owned(),
        ));
    }
    let other = cases::in_pan(tx.conn(), person.party_id(), pan).await?;
    let Some(other) = other.filter(|other| other != number) else {
        return Ok(pan.to_owned());
    };
    let mut away = CaseWork::load(app, tx.conn(), person, &other).await?;
    if !away.has_left_the_lab() {
        return Err(wrong(format!(
            "Pan {pan} holds case {other}: take another, or give that case another first."
        )));
    }
    let technician = away
        .state
        .assigned
        .as_ref()
        .and_then(|now| now.technician.clone());
    let empty = Assigned {
        pan: String::new(),
        technician,
    };
    away.append(app, tx, person, emptied, empty.into(), None)
        .await?;
    away.save(app, tx).await?;
    Ok(pan.to_owned())
}

/// What the page shows of pan and technician, to be sent along: whoever enters from an old page is told so.
pub fn shown_of(now: Option<&Assignment>) -> String {
    let technician = now.and_then(|now| now.technician.as_ref());
    let pan = now.map_or("", |now| now.pan.as_str());
    format!("{pan}/{}", technician.map_or("", AccountId::as_str))
}

/// Enters pan and technician.
pub async fn assign(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    form: &AssignForm,
    key: &PostKey,
) -> Result<(), AppError> {
    let id = EventId::new(app.outside.identity()?);
    let emptied = EventId::new(app.outside.identity()?);
    run_on_case(app, person, number, key, |mut work, mut tx| {
        let (id, emptied) = (id.clone(), emptied.clone());
        async move {
            if work.side != Side::Lab {
                return Err(AppError::NotFound);
            }
            let pan = free_pan(app, &mut tx, person, (number, &emptied), form).await?;
            let technician = chosen(tx.conn(), person, form).await?;
            let now = work.state.assigned.as_ref();
            if !form.assign_shown.is_empty() && form.assign_shown != shown_of(now) {
                let sentence = "Somebody has entered another pan or technician since this page was read: look at the \
                                case above, and enter it again if it is still right.";
                return Err(AppError::Refused(vec![sentence.to_owned()]));
            }
            if Assignment::is_so(now, &pan, technician.as_ref()) {
                let sentence = "Nothing would be different: this is what stands here already.";
                return Err(AppError::Refused(vec![sentence.to_owned()]));
            }
            let what = Assigned { pan, technician }.into();
            work.append(app, &mut tx, person, &id, what, None).await?;
            Ok((work, tx, ()))
        }
    })
    .await
}
