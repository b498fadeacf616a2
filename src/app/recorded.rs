//! Into the record: every case, item, event, signed revision and acknowledgement, and every version of what
//! they rest on of reference data, becomes a leaf in the transaction that writes its row.

pub mod reference;

use super::clock_doubt::refuse_in_doubt;
use super::counted::{self, Met};
use super::proven::{Compared, Unproven, compare, not_in_record};
use super::{App, AppError};
use crate::domain::custody::case::Case;
use crate::domain::custody::erasing::note_of;
use crate::domain::custody::item::Item;
use crate::domain::custody::{ErasedText, Event};
use crate::domain::prescription::revision::{Acknowledgement, Revision};
use crate::domain::values::ids::{CaseNumber, EventId, PartyId};
pub use crate::record::entry::about_revision;
use crate::record::entry::{Entry, LeafKind};
use crate::record::leaf::{LeafError, salts_from, salts_to_json};
use crate::store::custody::{StoredEvent, StoredItem};
use crate::store::record::{LeafRow, NewLeaf, append, head};
use crate::store::{Connection, StoreError, Tx, cases, custody, revisions};
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};

pub async fn case(app: &App, tx: &mut Tx, case: &Case) -> Result<(), AppError> {
    let entry = Entry::case(case);
    let number = case.number.as_str();
    put(app, tx, &entry, number.to_owned(), number).await
}

pub async fn item(app: &App, tx: &mut Tx, item: &Item) -> Result<(), AppError> {
    let entry = Entry::item(item)?;
    put(
        app,
        tx,
        &entry,
        item.tag.as_str().to_owned(),
        item.case.as_str(),
    )
    .await
}

pub async fn event(app: &App, tx: &mut Tx, event: &Event) -> Result<(), AppError> {
    let entry = Entry::event(event)?;
    put(app, tx, &entry, event.id.to_string(), event.case.as_str()).await
}

pub async fn revision(
    app: &App,
    tx: &mut Tx,
    revision: &Revision,
    case: &Case,
) -> Result<(), AppError> {
    let entry = Entry::revision(revision, &case.office, &case.lab);
    let about = about_revision(&case.number, revision.number);
    put(app, tx, &entry, about, case.number.as_str()).await
}

pub async fn acknowledgement(
    app: &App,
    tx: &mut Tx,
    word: &Acknowledgement,
    case: &Case,
) -> Result<(), AppError> {
    let entry = Entry::acknowledgement(&case.number, &case.lab, word);
    let about = about_revision(&case.number, word.revision);
    put(app, tx, &entry, about, case.number.as_str()).await
}

async fn put(
    app: &App,
    tx: &mut Tx,
    entry: &Entry,
    about: String,
    owner: &str,
) -> Result<(), AppError> {
    refuse_in_doubt(app, tx.conn()).await?;
    let sealed = entry.seal(&mut salts_from(app.outside.seed()?))?;
    let leaf = NewLeaf {
        kind: entry.kind.word(),
        about,
        owner: owner.to_owned(),
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

/// Enters in the record what was written before there was one. Does nothing once it has begun.
pub async fn backfill(app: &App) -> Result<(), AppError> {
    /// Cases in one transaction.
    const CHUNK: i64 = 200;
    let mut conn = app.store.read().await?;
    if head(&mut conn).await?.frontier.size() > 0 {
        // Whoever holds a reader asks for no other.
        drop(conn);
        return reference::backfill(app).await;
    }
    let mut tx = app.store.begin().await?;
    // All in one transaction: an interrupted start begins again from nothing.
    for offset in (0..).step_by(CHUNK as usize) {
        let chunk = cases::all_cases(&mut conn, CHUNK, offset).await?;
        for case in &chunk {
            backfill_case(app, &mut tx, case).await?;
        }
        if chunk.is_empty() {
            break;
        }
    }
    tx.commit().await?;
    drop(conn);
    reference::backfill(app).await
}

/// Everything of a case that a leaf stands for, with the key by which the leaf is found.
pub async fn entries_of(
    conn: &mut Connection,
    case: &Case,
) -> Result<Vec<(String, Entry)>, AppError> {
    let mut entries = Vec::new();
    for kind in OF_A_CASE {
        entries.extend(entries_of_kind(conn, case, kind).await?);
    }
    Ok(entries)
}

/// The kinds of leaf that stand for rows of a case, in the order in which rows from before the record are entered in it.
pub const OF_A_CASE: [LeafKind; 5] = [
    LeafKind::Case,
    LeafKind::Item,
    LeafKind::Event,
    LeafKind::Revision,
    LeafKind::Acknowledgement,
];

pub async fn entries_of_kind(
    conn: &mut Connection,
    case: &Case,
    kind: LeafKind,
) -> Result<Vec<(String, Entry)>, AppError> {
    let number = &case.number;
    Ok(match kind {
        LeafKind::Case => vec![(number.as_str().to_owned(), Entry::case(case))],
        LeafKind::Item => {
            let rows = custody::stored_items_of(conn, number).await?;
            rows.iter().map(stored_item).collect::<Result<_, _>>()?
        }
        LeafKind::Event => {
            let rows = custody::stored_events_of(conn, number).await?;
            rows.iter().map(stored_event).collect::<Result<_, _>>()?
        }
        LeafKind::Revision => {
            let rows = revisions::of_case(conn, number).await?;
            rows.iter().map(|row| stored_revision(case, row)).collect()
        }
        LeafKind::Acknowledgement => {
            let rows = revisions::acknowledgements(conn, number).await?;
            rows.iter().map(|row| stored_word(case, row)).collect()
        }
        _ => Vec::new(),
    })
}

/// The rows of a case that leaves stand for, as they are kept.
#[derive(Debug, Clone, Default)]
pub struct StoredRows {
    pub items: Vec<StoredItem>,
    pub events: Vec<StoredEvent>,
    pub revisions: Vec<Revision>,
    pub words: Vec<Acknowledgement>,
}

/// What [`entries_of`] reads, from rows that have been read.
pub fn entries_kept(case: &Case, kept: &StoredRows) -> Result<Vec<(String, Entry)>, AppError> {
    let mut entries = vec![(case.number.as_str().to_owned(), Entry::case(case))];
    for row in &kept.items {
        entries.push(stored_item(row)?);
    }
    for row in &kept.events {
        entries.push(stored_event(row)?);
    }
    let revisions = kept.revisions.iter();
    entries.extend(revisions.map(|row| stored_revision(case, row)));
    entries.extend(kept.words.iter().map(|row| stored_word(case, row)));
    Ok(entries)
}

/// The one row of a case that a leaf is about, where the rows cannot be read together.
pub async fn entry_about(
    conn: &mut Connection,
    case: &Case,
    kind: LeafKind,
    about: &str,
) -> Result<Option<Entry>, AppError> {
    let revision = || about.rsplit('/').next()?.parse::<i64>().ok();
    let found = match (kind, revision()) {
        (LeafKind::Case, _) => (about == case.number.as_str()).then(|| Entry::case(case)),
        (LeafKind::Item, _) => {
            let row = custody::find_stored_item(conn, about).await?;
            row.as_ref()
                .map(stored_item)
                .transpose()?
                .map(|(_, entry)| entry)
        }
        (LeafKind::Event, _) => {
            let row = custody::find_stored_event(conn, &EventId::new(about)).await?;
            row.as_ref()
                .map(stored_event)
                .transpose()?
                .map(|(_, entry)| entry)
        }
        (LeafKind::Revision, Some(number)) => {
            let row = revisions::find(conn, &case.number, number).await?;
            row.map(|row| stored_revision(case, &row).1)
        }
        (LeafKind::Acknowledgement, Some(number)) => {
            let row = revisions::find_acknowledgement(conn, &case.number, number).await?;
            row.map(|row| stored_word(case, &row).1)
        }
        _ => None,
    };
    Ok(found)
}

/// The leaves that these erased texts are of, each with the places whose salts go along. The note of a thing
/// that is registered stands in two leaves: of the thing, and of the entry.
pub fn erased_places<'a>(
    events: &[Event],
    texts: impl IntoIterator<Item = &'a ErasedText>,
) -> BTreeMap<(LeafKind, String), BTreeSet<String>> {
    let mut places: BTreeMap<_, BTreeSet<String>> = BTreeMap::new();
    for text in texts {
        let in_leaf = format!("/{}{}", LeafKind::Event.word(), text.place);
        let of_event = places.entry((LeafKind::Event, text.event.to_string()));
        of_event.or_default().insert(in_leaf);
        let event = events.iter().find(|event| event.id == text.event);
        if let Some(tag) = event.and_then(|event| note_of(event, &text.place)) {
            let of_item = places.entry((LeafKind::Item, tag.as_str().to_owned()));
            let in_leaf = format!("/{}/note", LeafKind::Item.word());
            of_item.or_default().insert(in_leaf);
        }
    }
    places
}

/// A signed revision, if it is as it was signed: whoever can write the file can change a text and its hash.
///
/// # Errors
/// A refusal in words, where the record says otherwise.
pub async fn find_revision(
    app: &App,
    conn: &mut Connection,
    case: &CaseNumber,
    number: i64,
) -> Result<Option<Revision>, AppError> {
    let found = revisions::find(conn, case, number).await?;
    if let Some(revision) = &found {
        hold_revision(app, conn, revision, &[]).await?;
    }
    Ok(found)
}

/// All revisions of a case, oldest first, each of them as it was signed, and the entry that stands for each. `leaves` are
/// those of the case, where they have been read: of a revision that is not among them its leaf is asked for.
///
/// # Errors
/// See [`find_revision`].
pub async fn revisions_of(
    app: &App,
    conn: &mut Connection,
    case: &CaseNumber,
    leaves: &[LeafRow],
) -> Result<(Vec<Revision>, Vec<Option<u64>>), AppError> {
    let found = revisions::of_case(conn, case).await?;
    let mut entries = Vec::new();
    for revision in &found {
        entries.push(hold_revision(app, conn, revision, leaves).await?);
    }
    Ok((found, entries))
}

/// The same for whoever reads many cases and looks for all their leaves in the signed tree at once, with
/// [`not_in_record`]: each revision is as the leaf beside it says, and given along are the leaves still to be found there.
///
/// # Errors
/// See [`find_revision`].
pub(super) async fn revisions_compared(
    app: &App,
    conn: &mut Connection,
    case: &CaseNumber,
) -> Result<(Vec<Revision>, Vec<Unproven>), AppError> {
    let found = revisions::of_case(conn, case).await?;
    let mut leaves = Vec::new();
    for revision in &found {
        leaves.extend(compare_revision(app, conn, revision, &[]).await?.to_prove);
    }
    Ok((found, leaves))
}

/// Gives the entry that stands for it.
async fn hold_revision(
    app: &App,
    conn: &mut Connection,
    revision: &Revision,
    leaves: &[LeafRow],
) -> Result<Option<u64>, AppError> {
    let compared = compare_revision(app, conn, revision, leaves).await?;
    let to_prove = compared.to_prove.into_iter().collect();
    match not_in_record(app, conn, to_prove).await?.is_empty() {
        true => Ok(compared.entry),
        false => Err(not_as_signed(app, revision)),
    }
}

/// A revision that is as the leaf beside it says.
struct ComparedRevision {
    /// The entry that stands for it; none in a database of before.
    entry: Option<u64>,
    /// The leaf, where it is still to be found in the signed tree.
    to_prove: Option<Unproven>,
}

async fn compare_revision(
    app: &App,
    conn: &mut Connection,
    revision: &Revision,
    leaves: &[LeafRow],
) -> Result<ComparedRevision, AppError> {
    let about = about_revision(&revision.case, revision.number);
    let kind = LeafKind::Revision.word();
    let mut read = leaves.iter().filter(|leaf| leaf.kind == kind);
    let found;
    let leaf = match read.find(|leaf| leaf.about == about) {
        Some(leaf) => Some(leaf),
        None => {
            found = app.store.leaf_about(conn, kind, &about).await?;
            found.as_ref()
        }
    };
    let entry = leaf.map(|leaf| leaf.number);
    let mut to_prove = None;
    let is_signed = match leaf {
        Some(leaf) => match compare(app, leaf, &entry_of(leaf, revision)) {
            Compared::ToProve(leaf) if leaf.is_whole() => {
                to_prove = Some(leaf);
                true
            }
            Compared::ToProve(_) | Compared::Other => false,
            Compared::Proven(erased) => erased.is_empty(),
        },
        // A database of an earlier version is as it was until its rows are entered in the record.
        None => !reference::has_begun(app, conn).await?,
    };
    match is_signed {
        true => Ok(ComparedRevision { entry, to_prove }),
        false => Err(not_as_signed(app, revision)),
    }
}

fn not_as_signed(app: &App, revision: &Revision) -> AppError {
    let about = about_revision(&revision.case, revision.number);
    tracing::error!(revision = %about, "a signed revision is not as the record says");
    counted::note(app, &revision.case, Met::Case);
    AppError::Refused(vec![format!(
        "Revision {} of case {} is not as it was signed: somebody has changed it past this program. It is neither shown \
         nor printed, and nobody works from it. Tell whoever runs this installation: “vestibule check” says more.",
        revision.number, revision.case
    )])
}

/// What a revision's leaf has to stand for. Whose case it is, the leaf says itself.
fn entry_of(leaf: &LeafRow, revision: &Revision) -> Entry {
    let whole: Value = serde_json::from_str(&leaf.body).unwrap_or_default();
    let house = |place| {
        let id = whole.pointer(place).and_then(Value::as_str);
        PartyId::new(id.unwrap_or_default())
    };
    let (office, lab) = (house("/revision/office"), house("/revision/lab"));
    Entry::revision(revision, &office, &lab)
}

/// What is kept as JSON is taken as it is kept, not as the type of today would write it.
fn stored_item(row: &StoredItem) -> Result<(String, Entry), AppError> {
    let body =
        serde_json::from_str(&row.body).map_err(|why| StoreError::row("item", &row.tag, why))?;
    Ok((row.tag.clone(), Entry::new(LeafKind::Item, body)))
}

fn stored_event(row: &StoredEvent) -> Result<(String, Entry), AppError> {
    let bad = |why: &dyn std::fmt::Display| StoreError::row("event", &row.id, why);
    let body = serde_json::from_str(&row.body).map_err(|why| bad(&why))?;
    let event: Event = serde_json::from_str(&row.body).map_err(|why| bad(&why))?;
    if (event.at.unix_ms, event.what.word()) != (row.at_ms, row.kind.as_str()) {
        return Err(bad(&"its time and kind are not those of its text").into());
    }
    Ok((row.id.clone(), Entry::new(LeafKind::Event, body)))
}

fn stored_revision(case: &Case, row: &Revision) -> (String, Entry) {
    let about = about_revision(&case.number, row.number);
    (about, Entry::revision(row, &case.office, &case.lab))
}

fn stored_word(case: &Case, row: &Acknowledgement) -> (String, Entry) {
    let about = about_revision(&case.number, row.revision);
    (about, Entry::acknowledgement(&case.number, &case.lab, row))
}

async fn backfill_case(app: &App, tx: &mut Tx, case: &Case) -> Result<(), AppError> {
    for (about, entry) in entries_of(tx.conn(), case).await? {
        put(app, tx, &entry, about, case.number.as_str()).await?;
    }
    Ok(())
}
