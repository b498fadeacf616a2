//! The chair step: what goes into an arch, and what comes out in the same step.

use super::case_work::CaseWork;
use super::cleaning::Cleaning;
use super::entry::{Late, late};
use super::manage::Typed;
use super::record_event::exception;
use super::{App, AppError, Person, PostKey};
use crate::domain::custody::{What, came_uncleaned};
use crate::domain::fault::Fault;
use crate::domain::ids::{CaseNumber, CodeError, Tag};
use crate::domain::item::Item;
use crate::store::retry;

/// The tick that says it went in without a disinfection here. What has happened is entered as it was.
pub const AS_IT_WAS: &str = "as_it_was";

/// Whether a thing is to be disinfected here before it goes into the mouth.
pub fn wants_cleaning(work: &CaseWork, item: &Item) -> bool {
    item.kind.needs_disinfection() && came_uncleaned(&work.events, &item.tag)
}

/// What happened, as typed, with the disinfection that went before it and the time of both.
struct Change {
    cleaning: Option<Cleaning>,
    what: What,
    late: Option<Late>,
}

/// What goes in, or the fault that something has to be disinfected first.
fn fitted(
    work: &CaseWork,
    typed: &Typed,
    tag: Tag,
    out: Option<Tag>,
    faults: &mut Vec<Fault>,
) -> What {
    let item = work.items.iter().find(|item| item.tag == tag);
    let is_blank = typed.get("agent").is_none_or(|text| text.trim().is_empty());
    if is_blank
        && !typed.contains_key(AS_IT_WAS)
        && let Some(item) = item.filter(|item| wants_cleaning(work, item))
    {
        let why = format!(
            "{} came from the lab, and no disinfection here is entered since. Rinse and disinfect it \
             before it goes into the mouth, and write here with what.",
            item.title()
        );
        faults.push(Fault::new("agent", why));
    }
    What::Fitted {
        tag,
        instead_of: out,
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
    let cleaning = Cleaning::read(typed, &mut faults);
    let what = match (
        typed.get("fit").map(String::as_str).unwrap_or_default(),
        out,
    ) {
        ("", _) => return Err(AppError::field("fit", "Choose what the patient wears now.")),
        ("nothing", Some(tag)) => What::TakenOut {
            tag,
            exception: exception(app, person, typed).await?,
        },
        ("nothing", None) => return Err(AppError::field("fit", "Nothing is worn there now.")),
        (tag, out) => fitted(
            work,
            typed,
            Tag::parse(tag).map_err(wrong)?,
            out,
            &mut faults,
        ),
    };
    let late = late(person, typed, &mut faults);
    if faults.is_empty() {
        Ok(Change {
            cleaning,
            what,
            late,
        })
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
    let (id, before) = (app.outside.identity()?, app.outside.identity()?);
    retry(|| async {
        let mut tx = app.store.begin().await?;
        let mut work = CaseWork::as_seen(tx.conn(), person, &seen).await?;
        if app.earlier(&mut tx, person, key).await?.is_some() {
            return Ok(());
        }
        if let (What::Fitted { tag, .. }, Some(cleaning)) = (&change.what, &change.cleaning) {
            let what = cleaning.of(tag.clone());
            work.append(app, &mut tx, person, &before, what, late)
                .await?;
        }
        work.append(app, &mut tx, person, &id, change.what.clone(), late)
            .await?;
        work.save(app, &mut tx).await?;
        app.finish(tx, person, key, &id).await?;
        Ok(())
    })
    .await
}
