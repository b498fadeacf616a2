//! Several things at once, disinfected and put somewhere: one entry for each, and all of them are entered or none.

use super::case_work::CaseWork;
use super::entry::late;
use super::run::on_case::run_on_case;
use super::{App, AppError, Person, PostKey};
use crate::domain::custody::events::{DisinfectedForm, Moved};
use crate::domain::custody::forms::{ITEMS, SeveralForm};
use crate::domain::custody::item::Item;
use crate::domain::custody::{CaseStep, Offers, What};
use crate::domain::values::ids::{CaseNumber, EventId, Tag};

/// The things about which something can be recorded at once: those in the hands of whoever asks.
pub fn in_hand<'a>(work: &'a CaseWork, offers: &Offers<'_>) -> Vec<&'a Item> {
    let can = |item: &&Item| offers.has(CaseStep::Put(&item.tag));
    work.items.iter().filter(can).collect()
}

/// Enters what was done with all that is ticked.
pub async fn record(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    form: &SeveralForm,
    key: &PostKey,
) -> Result<(), AppError> {
    let late = late(person, form.from_paper.as_ref())?;
    let ids = (0..form.tags.len() * 2)
        .map(|_| app.outside.identity().map(EventId::new))
        .collect::<Result<Vec<_>, _>>()?;
    run_on_case(app, person, number, key, |mut work, mut tx| async {
        let mut ids = ids.iter();
        for what in entries(&work, form)? {
            let id = ids.next();
            let id = id.ok_or_else(|| AppError::Inner("too few ids".to_owned()))?;
            work.append(app, &mut tx, person, id, what, late.as_ref())
                .await?;
        }
        Ok((work, tx, ()))
    })
    .await
}

/// What is entered of a thing that is disinfected, put somewhere, or both; what needs no disinfection gets no entry of
/// one.
pub(super) fn handled(item: &Item, cleaning: Option<&DisinfectedForm>, put: &str) -> Vec<What> {
    let cleaning = cleaning.filter(|_| item.kind.needs_disinfection());
    let cleaned = cleaning.map(|entry| entry.of(item.tag.clone()).into());
    let moved = (!put.is_empty()).then(|| {
        What::Moved(Moved {
            tag: item.tag.clone(),
            to: put.to_owned(),
        })
    });
    cleaned.into_iter().chain(moved).collect()
}

/// The entries of each thing that is ticked.
fn entries(work: &CaseWork, form: &SeveralForm) -> Result<Vec<What>, AppError> {
    let known = |tag: &Tag| work.item(tag);
    let mut entries = Vec::new();
    for tag in &form.tags {
        let Some(item) = known(tag) else {
            return Err(AppError::field(
                ITEMS,
                format!("{tag} is not of this case: look again."),
            ));
        };
        entries.extend(handled(item, form.cleaning.as_ref(), &form.put));
    }
    if entries.is_empty() {
        let sentence = "None of what is ticked is disinfected: photographs, files and teeth on their card are not.";
        return Err(AppError::field(ITEMS, sentence));
    }
    Ok(entries)
}
