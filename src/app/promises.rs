//! The lab names the day by which the work is back; the office says whether it will do.

use super::case_work::CaseWork;
use super::dates::{CaseDates, is_agreed_after, of_case};
use super::run::on_case::enter_on_case;
use super::{App, AppError, Person, PostKey};
use crate::domain::custody::events::{DayAnswered, Promised};
use crate::domain::custody::forms::{DayAnswerForm, PromiseForm};
use crate::domain::custody::is_back as is_back_by_now;
use crate::domain::custody::{DatePromise, DayAnswer, by_revision};
use crate::domain::trade::calendar::{asked_of_day, next_open};
use crate::domain::values::ids::CaseNumber;
use crate::domain::values::moment::{day_in_words, show_date};

/// Whether all that is ordered has left the lab, or has been worn: nothing is promised then.
fn is_back(work: &CaseWork) -> bool {
    let arches = work.case.arches.treated();
    is_back_by_now(&work.ordered, &work.items, &work.state, arches)
}

/// What stands against naming a day for the revision that a page showed.
fn against_naming(work: &CaseWork, shown: i64) -> Result<(), &'static str> {
    by_revision::day_can_be_named(work.case.revision, shown, is_back(work))
}

/// Whether there is a day to name for the revision in force.
pub fn is_to_be_named(work: &CaseWork) -> bool {
    against_naming(work, work.case.revision).is_ok()
}

/// What is named and what was said to it, a sentence each.
pub fn words(dates: &CaseDates, named: &DatePromise) -> Vec<String> {
    let today = dates.now.date();
    let day = day_in_words(named.day, today);
    let revision = dates.view.work.case.revision;
    if named.revision != revision {
        return vec![format!(
            "For revision {} the lab had named {day}. For revision {revision} it has named no day yet.",
            named.revision
        )];
    }
    let mut words = vec![format!(
        "{} named {day} on {}.",
        named.by,
        named.at.in_words()
    )];
    // A parcel that comes to a closed door is in hand on the next day that is open.
    let in_hand = next_open(named.day, &[&dates.lists.office_open()]).unwrap_or(named.day);
    if in_hand > named.day {
        let day = day_in_words(in_hand, today);
        words.push(format!("The office has it in hand on {day}."));
    }
    let agreed = dates.view.work.state.agreed_day(revision);
    words.push(match &named.answer {
        Some(one) => match one.answer {
            DayAnswer::Accepted => format!("Agreed: {} on {}.", one.by, one.at.in_words()),
            DayAnswer::NotAccepted => {
                format!("It will not do: {} on {}.", one.by, one.at.in_words())
            }
        },
        None if named.awaits_answer(dates.wanted) => "The office has not answered yet.".to_owned(),
        None => "That is in time: no answer is needed.".to_owned(),
    });
    words.extend(agreed.filter(|day| *day != named.day).map(|day| {
        let day = day_in_words(day, today);
        format!("Until another day is agreed on, {day} stands as agreed.")
    }));
    let insertion = dates
        .insertion
        .filter(|_| is_agreed_after(agreed, dates.insertion));
    words.extend(insertion.map(|day| {
        let day = day_in_words(day, today);
        format!("The insertion signed for {day} is not to be kept.")
    }));
    words
}

fn refused(sentence: &str) -> AppError {
    AppError::Refused(vec![sentence.to_owned()])
}

/// Names a day for the revision in force.
pub async fn promise(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    form: &PromiseForm,
    key: &PostKey,
) -> Result<(), AppError> {
    let asked = {
        let dates = of_case(app, person, number).await?;
        let houses = (&dates.lists.office_open(), &dates.lists.lab_open());
        let wanted = (dates.wanted, dates.now.date());
        asked_of_day(form.promised_day.date(), houses, wanted)
    };
    // A tick answers for the day that it was asked about.
    let is_meant = form.day_meant && form.day_asked == show_date(form.promised_day.date());
    if let Some(asked) = asked.filter(|_| !is_meant) {
        return Err(AppError::field(PromiseForm::day_meant().key, asked));
    }
    enter_on_case(app, person, number, key, None, |work| {
        against_naming(work, form.for_revision).map_err(refused)?;
        Ok(Promised {
            day: form.promised_day,
            revision: work.case.revision,
            note: form.promise_note.clone(),
        }
        .into())
    })
    .await
}

/// Says whether it will do.
pub async fn answer(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    form: &DayAnswerForm,
    key: &PostKey,
) -> Result<(), AppError> {
    enter_on_case(app, person, number, key, None, |work| {
        let named = work.state.promise.as_ref().map(|one| one.revision);
        by_revision::day_can_be_answered(work.case.revision, named).map_err(refused)?;
        Ok(DayAnswered {
            promise: form.promise.clone(),
            answer: form.will_do,
            note: form.day_note.clone(),
        }
        .into())
    })
    .await
}
