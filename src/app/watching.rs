//! Tells pages that are open that something they show has changed.
//!
//! One lookout looks for all of them: when somebody here has written, and every few seconds for what other programs in
//! front of the same database write. It holds a connection while it looks and no longer, and it looks at sessions too:
//! whoever has signed out hears nothing more. Nothing here makes a session last longer.

use super::sign_in::is_over;
use super::{App, AppError, Person, ended};
use crate::domain::values::ids::{AccountId, CaseNumber, PartyId};
use crate::store::{Connection, cases, parties, people};
use std::collections::BTreeMap;
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::Duration;
use tokio::sync::{mpsc, watch};
use tokio::time::{Instant, sleep, timeout};

/// What other programs write is seen after this time at the latest.
const POLL_INTERVAL: Duration = Duration::from_secs(2);
/// Writes that follow each other closely are told of once.
const TOGETHER: Duration = Duration::from_millis(80);
/// A stream says something at least this often, so that both ends know that the other is there.
const BEAT: Duration = Duration::from_secs(15);
/// A stream ends after this time and the page asks for a new one: no answer is read for ever.
const LONGEST: Duration = Duration::from_secs(8 * 60);
/// Streams of one session; the oldest gives way, as of a page that somebody has left.
const OF_A_SESSION: usize = 6;
/// Streams of one account, whatever it is signed in on; the oldest gives way too.
const OF_AN_ACCOUNT: usize = 24;
/// Streams in all.
const IN_ALL: usize = 400;

/// What a page hears.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum News {
    /// The counter of what it shows, as it is now.
    Mark(i64),
    /// Nothing new, and the line is alive.
    Beat,
}

/// Of what a page is told.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
enum Subject {
    Agenda(PartyId),
    Case(CaseNumber),
}

/// Whose session, and what it hears of.
type Listener = (String, Subject);

#[derive(Debug)]
struct Watcher {
    session: String,
    account: AccountId,
    subject: Subject,
    /// As last told.
    mark: i64,
    since: Instant,
    notified_at: Instant,
    to: mpsc::Sender<News>,
}

#[derive(Debug, Default)]
struct Inside {
    watchers: Vec<Watcher>,
    /// Whether somebody looks for them.
    is_watched: bool,
}

/// Everybody who watches.
#[derive(Debug)]
pub(super) struct Watching {
    inside: Mutex<Inside>,
    ended: watch::Sender<bool>,
}

impl Default for Watching {
    fn default() -> Watching {
        Watching {
            inside: Mutex::default(),
            ended: watch::Sender::new(false),
        }
    }
}

impl Watching {
    /// A list that somebody fell over with is still a list of who watches.
    fn inside(&self) -> MutexGuard<'_, Inside> {
        self.inside.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// Ends every stream, and refuses new ones: the program stops.
pub fn end(app: &App) {
    app.watching.ended.send_replace(true);
    app.watching.inside().watchers.clear();
}

/// Hears that the program stops.
pub(super) fn ended(app: &App) -> watch::Receiver<bool> {
    app.watching.ended.subscribe()
}

/// News of one's own agenda, or of one case of one's own: first the counter as it is now, then each change.
pub async fn watch(
    app: &App,
    person: &Person,
    case: Option<CaseNumber>,
) -> Result<mpsc::Receiver<News>, AppError> {
    let subject = match case {
        Some(number) => Subject::Case(number),
        None => Subject::Agenda(person.party_id().clone()),
    };
    let mut conn = app.store.read().await?;
    let mark = match &subject {
        Subject::Case(number) => {
            let marks = cases::marks(&mut conn, number, person.party_id()).await?;
            marks.ok_or(AppError::NotFound)?.1.case
        }
        Subject::Agenda(_) => person.changes,
    };
    drop(conn);
    let (to, from) = mpsc::channel(8);
    // The channel is empty: there is room for the first word.
    to.try_send(News::Mark(mark)).map_err(|_| full())?;
    let now = Instant::now();
    let watcher = Watcher {
        session: person.session.clone(),
        account: person.account.id.clone(),
        subject,
        mark,
        since: now,
        notified_at: now,
        to,
    };
    let begins = {
        let mut inside = app.watching.inside();
        let watchers = &mut inside.watchers;
        watchers.retain(|one| !one.to.is_closed());
        give_way(watchers, OF_A_SESSION, |one| one.session == person.session);
        give_way(watchers, OF_AN_ACCOUNT, |one| {
            one.account == person.account.id
        });
        if watchers.len() >= IN_ALL || *app.watching.ended.borrow() {
            return Err(full());
        }
        watchers.push(watcher);
        !std::mem::replace(&mut inside.is_watched, true)
    };
    if begins {
        tokio::spawn(watch_changes(app.clone()));
    }
    Ok(from)
}

/// Makes room for one more of these, where there are as many as may be.
fn give_way(watchers: &mut Vec<Watcher>, most: usize, own: impl Fn(&Watcher) -> bool) {
    if watchers.iter().filter(|one| own(one)).count() >= most
        && let Some(oldest) = watchers.iter().position(own)
    {
        watchers.remove(oldest);
    }
}

fn full() -> AppError {
    AppError::Busy
}

/// Looks for everybody until nobody watches any more.
async fn watch_changes(app: App) {
    let mut ended = app.watching.ended.subscribe();
    loop {
        tokio::select! {
            _ = ended.changed() => {}
            _ = timeout(POLL_INTERVAL, app.store.written()) => {}
        }
        sleep(TOGETHER).await;
        if let Err(why) = poll(&app).await {
            tracing::debug!(%why, "nobody could look for changes");
        }
        let mut inside = app.watching.inside();
        if inside.watchers.is_empty() {
            inside.is_watched = false;
            return;
        }
    }
}

/// One look for everybody.
async fn poll(app: &App) -> Result<(), AppError> {
    let asked: Vec<Listener> = {
        let mut inside = app.watching.inside();
        let now = Instant::now();
        inside
            .watchers
            .retain(|one| !one.to.is_closed() && now.duration_since(one.since) < LONGEST);
        let asked = inside.watchers.iter();
        asked
            .map(|one| (one.session.clone(), one.subject.clone()))
            .collect()
    };
    if asked.is_empty() {
        return Ok(());
    }
    ended::look(app).await;
    let mut conn = app.store.read().await?;
    // A house has many pages open, and a person several: each session and each subject is asked about once.
    let (mut sessions, mut marks) = (BTreeMap::new(), BTreeMap::new());
    let mut seen = BTreeMap::new();
    for (session, subject) in asked {
        if !sessions.contains_key(&session) {
            sessions.insert(session.clone(), is_there(app, &mut conn, &session).await?);
        }
        let mut mark_now = None;
        if sessions.get(&session) == Some(&true) {
            if !marks.contains_key(&subject) {
                marks.insert(subject.clone(), mark(&mut conn, &subject).await?);
            }
            mark_now = marks.get(&subject).copied().flatten();
        }
        seen.insert((session, subject), mark_now);
    }
    drop(conn);
    notify(app, &seen);
    Ok(())
}

async fn is_there(app: &App, conn: &mut Connection, session: &str) -> Result<bool, AppError> {
    let lasts = people::session_lasts(conn, session).await?;
    let now = app.outside.now_ms();
    Ok(lasts.is_some_and(|[began_ms, seen_ms, ends_ms]| {
        !is_over(now, seen_ms, ends_ms) && !ended::holds(app, session, began_ms)
    }))
}

async fn mark(conn: &mut Connection, subject: &Subject) -> Result<Option<i64>, AppError> {
    Ok(match subject {
        Subject::Agenda(party) => parties::changes(conn, party).await?,
        Subject::Case(number) => cases::version(conn, number).await?,
    })
}

/// Sends what is new; whoever has signed out or does not listen is left out from now on.
fn notify(app: &App, seen: &BTreeMap<Listener, Option<i64>>) {
    let now = Instant::now();
    let mut inside = app.watching.inside();
    inside.watchers.retain_mut(|one| {
        let Some(found) = seen.get(&(one.session.clone(), one.subject.clone())) else {
            // Came while the others were looked for.
            return true;
        };
        let Some(mark) = *found else { return false };
        let news = match (
            mark == one.mark,
            now.duration_since(one.notified_at) >= BEAT,
        ) {
            (false, _) => News::Mark(mark),
            (true, true) => News::Beat,
            (true, false) => return true,
        };
        (one.mark, one.notified_at) = (mark, now);
        one.to.try_send(news).is_ok()
    });
}
