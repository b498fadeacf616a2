//! Accounts, one-time links, sessions and wrong passwords.

use super::batch::Tx;
use super::bench_codes::DeviceRow;
use super::error::StoreError;
use super::rows::{flag, id_of, id_or_none, one_kept, one_row};
use crate::domain::people::account::{Account, Invite};
use crate::domain::people::bench_code::AtDevice;
use crate::domain::people::party::{Paper, Party, Role, Side};
use crate::domain::values::ids::{AccountId, DeviceId, PartyId};
use crate::domain::values::tooth::Numbering;
use sqlx::any::AnyRow;
use sqlx::{AnyConnection, Row};

fn role(row: &AnyRow, table: &'static str, key: &str) -> Result<Role, StoreError> {
    Role::from_word(row.try_get("role")?).ok_or_else(|| StoreError::row(table, key, "role"))
}

fn account(row: &AnyRow) -> Result<Account, StoreError> {
    let id: AccountId = id_of(row, "id")?;
    Ok(Account {
        party: id_or_none(row, "party_id")?,
        role: role(row, "account", &id)?,
        login: row.try_get("login")?,
        name: row.try_get("name")?,
        licence: row.try_get("licence")?,
        password: row.try_get("password")?,
        disabled: flag(row, "disabled")?,
        admission: match row.try_get("admission_id") {
            // A database of an earlier version is looked at as it is.
            Err(sqlx::Error::ColumnNotFound(_)) => None,
            found => found?,
        },
        version: row.try_get("version")?,
        id,
    })
}

pub async fn insert_account(tx: &mut Tx, account: &Account) -> Result<(), StoreError> {
    let done = sqlx::query(
        "INSERT INTO account (id, party_id, role, login, name, licence, password, disabled, admission_id, version) \
         VALUES ($1, $2, $3, $4, $5, $6, $7, 0, $8, 1)",
    )
    .bind(account.id.as_str())
    .bind(account.party.as_ref().map(PartyId::as_str))
    .bind(account.role.word())
    .bind(&account.login)
    .bind(&account.name)
    .bind(&account.licence)
    .bind(&account.password)
    .bind(&account.admission)
    .execute(tx.conn())
    .await?;
    one_kept(&done, "the account")
}

/// Writes password, licence and whether the account is disabled.
pub async fn update_account(tx: &mut Tx, account: &Account) -> Result<(), StoreError> {
    let done = sqlx::query(
        "UPDATE account SET password = $1, licence = $2, disabled = $3, version = version + 1 \
         WHERE id = $4 AND version = $5",
    )
    .bind(&account.password)
    .bind(&account.licence)
    .bind(i64::from(account.disabled))
    .bind(account.id.as_str())
    .bind(account.version)
    .execute(tx.conn())
    .await?;
    one_row(&done, "the account")
}

pub async fn account_by_login(
    conn: &mut AnyConnection,
    login: &str,
) -> Result<Option<Account>, StoreError> {
    let row = sqlx::query("SELECT * FROM account WHERE login = $1")
        .bind(login)
        .fetch_optional(conn)
        .await?;
    row.as_ref().map(account).transpose()
}

pub async fn account_by_id(
    conn: &mut AnyConnection,
    id: &AccountId,
) -> Result<Option<Account>, StoreError> {
    let row = sqlx::query("SELECT * FROM account WHERE id = $1")
        .bind(id.as_str())
        .fetch_optional(conn)
        .await?;
    row.as_ref().map(account).transpose()
}

/// Everybody, by party and name; bounded like the parties.
pub async fn all_accounts(conn: &mut AnyConnection) -> Result<Vec<Account>, StoreError> {
    each_account(conn).await?.into_iter().collect()
}

/// The same, each or why its row cannot be read.
pub async fn each_account(
    conn: &mut AnyConnection,
) -> Result<Vec<Result<Account, StoreError>>, StoreError> {
    let rows = sqlx::query("SELECT * FROM account ORDER BY party_id, name, id LIMIT 2000")
        .fetch_all(conn)
        .await?;
    Ok(rows.iter().map(account).collect())
}

/// The people of a party by name, those who may no longer sign in too; bounded like everybody.
pub async fn accounts_of(
    conn: &mut AnyConnection,
    party: &PartyId,
) -> Result<Vec<Account>, StoreError> {
    let sql = "SELECT * FROM account WHERE party_id = $1 ORDER BY name, id LIMIT 500";
    let rows = sqlx::query(sql)
        .bind(party.as_str())
        .fetch_all(conn)
        .await?;
    rows.iter().map(account).collect()
}

/// How many administrators may still sign in.
pub async fn count_administrators(conn: &mut AnyConnection) -> Result<i64, StoreError> {
    let row = sqlx::query(
        "SELECT COUNT(*) AS n FROM account WHERE role = 'administrator' AND disabled = 0",
    )
    .fetch_one(conn)
    .await?;
    Ok(row.try_get("n")?)
}

pub async fn insert_invite(
    tx: &mut Tx,
    secret_hash: &str,
    invite: &Invite,
    made_ms: i64,
) -> Result<(), StoreError> {
    let done = sqlx::query(
        "INSERT INTO invite (secret_hash, party_id, role, name, made_ms, ends_ms, used_ms, admission_id, account_id, binding) \
         VALUES ($1, $2, $3, $4, $5, $6, NULL, $7, $8, $9)",
    )
    .bind(secret_hash)
    .bind(invite.party.as_ref().map(PartyId::as_str))
    .bind(invite.role.word())
    .bind(&invite.name)
    .bind(made_ms)
    .bind(invite.ends_ms)
    .bind(&invite.admission)
    .bind(invite.account.as_ref().map(AccountId::as_str))
    .bind(&invite.binding)
    .execute(tx.conn())
    .await?;
    one_kept(&done, "the one-time link")
}

/// The link with this secret, if nobody used it yet.
pub async fn open_invite(
    conn: &mut AnyConnection,
    secret_hash: &str,
) -> Result<Option<Invite>, StoreError> {
    let row = sqlx::query("SELECT * FROM invite WHERE secret_hash = $1 AND used_ms IS NULL")
        .bind(secret_hash)
        .fetch_optional(conn)
        .await?;
    row.as_ref().map(invite).transpose()
}

fn invite(row: &AnyRow) -> Result<Invite, StoreError> {
    Ok(Invite {
        party: id_or_none(row, "party_id")?,
        role: role(row, "invite", "by hash")?,
        name: row.try_get("name")?,
        ends_ms: row.try_get("ends_ms")?,
        admission: row.try_get("admission_id")?,
        account: id_or_none(row, "account_id")?,
        binding: row.try_get("binding")?,
    })
}

/// A link that nobody has used yet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OpenLink {
    pub secret_hash: String,
    pub invite: Invite,
    pub made_ms: i64,
    /// Who made it; empty of the one that `setup` prints.
    pub by_name: String,
}

/// The links that somebody could use now, the newest first; bounded like the accounts.
pub async fn open_links(
    conn: &mut AnyConnection,
    now_ms: i64,
) -> Result<Vec<OpenLink>, StoreError> {
    let rows = sqlx::query(
        "SELECT i.*, COALESCE(a.by_name, '') AS by_name FROM invite i LEFT JOIN admission a ON a.id = i.admission_id \
         WHERE i.used_ms IS NULL AND i.ends_ms > $1 ORDER BY i.made_ms DESC, i.secret_hash LIMIT 2000",
    )
    .bind(now_ms)
    .fetch_all(conn)
    .await?;
    let link = |row: &AnyRow| {
        Ok(OpenLink {
            secret_hash: row.try_get("secret_hash")?,
            invite: invite(row)?,
            made_ms: row.try_get("made_ms")?,
            by_name: row.try_get("by_name")?,
        })
    };
    rows.iter().map(link).collect()
}

/// The link of this hash, used or not.
pub async fn find_link(
    conn: &mut AnyConnection,
    secret_hash: &str,
) -> Result<Option<Invite>, StoreError> {
    let row = sqlx::query("SELECT * FROM invite WHERE secret_hash = $1")
        .bind(secret_hash)
        .fetch_optional(conn)
        .await?;
    row.as_ref().map(invite).transpose()
}

/// Makes all links void by which this account could get a new password.
pub async fn spend_links_of(
    tx: &mut Tx,
    account_id: &AccountId,
    at_ms: i64,
) -> Result<(), StoreError> {
    sqlx::query("UPDATE invite SET used_ms = $1 WHERE account_id = $2 AND used_ms IS NULL")
        .bind(at_ms)
        .bind(account_id.as_str())
        .execute(tx.conn())
        .await?;
    Ok(())
}

/// Makes all links void that somebody has made and that could still be used; answers with how many.
pub async fn spend_links_by(tx: &mut Tx, by: &AccountId, at_ms: i64) -> Result<i64, StoreError> {
    let done = sqlx::query(
        "UPDATE invite SET used_ms = $1 WHERE used_ms IS NULL AND ends_ms > $1 AND EXISTS \
         (SELECT 1 FROM admission WHERE admission.id = invite.admission_id AND by_account = $2)",
    )
    .bind(at_ms)
    .bind(by.as_str())
    .execute(tx.conn())
    .await?;
    Ok(i64::try_from(done.rows_affected()).unwrap_or(i64::MAX))
}

/// Spends the link: exactly one of two people who open it at once succeeds.
pub async fn spend_invite(tx: &mut Tx, secret_hash: &str, at_ms: i64) -> Result<(), StoreError> {
    let done =
        sqlx::query("UPDATE invite SET used_ms = $1 WHERE secret_hash = $2 AND used_ms IS NULL")
            .bind(at_ms)
            .bind(secret_hash)
            .execute(tx.conn())
            .await?;
    one_row(&done, "the one-time link")
}

/// A session that begins.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct NewSession {
    pub secret_hash: String,
    pub account: AccountId,
    /// The account's password as it is stored: with it, what was begun by it ends.
    pub password: String,
    /// The account's version: whoever was shut out and let in again begins afresh.
    pub version: i64,
    pub began_ms: i64,
    pub ends_ms: i64,
    /// Where it was begun; empty where that is not known.
    pub address: String,
    /// As the browser calls itself.
    pub browser: String,
    /// The device on which somebody came in by a code; none where a password was typed or chosen.
    pub device: Option<DeviceId>,
}

/// Begins a session. Where a password was typed or chosen just now, it begins proved.
pub async fn insert_session(
    tx: &mut Tx,
    session: &NewSession,
    binding: &str,
) -> Result<(), StoreError> {
    let done = sqlx::query(
        "INSERT INTO session (secret_hash, account_id, began_ms, seen_ms, ends_ms, proved_ms, address, browser, device_id, binding) \
         VALUES ($1, $2, $3, $3, $4, $5, $6, $7, $8, $9)",
    )
    .bind(&session.secret_hash)
    .bind(session.account.as_str())
    .bind(session.began_ms)
    .bind(session.ends_ms)
    .bind(match session.device {
        Some(_) => 0,
        None => session.began_ms,
    })
    .bind(&session.address)
    .bind(&session.browser)
    .bind(session.device.as_ref().map_or("", DeviceId::as_str))
    .bind(binding)
    .execute(tx.conn())
    .await?;
    one_kept(&done, "the session")
}

/// One of somebody's sessions.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SessionLine {
    pub secret_hash: String,
    pub began_ms: i64,
    pub seen_ms: i64,
    pub ends_ms: i64,
    pub address: String,
    pub browser: String,
}

/// Somebody's sessions, over or not. Those that are over are forgotten some hours later. One that somebody has damaged keeps
/// nobody from the others.
pub async fn sessions_of(
    conn: &mut AnyConnection,
    account_id: &AccountId,
) -> Result<Vec<SessionLine>, StoreError> {
    let rows = sqlx::query(
        "SELECT secret_hash, began_ms, seen_ms, ends_ms, address, browser FROM session WHERE account_id = $1 \
         ORDER BY seen_ms DESC, secret_hash",
    )
    .bind(account_id.as_str())
    .fetch_all(conn)
    .await?;
    let line = |row: &AnyRow| {
        Ok(SessionLine {
            secret_hash: row.try_get("secret_hash")?,
            began_ms: row.try_get("began_ms")?,
            seen_ms: row.try_get("seen_ms")?,
            ends_ms: row.try_get("ends_ms")?,
            address: row.try_get("address")?,
            browser: row.try_get("browser")?,
        })
    };
    let read = |row: &AnyRow| {
        let read: Result<SessionLine, StoreError> = line(row);
        read.inspect_err(|why| tracing::error!(%why, "a session cannot be read"))
            .ok()
    };
    Ok(rows.iter().filter_map(read).collect())
}

/// The hashes of the secrets of all of somebody's sessions, whatever else their rows say: whoever signs out everywhere ends
/// each. By one that is no text nobody comes in.
pub async fn session_hashes_of(
    conn: &mut AnyConnection,
    account_id: &AccountId,
) -> Result<Vec<String>, StoreError> {
    let rows = sqlx::query("SELECT secret_hash FROM session WHERE account_id = $1")
        .bind(account_id.as_str())
        .fetch_all(conn)
        .await?;
    let hash = |row: &AnyRow| row.try_get("secret_hash").ok();
    Ok(rows.iter().filter_map(hash).collect())
}

/// A session with the account behind it and its party's change counter: one question per request.
pub struct SessionRow {
    pub account: Account,
    pub began_ms: i64,
    pub seen_ms: i64,
    pub ends_ms: i64,
    /// When the password was last typed in this session; 0 is never.
    pub proved_ms: i64,
    pub address: String,
    pub browser: String,
    /// What only this program can have written beside it.
    pub binding: String,
    pub party: Option<Party>,
    /// Zero where the account has no party.
    pub changes: i64,
    /// The record's newest checkpoint, a signed note; empty before the first leaf.
    pub checkpoint: String,
    /// How many alarms nobody has cleared yet.
    pub alarms: i64,
    /// How many were let in of whom this person has not read yet.
    pub unread: i64,
    /// The device, where somebody came in by a code.
    pub by_code: Option<AtDevice>,
    /// Its row.
    pub device: Option<DeviceRow>,
}

pub async fn session(
    conn: &mut AnyConnection,
    secret_hash: &str,
) -> Result<Option<SessionRow>, StoreError> {
    let row = sqlx::query(
        "SELECT a.*, s.began_ms, s.seen_ms, s.ends_ms, s.proved_ms, s.binding, s.address AS s_address, s.browser AS s_browser, COALESCE(p.changes, 0) AS changes, p.kind AS p_kind, p.name AS p_name, \
         p.address AS p_address, p.licence AS p_licence, p.telephone AS p_telephone, p.zone AS p_zone, p.paper AS p_paper, \
         p.numbering AS p_numbering, p.profile AS p_profile, p.version AS p_version, h.checkpoint, \
         s.device_id, COALESCE(d.name, '') AS device_name, d.secret_hash AS d_secret, d.party_id AS d_party, \
         d.by_name AS d_by, d.allowed_ms AS d_allowed, d.used_ms AS d_used, d.taken_back_ms AS d_back, \
         d.binding AS d_binding, \
         (SELECT COUNT(*) FROM open_alarm WHERE raised_ms > 0) AS alarms, \
         (SELECT COUNT(*) FROM admission m WHERE m.party_id = COALESCE(a.party_id, '') AND m.by_account <> a.id AND \
          m.at_ms > COALESCE((SELECT n.at_ms FROM admission_seen n WHERE n.account_id = a.id), 0)) AS unread FROM session s \
         JOIN account a ON a.id = s.account_id JOIN record_head h ON h.id = 1 \
         LEFT JOIN party p ON p.id = a.party_id \
         LEFT JOIN bench_device d ON d.id = s.device_id WHERE s.secret_hash = $1",
    )
    .bind(secret_hash)
    .fetch_optional(conn)
    .await?;
    row.map(|row| {
        let account = account(&row)?;
        Ok(SessionRow {
            party: account
                .party
                .as_ref()
                .map(|id| session_party(&row, id))
                .transpose()?,
            account,
            began_ms: row.try_get("began_ms")?,
            seen_ms: row.try_get("seen_ms")?,
            ends_ms: row.try_get("ends_ms")?,
            proved_ms: row.try_get("proved_ms")?,
            address: row.try_get("s_address")?,
            browser: row.try_get("s_browser")?,
            binding: row.try_get("binding")?,
            changes: row.try_get("changes")?,
            checkpoint: row.try_get("checkpoint")?,
            alarms: row.try_get("alarms")?,
            unread: row.try_get("unread")?,
            by_code: at_device(&row)?,
            device: device_of(&row)?,
        })
    })
    .transpose()
}

/// When a session began, was seen last, and ends; none where it has ended, or its account is disabled.
pub async fn session_lasts(
    conn: &mut AnyConnection,
    secret_hash: &str,
) -> Result<Option<[i64; 3]>, StoreError> {
    let row = sqlx::query(
        "SELECT s.began_ms, s.seen_ms, s.ends_ms FROM session s JOIN account a ON a.id = s.account_id \
         WHERE s.secret_hash = $1 AND a.disabled = 0",
    )
    .bind(secret_hash)
    .fetch_optional(conn)
    .await?;
    let times = |row: AnyRow| {
        Ok([
            row.try_get("began_ms")?,
            row.try_get("seen_ms")?,
            row.try_get("ends_ms")?,
        ])
    };
    row.map(times).transpose()
}

fn at_device(row: &AnyRow) -> Result<Option<AtDevice>, StoreError> {
    let device: DeviceId = id_of(row, "device_id")?;
    if device.is_empty() {
        return Ok(None);
    }
    let name = row.try_get("device_name")?;
    Ok(Some(AtDevice { device, name }))
}

fn device_of(row: &AnyRow) -> Result<Option<DeviceRow>, StoreError> {
    let Some(party) = id_or_none(row, "d_party")? else {
        return Ok(None);
    };
    Ok(Some(DeviceRow {
        id: id_of(row, "device_id")?,
        secret_hash: row.try_get("d_secret")?,
        party,
        name: row.try_get("device_name")?,
        by_name: row.try_get("d_by")?,
        allowed_ms: row.try_get("d_allowed")?,
        used_ms: row.try_get("d_used")?,
        taken_back_ms: row.try_get("d_back")?,
        binding: row.try_get("d_binding")?,
    }))
}

fn session_party(row: &AnyRow, id: &PartyId) -> Result<Party, StoreError> {
    let bad = |why: &str| StoreError::row("party", id, why);
    Ok(Party {
        id: id.clone(),
        kind: Side::from_word(row.try_get("p_kind")?).ok_or_else(|| bad("kind"))?,
        name: row.try_get("p_name")?,
        address: row.try_get("p_address")?,
        licence: row.try_get("p_licence")?,
        telephone: row.try_get("p_telephone")?,
        zone: row.try_get("p_zone")?,
        paper: Paper::from_word(row.try_get("p_paper")?).ok_or_else(|| bad("paper"))?,
        numbering: Numbering::from_word(row.try_get("p_numbering")?)
            .ok_or_else(|| bad("numbering"))?,
        profile: row.try_get("p_profile")?,
        version: row.try_get("p_version")?,
    })
}

/// Notes when a session was seen last, with its next binding; nothing where its row has another binding than it was read
/// with: then a later request has noted it.
pub async fn touch_session(
    tx: &mut Tx,
    secret_hash: &str,
    seen_ms: i64,
    (before, binding): (&str, &str),
) -> Result<(), StoreError> {
    sqlx::query(
        "UPDATE session SET seen_ms = $1, binding = $2 WHERE secret_hash = $3 AND binding = $4",
    )
    .bind(seen_ms)
    .bind(binding)
    .bind(secret_hash)
    .bind(before)
    .execute(tx.conn())
    .await?;
    Ok(())
}

/// Notes that the password was typed again in this session, and was right: so it was also seen now.
pub async fn prove_session(
    tx: &mut Tx,
    secret_hash: &str,
    now_ms: i64,
    binding: &str,
) -> Result<(), StoreError> {
    let done = sqlx::query(
        "UPDATE session SET seen_ms = $1, proved_ms = $1, binding = $2 WHERE secret_hash = $3",
    )
    .bind(now_ms)
    .bind(binding)
    .bind(secret_hash)
    .execute(tx.conn())
    .await?;
    one_row(&done, "the session")
}

/// Ends a session of this account.
pub async fn end_session(
    tx: &mut Tx,
    secret_hash: &str,
    account_id: &AccountId,
) -> Result<(), StoreError> {
    sqlx::query("DELETE FROM session WHERE secret_hash = $1 AND account_id = $2")
        .bind(secret_hash)
        .bind(account_id.as_str())
        .execute(tx.conn())
        .await?;
    Ok(())
}

pub async fn end_sessions_of(tx: &mut Tx, account_id: &AccountId) -> Result<(), StoreError> {
    sqlx::query("DELETE FROM session WHERE account_id = $1")
        .bind(account_id.as_str())
        .execute(tx.conn())
        .await?;
    Ok(())
}

/// That somebody has signed in in a browser.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KnownBrowser {
    pub account: AccountId,
    pub ends_ms: i64,
    /// What only this program can have written beside it.
    pub binding: String,
}

/// Who has signed in in this browser, not too long ago; bounded by who works in one room.
pub async fn known_in(
    conn: &mut AnyConnection,
    secret_hash: &str,
    now_ms: i64,
) -> Result<Vec<KnownBrowser>, StoreError> {
    let rows = sqlx::query(
        "SELECT account_id, ends_ms, binding FROM known_browser WHERE secret_hash = $1 AND ends_ms > $2 \
         ORDER BY account_id LIMIT 500",
    )
    .bind(secret_hash)
    .bind(now_ms)
    .fetch_all(conn)
    .await?;
    let known = |row: &AnyRow| {
        Ok(KnownBrowser {
            account: id_of(row, "account_id")?,
            ends_ms: row.try_get("ends_ms")?,
            binding: row.try_get("binding")?,
        })
    };
    rows.iter().map(known).collect()
}

/// Notes that somebody has signed in in this browser.
pub async fn note_browser(
    tx: &mut Tx,
    secret_hash: &str,
    known: &KnownBrowser,
) -> Result<(), StoreError> {
    sqlx::query(
        "INSERT INTO known_browser (secret_hash, account_id, ends_ms, binding) VALUES ($1, $2, $3, $4) \
         ON CONFLICT (secret_hash, account_id) DO UPDATE SET ends_ms = excluded.ends_ms, binding = excluded.binding",
    )
    .bind(secret_hash)
    .bind(known.account.as_str())
    .bind(known.ends_ms)
    .bind(&known.binding)
    .execute(tx.conn())
    .await?;
    Ok(())
}

/// No browser is known for this person any more.
pub async fn forget_browsers_of(tx: &mut Tx, account_id: &AccountId) -> Result<(), StoreError> {
    sqlx::query("DELETE FROM known_browser WHERE account_id = $1")
        .bind(account_id.as_str())
        .execute(tx.conn())
        .await?;
    Ok(())
}

/// Forgets sessions, browsers and post keys that can never be asked for again.
pub async fn forget_old(tx: &mut Tx, before_ms: i64) -> Result<(), StoreError> {
    for sql in [
        "DELETE FROM session WHERE ends_ms < $1",
        "DELETE FROM known_browser WHERE ends_ms < $1",
        "DELETE FROM once WHERE at_ms < $1",
    ] {
        sqlx::query(sql).bind(before_ms).execute(tx.conn()).await?;
    }
    Ok(())
}

/// Wrong passwords that are counted under a name.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Failures {
    pub count: i64,
    /// From when on they are counted.
    pub since_ms: i64,
    pub closed_until_ms: i64,
}

/// What is counted under this name.
pub async fn failures(conn: &mut AnyConnection, door: &str) -> Result<Failures, StoreError> {
    let row = sqlx::query(
        "SELECT count, since_ms, closed_until_ms FROM sign_in_failure WHERE login = $1",
    )
    .bind(door)
    .fetch_optional(conn)
    .await?;
    let Some(row) = row else {
        return Ok(Failures::default());
    };
    Ok(Failures {
        count: row.try_get("count")?,
        since_ms: row.try_get("since_ms")?,
        closed_until_ms: row.try_get("closed_until_ms")?,
    })
}

pub async fn set_failures(tx: &mut Tx, door: &str, found: Failures) -> Result<(), StoreError> {
    let done = sqlx::query(
        "INSERT INTO sign_in_failure (login, count, closed_until_ms, since_ms) VALUES ($1, $2, $3, $4) \
         ON CONFLICT (login) DO UPDATE SET count = excluded.count, closed_until_ms = excluded.closed_until_ms, \
         since_ms = excluded.since_ms",
    )
    .bind(door)
    .bind(found.count)
    .bind(found.closed_until_ms)
    .bind(found.since_ms)
    .execute(tx.conn())
    .await?;
    one_kept(&done, "the number of wrong passwords")
}

/// Nothing is counted under this name any more.
pub async fn forget_door(tx: &mut Tx, door: &str) -> Result<(), StoreError> {
    sqlx::query("DELETE FROM sign_in_failure WHERE login = $1")
        .bind(door)
        .execute(tx.conn())
        .await?;
    Ok(())
}

/// Forgets what was counted before, and shuts nothing any more.
pub async fn forget_failures(tx: &mut Tx, before_ms: i64) -> Result<(), StoreError> {
    sqlx::query("DELETE FROM sign_in_failure WHERE since_ms < $1 AND closed_until_ms < $1")
        .bind(before_ms)
        .execute(tx.conn())
        .await?;
    Ok(())
}

/// What an earlier post with this key led to.
pub async fn outcome_of(
    conn: &mut AnyConnection,
    account_id: &AccountId,
    key: &str,
) -> Result<Option<String>, StoreError> {
    let row = sqlx::query("SELECT outcome FROM once WHERE account_id = $1 AND post_key = $2")
        .bind(account_id.as_str())
        .bind(key)
        .fetch_optional(conn)
        .await?;
    Ok(row.map(|row| row.try_get("outcome")).transpose()?)
}

/// Notes what this post led to. A second post that is under way fails here on the key, and is retried
/// to find the outcome.
pub async fn note_outcome(
    tx: &mut Tx,
    account_id: &AccountId,
    key: &str,
    outcome: &str,
    at_ms: i64,
) -> Result<(), StoreError> {
    let done = sqlx::query(
        "INSERT INTO once (account_id, post_key, outcome, at_ms) VALUES ($1, $2, $3, $4)",
    )
    .bind(account_id.as_str())
    .bind(key)
    .bind(outcome)
    .bind(at_ms)
    .execute(tx.conn())
    .await?;
    one_kept(&done, "what the post led to")
}

/// Notes that a repeat of this post led to something else.
pub async fn change_outcome(
    tx: &mut Tx,
    account_id: &AccountId,
    key: &str,
    outcome: &str,
) -> Result<(), StoreError> {
    let done = sqlx::query("UPDATE once SET outcome = $1 WHERE account_id = $2 AND post_key = $3")
        .bind(outcome)
        .bind(account_id.as_str())
        .bind(key)
        .execute(tx.conn())
        .await?;
    one_row(&done, "the outcome of the post")
}
