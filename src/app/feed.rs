//! The days of the open cases of a house, under an address that a calendar program reads without signing in. Whoever
//! has the address reads it, so it holds no word about anybody: case numbers, days, and words of ours.
//!
//! One address of an account, shown once: 256 bits by chance, of which only a hash is kept, bound to the record's key
//! and to the account as it stood then.

use super::another_key::refuse_another_key;
use super::bindings::binding_of_feed;
use super::case_work::CaseWork;
use super::dates::{SignedDay, check_words, signed_days};
use super::doubted::not_listed_words;
use super::follow_up::proposed_of;
use super::proven::{CASES_TOGETHER, find_together};
use super::recorded::reference::hold_account;
use super::run::write;
use super::security::{Happened, happened};
use super::sign_in::{confirm_password, secret_hash};
use super::tries::Doors;
use super::visit::Visit;
use super::whose_case::{find_own, hold_newest};
use super::{App, AppError, Person, ended};
use crate::clock::moment_in;
use crate::domain::form::Proof;
use crate::domain::people::access::{Permission, may};
use crate::domain::people::account::Account;
use crate::domain::people::party::{Party, Side};
use crate::domain::trade::lists::ListKind;
use crate::domain::values::icalendar::{DayEvent, feed};
use crate::domain::values::ids::CaseNumber;
use crate::store::feeds::{self, FeedRow};
use crate::store::{lists, parties, people};
use std::sync::Arc;

/// Cases of which one file tells: some 300 KB, and a second where nothing is kept yet.
const CASES_MOST: i64 = 1_000;
/// Signs of an address that are looked at.
const TOKEN_MOST: usize = 100;

/// Since when one has an address that works; none where there is none, or where the account has changed since.
pub async fn made(app: &App, person: &Person) -> Result<Option<i64>, AppError> {
    let mut conn = app.store.read().await?;
    let row = feeds::of_account(&mut conn, &person.account.id).await?;
    let row = row.filter(|row| is_bound(app, &row.secret_hash, row, &person.account));
    Ok(row.map(|row| row.made_ms))
}

/// Makes an address, or another in the place of the one before; the answer is the address, which is kept nowhere.
pub async fn make(app: &App, person: &Person, form: &Proof) -> Result<String, AppError> {
    if !person.may(Permission::ReadCases) {
        return Err(AppError::NotFound);
    }
    confirm_password(app, person, form.password.as_str()).await?;
    let secret = app.outside.token()?;
    let (secret_hash, made_ms) = (secret_hash(&secret), app.outside.now_ms());
    let id = &person.account.id;
    write(app, |mut tx| async {
        let account = people::account_by_id(tx.conn(), id).await?;
        let account = account.filter(|one| !one.disabled);
        let account = account.ok_or(AppError::NotFound)?;
        let row = FeedRow {
            account: id.clone(),
            secret_hash: secret_hash.clone(),
            made_ms,
            binding: binding_of_feed(app, &secret_hash, &account, made_ms),
        };
        let before = feeds::of_account(tx.conn(), id).await?;
        feeds::set(&mut tx, &row).await?;
        // Before the new one is kept: a program that is ended in between would leave the one before open. Where the new one
        // cannot be kept, neither works, and whoever makes it is told so.
        if let Some(row) = before {
            ended::note_for_good(app, &row.binding).await;
        }
        Ok((tx, ()))
    })
    .await?;
    person.note(Happened::FeedMade, "");
    Ok(format!("{}/feed/{secret}.ics", app.settings.address))
}

/// Ends one's own address; where there is none, that is what was wanted.
pub async fn end(app: &App, person: &Person) -> Result<(), AppError> {
    let found = feeds::of_account(&mut *app.store.read().await?, &person.account.id).await?;
    // First of all, whatever becomes of its row.
    if let Some(row) = found {
        ended::note_for_good(app, &row.binding).await;
    }
    write(app, |mut tx| async {
        feeds::end(&mut tx, &person.account.id).await?;
        Ok((tx, ()))
    })
    .await?;
    person.note(Happened::FeedEnded, "");
    Ok(())
}

/// Whether this is the secret that the row was bound with: what was asked by, where somebody has asked. That the database
/// has found the row by it is not believed.
fn is_bound(app: &App, secret_hash: &str, row: &FeedRow, account: &Account) -> bool {
    binding_of_feed(app, secret_hash, account, row.made_ms) == row.binding
        && !ended::holds_for_good(app, &row.binding)
}

/// Whose address this is, with the house whose days stand under it, if it opens anything.
async fn owner(app: &App, secret: &str) -> Result<Option<(Person, Party)>, AppError> {
    let hash = secret_hash(secret);
    ended::look(app).await;
    let mut conn = app.store.read_at_once().await?;
    refuse_another_key(app, &mut conn).await?;
    let Some(row) = feeds::by_secret(&mut conn, &hash).await? else {
        return Ok(None);
    };
    let account = people::account_by_id(&mut conn, &row.account).await?;
    let may_read = |one: &Account| !one.disabled && may(one.role, Permission::ReadCases);
    let Some(account) = account.filter(may_read) else {
        return Ok(None);
    };
    if !is_bound(app, &hash, &row, &account) {
        tracing::error!(account = %row.account, "an address of a calendar that nobody has made here, or of before its account changed");
        return Ok(None);
    }
    match hold_account(app, &mut conn, &account).await {
        Ok(()) => {}
        Err(AppError::Refused(_)) => return Ok(None),
        Err(other) => return Err(other),
    }
    match &account.party {
        Some(id) => {
            let party = parties::find(&mut conn, id).await?;
            Ok(party.map(|party| {
                let person = Person::without_session(account, Some(party.clone()));
                (person, party)
            }))
        }
        None => Ok(None),
    }
}

/// The days under an address. One that opens nothing is not there, whatever the reason; whoever asks for thirty such
/// has to wait, and keeps nobody waiting whose address is right.
pub async fn read(app: &App, secret: &str, visit: &Visit) -> Result<Arc<String>, AppError> {
    let secret = secret.get(..TOKEN_MOST).unwrap_or(secret);
    if let Some((person, party)) = owner(app, secret).await? {
        return days_of(app, &person, &party).await;
    }
    let doors = Doors::of_feed(visit);
    doors.ask(app).await?;
    doors.count(app).await?;
    happened(Happened::WrongFeed, None, visit, "");
    Err(AppError::NotFound)
}

/// What a day is called at a house.
fn says(side: Side, day: SignedDay) -> String {
    let words = match (side, day) {
        (Side::Office, SignedDay::Due) => "Work due back",
        (Side::Office, SignedDay::Agreed) => "Work due back, as agreed",
        (Side::Office, SignedDay::Insertion) => "Insertion",
        (Side::Office, SignedDay::FirstCheck) => "First check",
        (Side::Lab, SignedDay::Due) => "Work due at the office",
        (Side::Lab, SignedDay::Agreed) => "Work due at the office, as agreed",
        (Side::Lab, SignedDay::Insertion) => "Insertion at the office",
        (Side::Lab, SignedDay::FirstCheck) => "First check at the office",
        (Side::Office, SignedDay::Check(after)) => return check_words(after),
        (Side::Lab, SignedDay::Check(after)) => {
            return format!("{}, at the office", check_words(after));
        }
    };
    words.to_owned()
}

/// The days of one case.
async fn of_case(app: &App, party: &Party, number: &CaseNumber) -> Result<Vec<DayEvent>, AppError> {
    let mut conn = app.store.read_at_once().await?;
    let (case, side) = match find_own(app, &mut conn, &party.id, number).await {
        // It is of other houses, whatever its row says.
        Err(AppError::NotFound) => return Ok(Vec::new()),
        found => found?,
    };
    hold_newest(app, &mut conn, &case).await?;
    let work = CaseWork::of(app, &mut conn, case, side).await?;
    work.hold(app, &mut conn).await?;
    let checks = proposed_of(app, &mut conn, &work).await?;
    drop(conn);
    let Some(signed) = work.signed.newest() else {
        return Ok(Vec::new());
    };
    let words = |day, kept| format!("{}{kept}: case {number}", says(side, day));
    Ok(signed_days(app, &work, (signed, &checks), words))
}

/// A day of today that says what is missing: few calendars show what a file says of itself.
fn missing_today(app: &App, party: &Party, words: &str) -> Option<DayEvent> {
    const MINUTE_MS: i64 = 60_000;
    let said = moment_in(app.outside.now_ms(), &party.zone);
    (!words.is_empty()).then(|| DayEvent {
        uid: format!("missing@{}", app.store.key().id()),
        day: said.date(),
        summary: format!("Days of cases are missing in this calendar. {words}"),
        said,
        sequence: said.unix_ms / MINUTE_MS,
        is_off: false,
        url: format!("{}/", app.settings.address),
    })
}

/// The days of the open cases of a house, kept until one of its cases changes, or the closed days of any house do.
async fn days_of(app: &App, person: &Person, party: &Party) -> Result<Arc<String>, AppError> {
    let mut conn = app.store.read().await?;
    let changes = parties::changes(&mut conn, &party.id).await?;
    let changes = changes.ok_or(AppError::NotFound)?;
    // By the days of an office its checks after a fit stand in the calendars of both houses, whichever program has taken
    // them in.
    let mark = (
        changes,
        lists::loads(&mut conn, ListKind::ClosedDays).await?,
    );
    if let Some(kept) = app.read_models.feed(&party.id, mark) {
        return Ok(kept);
    }
    let house = (party.kind, &party.id);
    let mut numbers = feeds::open_cases(&mut conn, house, CASES_MOST + 1).await?;
    let most = usize::try_from(CASES_MOST).unwrap_or(usize::MAX);
    let cut = match numbers.len() > most {
        true => format!("Of the open cases, the {CASES_MOST} that changed last."),
        false => String::new(),
    };
    numbers.truncate(most);
    drop(conn);
    // So that the same cases make the same file.
    numbers.sort_by(|one, other| one.as_str().cmp(other.as_str()));
    let (mut events, mut unreadable) = (Vec::new(), Vec::new());
    for some in numbers.chunks(CASES_TOGETHER) {
        find_together(app, &mut *app.store.read_at_once().await?, some).await?;
        for number in some {
            match of_case(app, party, number).await {
                Ok(days) => events.extend(days),
                // One case that cannot be read hides no other: `check` names what is wrong.
                Err(error) if error.is_of_one_alone() => {
                    tracing::warn!(%number, %error, "a case is left out of a calendar");
                    unreadable.push(number.to_string());
                }
                Err(error) => return Err(error),
            }
        }
    }
    let missing = not_listed_words(app, person, &unreadable).await?;
    events.extend(missing_today(app, party, &missing));
    let is_whole = missing.is_empty();
    let mut left_out = vec![cut, missing];
    left_out.retain(|words| !words.is_empty());
    let text = Arc::new(feed("Days of open cases", &left_out.join(" "), &events));
    // What is missing now is put right without a change that is counted.
    if is_whole {
        app.read_models.store_feed(&party.id, mark, text.clone());
    }
    Ok(text)
}
