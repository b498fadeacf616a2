//! Each side keeps the newest checkpoint that it was shown, and every newer one is held against it: by this
//! program when somebody of the party signs in and at each minute of use, and by the browser itself, which
//! does not have to believe this program. What no longer fits becomes an alarm that everybody sees.

use super::resume::open_again;
use super::run::write;
use super::security::Happened;
use super::tries::Doors;
use super::{App, AppError, Person, counted};
use crate::domain::people::account::Account;
use crate::domain::values::digest::sha256_hex;
use crate::domain::values::ids::PartyId;
use crate::record::checkpoint::{Checkpoint, CheckpointError};
use crate::record::key::Verifier;
use crate::record::note::text_of;
use crate::record::witness::{CosignError, Why, contradiction, cosigned, witness_name};
use crate::store::record::{growth, head, root_at};
use crate::store::witness::{self as stored, AlarmRow, ClearanceRow, KeyRow, SeenRow};
use crate::store::{Connection, StoreError};

/// Open alarms that are looked at.
const OPEN_MOST: i64 = 500;
/// A checkpoint with one signature has some 250 bytes.
const NOTE_MOST: usize = 2000;

/// The record's newest checkpoint.
pub enum Newest {
    Empty,
    Signed(String, Checkpoint),
    /// What stands there, unsigned or unreadable.
    Unsigned(String),
}

impl Newest {
    pub async fn read(conn: &mut Connection, key: &Verifier) -> Result<Newest, AppError> {
        let note = match head(conn).await {
            Ok(head) => head.checkpoint,
            Err(StoreError::Row { .. }) => return Ok(Newest::Unsigned(String::new())),
            Err(other) => return Err(other.into()),
        };
        if note.is_empty() {
            return Ok(Newest::Empty);
        }
        Ok(match Checkpoint::open(&note, key, &[]) {
            Ok(seen) => Newest::Signed(note, seen.checkpoint),
            Err(_) => Newest::Unsigned(note),
        })
    }

    fn note(&self) -> &str {
        match self {
            Newest::Empty => "",
            Newest::Signed(note, _) | Newest::Unsigned(note) => note,
        }
    }
}

/// Why the record of now does not contain a kept checkpoint; `None` where it does. The newest checkpoint has
/// to be read after the kept one, or it may be the older of the two.
pub async fn against(
    conn: &mut Connection,
    kept: &Checkpoint,
    newest: &Newest,
) -> Result<Option<Why>, AppError> {
    let newer = match newest {
        Newest::Unsigned(_) => return Ok(Some(Why::Unsigned)),
        Newest::Empty => return Ok((kept.size > 0).then_some(Why::Shrunk)),
        Newest::Signed(_, newer) if newer.size < kept.size => return Ok(Some(Why::Shrunk)),
        Newest::Signed(_, newer) => newer,
    };
    let found = async {
        let root_then = root_at(conn, kept.size).await?;
        let proof = match kept.size {
            0 => Vec::new(),
            size => growth(conn, size, newer.size).await?,
        };
        Ok(contradiction(kept, newer, &root_then, &proof))
    };
    match found.await {
        // Hashes are missing or are none.
        Err(StoreError::Row { .. }) => Ok(Some(Why::Unproven)),
        other => Ok(other?),
    }
}

/// Reads a note that is kept: its checkpoint, or why it counts for nothing.
fn kept(note: &str, key: &Verifier) -> Result<Checkpoint, Why> {
    Checkpoint::open(note, key, &[])
        .map(|seen| seen.checkpoint)
        .map_err(|_| Why::OtherKey)
}

/// Holds the record against what this person's party keeps, and keeps what it is now.
pub async fn compare(app: &App, account: &Account) -> Result<(), AppError> {
    open_again(app).await?;
    let Some(party) = &account.party else {
        return Ok(());
    };
    let mut conn = app.store.read().await?;
    let before = stored::seen(&mut conn, party).await?;
    let newest = Newest::read(&mut conn, app.store.key()).await?;
    if before
        .as_ref()
        .is_some_and(|row| row.checkpoint == newest.note())
    {
        return Ok(());
    }
    let fault = match &before {
        Some(row) => compared(&mut conn, app, &row.checkpoint, &newest).await?,
        None => matches!(newest, Newest::Unsigned(_)).then_some(Why::Unsigned),
    };
    drop(conn);
    let kept_note = before.map(|row| row.checkpoint).unwrap_or_default();
    match (fault, newest) {
        (Some(why), newest) => {
            let alarm = alarm(app, why, &kept_note, newest.note(), Some(party.clone()));
            raise(app, &alarm).await.map(drop)
        }
        (None, Newest::Signed(checkpoint, seen)) => {
            let row = SeenRow {
                party: party.clone(),
                size: seen.size,
                checkpoint,
                at_ms: app.outside.now_ms(),
            };
            write_seen(app, &row).await
        }
        (None, _) => Ok(()),
    }
}

/// Why a kept note and the record of now do not go together.
pub async fn compared(
    conn: &mut Connection,
    app: &App,
    note: &str,
    newest: &Newest,
) -> Result<Option<Why>, AppError> {
    match kept(note, app.store.key()) {
        Ok(checkpoint) => against(conn, &checkpoint, newest).await,
        Err(why) => Ok(Some(why)),
    }
}

async fn write_seen(app: &App, row: &SeenRow) -> Result<(), AppError> {
    write(app, |mut tx| async {
        stored::store_seen(&mut tx, row).await?;
        Ok((tx, ()))
    })
    .await
}

/// An alarm that the program itself has found. The same kept checkpoint raises one alarm, whoever keeps it.
fn alarm(app: &App, why: Why, kept: &str, found: &str, party: Option<PartyId>) -> AlarmRow {
    let about = match why {
        Why::Shrunk | Why::Rewritten | Why::Unproven => "contained",
        Why::Unsigned | Why::OtherKey => "signed",
    };
    let text = text_of(kept).unwrap_or(kept);
    AlarmRow {
        id: sha256_hex(format!("{about}\n{text}").as_bytes()),
        why,
        kept: kept.to_owned(),
        found: found.to_owned(),
        party,
        account: None,
        account_name: String::new(),
        at_ms: app.outside.now_ms(),
    }
}

/// Whoever keeps an old checkpoint finds the same fault with every page: the log says it once. Whether it is a new one.
async fn raise(app: &App, alarm: &AlarmRow) -> Result<bool, AppError> {
    let new = write(app, |mut tx| async {
        let new = stored::raise(&mut tx, alarm).await?;
        Ok((tx, new))
    })
    .await?;
    if new {
        counted::ask(app);
        tracing::error!(
            why = alarm.why.word(),
            kept = alarm.kept,
            found = alarm.found,
            "the record does not fit"
        );
    }
    Ok(new)
}

/// Raises what somebody's browser has found; a few each day. After a branch was lost and cleared, whoever has kept many
/// checkpoints of it would alarm everybody with one after the other. Where it was not written down, for how many minutes.
async fn raise_of(app: &App, person: &Person, alarm: &AlarmRow) -> Result<Option<i64>, AppError> {
    let doors = Doors::of_alarms(&person.account.id);
    match doors.ask(app).await {
        Err(AppError::Closed { minutes }) => {
            let open = stored::open_alarms(&mut *app.store.read().await?, OPEN_MOST).await?;
            let is_open = open.iter().any(|one| one.id == alarm.id);
            return Ok((!is_open).then_some(minutes));
        }
        other => other?,
    }
    if raise(app, alarm).await? {
        doors.count(app).await?;
    }
    Ok(None)
}

/// Holds the record against everything that any side keeps, so that no alarm is left to come after the open
/// ones are cleared.
pub async fn compare_for_all(app: &App) -> Result<(), AppError> {
    let mut conn = app.store.read().await?;
    let mut rows: Vec<(PartyId, String)> = stored::seen_by_all(&mut conn)
        .await?
        .into_iter()
        .map(|row| (row.party, row.checkpoint))
        .collect();
    rows.extend(
        all_keys(&mut conn)
            .await?
            .into_iter()
            .map(|row| (row.party, row.checkpoint)),
    );
    let newest = Newest::read(&mut conn, app.store.key()).await?;
    let mut alarms = Vec::new();
    for (party, note) in rows {
        if let Some(why) = compared(&mut conn, app, &note, &newest).await? {
            alarms.push(alarm(app, why, &note, newest.note(), Some(party)));
        }
    }
    // Nobody waits for a turn to write while holding a reader.
    drop(conn);
    for alarm in &alarms {
        raise(app, alarm).await?;
    }
    Ok(())
}

/// Every key that holds a cosignature.
pub async fn all_keys(conn: &mut Connection) -> Result<Vec<KeyRow>, AppError> {
    const PAGE: i64 = 500;
    let (mut keys, mut after): (Vec<KeyRow>, String) = Default::default();
    loop {
        let page = stored::keys_after(conn, &after, PAGE).await?;
        let Some(last) = page.last() else {
            keys.retain(|key| key.size > 0);
            return Ok(keys);
        };
        after.clone_from(&last.key);
        keys.extend(page);
    }
}

/// The name that this person's browser gives its witness's key; empty for an administrator.
pub fn own_witness(app: &App, person: &Person) -> String {
    match &person.party {
        Some(party) => witness_name(app.store.key().name(), party.kind, &party.id),
        None => String::new(),
    }
}

/// The key under which a browser sends its cosignature.
pub const LINE_KEY: &str = "line";

/// Takes a browser's cosignature. The first of a key makes the key known, with who was signed in.
pub async fn cosign(
    app: &App,
    person: &Person,
    note: &str,
    key: &str,
    line: &str,
) -> Result<(), AppError> {
    let log = app.store.key();
    let refused = |why: CosignError| AppError::field(LINE_KEY, why.to_string());
    let name = own_witness(app, person);
    let witness = Verifier::parse(key)
        .ok()
        .filter(|witness| !name.is_empty() && witness.name() == name)
        .ok_or_else(|| refused(CosignError::Key))?;
    if note.len() > NOTE_MOST || line.len() > NOTE_MOST {
        return Err(refused(CosignError::NotSigned));
    }
    let checkpoint = cosigned(note, line, log, &witness).map_err(refused)?;
    let mut conn = app.store.read().await?;
    let newest = Newest::read(&mut conn, log).await?;
    let fault = against(&mut conn, &checkpoint, &newest).await?;
    drop(conn);
    if let Some(why) = fault {
        let alarm = by_browser(app, person, why, note, newest.note());
        return raise_of(app, person, &alarm).await.map(drop);
    }
    let now = app.outside.now_ms();
    let row = KeyRow {
        key: witness.to_string(),
        party: person.party_id().to_owned(),
        account: person.account.id.clone(),
        account_name: person.account.name.clone(),
        first_ms: now,
        size: checkpoint.size,
        checkpoint: note.to_owned(),
        line: format!("{}\n", line.trim_end()),
        at_ms: now,
    };
    write(app, |mut tx| async {
        stored::store_cosigned(&mut tx, &row).await?;
        Ok((tx, ()))
    })
    .await
}

fn by_browser(app: &App, person: &Person, why: Why, kept: &str, found: &str) -> AlarmRow {
    let party = person.account.party.clone();
    AlarmRow {
        account: Some(person.account.id.clone()),
        account_name: person.account.name.clone(),
        ..alarm(app, why, kept, found, party)
    }
}

/// What came of a browser's alarm.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Reported {
    /// This program has compared too, and finds the kept checkpoint contained.
    Contained,
    Raised,
    /// The record's key has not signed it, and so it is told to nobody else.
    Foreign,
    /// Too many such were sent by this person: this one was not even written down.
    TooMany {
        minutes: i64,
    },
    /// It is known, and an administrator has cleared it.
    Cleared(ClearanceRow),
}

/// Under this key a browser posts the checkpoint that it keeps.
pub const KEPT_NOTE: &str = "kept";

/// Takes a browser's alarm: the checkpoint that it keeps, a signed note. What it says is compared here too,
/// so that nobody raises an alarm over a record that is in order.
pub async fn report(app: &App, person: &Person, note: &str) -> Result<Reported, AppError> {
    let log = app.store.key();
    let of_this_record = text_of(note)
        .map_err(CheckpointError::from)
        .and_then(Checkpoint::parse)
        .is_ok_and(|kept| kept.origin == log.name());
    if note.len() > NOTE_MOST || !of_this_record {
        let message = "This is no checkpoint of this record.";
        return Err(AppError::field(KEPT_NOTE, message));
    }
    // Anybody can write such a note: what the record's key has not signed is no evidence against the record, and
    // stays between the browser that keeps it and its person.
    if kept(note, log).is_err() {
        return foreign(app, person).await;
    }
    let mut conn = app.store.read().await?;
    let newest = Newest::read(&mut conn, log).await?;
    let Some(why) = compared(&mut conn, app, note, &newest).await? else {
        return Ok(Reported::Contained);
    };
    let alarm = by_browser(app, person, why, note, newest.note());
    if let Some(clearance) = stored::clearance_of(&mut conn, &alarm.id).await? {
        return Ok(Reported::Cleared(clearance));
    }
    drop(conn);
    Ok(match raise_of(app, person, &alarm).await? {
        Some(minutes) => Reported::TooMany { minutes },
        None => Reported::Raised,
    })
}

/// Counts what somebody sent that the record's key has not signed. Of an hour of it the log has one line, with the
/// address: a browser that keeps such a note sends it with each page.
async fn foreign(app: &App, person: &Person) -> Result<Reported, AppError> {
    let doors = Doors::of_foreign_notes(&person.account.id);
    match doors.ask(app).await {
        Err(AppError::Closed { minutes }) => return Ok(Reported::TooMany { minutes }),
        other => other?,
    }
    if doors.count(app).await? == 1 {
        person.note(Happened::ForeignNote, "");
    }
    Ok(Reported::Foreign)
}
