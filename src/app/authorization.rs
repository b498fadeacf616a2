//! The authorisation with which work is passed on to a second laboratory, as a paper of one page.

use super::case_work::CaseWork;
use super::{App, AppError, Person, passed_sheet, record_mark};
use crate::domain::custody::item::Item;
use crate::domain::custody::{PassEnd, PassedWork, SecondLabWork};
use crate::domain::people::party::Party;
use crate::domain::prescription::Piece;
use crate::domain::prescription::earlier_words::licence_on;
use crate::domain::prescription::revision::{Document, Revision};
use crate::domain::second_lab::Along;
use crate::domain::values::ids::{CaseNumber, EventId};
use crate::domain::values::moment::{Moment, in_one_piece, whole_day};
use crate::domain::values::words::{capitalised, counted, lowered};
use crate::papers::case_paper::{CasePaper, Listing, PaperPoint, lay_out};
use crate::papers::{LANGUAGE, Meta, write};
use crate::record::entry::LeafKind;

/// "Authorization 2"
pub fn title(work: &CaseWork, event: &EventId) -> String {
    let place = work.state.passes.iter().position(|one| one.event == *event);
    format!("Authorization {}", place.map_or(0, |place| place + 1))
}

fn point(label: &str, words: Vec<String>) -> PaperPoint {
    PaperPoint {
        label: label.to_owned(),
        words: words.into_iter().filter(|one| !one.is_empty()).collect(),
        blank: false,
    }
}

pub(super) fn one_line(address: &str) -> String {
    let lines = address.lines().map(str::trim);
    let lines: Vec<&str> = lines.filter(|line| !line.is_empty()).collect();
    lines.join(", ")
}

/// A number under which the law knows somebody, in the word of the sheet that the text was signed for: so the paper says the
/// same whenever it is printed.
fn licensed(number: &str, sheet: u32) -> String {
    match number {
        "" => String::new(),
        number => format!("{} or registration {number}", licence_on(sheet)),
    }
}

/// What there is of these, in one line.
fn in_line(parts: [String; 2]) -> String {
    let parts: Vec<String> = parts.into_iter().filter(|one| !one.is_empty()).collect();
    parts.join(", ")
}

fn house(party: &Party, sheet: u32) -> Vec<String> {
    let telephone = match party.telephone.as_str() {
        "" => String::new(),
        number => format!("telephone {}", in_one_piece(number)),
    };
    vec![
        in_line([party.name.clone(), one_line(&party.address)]),
        in_line([licensed(&party.licence, sheet), telephone]),
    ]
}

/// A piece: of the whole work with the stage that is ordered, of any other what the first laboratory makes.
fn piece_row(piece: &Piece, is_whole: bool) -> Vec<String> {
    let text = |text: &Option<crate::domain::form::Text>| {
        let text = text.as_ref().map(|text| text.as_str().to_owned());
        text.unwrap_or_default()
    };
    let arch = piece.arch.map(|arch| capitalised(arch.shown()));
    let mut row = vec![arch.unwrap_or_default()];
    if is_whole {
        let stage = piece.stage.map(|stage| stage.shown().to_owned());
        row.push(stage.unwrap_or_default());
    }
    row.extend([text(&piece.description), text(&piece.materials)]);
    row
}

/// What is ordered for the arches that are passed on: of the second laboratory where it does all of it, and otherwise what
/// its work is for.
fn pieces(document: &Document, pass: &PassedWork) -> Listing {
    let pieces = document.prescription.order.pieces.iter();
    let treated = pass.arches.treated();
    let is_its = |piece: &&Piece| piece.arch.is_none_or(|arch| treated.contains(&arch));
    let is_whole = pass.work == SecondLabWork::Whole;
    let (heading, columns) = match is_whole {
        true => (
            "Pieces ordered",
            vec![
                ("Arch", 0.12),
                ("Stage", 0.2),
                ("Work", 0.34),
                ("Materials", 0.34),
            ],
        ),
        false => (
            "Made at the first laboratory, for which this work is",
            vec![("Arch", 0.12), ("Denture", 0.44), ("Materials", 0.44)],
        ),
    };
    Listing {
        heading: heading.to_owned(),
        columns,
        rows: pieces
            .filter(is_its)
            .map(|piece| piece_row(piece, is_whole))
            .collect(),
        nothing: "No piece is listed.",
    }
}

fn things(work: &CaseWork, pass: &PassedWork) -> Listing {
    let items = work.items.iter();
    let row = |item: &Item| {
        let pieces = i64::from(item.pieces);
        vec![
            item.title(),
            item.tag.to_string(),
            counted(pieces, "piece"),
            String::new(),
        ]
    };
    Listing {
        heading: "Items that go along".to_owned(),
        columns: vec![
            ("Item", 0.36),
            ("Tag", 0.22),
            ("Pieces", 0.14),
            ("Condition there, and back", 0.28),
        ],
        rows: items
            .filter(|item| pass.items.contains(&item.tag))
            .map(row)
            .collect(),
        nothing: "Nothing goes along.",
    }
}

/// A moment as it stands in a sentence.
fn said_at(at: Moment) -> String {
    in_one_piece(&at.in_words())
}

/// Why nobody works by it, or by it alone.
fn caution(pass: &PassedWork) -> String {
    let refused = pass.reply.as_ref().filter(|_| pass.is_refused());
    match (&pass.ended, refused) {
        (Some((at, PassEnd::PassedAgain)), _) => {
            let at = said_at(*at);
            format!("Replaced by a later authorization on {at}: do not work from this one.")
        }
        (Some((at, _)), _) => format!("Ended on {}: do not work from it.", said_at(*at)),
        (None, Some(reply)) => format!(
            "{} said on {} that it is not to be passed on: do not work from it.",
            reply.by,
            said_at(reply.at)
        ),
        (None, None) if pass.awaits_consent() => {
            "The office has not agreed yet: nothing goes before.".to_owned()
        }
        (None, None) => format!(
            "Work from it only together with the order sheet (part of revision {}): the materials to be avoided are on that sheet.",
            pass.revision
        ),
    }
}

fn points(work: &CaseWork, pass: &PassedWork, document: &Document) -> Vec<PaperPoint> {
    let office = match (&pass.reply, pass.needs_consent) {
        (Some(reply), _) => format!(
            "{} on {}: {}.",
            reply.by,
            said_at(reply.at),
            reply.answer.shown()
        ),
        (None, true) => "The office has not agreed yet.".to_owned(),
        (None, false) => "The office is told; no consent is asked for.".to_owned(),
    };
    let (to, office_name) = (&pass.to, work.office.name.clone());
    let licensed = |number: &str| licensed(number, document.sheet);
    let prescriber = document.prescriber_name.clone();
    vec![
        point("From the laboratory", house(&work.lab, document.sheet)),
        point(
            "To the laboratory",
            vec![
                in_line([to.name.clone(), one_line(&to.address)]),
                licensed(&to.licence),
            ],
        ),
        point(
            "Prescriber, and patient by case number",
            vec![
                in_line([prescriber, lowered(&licensed(&document.prescriber_licence))]),
                in_line([office_name, one_line(&work.office.address)]),
                format!("Patient of case {}", work.case.number),
            ],
        ),
        point(
            "What is to be done there",
            vec![
                pass.task.clone(),
                format!(
                    "{}, to revision {}. Wanted back on {}.",
                    capitalised(pass.arches.shown()),
                    pass.revision,
                    in_one_piece(&whole_day(pass.wanted))
                ),
            ],
        ),
        point(
            "What goes along",
            vec![passed_sheet::sees(&to.name, Along::from(pass), document)],
        ),
        point(
            "Authorized by",
            vec![format!("{}, signed {}", pass.by, said_at(pass.at)), office],
        ),
    ]
}

fn notes() -> Vec<String> {
    [
        "The first laboratory answers to the prescriber for this work: questions and the work itself go back to it, not to the \
         office. Tell it which materials and lots went in, and where it was made. Both keep a copy for as long as local law asks.",
        "Treat everything as contaminated until its disinfection is certain; disinfect on arrival and before it goes back, and \
         mark it. Monomer, dust, hot instruments: as the makers of the materials and local law ask.",
    ]
    .map(str::to_owned)
    .to_vec()
}

/// The paper of one authorisation.
pub(super) async fn pdf_of(
    app: &App,
    person: &Person,
    work: &CaseWork,
    pass: &PassedWork,
    revision: &Revision,
) -> Result<Vec<u8>, AppError> {
    let work = &work.hold_for_paper(app).await?;
    let pass = work.state.pass(&pass.event).unwrap_or(pass);
    let document = Document::from_canonical(&revision.document)?;
    let about = [pass.event.to_string()];
    let record = match record_mark::after(app, LeafKind::Event, &about).await? {
        Some(record) => record,
        None => record_mark::of_case(app, &work.case.number).await?,
    };
    let paper = CasePaper {
        paper: person.paper(),
        title: "Work authorization for a second laboratory".to_owned(),
        case_number: work.case.number.to_string(),
        about: vec![format!(
            "{} of this case. Revision {} of the prescription, signed {}",
            title(work, &pass.event),
            pass.revision,
            said_at(revision.signature.at)
        )],
        caution: caution(pass),
        points: points(work, pass, &document),
        tables: vec![pieces(&document, pass), things(work, pass)],
        signed_for: "Received at the second laboratory".to_owned(),
        notes: notes(),
        as_of: format!("Passed on {}", pass.at.in_words()),
        record,
    };
    let meta = Meta {
        title: format!("{} {}", paper.title, paper.case_number),
        author: work.lab.name.clone(),
        created: pass.at,
        language: Some(LANGUAGE),
    };
    write(&lay_out(&paper), &meta).map_err(|error| AppError::Inner(error.to_string()))
}

/// The paper, for office and lab of the case.
pub async fn pdf(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    event: &EventId,
) -> Result<Vec<u8>, AppError> {
    let mut conn = app.store.read_at_once().await?;
    let work = CaseWork::load(app, &mut conn, person, number).await?;
    let pass = work.state.pass(event).ok_or(AppError::NotFound)?.clone();
    drop(conn);
    let (revision, _) = work.signed.of(pass.revision).ok_or(AppError::NotFound)?;
    pdf_of(app, person, &work, &pass, revision).await
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::prescription::revision::SHEET;

    #[test]
    fn an_authorization_of_a_text_that_was_signed_before_says_licence_whenever_it_is_printed() {
        for (sheet, words) in [
            (0, "Licence or registration L-2"),
            (8, "Licence or registration L-2"),
            (9, "License or registration L-2"),
            (SHEET, "License or registration L-2"),
        ] {
            assert_eq!(licensed("L-2", sheet), words);
            assert_eq!(licensed("", sheet), "");
        }
    }
}
