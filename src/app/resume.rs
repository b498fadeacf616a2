//! The record goes on although the database lacks what its key has signed, or comes from an earlier version.
//!
//! Neither happens by itself: an upgrade is asked for by whoever runs the installation, a restored database is gone
//! on with by an administrator's password and reason. Both are entries of the record, and the second is an alarm
//! until it is cleared.

use super::hashing::HashingQueue;
use super::proven::is_signed;
use super::recorded;
use super::recorded::reference::{self, note};
use super::run::write;
use super::{App, AppError, clock_doubt};
use crate::domain::form::check_line;
use crate::domain::people::account::parse_login;
use crate::domain::people::party::Role;
use crate::domain::values::digest::sha256_hex;
use crate::domain::values::ids::AccountId;
use crate::domain::values::moment::{Moment, show_date};
use crate::domain::values::words::counted;
use crate::record::checkpoint::Checkpoint;
use crate::record::entry::LeafKind;
use crate::record::witness::Why;
use crate::store::record::{LeafRow, head};
use crate::store::reference::{ReferenceData, keys_after};
use crate::store::resumption::{self, Resumed, ResumptionRow};
use crate::store::witness::{self as stored, AlarmRow};
use crate::store::{Connection, Lack, LastSigned, Store, StoreError, Unsigned, cases, people};
use serde_json::Value;

/// Open alarms that are looked at: there is one for each time that something went wrong.
const ALARMS_MOST: i64 = 500;

/// Characters of a reason.
const REASON_MOST: usize = 500;

/// Whether the database holds rows from before they were entered in the record: those of an earlier version.
pub async fn wants_upgrade(app: &App) -> Result<bool, AppError> {
    let mut conn = app.store.read().await?;
    // Once the record has begun with them, nothing else has to be read at a start.
    if reference::has_begun(app, &mut conn).await? {
        return Ok(false);
    }
    for of in [ReferenceData::Party, ReferenceData::Account] {
        if !keys_after(&mut conn, of, "", 1).await?.is_empty() {
            return Ok(true);
        }
    }
    let is_empty = head(&mut conn).await?.frontier.size() == 0;
    Ok(is_empty && !cases::numbers_after(&mut conn, "", 1).await?.is_empty())
}

/// What stands against upgrading a database, and what would be entered in its record.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct BeforeUpgrade {
    /// The rows that an upgrade enters are in the record already.
    pub is_backfilled: bool,
    /// Rows are there that no entry stands for, although the tables are those of this version, which enters whatever it
    /// writes: no earlier version leaves that.
    pub was_emptied: bool,
    pub unsigned: Unsigned,
}

impl BeforeUpgrade {
    /// Asked before anything is brought up to date. A database of long ago cannot be asked about its record.
    pub async fn of(store: &Store) -> Result<BeforeUpgrade, AppError> {
        let mut conn = store.read().await?;
        let is_backfilled = reference::is_in_record(&mut conn).await.unwrap_or(false);
        let unsigned = store.unsigned(&mut conn).await?;
        let is_of_now = store.is_of_now(&mut conn).await?;
        Ok(BeforeUpgrade {
            is_backfilled,
            was_emptied: is_of_now && !is_backfilled && unsigned.rows > 0,
            unsigned,
        })
    }

    /// How much would be signed now, and of which days.
    pub fn words(&self) -> String {
        let days = match self.unsigned.days_ms {
            None => String::new(),
            Some((first, last)) => format!(
                ", dated from {} to {}",
                show_date(Moment::new(first, 0).date()),
                show_date(Moment::new(last, 0).date())
            ),
        };
        format!(
            "{}{days}",
            counted(self.unsigned.rows.unsigned_abs(), "row")
        )
    }
}

/// Takes the rows of an earlier version into the record, and begins the file beside the key. Answers with the
/// number of entries before and after.
pub async fn upgrade(app: &App, last: &LastSigned) -> Result<(u64, u64), AppError> {
    let before = head(&mut *app.store.read().await?).await?;
    recorded::backfill(app).await?;
    let row = ResumptionRow {
        id: app.outside.identity()?,
        why: Resumed::Upgraded,
        signed: String::new(),
        found: before.checkpoint,
        account: None,
        name: String::new(),
        reason: String::new(),
        at_ms: app.outside.now_ms(),
        ahead_ms: 0,
    };
    resume(app, &row, None, last).await?;
    let after = head(&mut *app.store.read().await?).await?;
    Ok((before.frontier.size(), after.frontier.size()))
}

/// Whoever lets the record go on, and why.
#[derive(Debug, Clone)]
pub struct Restore {
    pub login: String,
    pub password: String,
    pub reason: String,
}

/// Goes on with the database as it is. The file beside the key follows it from here on.
///
/// # Errors
/// If it is no administrator of this installation who asks, or no reason is given.
pub async fn restore(
    app: &App,
    lack: &Lack,
    last: &LastSigned,
    asked: &Restore,
) -> Result<(), AppError> {
    let reason = checked_reason(&asked.reason)?;
    let administrator = administrator(app, asked).await?;
    let found = head(&mut *app.store.read().await?).await?.checkpoint;
    let signed = last.read(app.store.key()).ok().flatten();
    let signed = signed.map(|(note, _)| note).unwrap_or_default();
    let now = app.outside.now_ms();
    let row = ResumptionRow {
        id: app.outside.identity()?,
        why: Resumed::Restored,
        signed: signed.clone(),
        found: found.clone(),
        account: Some(administrator.0.clone()),
        name: administrator.1.clone(),
        reason,
        at_ms: now,
        ahead_ms: 0,
    };
    let alarm = AlarmRow {
        id: alarm_of(&row.id),
        why: match lack {
            Lack::Shorter { .. } => Why::Shrunk,
            Lack::Rewritten { .. } => Why::Rewritten,
            Lack::BrokenOff { signed, found } if found < signed => Why::Shrunk,
            Lack::BrokenOff { .. } => Why::Rewritten,
            _ => Why::Unproven,
        },
        kept: signed,
        found,
        party: None,
        account: None,
        account_name: String::new(),
        at_ms: now,
    };
    resume(app, &row, Some(&alarm), last).await
}

/// The alarm that stands for a restored database until it is cleared.
fn alarm_of(resumption: &str) -> String {
    sha256_hex(format!("resumed\n{resumption}").as_bytes())
}

/// How often the record was gone on with although something was missing, in words: when, by whom, with how much of how
/// much, and why.
pub(super) async fn gone_on_with(conn: &mut Connection) -> Result<Vec<String>, AppError> {
    let rows = resumption::newest(conn, ALARMS_MOST).await?;
    let restored = rows.iter().filter(|row| row.why == Resumed::Restored);
    Ok(restored
        .map(|row| {
            let size = |note: &str| Checkpoint::of_note(note).map_or(0, |kept| kept.size);
            let of = match row.signed.as_str() {
                "" => "entries, and nothing said how many there were".to_owned(),
                signed => format!("of {} entries", size(signed)),
            };
            format!(
                "the record was gone on with on {} by {} at {} {of}: {}",
                Moment::new(row.at_ms, 0),
                row.name,
                size(&row.found),
                row.reason.trim_end_matches('.')
            )
        })
        .collect())
}

/// What is said of an alarm that stands for a restored database of which nothing said how far its key had signed. None
/// of any other alarm.
pub(super) async fn unknown_before(
    conn: &mut Connection,
    alarm: &str,
) -> Result<Option<&'static str>, AppError> {
    let rows = resumption::newest(conn, ALARMS_MOST).await?;
    let is_so = |row: &&ResumptionRow| {
        row.signed.is_empty() && row.why == Resumed::Restored && alarm_of(&row.id) == alarm
    };
    Ok(rows.iter().find(is_so).map(|_| {
        "An alarm stands open: the record was gone on with by `vestibule restore`, and nothing said how far the key had \
         signed."
    }))
}

/// Why a restored database is an alarm, as its entry says: it has fewer entries than its key had signed, or others.
fn why_of(row: &ResumptionRow) -> Why {
    let size = |note: &str| Checkpoint::of_note(note).map(|kept| kept.size);
    match (size(&row.signed), size(&row.found)) {
        (None, _) => Why::Unproven,
        (Some(signed), found) if found.unwrap_or(0) < signed => Why::Shrunk,
        (Some(_), _) => Why::Rewritten,
    }
}

/// The entries by which a database was gone on with that lacked something, and that nobody has cleared: leaf, id, and
/// the alarm that each of them is by itself, whatever the tables of alarms say.
///
/// What a leaf says counts as far as it is one of the signed record: another could have been written over what it was.
pub async fn not_cleared(
    app: &App,
    conn: &mut Connection,
) -> Result<Vec<(u64, String, String)>, AppError> {
    let mut found = Vec::new();
    let words = LeafKind::Resumption.word();
    for leaf in app.store.leaves_of_kind(conn, words).await? {
        let why = text_of(&leaf, "/resumption/why");
        let is_restored = why.as_deref() == Some(Resumed::Restored.word());
        if !is_restored && is_signed(app, conn, &leaf).await? {
            continue;
        }
        let alarm = alarm_of(&leaf.case);
        let cleared = format!("{alarm}/1");
        let kind = LeafKind::Clearance.word();
        let word = app.store.leaf_about(conn, kind, &cleared).await?;
        let is_cleared = match word {
            Some(word) => {
                text_of(&word, "/settlement/alarm").as_deref() == Some(&alarm)
                    && is_signed(app, conn, &word).await?
            }
            None => false,
        };
        if !is_cleared {
            found.push((leaf.number, leaf.case, alarm));
        }
    }
    Ok(found)
}

fn text_of(leaf: &LeafRow, place: &str) -> Option<String> {
    let whole: Value = serde_json::from_str(&leaf.body).ok()?;
    whole.pointer(place)?.as_str().map(str::to_owned)
}

/// Opens the alarms again that somebody has taken away although nobody has cleared them.
pub async fn open_again(app: &App) -> Result<(), AppError> {
    let mut conn = app.store.read().await?;
    let wanted = match not_cleared(app, &mut conn).await {
        // Nothing is written to a record that is another one, and every page says that it is.
        Err(AppError::Store(StoreError::Forked(_))) => return Ok(()),
        found => found?,
    };
    if wanted.is_empty() {
        return Ok(());
    }
    let open = stored::open_alarms(&mut conn, ALARMS_MOST).await?;
    let mut taken_away = Vec::new();
    for (_, id, alarm) in wanted {
        if open.iter().any(|one| one.id == alarm) {
            continue;
        }
        let row = resumption::find(&mut conn, &id).await?;
        tracing::error!(id, "an alarm was taken away that nobody has cleared");
        taken_away.push(AlarmRow {
            id: alarm,
            why: row.as_ref().map_or(Why::Unproven, why_of),
            kept: row
                .as_ref()
                .map(|row| row.signed.clone())
                .unwrap_or_default(),
            found: row
                .as_ref()
                .map(|row| row.found.clone())
                .unwrap_or_default(),
            party: None,
            account: None,
            account_name: String::new(),
            at_ms: row.map_or_else(|| app.outside.now_ms(), |row| row.at_ms),
        });
    }
    // Nobody waits for a turn to write while holding a reader.
    drop(conn);
    for alarm in &taken_away {
        write(app, |mut tx| async {
            stored::raise_again(&mut tx, alarm).await?;
            Ok((tx, ()))
        })
        .await?;
    }
    Ok(())
}

/// Goes on although entries are dated ahead of the clock, up to the newest of them. Nothing of them changes.
///
/// # Errors
/// If nothing lies ahead, if it is no administrator who asks, or no reason is given.
pub async fn go_on_by_the_clock(app: &App, asked: &Restore) -> Result<i64, AppError> {
    let reason = checked_reason(&asked.reason)?;
    let mut conn = app.store.read_at_once().await?;
    let Some(newest) = clock_doubt::ahead(app, &mut conn).await? else {
        let none =
            "No entry is dated ahead of the clock of this computer, or this was said already.";
        return Err(AppError::Refused(vec![none.to_owned()]));
    };
    let found = head(&mut conn).await?.checkpoint;
    // Whoever holds a reader asks for no other.
    drop(conn);
    let administrator = administrator(app, asked).await?;
    let now = app.outside.now_ms();
    let row = ResumptionRow {
        id: app.outside.identity()?,
        why: Resumed::Clock,
        signed: String::new(),
        found,
        account: Some(administrator.0),
        name: administrator.1,
        reason,
        at_ms: now,
        ahead_ms: newest,
    };
    write(app, |mut tx| async {
        resumption::insert(&mut tx, &row).await?;
        note(app, &mut tx, ReferenceData::Resumption, &row.id).await?;
        resumption::count_change_after(&mut tx, now).await?;
        Ok((tx, newest))
    })
    .await
}

fn checked_reason(typed: &str) -> Result<String, AppError> {
    let reason = typed.trim();
    if reason.is_empty() || reason.chars().count() > REASON_MOST {
        let wanted = format!("Say in at most {REASON_MOST} characters why it is gone on with.");
        return Err(AppError::field("reason", wanted));
    }
    // It stands in the record for good.
    check_line(reason).map_err(|why| AppError::field("reason", why))?;
    Ok(reason.to_owned())
}

/// The administrator's id and name, if the password is right.
async fn administrator(app: &App, asked: &Restore) -> Result<(AccountId, String), AppError> {
    let wrong = || AppError::field("password", "No administrator has this name and password.");
    let login = parse_login(&asked.login).map_err(|_| wrong())?;
    let account = people::account_by_login(&mut *app.store.read().await?, &login).await?;
    let account = account.filter(|one| one.role == Role::Administrator && !one.disabled);
    let hash = account.as_ref().map(|account| account.password.as_str());
    let turn = app.hashing.turn(HashingQueue::SignedIn).await?;
    let fits = turn.password_fits(&asked.password, hash).await?;
    let account = account.filter(|_| fits).ok_or_else(wrong)?;
    reference::hold_account(app, &mut *app.store.read_at_once().await?, &account).await?;
    Ok((account.id, account.name))
}

async fn resume(
    app: &App,
    row: &ResumptionRow,
    alarm: Option<&AlarmRow>,
    last: &LastSigned,
) -> Result<(), AppError> {
    write(app, |mut tx| async {
        resumption::insert(&mut tx, row).await?;
        note(app, &mut tx, ReferenceData::Resumption, &row.id).await?;
        if let Some(alarm) = alarm {
            stored::raise(&mut tx, alarm).await?;
        }
        Ok((tx, ()))
    })
    .await?;
    let newest = head(&mut *app.store.read().await?).await?.checkpoint;
    last.replace(&newest)
        .map_err(|why| AppError::Inner(why.to_string()))
}
