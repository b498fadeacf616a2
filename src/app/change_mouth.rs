//! The chair step: what goes into an arch, and what comes out in the same step.

use super::as_it_came::not_as_asked;
use super::avoided_things::avoided_words;
use super::case_work::CaseWork;
use super::entry::{exception, late};
use super::run::on_case::run_on_case;
use super::{App, AppError, Person, PostKey};
use crate::domain::custody::events::{BroughtBack, DisinfectedForm, Fitted, TakenOut};
use crate::domain::custody::forms::{FitForm, Fitting};
use crate::domain::custody::item::Item;
use crate::domain::custody::{Exception, State, What};
use crate::domain::values::arch::Arch;
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::{CaseNumber, EventId, Tag};

/// Whether a thing is to be disinfected here before it goes into the mouth: it came from the lab, or from the patient's
/// home.
pub fn wants_cleaning(work: &CaseWork, item: &Item) -> bool {
    let state = work.state.item(&item.tag);
    item.kind.needs_disinfection()
        && state.is_some_and(|state| state.uncleaned || state.is_with_the_patient())
}

/// Whether the patient has it and does not wear it: the spare, mostly.
pub fn is_with_the_patient(work: &CaseWork, item: &Item) -> bool {
    let state = work.state.item(&item.tag);
    state.is_some_and(State::is_with_the_patient)
}

/// What a dentist could sign an exception for in an arch.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MouthException {
    /// That it stays empty.
    EmptyArch,
    /// That new work goes in while it stands still; or that the arch stays empty.
    NewWork,
}

/// The exception that is asked for in an arch, with what can go in there; none for most.
pub fn exception_for(work: &CaseWork, arch: Arch, can_go_in: &[Tag]) -> Option<MouthException> {
    // Rule b asks for one in a treated arch only.
    let is_treated = work.case.arches.treated().contains(&arch);
    let may_be_empty = is_treated && work.worn_in(arch).is_some();
    match can_go_in.iter().any(|tag| work.state.rests_unworn(tag)) {
        true => Some(MouthException::NewWork),
        false => may_be_empty.then_some(MouthException::EmptyArch),
    }
}

/// The step, and the exception under it where nothing goes in, or work that stands still.
struct Change<'a> {
    form: &'a Fitting,
    exception: Option<Exception>,
}

impl Change<'_> {
    /// That something has to be disinfected first, or stated not to have been.
    fn lacking(&self, work: &CaseWork) -> Option<Fault> {
        let item = self.uncleaned(work)?;
        let is_from_home = is_with_the_patient(work, item);
        if self.form.is_as_it_was && !is_from_home {
            return None;
        }
        let whence = match is_from_home {
            true => "comes from the patient’s home",
            false => "came from the lab",
        };
        let why = format!(
            "{} {whence}, and no disinfection here is entered since. Rinse and disinfect it \
             before it goes into the mouth, and write here with what.",
            item.title()
        );
        Some(Fault::new(DisinfectedForm::agent().key, why))
    }

    /// What goes in and has come from the lab without having been disinfected here.
    fn uncleaned<'w>(&self, work: &'w CaseWork) -> Option<&'w Item> {
        let tag = self.form.fit.as_ref()?;
        let item = work.item(tag);
        item.filter(|item| self.form.cleaning.is_none() && wants_cleaning(work, item))
    }

    /// That the office itself has found it not as asked: asked once before it goes in.
    fn not_as_asked(&self, work: &CaseWork) -> Option<Fault> {
        let tag = self
            .form
            .fit
            .as_ref()
            .filter(|_| !self.form.is_used_as_it_is)?;
        let sentence = not_as_asked(work, tag)?;
        Some(Fault::new(FitForm::although().key, sentence))
    }

    /// That its material is to be avoided: it goes in with a reason alone.
    fn avoided(&self, work: &CaseWork) -> Option<Fault> {
        let tag = self.form.fit.as_ref();
        let tag = tag.filter(|_| self.form.avoided_why.is_empty())?;
        let words = avoided_words(work, tag)?;
        let sentence = format!("{words} Make another one, or say here why this one goes in.");
        Some(Fault::new(FitForm::fit_why().key, sentence))
    }

    /// What is asked before it goes in.
    fn asked(&self, work: &CaseWork) -> Result<(), AppError> {
        let faults = self.avoided(work).into_iter();
        let faults = faults.chain(self.lacking(work));
        let faults: Vec<Fault> = faults.chain(self.not_as_asked(work)).collect();
        match faults.is_empty() {
            true => Ok(()),
            false => Err(AppError::Invalid(faults)),
        }
    }

    /// The entries of it, as the case stands now.
    fn entries(&self, work: &CaseWork) -> Result<Vec<What>, AppError> {
        self.asked(work)?;
        let (fit, out) = (&self.form.fit, &self.form.out);
        let step = match (fit, out) {
            (Some(tag), out) => What::Fitted(Fitted {
                tag: tag.clone(),
                instead_of: out.clone(),
                uncleaned: self.uncleaned(work).is_some(),
                exception: self
                    .exception
                    .clone()
                    .filter(|_| work.state.rests_unworn(tag)),
                approval: self.form.approval.clone(),
                // Where nothing is to be avoided, nothing of it is said.
                avoided_why: avoided_words(work, tag)
                    .map(|_| self.form.avoided_why.clone())
                    .unwrap_or_default(),
            }),
            (None, Some(tag)) => What::TakenOut(TakenOut {
                tag: tag.clone(),
                exception: self.exception.clone(),
            }),
            (None, None) => {
                return Err(AppError::field(
                    FitForm::fit().key,
                    "Nothing is worn there now.",
                ));
            }
        };
        let clean = match (&self.form.cleaning, fit) {
            (Some(cleaning), Some(tag)) => Some(cleaning.of(tag.clone()).into()),
            _ => None,
        };
        // What the patient has brought along is at the office before it goes in.
        let mut items = work.items.iter();
        let from_home =
            items.find(|item| fit.as_ref() == Some(&item.tag) && is_with_the_patient(work, item));
        let brought = from_home.map(|item| {
            What::BroughtBack(BroughtBack {
                tag: item.tag.clone(),
            })
        });
        Ok(brought.into_iter().chain(clean).chain([step]).collect())
    }
}

/// Changes what the patient wears in one arch: one item in and another out, or, with a signed exception, only out.
pub async fn change_mouth(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    form: &Fitting,
    key: &PostKey,
) -> Result<(), AppError> {
    let seen = CaseWork::load(app, &mut *app.store.read_at_once().await?, person, number).await?;
    let late = late(person, form.from_paper.as_ref())?;
    // Nobody signs for an arch that is filled, but with work that stands still.
    let rests = |tag: &Tag| seen.state.rests_unworn(tag);
    let reason = match form.fit.as_ref().is_none_or(rests) {
        true => form.exception.as_str(),
        false => "",
    };
    let change = Change {
        form,
        exception: exception(app, person, reason, &form.password).await?,
    };
    change.asked(&seen)?;
    let ids = [
        EventId::new(app.outside.identity()?),
        EventId::new(app.outside.identity()?),
        EventId::new(app.outside.identity()?),
    ];
    run_on_case(app, person, &seen, key, |mut work, mut tx| async {
        // Asked of the case as it stands now: it may have come from the lab while the form lay open.
        let entries = change.entries(&work)?;
        for (what, id) in entries.into_iter().zip(&ids) {
            work.append(app, &mut tx, person, id, what, late.as_ref())
                .await?;
        }
        Ok((work, tx, ()))
    })
    .await
}
