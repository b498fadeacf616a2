//! The paper of a second laboratory: its part of the signed text, and what is said of it before it goes.

use super::case_work::CaseWork;
use super::health::refuse_if_forked;
use super::print_sheet::{mark, sheet_pages, write_sheet};
use super::see_case::{SeenRevision, revision_of};
use super::{App, AppError, Person};
use crate::domain::custody::item::Item;
use crate::domain::custody::{PassedWork, SecondLabWork};
use crate::domain::people::party::Paper;
use crate::domain::prescription::revision::{Document, PartyCard};
use crate::domain::second_lab::{Along, Between, PassedPart, part_of};
use crate::domain::values::ids::{CaseNumber, EventId};
use crate::papers::sheet::{SecondLabSheet, Sheet, sheet_for_second_lab};
use crate::papers::svg::write_svg;

/// The part of a revision that goes along.
fn part(work: &CaseWork, pass: &PassedWork, document: &Document) -> Result<PassedPart, AppError> {
    let between = Between {
        from: PartyCard::from(&work.lab),
        to: PartyCard {
            name: pass.to.name.clone(),
            address: pass.to.address.clone(),
            licence: pass.to.licence.clone(),
            telephone: String::new(),
        },
        wanted: pass.wanted.into(),
    };
    Ok(part_of(document, Along::from(pass), &between)?)
}

async fn words(
    app: &App,
    (seen, pass): (&SeenRevision, &PassedWork),
    own: &PassedPart,
    paper: Paper,
) -> Result<Sheet, AppError> {
    let before = seen.before.as_ref();
    let before = before.map(|before| part(&seen.work, pass, before));
    let record = mark(app, seen).await?;
    let items = seen.work.items.iter();
    let items: Vec<&Item> = items
        .filter(|item| pass.items.contains(&item.tag))
        .collect();
    Ok(sheet_for_second_lab(&SecondLabSheet {
        part: own,
        before: before.transpose()?.as_ref(),
        pass,
        items: &items,
        signature: &seen.revision.signature,
        paper,
        record: record.as_ref(),
    }))
}

/// The sheet of the part that goes along; whoever asks has looked whether the record is the signed one, and then read.
pub async fn pdf(
    app: &App,
    (seen, pass): (&SeenRevision, &PassedWork),
    paper: Paper,
) -> Result<Vec<u8>, AppError> {
    let own = part(&seen.work, pass, &seen.document)?;
    let words = words(app, (seen, pass), &own, paper).await?;
    let out = pass.out_of_force(seen.out.clone());
    write_sheet(&words, &own.document, pass.at, out.as_ref())
}

/// The same for the houses of the case: a second laboratory that has nobody here is given it on paper.
pub async fn of_case(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    event: &EventId,
) -> Result<Vec<u8>, AppError> {
    refuse_if_forked(app).await?;
    let mut conn = app.store.read_at_once().await?;
    let work = CaseWork::load_held(app, &mut conn, person, number).await?;
    drop(conn);
    let pass = work.state.pass(event).ok_or(AppError::NotFound)?.clone();
    let seen = revision_of(work, pass.revision)?;
    pdf(app, (&seen, &pass), person.paper()).await
}

/// Its front as a picture.
pub async fn front(
    app: &App,
    (seen, pass): (&SeenRevision, &PassedWork),
    paper: Paper,
) -> Result<String, AppError> {
    let own = part(&seen.work, pass, &seen.document)?;
    let words = words(app, (seen, pass), &own, paper).await?;
    let out = pass.out_of_force(seen.out.clone());
    let pages = sheet_pages(&words, out.as_ref());
    let front = pages.first().ok_or(AppError::NotFound)?;
    Ok(write_svg(front, "Front of the sheet"))
}

/// What a laboratory sees of the prescription, or would see, in one sentence.
pub fn sees(name: &str, along: Along<'_>, document: &Document) -> String {
    let goes = along.titles(&document.prescription, true).join("; ");
    format!(
        "{name} sees of the prescription: {goes}; the date wanted back; materials to be avoided, and all warnings."
    )
}

/// What it does not see: the filled sections that stay, and what of the card goes with no kind of work.
pub fn sees_not(along: Along<'_>, document: &Document) -> String {
    let mut stays = along.titles(&document.prescription, false);
    stays.push(match along.work {
        // Whoever does all of it has the rest of the card too.
        SecondLabWork::Whole => "the code, age and sex of the patient",
        _ => "the code, age and sex of the patient, and the rest of the patient’s card except warnings",
    });
    format!("Left out: {}.", stays.join("; "))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::prescription::{read, samples};
    use crate::domain::values::arch::Arches;
    use crate::domain::values::tooth::Numbering;

    #[test]
    fn the_rest_of_the_card_is_left_out_of_any_work_but_the_whole() {
        let read = read(&samples::full(3), Numbering::Iso3950);
        let document = samples::document(read.document);
        for work in SecondLabWork::ALL {
            let along = Along {
                work: *work,
                more: &[],
                arches: Arches::Both,
                items: &[],
            };
            let said = sees_not(along, &document);
            assert!(
                said.contains("; the code, age and sex of the patient"),
                "{said}"
            );
            let is_part = *work != SecondLabWork::Whole;
            assert_eq!(
                said.contains("the rest of the patient’s card"),
                is_part,
                "{said}"
            );
        }
    }
}
