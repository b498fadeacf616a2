//! The lab gives a case its pan and its technician: taken over, passed on, or given back to nobody.

use super::agenda::BenchPeople;
use super::case_work::CaseWork;
use super::recorded::reference::{hold_account, people_of};
use super::run::on_case::run_on_case;
use super::standing_in::hold_pan;
use super::{App, AppError, Person, PostKey};
use crate::domain::custody::bench::{Assignment, can_be_given, can_stand_in};
use crate::domain::custody::events::Assigned;
use crate::domain::custody::forms::AssignForm;
use crate::domain::people::account::Account;
use crate::domain::people::party::Side;
use crate::domain::values::ids::{AccountId, CaseNumber, EventId};
use crate::store::{Connection, Tx, cases, people};

/// What the people of this person's lab are called, and whom of them a case can be given to, by name.
pub async fn who_can_work(
    app: &App,
    person: &Person,
) -> Result<(BenchPeople, Vec<Account>), AppError> {
    let mut own = people_of(app, person.party_id()).await?;
    let named = BenchPeople::named(&own);
    own.retain(|one| can_be_given(person.party_id(), one));
    Ok((named, own))
}

/// The account that was chosen, if the case can be given to it, and it is as the record says.
async fn chosen(
    app: &App,
    conn: &mut Connection,
    person: &Person,
    form: &AssignForm,
) -> Result<Option<AccountId>, AppError> {
    if form.mine {
        return Ok(Some(person.account.id.clone()));
    }
    let Some(id) = &form.technician else {
        return Ok(None);
    };
    let account = people::account_by_id(conn, id).await?;
    match account.filter(|one| can_be_given(person.party_id(), one)) {
        Some(account) => {
            hold_account(app, conn, &account).await?;
            Ok(Some(account.id))
        }
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
    let there = cases::in_pan(tx.conn(), person.party_id(), pan).await?;
    let wrong = |why: String| AppError::field(AssignForm::pan().key, why);
    can_stand_in(number, pan, None).map_err(wrong)?;
    let Some(other) = there.filter(|other| other != number) else {
        return Ok(pan.to_owned());
    };
    // What cannot be read, or is not as the record says, may have its things here still.
    let there = CaseWork::another_held(app, tx.conn(), person, &other).await?;
    if let Some(there) = &there {
        hold_pan(there, pan)?;
    }
    let Some(mut away) = there.filter(CaseWork::has_left_the_lab) else {
        can_stand_in(number, pan, Some(&other)).map_err(wrong)?;
        return Ok(pan.to_owned());
    };
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
            let technician = chosen(app, tx.conn(), person, form).await?;
            let now = work.state.assigned.as_ref();
            let wanted = (pan.as_str(), technician.as_ref());
            Assignment::can_become(now, &form.assign_shown, wanted)
                .map_err(|why| AppError::Refused(vec![why.to_owned()]))?;
            let what = Assigned { pan, technician }.into();
            work.append(app, &mut tx, person, &id, what, None).await?;
            Ok((work, tx, ()))
        }
    })
    .await
}
