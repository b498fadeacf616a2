//! The chair step: what goes into an arch, and what comes out in the same step.

use super::case_work::CaseWork;
use super::disinfection;
use super::entry::{Late, late};
use super::manage::Typed;
use super::record_event::exception;
use super::run::on_case::run_on_case;
use super::{App, AppError, Person, PostKey};
use crate::domain::custody::events::{DisinfectedForm, Fitted, TakenOut};
use crate::domain::custody::item::Item;
use crate::domain::custody::{Exception, What};
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::{CaseNumber, CodeError, Tag};

/// The tick that says it went in without a disinfection here. What has happened is entered as it was.
pub const AS_IT_WAS: &str = "as_it_was";

/// Whether a thing is to be disinfected here before it goes into the mouth.
pub fn wants_cleaning(work: &CaseWork, item: &Item) -> bool {
    item.kind.needs_disinfection()
        && work
            .state
            .item(&item.tag)
            .is_some_and(|state| state.uncleaned)
}

/// What happens in the arch, as typed.
enum Step {
    Fit {
        tag: Tag,
        out: Option<Tag>,
    },
    TakeOut {
        tag: Tag,
        exception: Option<Exception>,
    },
}

/// The step, the disinfection that went before it, and the time of both.
struct Change {
    cleaning: Option<DisinfectedForm>,
    is_as_it_was: bool,
    step: Step,
    late: Option<Late>,
}

impl Change {
    /// That something has to be disinfected first, or stated not to have been.
    fn lacking(&self, work: &CaseWork) -> Option<Fault> {
        let item = self.uncleaned(work).filter(|_| !self.is_as_it_was)?;
        let why = format!(
            "{} came from the lab, and no disinfection here is entered since. Rinse and disinfect it \
             before it goes into the mouth, and write here with what.",
            item.title()
        );
        Some(Fault::new("agent", why))
    }

    /// What goes in and has come from the lab without having been disinfected here.
    fn uncleaned<'a>(&self, work: &'a CaseWork) -> Option<&'a Item> {
        let Step::Fit { tag, .. } = &self.step else {
            return None;
        };
        let item = work.items.iter().find(|item| item.tag == *tag);
        item.filter(|item| self.cleaning.is_none() && wants_cleaning(work, item))
    }

    /// The entries of it, as the case stands now.
    fn entries(&self, work: &CaseWork) -> Result<Vec<What>, AppError> {
        if let Some(fault) = self.lacking(work) {
            return Err(AppError::Invalid(vec![fault]));
        }
        let step = match &self.step {
            Step::Fit { tag, out } => What::Fitted(Fitted {
                tag: tag.clone(),
                instead_of: out.clone(),
                uncleaned: self.uncleaned(work).is_some(),
            }),
            Step::TakeOut { tag, exception } => What::TakenOut(TakenOut {
                tag: tag.clone(),
                exception: exception.clone(),
            }),
        };
        let before = match (&self.cleaning, &self.step) {
            (Some(cleaning), Step::Fit { tag, .. }) => Some(cleaning.of(tag.clone()).into()),
            _ => None,
        };
        Ok(before.into_iter().chain([step]).collect())
    }
}

async fn read(
    app: &App,
    person: &Person,
    work: &CaseWork,
    typed: &Typed,
) -> Result<Change, AppError> {
    let wrong = |error: CodeError| AppError::field("fit", error.to_string());
    let out = typed.get("worn").filter(|text| !text.is_empty());
    let out = out
        .map(|text| Tag::parse(text))
        .transpose()
        .map_err(wrong)?;
    let mut faults = Vec::new();
    let cleaning = disinfection::read(typed, &mut faults);
    let step = match (
        typed.get("fit").map(String::as_str).unwrap_or_default(),
        out,
    ) {
        ("", _) => return Err(AppError::field("fit", "Choose what the patient wears now.")),
        ("nothing", Some(tag)) => Step::TakeOut {
            tag,
            exception: exception(app, person, typed).await?,
        },
        ("nothing", None) => return Err(AppError::field("fit", "Nothing is worn there now.")),
        (tag, out) => Step::Fit {
            tag: Tag::parse(tag).map_err(wrong)?,
            out,
        },
    };
    let is_as_it_was = typed.contains_key(AS_IT_WAS);
    match (&cleaning, &step) {
        (Some(_), Step::TakeOut { .. }) => {
            let why = "Nothing goes in, so nothing is disinfected for it: leave this empty.";
            faults.push(Fault::new("agent", why));
        }
        (Some(_), Step::Fit { .. }) if is_as_it_was => {
            let why = "It was disinfected, or it went in without: say one of the two.";
            faults.push(Fault::new(AS_IT_WAS, why));
        }
        _ => {}
    }
    let change = Change {
        late: late(person, typed, &mut faults),
        is_as_it_was,
        cleaning,
        step,
    };
    if !disinfection::is_typed(typed) {
        faults.extend(change.lacking(work));
    }
    if faults.is_empty() {
        Ok(change)
    } else {
        Err(AppError::Invalid(faults))
    }
}

/// Changes what the patient wears in one arch: one item in and another out, or, with a signed exception, only out.
pub async fn change_mouth(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    typed: &Typed,
    key: &PostKey,
) -> Result<(), AppError> {
    let seen = CaseWork::load(&mut *app.store.read().await?, person, number).await?;
    let change = read(app, person, &seen, typed).await?;
    let late = change.late.as_ref();
    let (id, further) = (app.outside.identity()?, app.outside.identity()?);
    run_on_case(app, person, &seen, key, |mut work, mut tx| async {
        // Asked of the case as it stands now: it may have come from the lab while the form lay open.
        let entries = change.entries(&work)?;
        for (what, id) in entries.into_iter().zip([&id, &further]) {
            work.append(app, &mut tx, person, id, what, late).await?;
        }
        Ok((work, tx, ()))
    })
    .await
}
