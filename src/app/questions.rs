//! One house asks the other about a case, the other answers; what was said on the telephone is written down by one and
//! confirmed by the other.

use super::answer_value::{TypedValue, answer_words, take_along};
use super::case_work::CaseWork;
use super::run::on_case::{enter_on_case, run_on_case};
use super::{App, AppError, Person, PostKey};
use crate::domain::custody::events::{Answered, Asked, Confirmed, Telephoned};
use crate::domain::custody::forms::{AnswerForm, AskForm, CallForm, ConfirmForm};
use crate::domain::form::FieldSpec;
use crate::domain::people::party::Side;
use crate::domain::prescription::{line_key, section_of};
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::{CaseNumber, EventId, Tag};

/// The revision that was on the screen where a line was touched; the one in force where none was.
pub fn revision_read(work: &CaseWork, typed: &str) -> i64 {
    let in_force = work.case.revision;
    let read = typed.trim().parse().ok();
    read.filter(|number| (1..=in_force).contains(number))
        .unwrap_or(in_force)
}

/// A question as typed, for this case.
fn asked(work: &CaseWork, form: &AskForm) -> Result<Asked, AppError> {
    let mut faults = Vec::new();
    let (section, item) = (form.section.trim(), form.asked_item.trim());
    let is_one = |key: &str| section_of(key).is_some_and(|one| one.key == key);
    // What is not signed has no parts that the other house could have read.
    if !section.is_empty() && (!is_one(section) || work.case.revision == 0) {
        let spec = AskForm::section();
        faults.push(Fault::new(spec.key, "There is no such part."));
    }
    // A line that is not of the section chosen since then is none.
    let line = line_key(form.line.trim());
    let line = line.filter(|key| section_of(key).is_some_and(|one| one.key == section));
    let tag = Tag::parse(item).ok();
    let tag = tag.filter(|tag| work.context().scope().item(tag).is_some());
    if !item.is_empty() && tag.is_none() {
        let spec = AskForm::asked_item();
        faults.push(Fault::new(spec.key, "There is no such item in this case."));
    }
    let picture = picture_chosen(work, AskForm::asked_picture(), &form.asked_picture);
    let picture = picture.unwrap_or_else(|fault| {
        faults.push(fault);
        None
    });
    if !faults.is_empty() {
        return Err(AppError::Invalid(faults));
    }
    Ok(Asked {
        picture,
        matter: form.matter,
        from: work.side,
        section: (!section.is_empty()).then(|| section.to_owned()),
        line,
        item: tag,
        revision: revision_read(work, &form.read_revision),
        text: form.question.clone(),
        waits: form.waits && work.side == Side::Lab,
    })
}

/// The picture that was chosen to be shown with an entry; one that was erased is none.
pub fn picture_chosen(
    work: &CaseWork,
    spec: &FieldSpec,
    typed: &str,
) -> Result<Option<EventId>, Fault> {
    let typed = typed.trim();
    if typed.is_empty() {
        return Ok(None);
    }
    let id = EventId::new(typed);
    let found = work.state.picture(&id).filter(|one| !one.is_erased());
    match found {
        Some(_) => Ok(Some(id)),
        None => Err(Fault::new(
            spec.key,
            "This picture is not there any more: choose another one.",
        )),
    }
}

/// Asks the other house. Returns the entry that does, so that a picture can be added to it.
pub async fn ask(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    form: &AskForm,
    key: &PostKey,
) -> Result<EventId, AppError> {
    let id = EventId::new(app.outside.identity()?);
    let entry = run_on_case(app, person, number, key, |mut work, mut tx| async {
        let what = asked(&work, form)?.into();
        work.append(app, &mut tx, person, &id, what, None).await?;
        Ok((work, tx, id.to_string()))
    });
    Ok(EventId::new(entry.await?))
}

/// What a question was about that is answered.
#[derive(Debug, Default)]
pub struct AnsweredAbout {
    pub section: Option<String>,
    /// The field whose new value went into the draft.
    pub taken: Option<&'static str>,
}

/// Answers a question, or takes back what one's own house has asked. A value for the field that it is about goes into
/// the draft with it.
pub async fn answer(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    (form, value): (&AnswerForm, &TypedValue),
    key: &PostKey,
) -> Result<AnsweredAbout, AppError> {
    let question = EventId::new(form.asked_by.as_str());
    let work = CaseWork::load(app, &mut *app.store.read().await?, person, number).await?;
    let about = work.state.question(&question).cloned();
    let value_of = about.as_ref().filter(|_| !form.taken_back);
    let taken = value_of.map(|one| value.of(one, person, work.side));
    let taken = taken.transpose()?.flatten();
    let mut text = form.answer.clone();
    if let Some((spec, fields)) = taken.as_ref().filter(|_| text.trim().is_empty()) {
        text = answer_words(spec, fields.get(spec.key).map_or("", String::as_str));
    }
    if !form.taken_back && text.trim().is_empty() {
        let fault = Fault::new(AnswerForm::answer().key, "Write the answer.");
        return Err(AppError::Invalid(vec![fault]));
    }
    let picture = picture_chosen(&work, AnswerForm::answer_picture(), &form.answer_picture);
    let picture = picture.map_err(|fault| AppError::Invalid(vec![fault]))?;
    let id = EventId::new(app.outside.identity()?);
    let entry = || Answered {
        question: question.clone(),
        text: text.clone(),
        taken_back: form.taken_back,
        picture: picture.clone(),
    };
    run_on_case(app, person, &work, key, |mut work, mut tx| async {
        work.append(app, &mut tx, person, &id, entry().into(), None)
            .await?;
        if let Some((spec, fields)) = &taken {
            let along = (value.base, *spec, fields);
            take_along(app, &mut tx, person, &work, along).await?;
        }
        Ok((work, tx, ()))
    })
    .await?;
    Ok(AnsweredAbout {
        section: about.and_then(|one| one.section),
        taken: taken.map(|(spec, _)| spec.key),
    })
}

/// Writes down what was said on the telephone.
pub async fn telephoned(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    form: &CallForm,
    key: &PostKey,
) -> Result<(), AppError> {
    let question = form.answers.trim();
    let what = |work: &CaseWork| {
        Ok(Telephoned {
            from: work.side,
            with: form.spoke_with.clone(),
            text: form.call_said.clone(),
            question: (!question.is_empty()).then(|| EventId::new(question)),
        }
        .into())
    };
    enter_on_case(app, person, number, key, None, what).await
}

/// Says whether a call was as the other house has written it down, or takes back what one's own has.
pub async fn confirm(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    form: &ConfirmForm,
    key: &PostKey,
) -> Result<(), AppError> {
    let event = EventId::new(form.call.as_str());
    let what = |_: &CaseWork| {
        Ok(Confirmed {
            event: event.clone(),
            is_so: !form.not_so,
            note: form.how_it_was.clone(),
        }
        .into())
    };
    enter_on_case(app, person, number, key, None, what).await
}
