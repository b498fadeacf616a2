//! The pictures of a case that print with its prescription, behind its full text and as a paper of their own: a sheet prints
//! as it was signed, and a picture may be erased. The same entries give the same bytes.

use super::case_work::CaseWork;
use super::custody_words::title_and_tag;
use super::pictures::{erased_words, kept_bytes};
use super::{App, AppError, Person, record_mark};
use crate::domain::custody::{FiledScan, PRINTED_MOST, PictureOf, TakenPicture};
use crate::domain::people::party::Paper;
use crate::domain::values::ids::CaseNumber;
use crate::domain::values::moment::{Moment, show_date};
use crate::domain::values::words::{capitalised, counted};
use crate::papers::content::{Block, Section, Table};
use crate::papers::page::{Page, Photo};
use crate::papers::picture_paper::{PicturePaper, PrintedPicture, lay_out};
use crate::papers::record_mark::RecordMark;
use crate::papers::{LANGUAGE, Meta, write};
use std::sync::Arc;

async fn printed(
    app: &App,
    work: &CaseWork,
    one: &TakenPicture,
) -> Result<PrintedPicture, AppError> {
    let of = one.item.as_ref().map(|tag| title_and_tag(work, tag));
    let shows = match (one.shows, of) {
        // That it shows something else says nothing.
        (PictureOf::Other, Some(of)) => of,
        (PictureOf::Other, None) => "Picture".to_owned(),
        (shows, Some(of)) => format!("{}, {of}", shows.shown()),
        (shows, None) => shows.shown().to_owned(),
    };
    let photo = match erased_words(work, &one.event) {
        Some(words) => Err(format!("{words}.")),
        None if one.is_erased() => Err("Erased.".to_owned()),
        None => {
            let key = (work.case.number.as_str(), one.hash.as_str());
            match kept_bytes(app, "picture", key).await {
                Ok(jpeg) => Ok(Arc::new(Photo {
                    jpeg,
                    width: one.width,
                    height: one.height,
                })),
                Err(AppError::Refused(why)) => Err(why.join(" ")),
                Err(other) => return Err(other),
            }
        }
    };
    Ok(PrintedPicture {
        words: capitalised(&shows),
        caption: one.caption.clone(),
        by: format!("{} on {}", one.by, one.at.in_words()),
        photo,
    })
}

/// What goes with the full text and was not signed: words at its end, and the pictures on pages behind it.
pub struct PicturesBeside {
    pub section: Section,
    pub pages: Vec<Page>,
}

/// What is for the lab of a case, to go with the full text on this paper. It follows from the entries that mark it, so that
/// the same marks give the same bytes; none where nothing is marked.
pub async fn beside(
    app: &App,
    work: &CaseWork,
    size: Paper,
) -> Result<Option<PicturesBeside>, AppError> {
    let Some((section, newest)) = words(work) else {
        return Ok(None);
    };
    let there = work.state.pictures.iter();
    let there: Vec<&TakenPicture> = there
        .filter(|one| one.for_lab && !one.is_erased())
        .collect();
    let as_of = format!("Marked for the laboratory up to {}", newest.in_words());
    let pages = match there.is_empty() {
        true => Vec::new(),
        false => lay_out(&paper_of(app, work, there, (size, as_of, None)).await?),
    };
    Ok(Some(PicturesBeside { section, pages }))
}

/// The words of it, and when the newest of it was marked.
fn words(work: &CaseWork) -> Option<(Section, Moment)> {
    let case = &work.state;
    let pictures = case
        .pictures
        .iter()
        .filter(|one| one.for_lab && !one.is_erased());
    let pictures: Vec<&TakenPicture> = pictures.collect();
    let scans = case
        .scans
        .iter()
        .filter(|one| one.for_lab && !one.is_erased());
    let scans: Vec<&FiledScan> = scans.collect();
    let marked = pictures.iter().map(|one| one.marked);
    let marked = marked.chain(scans.iter().map(|one| one.marked));
    let newest = marked.max_by_key(|at| at.unix_ms)?;
    let counts = [(pictures.len(), "picture"), (scans.len(), "scan")];
    let counts = counts.into_iter().filter(|(count, _)| *count > 0);
    let counts: Vec<String> = counts
        .map(|(count, noun)| counted(count as u64, noun))
        .collect();
    let row = |called: &str, shows: &str, caption: &str, at: Moment| {
        let day = show_date(at.date());
        let shows = match shows {
            "" => called.to_owned(),
            shows => format!("{called}: {shows}"),
        };
        vec![shows, caption.to_owned(), day]
    };
    let rows = pictures.iter().map(|one| {
        let shows = match one.shows {
            PictureOf::Other => "",
            shows => shows.shown(),
        };
        row("Picture", shows, &one.caption, one.at)
    });
    let of_scans = scans
        .iter()
        .map(|one| row("Scan", one.shows.shown(), &one.caption, one.at));
    let table = Table {
        headings: ["What it shows", "Caption", "Added on"]
            .map(str::to_owned)
            .to_vec(),
        rows: rows.chain(of_scans).collect(),
        tick: false,
    };
    let behind = match pictures.is_empty() {
        true => "",
        false => "; pictures are printed behind this text",
    };
    let note = format!(
        "With the case: {}{behind}. Not part of what was signed; marked so up to {newest}.",
        counts.join(" and ")
    );
    let section = Section::new(
        "Pictures and scans for the laboratory",
        vec![Block::Note(note), Block::Table(table)],
    );
    Some((section, newest))
}

/// The paper with the newest of these.
async fn paper_of(
    app: &App,
    work: &CaseWork,
    marked: Vec<&TakenPicture>,
    (paper, as_of, record): (Paper, String, Option<RecordMark>),
) -> Result<PicturePaper, AppError> {
    let left_out = marked.len().saturating_sub(PRINTED_MOST);
    let mut pictures = Vec::new();
    for one in marked.into_iter().skip(left_out) {
        pictures.push(printed(app, work, one).await?);
    }
    let mut notes = vec![
        "Do not match shades from a picture: its colors are those of the light, the camera and the printer.".to_owned(),
    ];
    if left_out > 0 {
        notes.push(format!(
            "The newest {PRINTED_MOST} are printed; {left_out} more are on the page of the case's pictures."
        ));
    }
    Ok(PicturePaper {
        paper,
        case_number: work.case.number.to_string(),
        about: vec![
            format!("Patient {}", work.case.patient),
            format!("{}, for {}", work.lab.name, work.office.name),
        ],
        pictures,
        notes,
        as_of,
        record,
    })
}

/// The paper with the newest of those that are marked.
pub async fn pictures_pdf(
    app: &App,
    person: &Person,
    number: &CaseNumber,
) -> Result<Vec<u8>, AppError> {
    let work = CaseWork::see(app, person, number).await?;
    let work = work.hold_for_paper(app).await?;
    let marked: Vec<&TakenPicture> = work
        .state
        .pictures
        .iter()
        .filter(|one| one.for_lab)
        .collect();
    let newest = work.events.iter().map(|event| event.entered_at);
    let newest = newest.max_by_key(|at| at.unix_ms);
    let (Some(as_of), false) = (newest, marked.is_empty()) else {
        let sentence = "No picture of this case is marked to print with the prescription: tick it where a picture is added.";
        return Err(AppError::Refused(vec![sentence.to_owned()]));
    };
    let record = record_mark::of_case(app, number).await?;
    let said = format!("As recorded up to {}", as_of.in_words());
    let paper = paper_of(app, &work, marked, (person.paper(), said, Some(record))).await?;
    let meta = Meta {
        title: format!("Pictures {}", paper.case_number),
        author: work.office.name.clone(),
        created: as_of,
        language: Some(LANGUAGE),
    };
    write(&lay_out(&paper), &meta).map_err(|error| AppError::Inner(error.to_string()))
}
