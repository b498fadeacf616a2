//! One house asks the other about a case, the other answers; what was said on the telephone is written down by one and
//! confirmed by the other.

use super::answer_value::{TypedValue, answer_words, take_along};
use super::case_work::CaseWork;
use super::run::on_case::{enter_on_case, run_on_case};
use super::{App, AppError, Person, PostKey, pictures};
use crate::domain::custody::bench::BenchStep;
use crate::domain::custody::events::{Answered, Asked, Confirmed, Telephoned};
use crate::domain::custody::forms::{AnswerForm, AskForm, CallForm, ConfirmForm, PictureForm};
use crate::domain::custody::{Question, What, asks_from_the_work};
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

/// The sections of which the prescription in force says anything.
pub fn sections_said(work: &CaseWork) -> Vec<&'static str> {
    let newest = work.signed.newest();
    let filled = newest.map(|(_, one)| one.prescription.filled(one.numbering));
    let filled = filled.into_iter().flatten();
    let said = filled.filter(|(_, cells)| !cells.is_empty());
    said.map(|(section, _)| section.key).collect()
}

/// Whether there are parts to ask about: what is not signed has none that the other house could have read.
pub fn has_parts(work: &CaseWork) -> bool {
    work.case.revision > 0
}

/// The section that was chosen.
fn section_chosen(
    work: &CaseWork,
    (spec, typed): (&FieldSpec, &str),
    faults: &mut Vec<Fault>,
) -> Option<String> {
    let typed = typed.trim();
    let is_one = section_of(typed).is_some_and(|one| one.key == typed);
    if !typed.is_empty() && (!is_one || !has_parts(work)) {
        faults.push(Fault::new(spec.key, "There is no such part."));
    }
    (!typed.is_empty()).then(|| typed.to_owned())
}

/// The item of the case that was chosen.
fn item_chosen(
    work: &CaseWork,
    (spec, tag): (&FieldSpec, Option<&Tag>),
    faults: &mut Vec<Fault>,
) -> Option<Tag> {
    let tag = tag?;
    if work.context().scope().item(tag).is_none() {
        faults.push(Fault::new(spec.key, "There is no such item in this case."));
    }
    Some(tag.clone())
}

/// Refuses a question whose page did not tell of the revision that is in force by now: it may say what is asked. A page of
/// before the first one has told of none.
fn refuse_of_earlier_page(work: &CaseWork, form: &AskForm) -> Result<(), AppError> {
    let in_force = work.case.revision;
    let shown = form.force_shown.map(i64::from);
    if shown.is_none_or(|shown| shown >= in_force) {
        return Ok(());
    }
    Err(AppError::Refused(vec![format!(
        "Revision {in_force} was signed while this page lay open, and nothing was asked. See first whether it says what you \
         ask; if it does not, ask again."
    )]))
}

/// A question as typed, for this case; with the picture that was sent along, if one was.
fn asked(work: &CaseWork, form: &AskForm, sent: Option<&EventId>) -> Result<Asked, AppError> {
    refuse_of_earlier_page(work, form)?;
    let mut faults = Vec::new();
    let section = section_chosen(work, (AskForm::section(), &form.section), &mut faults);
    // A line that is not of the section chosen since then is none.
    let line = line_key(form.line.trim());
    let line = line.filter(|key| section_of(key).map(|one| one.key) == section.as_deref());
    let tag = item_chosen(
        work,
        (AskForm::asked_item(), form.asked_item.as_ref()),
        &mut faults,
    );
    let picture = picture_chosen(work, AskForm::asked_picture(), form.asked_picture.as_ref());
    let picture = picture.unwrap_or_else(|fault| {
        faults.push(fault);
        None
    });
    let asked = Asked {
        picture: sent.cloned().or(picture),
        matter: form.matter,
        from: work.side,
        section,
        line,
        item: tag,
        step: BenchStep::from_word(form.asked_step.trim())
            .filter(|_| asks_from_the_work(work.side)),
        revision: revision_read(work, &form.read_revision),
        text: form.question.clone(),
        waits: form.waits && asks_from_the_work(work.side),
    };
    if let Some(wanted) = asked.wants_words() {
        faults.push(Fault::new(AskForm::question().key, wanted));
    }
    match faults.is_empty() {
        true => Ok(asked),
        false => Err(AppError::Invalid(faults)),
    }
}

/// The picture that was chosen to be shown with an entry; one that was erased is none.
pub fn picture_chosen(
    work: &CaseWork,
    spec: &FieldSpec,
    chosen: Option<&EventId>,
) -> Result<Option<EventId>, Fault> {
    let Some(id) = chosen else {
        return Ok(None);
    };
    let found = work.state.picture(id).filter(|one| !one.is_erased());
    match found {
        Some(_) => Ok(Some(id.clone())),
        None => Err(Fault::new(
            spec.key,
            "This picture is not there any more: choose another one.",
        )),
    }
}

/// A picture that was sent along, as its form says it.
pub type PictureAlong = Option<(PictureForm, Vec<u8>)>;

/// Enters what was asked or said, with the picture that was sent along where one was: both are entered, or neither. Of
/// one that was `chosen` none is sent.
async fn enter_with(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    (chosen, picture): ((&FieldSpec, Option<&EventId>), PictureAlong),
    key: &PostKey,
    what: impl Fn(&CaseWork, Option<&EventId>) -> Result<What, AppError> + Send + Sync,
) -> Result<(), AppError> {
    let Some((picture, bytes)) = picture else {
        let alone = |work: &CaseWork| what(work, None);
        return enter_on_case(app, person, number, key, None, alone).await;
    };
    let work = CaseWork::see(app, person, number).await?;
    // What is wrong with the words is said before the picture is worked on.
    what(&work, Some(&EventId::default()))?;
    let (spec, chosen) = chosen;
    if chosen.is_some() {
        let wanted = "Choose one of the case, or send one: not both.";
        return Err(AppError::field(spec.key, wanted));
    }
    let sent = (&picture, bytes);
    pictures::add_with(app, person, &work, sent, key, |work, shown| {
        Ok(Some(what(work, Some(shown))?))
    })
    .await
    .map(drop)
}

/// Asks the other house, with a picture that shows it where one was sent.
pub async fn ask(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    (form, picture): (&AskForm, PictureAlong),
    key: &PostKey,
) -> Result<(), AppError> {
    let chosen = (AskForm::asked_picture(), form.asked_picture.as_ref());
    let what = |work: &CaseWork, sent: Option<&EventId>| Ok(asked(work, form, sent)?.into());
    enter_with(app, person, number, (chosen, picture), key, what).await
}

/// What a question was about that is answered.
#[derive(Debug, Default)]
pub struct AnsweredAbout {
    pub section: Option<String>,
    /// The field whose new value went into the draft.
    pub taken: Option<&'static str>,
}

/// Answers a question, or takes back what one's own house has asked. A value for the field that it is about goes into
/// the draft with it. Where that or `is_changing` says that a revision follows, what waits goes on waiting for it.
pub async fn answer(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    (form, value, is_changing): (&AnswerForm, &TypedValue, bool),
    key: &PostKey,
) -> Result<AnsweredAbout, AppError> {
    let question = form.asked_by.clone();
    let work = CaseWork::load(app, &mut *app.store.read_at_once().await?, person, number).await?;
    let about = work.state.question(&question).cloned();
    let value_of = about.as_ref().filter(|_| !form.taken_back);
    let taken = value_of.map(|one| value.of(one, person, work.side));
    let taken = taken.transpose()?.flatten();
    let mut text = form.answer.clone();
    if let Some((spec, fields)) = taken.as_ref().filter(|_| text.trim().is_empty()) {
        text = answer_words(spec, fields.get(spec.key).map_or("", String::as_str));
    }
    let is_for_information = about.as_ref().is_some_and(Question::is_for_information);
    if !form.taken_back && !is_for_information && text.trim().is_empty() {
        let fault = Fault::new(AnswerForm::answer().key, "Write the answer.");
        return Err(AppError::Invalid(vec![fault]));
    }
    let picture = picture_chosen(
        &work,
        AnswerForm::answer_picture(),
        form.answer_picture.as_ref(),
    );
    let picture = picture.map_err(|fault| AppError::Invalid(vec![fault]))?;
    let id = EventId::new(app.outside.identity()?);
    let is_of_prescription = !form.taken_back && !is_for_information && work.side == Side::Office;
    let revision_follows = is_of_prescription && (is_changing || taken.is_some());
    let entry = || Answered {
        question: question.clone(),
        text: text.clone(),
        taken_back: form.taken_back,
        picture: picture.clone(),
        revision_follows,
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

/// A call as typed, for this case; with the picture that was sent along, if one was.
fn call_of(
    work: &CaseWork,
    form: &CallForm,
    sent: Option<&EventId>,
) -> Result<Telephoned, AppError> {
    let mut faults = Vec::new();
    let section = (CallForm::call_section(), form.call_section.as_str());
    let section = section_chosen(work, section, &mut faults);
    let item = (CallForm::call_item(), form.call_item.as_ref());
    let item = item_chosen(work, item, &mut faults);
    let picture = picture_chosen(work, CallForm::call_picture(), form.call_picture.as_ref());
    let picture = picture.unwrap_or_else(|fault| {
        faults.push(fault);
        None
    });
    if !faults.is_empty() {
        return Err(AppError::Invalid(faults));
    }
    Ok(Telephoned {
        section,
        item,
        picture: sent.cloned().or(picture),
        from: work.side,
        with: form.spoke_with.clone(),
        text: form.call_said.clone(),
        question: form.answers.clone(),
        changes: form.call_changes && work.case.revision > 0,
    })
}

/// Writes down what was said on the telephone, with a picture that shows it where one was sent.
pub async fn telephoned(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    (form, picture): (&CallForm, PictureAlong),
    key: &PostKey,
) -> Result<(), AppError> {
    let chosen = (CallForm::call_picture(), form.call_picture.as_ref());
    let what = |work: &CaseWork, sent: Option<&EventId>| Ok(call_of(work, form, sent)?.into());
    enter_with(app, person, number, (chosen, picture), key, what).await
}

/// Refuses the word that no revision is needed where one has taken the call up since the page was opened.
fn refuse_taken_up(work: &CaseWork, form: &ConfirmForm) -> Result<(), AppError> {
    let goes_on = work.case.revision > 0 && !work.state.is_cancelled();
    let call = work.state.call(&form.call);
    let call = call.filter(|call| form.none_needed && call.is_to_be_written());
    match call {
        Some(call) if goes_on && !work.is_to_be_written(call) => {
            let revision = work.case.revision;
            Err(AppError::Refused(vec![format!(
                "Revision {revision} was signed after this call and has taken it up: nothing more is to be said of it."
            )]))
        }
        _ => Ok(()),
    }
}

/// Says whether a call was as the other house has written it down, or takes back what one's own has.
pub async fn confirm(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    form: &ConfirmForm,
    key: &PostKey,
) -> Result<(), AppError> {
    let what = |work: &CaseWork| {
        refuse_taken_up(work, form)?;
        Ok(Confirmed {
            event: form.call.clone(),
            is_so: !form.not_so,
            note: match form.none_needed {
                true => form.no_revision.clone(),
                false => form.how_it_was.clone(),
            },
            changes: form.confirm_changes && !form.not_so && work.case.revision > 0,
            none_needed: form.none_needed,
        }
        .into())
    };
    enter_on_case(app, person, number, key, None, what).await
}
