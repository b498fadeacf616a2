//! Items, events and handoffs.

use super::batch::Tx;
use super::error::StoreError;
use super::rows::{BETWEEN, id_of, one_kept, one_row};
use crate::domain::custody::Event;
use crate::domain::custody::handoff::HandoffState;
use crate::domain::custody::item::Item;
use crate::domain::values::ids::{CaseNumber, EventId, HandoffId, PartyId, Tag};
use sqlx::any::AnyRow;
use sqlx::{AnyConnection, Row};

pub async fn insert_item(tx: &mut Tx, item: &Item, position: i64) -> Result<(), StoreError> {
    let body =
        serde_json::to_string(item).map_err(|why| StoreError::row("item", &item.tag, why))?;
    let done =
        sqlx::query("INSERT INTO item (tag, case_number, position, body) VALUES ($1, $2, $3, $4)")
            .bind(item.tag.as_str())
            .bind(item.case.as_str())
            .bind(position)
            .bind(body)
            .execute(tx.conn())
            .await?;
    one_kept(&done, "the thing")
}

fn item(tag: &str, body: &str) -> Result<Item, StoreError> {
    serde_json::from_str(body).map_err(|why| StoreError::row("item", tag, why))
}

/// The items of a case in the order they were registered.
pub async fn items_of(
    conn: &mut AnyConnection,
    case: &CaseNumber,
) -> Result<Vec<Item>, StoreError> {
    let rows = sqlx::query("SELECT tag, body FROM item WHERE case_number = $1 ORDER BY position")
        .bind(case.as_str())
        .fetch_all(conn)
        .await?;
    rows.iter()
        .map(|row| item(row.try_get("tag")?, row.try_get("body")?))
        .collect()
}

pub async fn find_item(conn: &mut AnyConnection, tag: &Tag) -> Result<Option<Item>, StoreError> {
    let row = sqlx::query("SELECT tag, body FROM item WHERE tag = $1")
        .bind(tag.as_str())
        .fetch_optional(conn)
        .await?;
    row.map(|row| item(row.try_get("tag")?, row.try_get("body")?))
        .transpose()
}

/// Appends an event at `position`; two people who append at once collide on it.
pub async fn append_event(tx: &mut Tx, event: &Event, position: i64) -> Result<(), StoreError> {
    let body = serde_json_canonicalizer::to_string(event)
        .map_err(|why| StoreError::row("event", &event.id, why))?;
    let done = sqlx::query("INSERT INTO event (case_number, position, id, at_ms, kind, body) VALUES ($1, $2, $3, $4, $5, $6)")
        .bind(event.case.as_str())
        .bind(position)
        .bind(event.id.as_str())
        .bind(event.at.unix_ms)
        .bind(event.what.word())
        .bind(body)
        .execute(tx.conn())
        .await?;
    one_kept(&done, "the entry")
}

/// All events of a case in the order they were entered. They come as one text, since a row for each costs more than to
/// read what it says; where they cannot be told apart or read so, they are read one by one, and that says why.
pub async fn events_of(
    conn: &mut AnyConnection,
    case: &CaseNumber,
) -> Result<Vec<Event>, StoreError> {
    let row = sqlx::query(
        "SELECT COUNT(*) AS n, string_agg(body, $2) AS bodies \
         FROM (SELECT body FROM event WHERE case_number = $1 ORDER BY position) AS some_events",
    )
    .bind(case.as_str())
    .bind(BETWEEN.to_string())
    .fetch_one(&mut *conn)
    .await?;
    let count: i64 = row.try_get("n")?;
    if count == 0 {
        return Ok(Vec::new());
    }
    let bodies = row.try_get::<String, _>("bodies").unwrap_or_default();
    let events = bodies.split(BETWEEN).map(serde_json::from_str);
    let events: Result<Vec<Event>, serde_json::Error> = events.collect();
    match events {
        Ok(events) if i64::try_from(events.len()).is_ok_and(|read| read == count) => Ok(events),
        _ => events_one_by_one(conn, case).await,
    }
}

async fn events_one_by_one(
    conn: &mut AnyConnection,
    case: &CaseNumber,
) -> Result<Vec<Event>, StoreError> {
    let rows = sqlx::query("SELECT id, body FROM event WHERE case_number = $1 ORDER BY position")
        .bind(case.as_str())
        .fetch_all(conn)
        .await?;
    rows.iter()
        .map(|row| {
            let body: &str = row.try_get("body")?;
            serde_json::from_str(body).map_err(|why| {
                StoreError::row(
                    "event",
                    row.try_get::<String, _>("id").unwrap_or_default(),
                    why,
                )
            })
        })
        .collect()
}

/// Entries of the bench that are looked at for what was used last, of all labs, and taken, of one.
const BENCH_ENTRIES_MOST: i64 = 2_000;
const BENCH_MOST: i64 = 80;

fn bench_event(row: &AnyRow) -> Result<Event, StoreError> {
    let (id, body): (String, &str) = (row.try_get("id")?, row.try_get("body")?);
    serde_json::from_str(body).map_err(|why| StoreError::row("event", id, why))
}

/// The newest steps of a lab's bench, each with the pan that its case stands in now, the newest first; what was
/// withdrawn is among them.
pub async fn newest_at_bench(
    conn: &mut AnyConnection,
    lab: &PartyId,
) -> Result<Vec<(Event, String)>, StoreError> {
    let sql = "SELECT some_work.id, some_work.body, c.pan FROM \
         (SELECT case_number, id, body, at_ms FROM event WHERE kind = 'worked' ORDER BY at_ms DESC LIMIT $2) some_work \
         JOIN case_file c ON c.number = some_work.case_number WHERE c.lab_id = $1 ORDER BY some_work.at_ms DESC LIMIT $3";
    let rows = sqlx::query(sql)
        .bind(lab.as_str())
        .bind(BENCH_ENTRIES_MOST)
        .bind(BENCH_MOST)
        .fetch_all(conn)
        .await?;
    let one = |row: &AnyRow| Ok((bench_event(row)?, row.try_get("pan")?));
    rows.iter().map(one).collect()
}

/// The newest withdrawals of steps, of all labs.
pub async fn newest_undone(conn: &mut AnyConnection) -> Result<Vec<Event>, StoreError> {
    let sql = "SELECT id, body FROM event WHERE kind = 'undone' ORDER BY at_ms DESC LIMIT $1";
    let rows = sqlx::query(sql)
        .bind(BENCH_ENTRIES_MOST)
        .fetch_all(conn)
        .await?;
    rows.iter().map(bench_event).collect()
}

/// An item's row as it is kept, not yet read as an item: for whoever compares it byte by byte.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StoredItem {
    pub tag: String,
    pub position: i64,
    pub body: String,
}

fn stored_item(row: &AnyRow) -> Result<StoredItem, StoreError> {
    Ok(StoredItem {
        tag: row.try_get("tag")?,
        position: row.try_get("position")?,
        body: row.try_get("body")?,
    })
}

pub async fn stored_items_of(
    conn: &mut AnyConnection,
    case: &CaseNumber,
) -> Result<Vec<StoredItem>, StoreError> {
    let rows = sqlx::query(
        "SELECT tag, position, body FROM item WHERE case_number = $1 ORDER BY position",
    )
    .bind(case.as_str())
    .fetch_all(conn)
    .await?;
    rows.iter().map(stored_item).collect()
}

/// The items of the cases with a number after `range.0` and up to `range.1`, each with its case.
pub async fn stored_items_between(
    conn: &mut AnyConnection,
    range: (&str, &str),
) -> Result<Vec<(String, StoredItem)>, StoreError> {
    let rows = sqlx::query(
        "SELECT case_number, tag, position, body FROM item WHERE case_number > $1 AND case_number <= $2 \
         ORDER BY case_number, position",
    )
    .bind(range.0)
    .bind(range.1)
    .fetch_all(conn)
    .await?;
    let one = |row: &AnyRow| Ok((row.try_get("case_number")?, stored_item(row)?));
    rows.iter().map(one).collect()
}

/// One item's row by its key alone, whatever its text says.
pub async fn find_stored_item(
    conn: &mut AnyConnection,
    tag: &str,
) -> Result<Option<StoredItem>, StoreError> {
    let row = sqlx::query("SELECT tag, position, body FROM item WHERE tag = $1")
        .bind(tag)
        .fetch_optional(conn)
        .await?;
    row.as_ref().map(stored_item).transpose()
}

/// An event's row as it is kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StoredEvent {
    pub id: String,
    pub position: i64,
    pub at_ms: i64,
    pub kind: String,
    pub body: String,
}

fn stored_event(row: &AnyRow) -> Result<StoredEvent, StoreError> {
    Ok(StoredEvent {
        id: row.try_get("id")?,
        position: row.try_get("position")?,
        at_ms: row.try_get("at_ms")?,
        kind: row.try_get("kind")?,
        body: row.try_get("body")?,
    })
}

pub async fn stored_events_of(
    conn: &mut AnyConnection,
    case: &CaseNumber,
) -> Result<Vec<StoredEvent>, StoreError> {
    let rows = sqlx::query(
        "SELECT id, position, at_ms, kind, body FROM event WHERE case_number = $1 ORDER BY position",
    )
    .bind(case.as_str())
    .fetch_all(conn)
    .await?;
    rows.iter().map(stored_event).collect()
}

/// The events of the cases with a number after `range.0` and up to `range.1`, each with its case.
pub async fn stored_events_between(
    conn: &mut AnyConnection,
    range: (&str, &str),
) -> Result<Vec<(String, StoredEvent)>, StoreError> {
    let rows = sqlx::query(
        "SELECT case_number, id, position, at_ms, kind, body FROM event WHERE case_number > $1 AND case_number <= $2 \
         ORDER BY case_number, position",
    )
    .bind(range.0)
    .bind(range.1)
    .fetch_all(conn)
    .await?;
    let one = |row: &AnyRow| Ok((row.try_get("case_number")?, stored_event(row)?));
    rows.iter().map(one).collect()
}

/// One event's row by its key alone, whatever its text says.
pub async fn find_stored_event(
    conn: &mut AnyConnection,
    id: &EventId,
) -> Result<Option<StoredEvent>, StoreError> {
    let row = sqlx::query("SELECT id, position, at_ms, kind, body FROM event WHERE id = $1")
        .bind(id.as_str())
        .fetch_optional(conn)
        .await?;
    row.as_ref().map(stored_event).transpose()
}

/// Writes an event's text without a free text that is erased: the one change of an event that the guards let
/// through, while its id stands in `erasing`.
pub async fn write_erased_event(tx: &mut Tx, id: &EventId, body: &str) -> Result<(), StoreError> {
    sqlx::query("INSERT INTO erasing (event_id) VALUES ($1)")
        .bind(id.as_str())
        .execute(tx.conn())
        .await?;
    let done = sqlx::query("UPDATE event SET body = $1 WHERE id = $2")
        .bind(body)
        .bind(id.as_str())
        .execute(tx.conn())
        .await?;
    one_row(&done, "the entry")?;
    sqlx::query("DELETE FROM erasing WHERE event_id = $1")
        .bind(id.as_str())
        .execute(tx.conn())
        .await?;
    Ok(())
}

/// Writes an item's text without its note, where that is erased.
pub async fn write_erased_item(tx: &mut Tx, tag: &str, body: &str) -> Result<(), StoreError> {
    let done = sqlx::query("UPDATE item SET body = $1 WHERE tag = $2")
        .bind(body)
        .bind(tag)
        .execute(tx.conn())
        .await?;
    one_row(&done, "the item")
}

/// Entries that stand in `erasing`: none, outside the transaction that erases.
pub async fn count_erasing(conn: &mut AnyConnection) -> Result<i64, StoreError> {
    let row = sqlx::query("SELECT COUNT(*) AS n FROM erasing")
        .fetch_one(conn)
        .await?;
    Ok(row.try_get("n")?)
}

/// Rows that the command line reads at once.
pub const LEAVES_AT_ONCE: i64 = 1_000;

/// Which case a handoff belongs to, and between whom.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HandoffRow {
    pub id: HandoffId,
    pub case: CaseNumber,
    pub from: PartyId,
    pub to: PartyId,
    pub state: HandoffState,
    pub version: i64,
}

pub async fn insert_handoff(tx: &mut Tx, handoff: &HandoffRow) -> Result<(), StoreError> {
    let done = sqlx::query(
        "INSERT INTO handoff (id, case_number, from_party, to_party, state, version) VALUES ($1, $2, $3, $4, $5, 1)",
    )
    .bind(handoff.id.as_str())
    .bind(handoff.case.as_str())
    .bind(handoff.from.as_str())
    .bind(handoff.to.as_str())
    .bind(handoff.state.word())
    .execute(tx.conn())
    .await?;
    one_kept(&done, "the handoff")
}

/// Writes the state; `handoff.version` is the version that was read.
pub async fn update_handoff(tx: &mut Tx, handoff: &HandoffRow) -> Result<(), StoreError> {
    let done = sqlx::query(
        "UPDATE handoff SET state = $1, version = version + 1 WHERE id = $2 AND version = $3",
    )
    .bind(handoff.state.word())
    .bind(handoff.id.as_str())
    .bind(handoff.version)
    .execute(tx.conn())
    .await?;
    one_row(&done, "the handoff")
}

pub async fn find_handoff(
    conn: &mut AnyConnection,
    id: &HandoffId,
) -> Result<Option<HandoffRow>, StoreError> {
    let row = sqlx::query("SELECT * FROM handoff WHERE id = $1")
        .bind(id.as_str())
        .fetch_optional(conn)
        .await?;
    row.as_ref().map(handoff).transpose()
}

/// The case of this party by whose entries a handoff was released, for whoever looks for one that is not listed: it goes
/// through all releases.
pub async fn case_of_release(
    conn: &mut AnyConnection,
    party: &PartyId,
    id: &HandoffId,
) -> Result<Option<CaseNumber>, StoreError> {
    // What is typed as an address is no pattern.
    if id.is_empty()
        || !id
            .chars()
            .all(|sign| sign.is_ascii_hexdigit() || sign == '-')
    {
        return Ok(None);
    }
    let row = sqlx::query(
        "SELECT event.case_number FROM event JOIN case_file ON case_file.number = event.case_number \
         WHERE event.kind = 'released' AND event.body LIKE $1 AND (case_file.office_id = $2 OR case_file.lab_id = $2) LIMIT 1",
    )
    .bind(format!("%\"handoff\":\"{}\"%", id.as_str()))
    .bind(party.as_str())
    .fetch_optional(conn)
    .await?;
    let Some(row) = row else { return Ok(None) };
    let number: String = row.try_get("case_number")?;
    let parsed = CaseNumber::parse(&number);
    parsed
        .map(Some)
        .map_err(|why| StoreError::row("event", &number, why))
}

/// The handoffs of a case, in no meaningful order.
pub async fn handoffs_of(
    conn: &mut AnyConnection,
    case: &CaseNumber,
) -> Result<Vec<HandoffRow>, StoreError> {
    let rows = sqlx::query("SELECT * FROM handoff WHERE case_number = $1 ORDER BY id")
        .bind(case.as_str())
        .fetch_all(conn)
        .await?;
    rows.iter().map(handoff).collect()
}

/// The handoffs of the cases with a number after `range.0` and up to `range.1`.
pub async fn handoffs_between(
    conn: &mut AnyConnection,
    range: (&str, &str),
) -> Result<Vec<HandoffRow>, StoreError> {
    let rows = sqlx::query(
        "SELECT * FROM handoff WHERE case_number > $1 AND case_number <= $2 ORDER BY case_number, id",
    )
    .bind(range.0)
    .bind(range.1)
    .fetch_all(conn)
    .await?;
    rows.iter().map(handoff).collect()
}

fn handoff(row: &AnyRow) -> Result<HandoffRow, StoreError> {
    let (id, case): (String, String) = (row.try_get("id")?, row.try_get("case_number")?);
    let state: String = row.try_get("state")?;
    let unknown = || StoreError::row("handoff", &id, "its state is not known");
    Ok(HandoffRow {
        state: HandoffState::from_word(&state).ok_or_else(unknown)?,
        case: CaseNumber::parse(&case).map_err(|why| StoreError::row("handoff", &id, why))?,
        id: HandoffId::new(id),
        from: id_of(row, "from_party")?,
        to: id_of(row, "to_party")?,
        version: row.try_get("version")?,
    })
}
