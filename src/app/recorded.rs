//! Into the record: every case, item, event, signed revision and acknowledgement becomes a leaf in the
//! transaction that writes its row.

use super::{App, AppError};
use crate::domain::case::Case;
use crate::domain::custody::Event;
use crate::domain::ids::CaseNumber;
use crate::domain::item::Item;
use crate::domain::revision::{Acknowledgement, Revision};
use crate::record::entry::Entry;
use crate::record::leaf::{LeafError, salts_from, salts_to_json};
use crate::store::record::{NewLeaf, append, head};
use crate::store::{Connection, StoreError, Tx, cases, custody, revisions};

/// The key by which a leaf is found from what it is about.
pub fn about_revision(case: &CaseNumber, number: i64) -> String {
    format!("{}/{number}", case.as_str())
}

pub async fn case(app: &App, tx: &mut Tx, case: &Case) -> Result<(), AppError> {
    let entry = Entry::case(case);
    put(
        app,
        tx,
        &entry,
        case.number.as_str().to_owned(),
        &case.number,
    )
    .await
}

pub async fn item(app: &App, tx: &mut Tx, item: &Item) -> Result<(), AppError> {
    let entry = Entry::item(item)?;
    put(app, tx, &entry, item.tag.as_str().to_owned(), &item.case).await
}

pub async fn event(app: &App, tx: &mut Tx, event: &Event) -> Result<(), AppError> {
    let entry = Entry::event(event)?;
    put(app, tx, &entry, event.id.clone(), &event.case).await
}

pub async fn revision(
    app: &App,
    tx: &mut Tx,
    revision: &Revision,
    case: &Case,
) -> Result<(), AppError> {
    let entry = Entry::revision(revision, &case.office, &case.lab);
    let about = about_revision(&case.number, revision.number);
    put(app, tx, &entry, about, &case.number).await
}

pub async fn acknowledgement(
    app: &App,
    tx: &mut Tx,
    word: &Acknowledgement,
    case: &Case,
) -> Result<(), AppError> {
    let entry = Entry::acknowledgement(&case.number, &case.lab, word);
    let about = about_revision(&case.number, word.revision);
    put(app, tx, &entry, about, &case.number).await
}

async fn put(
    app: &App,
    tx: &mut Tx,
    entry: &Entry,
    about: String,
    case: &CaseNumber,
) -> Result<(), AppError> {
    let sealed = entry.seal(&mut salts_from(app.outside.seed()?))?;
    let leaf = NewLeaf {
        kind: entry.kind.word(),
        about,
        case: case.clone(),
        body: String::from_utf8(sealed.bytes).map_err(|why| AppError::Inner(why.to_string()))?,
        salts: salts_to_json(&sealed.salts).to_string(),
    };
    match append(tx, &leaf).await {
        // What it is about has just been written by another attempt of the same post.
        Err(error) if error.is_duplicate() => Err(StoreError::Again.into()),
        done => Ok(done.map(drop)?),
    }
}

impl From<LeafError> for AppError {
    fn from(error: LeafError) -> AppError {
        match error {
            LeafError::TooLong(_) => AppError::Refused(vec![error.to_string()]),
            other => AppError::Inner(other.to_string()),
        }
    }
}

/// Takes in what was written before there was a record. Does nothing once it has begun.
pub async fn take_in(app: &App) -> Result<(), AppError> {
    /// Cases in one transaction.
    const CHUNK: i64 = 200;
    let mut conn = app.store.read().await?;
    if head(&mut conn).await?.frontier.size() > 0 {
        return Ok(());
    }
    let mut tx = app.store.begin().await?;
    // All in one transaction: an interrupted start begins again from nothing.
    for offset in (0..).step_by(CHUNK as usize) {
        let chunk = cases::all_cases(&mut conn, CHUNK, offset).await?;
        for case in &chunk {
            take_in_case(app, &mut tx, case).await?;
        }
        if chunk.is_empty() {
            break;
        }
    }
    Ok(tx.commit().await?)
}

/// Everything of a case that a leaf stands for, with the key by which the leaf is found.
pub async fn entries_of(
    conn: &mut Connection,
    case: &Case,
) -> Result<Vec<(String, Entry)>, AppError> {
    let mut entries = vec![(case.number.as_str().to_owned(), Entry::case(case))];
    for item in custody::items_of(conn, &case.number).await? {
        entries.push((item.tag.as_str().to_owned(), Entry::item(&item)?));
    }
    for event in custody::events_of(conn, &case.number).await? {
        entries.push((event.id.clone(), Entry::event(&event)?));
    }
    for revision in revisions::of_case(conn, &case.number).await? {
        let entry = Entry::revision(&revision, &case.office, &case.lab);
        entries.push((about_revision(&case.number, revision.number), entry));
    }
    for word in revisions::acknowledgements(conn, &case.number).await? {
        let entry = Entry::acknowledgement(&case.number, &case.lab, &word);
        entries.push((about_revision(&case.number, word.revision), entry));
    }
    Ok(entries)
}

async fn take_in_case(app: &App, tx: &mut Tx, case: &Case) -> Result<(), AppError> {
    for (about, entry) in entries_of(tx.conn(), case).await? {
        put(app, tx, &entry, about, &case.number).await?;
    }
    Ok(())
}
