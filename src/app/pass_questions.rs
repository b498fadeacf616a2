//! Between the two laboratories: what the second one asks, the answer of the first, and an entry of the second one that
//! was a mistake.

use super::entry::signed;
use super::run::on_case::{OnCase, enter_on_case};
use super::{App, AppError, Person, PostKey};
use crate::domain::custody::What;
use crate::domain::custody::events::{MEANS_WITHDRAWN, PassAsked, PassReplied, Withdrawn};
use crate::domain::custody::forms::{PassAskForm, PassMistakeForm, PassReplyForm};
use crate::domain::values::ids::{CaseNumber, EventId};

/// Asks the first laboratory about what it has passed on.
pub async fn ask(
    app: &App,
    person: &Person,
    pass: &EventId,
    form: &PassAskForm,
    key: &PostKey,
) -> Result<(), AppError> {
    enter_on_case(app, person, OnCase::PassedTo(pass), key, None, |_| {
        Ok(PassAsked {
            pass: pass.clone(),
            text: form.pass_question.clone(),
        }
        .into())
    })
    .await
}

fn reply(form: &PassReplyForm, taken_back: bool) -> What {
    What::from(PassReplied {
        question: form.pass_asked.clone(),
        text: form.pass_reply.clone(),
        taken_back,
    })
}

/// Takes back what one's own laboratory has asked about this.
pub async fn take_back(
    app: &App,
    person: &Person,
    pass: &EventId,
    form: &PassReplyForm,
    key: &PostKey,
) -> Result<(), AppError> {
    enter_on_case(app, person, OnCase::PassedTo(pass), key, None, |work| {
        let found = work.state.pass_question(&form.pass_asked);
        // What another laboratory has asked about other work does not exist here.
        match found.is_some_and(|(of, _)| of.event == *pass) {
            true => Ok(reply(form, true)),
            false => Err(AppError::NotFound),
        }
    })
    .await
}

/// Answers, for the first laboratory.
pub async fn answer(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    form: &PassReplyForm,
    key: &PostKey,
) -> Result<(), AppError> {
    if form.pass_reply.trim().is_empty() {
        let key = PassReplyForm::pass_reply().key;
        return Err(AppError::field(key, "Write the answer."));
    }
    enter_on_case(app, person, number, key, None, |_| Ok(reply(form, false))).await
}

/// Withdraws an entry of one's own laboratory about the way of what was passed on to it.
pub async fn withdraw(
    app: &App,
    person: &Person,
    pass: &EventId,
    form: &PassMistakeForm,
    key: &PostKey,
) -> Result<(), AppError> {
    let under = signed(app, person, &form.password, MEANS_WITHDRAWN).await?;
    let entry = &form.mistaken_entry;
    enter_on_case(app, person, OnCase::PassedTo(pass), key, None, |work| {
        let own = work.state.pass(pass);
        let is_its = own.is_some_and(|one| one.moves.contains(entry));
        let mut events = work.events.iter();
        let moved = events.find(|event| event.id == *entry && is_its);
        let unknown = || {
            let key = PassMistakeForm::mistaken_entry().key;
            AppError::field(key, "There is no such entry of yours about this.")
        };
        let event = moved.ok_or_else(unknown)?;
        let tag = event.what.tags().first().copied().cloned();
        Ok(Withdrawn {
            tag: tag.ok_or_else(unknown)?,
            event: entry.clone(),
            was: Some(event.what.word().to_owned()),
            of: Some(event.at),
            reason: form.pass_mistake.clone(),
            signed: Some(under.clone()),
        }
        .into())
    })
    .await
}
