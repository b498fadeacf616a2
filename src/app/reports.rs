//! How the work of a house went in a month: read from its own cases, of which each is kept until it changes.

use super::agenda::side;
use super::leaf_walk::{SaidErased, WalkEnd, Walked, entries_of_events, entries_of_items, walk};
use super::proven::{CASES_TOGETHER, Unproven, find_together, not_in_record};
use super::recorded::reference::held_houses;
use super::recorded::revisions_compared;
use super::whose_case::{ShownTo, WHOSE, changed_past_us, shown_to};
use super::{App, AppError, Person, doubted};
use crate::clock::{moment_at, moment_in};
use crate::domain::custody::agreed::agreed_at;
use crate::domain::custody::follow_up::is_said_anew;
use crate::domain::custody::{CaseState, Event};
use crate::domain::people::party::Side;
use crate::domain::prescription::Stage;
use crate::domain::prescription::revision::{Document, Revision};
use crate::domain::report::case_track::{
    AgreedAgain, AskedPart, AskedRound, CaseTrack, FirstOrder, LabRound, brings_no_work, rounds,
    stages,
};
use crate::domain::report::month::CalendarMonth;
use crate::domain::report::tally::MonthTally;
use crate::domain::values::ids::{CaseNumber, Tag};
use crate::domain::values::moment::Moment;
use crate::record::entry::LeafKind;
use crate::store::record::{LeafRow, head};
use crate::store::reports::Touched;
use crate::store::{Connection, cases, custody, reports};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;
use std::time::Duration;

/// The month on the wall of this person's house.
pub fn this_month(app: &App, person: &Person) -> CalendarMonth {
    CalendarMonth::of(person.moment(app.outside.now_ms()).date())
}

/// How long somebody waits for a month: below what any answer may take.
const WAITED: Duration = Duration::from_secs(15);

/// The month as this person's house sees it on its own calendar.
///
/// # Errors
/// [`AppError::Counting`] where it has so many cases that it is not ready yet: it is counted to its end all the same.
pub async fn month(
    app: &App,
    person: &Person,
    month: CalendarMonth,
) -> Result<Arc<MonthTally>, AppError> {
    let today = person.moment(app.outside.now_ms()).date();
    let mark = (person.changes, today);
    if let Some(kept) = app.read_models.month(person.party_id(), month, &mark) {
        return Ok(kept);
    }
    let ReadTracks { tracks, unread } = tracks(app, person, month).await?;
    let window = window(person, month)?;
    let tally = Arc::new(MonthTally {
        unread,
        ..MonthTally::of(&tracks, window, today)
    });
    let kept = tally.clone();
    app.read_models
        .store_month(person.party_id(), month, mark, kept);
    Ok(tally)
}

/// The cases of a month by number. Whoever goes away or has waited long enough does not end the counting, or the next one would
/// begin from nothing.
///
/// # Errors
/// As [`month`].
pub(super) async fn tracks(
    app: &App,
    person: &Person,
    month: CalendarMonth,
) -> Result<ReadTracks, AppError> {
    let (app, person) = (app.clone(), person.clone());
    let counting = tokio::spawn(async move { counted(&app, &person, month).await });
    match tokio::time::timeout(WAITED, counting).await {
        Ok(counted) => counted.map_err(|error| AppError::Inner(error.to_string()))?,
        Err(_) => Err(AppError::Counting),
    }
}

/// The cases of a month, of which those are read that have changed since they were kept.
async fn counted(app: &App, person: &Person, month: CalendarMonth) -> Result<ReadTracks, AppError> {
    let house = (side(person)?, person.party_id());
    let mut conn = app.store.read_at_once().await?;
    let touched = reports::touched(&mut conn, house, window(person, month)?).await?;
    // Nobody keeps a reader while waiting for a turn.
    drop(conn);
    let (tracks, changed) = kept_of(app, (person, month), &touched);
    let mut all = ReadTracks { tracks, unread: 0 };
    for some in changed.chunks(CASES_TOGETHER) {
        // One at a time: two houses that count at once would both wait longer, and those who sign and send as well. But not
        // all of a month in one turn: a house of few cases does not wait for one of many.
        let _turn = app.counting.lock().await;
        // Whoever asked for the same month before may have read them meanwhile.
        let (kept, left) = kept_of(app, (person, month), some);
        all.tracks.extend(kept);
        if left.is_empty() {
            continue;
        }
        let mut conn = app.store.read_at_once().await?;
        let read = tracks_of(app, &mut conn, (person, month), &left).await?;
        all.tracks.extend(read.tracks);
        all.unread += read.unread;
    }
    all.tracks
        .sort_by(|one, other| one.number.cmp(&other.number));
    Ok(all)
}

/// What is kept of these cases, and those of them that have changed since.
fn kept_of(
    app: &App,
    (person, month): (&Person, CalendarMonth),
    cases: &[Touched],
) -> (Vec<Arc<CaseTrack>>, Vec<Touched>) {
    let (mut kept, mut changed) = (Vec::new(), Vec::new());
    for one in cases {
        match app.read_models.track((person, one), month) {
            Some(track) => kept.push(track),
            None => changed.push(one.clone()),
        }
    }
    (kept, changed)
}

/// What was read of some cases, and how many of them cannot be.
#[derive(Debug, Default)]
pub(super) struct ReadTracks {
    pub tracks: Vec<Arc<CaseTrack>>,
    pub unread: usize,
}

/// What is counted of some cases in a month, each held against its leaves and kept.
async fn tracks_of(
    app: &App,
    conn: &mut Connection,
    (person, month): (&Person, CalendarMonth),
    cases: &[Touched],
) -> Result<ReadTracks, AppError> {
    let window = window(person, month)?;
    let numbers: Vec<CaseNumber> = cases.iter().map(|one| one.number.clone()).collect();
    find_together(app, conn, &numbers).await?;
    let (mut tracks, mut leaves, mut unread) = (Vec::new(), Vec::new(), 0);
    for one in cases {
        match track(app, conn, (person, one.number.clone()), window).await {
            Ok(Some((track, rests_on))) => {
                tracks.push((one, track, numbers_of(&rests_on)));
                leaves.extend(rests_on);
            }
            // By the record it is of other houses.
            Ok(None) => {}
            // One case that cannot be read hides no other: the page says so, and `check` names what is wrong.
            Err(error) if error.is_of_one_alone() => {
                tracing::warn!(number = %one.number, %error, "a case is left out of a report");
                unread += 1;
            }
            Err(error) => return Err(error),
        }
    }
    // Those that were not found with their cases, together: one by one they would cost several times what all the rest does.
    let missing = not_in_record(app, conn, leaves).await?;
    let before = tracks.len();
    tracks.retain(|(.., rests_on)| missing.is_disjoint(rests_on));
    unread += before - tracks.len();
    let kept = |(one, track, _): (&Touched, CaseTrack, _)| {
        let track = Arc::new(track);
        app.read_models
            .store_track((person, one), month, track.clone());
        track
    };
    Ok(ReadTracks {
        tracks: tracks.into_iter().map(kept).collect(),
        unread,
    })
}

/// Why there is no file: whoever makes out invoices by it sees nothing of what it lacks.
const LACKING: &str = "What was done of them would be missing in the file.";
const UNREAD: &str = "What is stored of a case cannot be read, or is not as the record says, and what was done of it would be \
                      missing in the file. Tell whoever runs this installation.";

/// Refuses the file of a month in which a case of the house would be missing: one that was taken away, or one of `unread`.
///
/// # Errors
/// If so much as one is missing, or the house and its clock are not as the record says.
pub(super) async fn refuse_lacking(
    app: &App,
    person: &Person,
    unread: usize,
) -> Result<(), AppError> {
    doubted::hold_own_house(app, person).await?;
    let lacking = doubted::taken_away_words(app, person).await?;
    let lacking = (!lacking.is_empty()).then(|| format!("{lacking} {LACKING}"));
    let unread = (unread > 0).then(|| UNREAD.to_owned());
    let refused: Vec<String> = lacking.into_iter().chain(unread).collect();
    match refused.is_empty() {
        true => Ok(()),
        false => Err(AppError::Refused(refused)),
    }
}

/// The month for a file: with all cases of the house, or not at all.
pub async fn month_for_file(
    app: &App,
    person: &Person,
    month: CalendarMonth,
) -> Result<Arc<MonthTally>, AppError> {
    let tally = self::month(app, person, month).await?;
    refuse_lacking(app, person, tally.unread).await?;
    Ok(tally)
}

/// The other house of each return of a month, by its name: of a lab, whom the work was made for.
pub async fn houses_of(
    app: &App,
    person: &Person,
    tally: &MonthTally,
) -> Result<BTreeMap<CaseNumber, String>, AppError> {
    let mut conn = app.store.read_at_once().await?;
    let numbers: BTreeSet<&CaseNumber> = tally.returns.iter().map(|one| &one.number).collect();
    named_houses(app, &mut conn, person, numbers).await
}

/// The other house of each of these cases of one's own; empty of a case that cannot be read.
pub(super) async fn named_houses<'a>(
    app: &App,
    conn: &mut Connection,
    person: &Person,
    numbers: impl IntoIterator<Item = &'a CaseNumber>,
) -> Result<BTreeMap<CaseNumber, String>, AppError> {
    let side = side(person)?;
    let names = held_houses(app, conn, (side, person.party_id())).await?;
    let names: BTreeMap<_, _> = names.into_iter().collect();
    let mut found = BTreeMap::new();
    for number in numbers {
        let case = cases::find_case(conn, number).await;
        let case = match case.map_err(AppError::from) {
            Ok(case) => case,
            Err(error) if error.is_of_one_alone() => None,
            Err(error) => return Err(error),
        };
        let house = case.map(|case| match side {
            Side::Office => case.lab,
            Side::Lab => case.office,
        });
        let name = house.and_then(|house| names.get(&house).cloned());
        found.insert(number.clone(), name.unwrap_or_default());
    }
    Ok(found)
}

/// From the first midnight of the month to that of the next, by the clock on the wall of this house.
fn window(person: &Person, month: CalendarMonth) -> Result<(i64, i64), AppError> {
    let begins = |month: CalendarMonth| {
        let at = moment_at(month.first(), 0, 0, person.zone());
        at.map(|at| at.unix_ms).ok_or(AppError::NotFound)
    };
    Ok((begins(month)?, begins(month.next())?))
}

/// The entries of a case, and the leaves of the case with those that are still to be found in the signed tree.
pub(super) struct ComparedEntries {
    pub events: Vec<Event>,
    leaves: Vec<LeafRow>,
    said: SaidErased,
    pub rests_on: Vec<Unproven>,
}

/// The entries of a case of one's own, each compared with its leaf; none of a case that the record has for other houses.
///
/// # Errors
/// A refusal in words, where they are not as the record says.
pub(super) async fn entries(
    app: &App,
    conn: &mut Connection,
    person: &Person,
    number: &CaseNumber,
) -> Result<Option<ComparedEntries>, AppError> {
    let case = cases::find_case(conn, number).await?;
    let case = case.ok_or(AppError::NotFound)?;
    match shown_to(app, conn, &case, person.party_id()).await? {
        ShownTo::ThisParty => {}
        ShownTo::Others => return Ok(None),
        ShownTo::Nobody => return Err(changed_past_us(number, WHOSE)),
    }
    let leaves = app.store.leaves_of(conn, number).await?;
    let events = custody::events_of(conn, number).await?;
    let said = SaidErased::of(&events);
    let rests_on = match leaves.is_empty() && head(conn).await?.is_empty() {
        // A database of an earlier version is as it was until its rows are entered in the record.
        true => Vec::new(),
        false => {
            let entries = entries_of_events(&events)?;
            let walked = walk(app, (&leaves, LeafKind::Event), &entries, &said);
            as_recorded(number, walked, "an entry")?
        }
    };
    Ok(Some(ComparedEntries {
        events,
        leaves,
        said,
        rests_on,
    }))
}

/// What a walk has still to find in the signed tree, where each leaf stands for its entry.
///
/// # Errors
/// A refusal in words, where one does not: of a case that its own page doubts nothing is counted.
fn as_recorded(number: &CaseNumber, walked: Walked, what: &str) -> Result<Vec<Unproven>, AppError> {
    match walked.end {
        WalkEnd::AsRecorded => Ok(walked.to_prove),
        WalkEnd::Other(_) | WalkEnd::NotAsMany => Err(changed_past_us(number, what)),
    }
}

fn numbers_of(leaves: &[Unproven]) -> BTreeSet<u64> {
    leaves.iter().map(|leaf| leaf.number).collect()
}

/// What of one case is counted in this time, and the leaves that it rests on and that are still to be found in the
/// signed tree.
async fn track(
    app: &App,
    conn: &mut Connection,
    (person, number): (&Person, CaseNumber),
    window: (i64, i64),
) -> Result<Option<(CaseTrack, Vec<Unproven>)>, AppError> {
    let Some(entries) = entries(app, conn, person, &number).await? else {
        return Ok(None);
    };
    let (events, mut rests_on) = (entries.events, entries.rests_on);
    let state = CaseState::of(&events);
    let is_in = |ms: i64| (window.0..window.1).contains(&ms);
    // Before anything has travelled, of what is signed only the first prescription counts.
    let has_travelled = !state.handoffs.is_empty();
    let items = match has_travelled {
        true => custody::items_of(conn, &number).await?,
        false => Vec::new(),
    };
    if !items.is_empty() && !entries.leaves.is_empty() {
        let of_items = entries_of_items(&items)?;
        let leaves = (entries.leaves.as_slice(), LeafKind::Item);
        let walked = walk(app, leaves, &of_items, &entries.said);
        rests_on.extend(as_recorded(&number, walked, "its things")?);
    }
    let is_read = has_travelled || {
        let signed = reports::signed(conn, &number).await?;
        signed.first().is_some_and(|(_, at)| is_in(*at))
    };
    let (texts, leaves) = match is_read {
        true => texts(app, conn, &number).await?,
        false => (Vec::new(), Vec::new()),
    };
    let ordered: Vec<Stage> = texts.iter().flat_map(|(text, _)| stages(text)).collect();
    let is_no_work = |tag: &Tag| {
        let mut items = items.iter();
        items.any(|item| item.tag == *tag && brings_no_work(item, &ordered))
    };
    let mut rounds = rounds(&state, &events, is_no_work);
    rounds.retain(|round| is_in(round.left.unix_ms));
    // By the clock of whoever reads; that it arrived stands by the clock of the office, where it was wanted.
    for round in &mut rounds {
        round.came = moment_in(round.came.unix_ms, person.zone());
        round.left = moment_in(round.left.unix_ms, person.zone());
    }
    let order = texts.first().filter(|(_, at)| is_in(at.unix_ms));
    let track = CaseTrack {
        order: order.map(|(document, at)| FirstOrder::of(document, *at)),
        rounds: rounds
            .into_iter()
            .map(|round| asked(round, &texts, (&state, &events)))
            .collect(),
        agreed: state
            .follow_ups
            .iter()
            .filter(|one| !is_said_anew(&state.follow_ups, one))
            .filter_map(AgreedAgain::of)
            .collect(),
        asked: (state.questions.iter())
            .filter(|one| !one.is_for_information())
            .map(AskedPart::from)
            .collect(),
        done: (state.bench.iter())
            .filter(|one| is_in(one.at.unix_ms))
            .cloned()
            .collect(),
        number,
    };
    rests_on.extend(leaves);
    Ok(Some((track, rests_on)))
}

/// The signed texts of a case, oldest first, with the leaves that are still to be found in the signed tree.
async fn texts(
    app: &App,
    conn: &mut Connection,
    number: &CaseNumber,
) -> Result<(Vec<(Document, Moment)>, Vec<Unproven>), AppError> {
    let (revisions, leaves) = revisions_compared(app, conn, number).await?;
    let text = |one: Revision| {
        let document = Document::from_canonical(&one.document)?;
        Ok((document, one.signature.at))
    };
    let texts: Result<Vec<_>, AppError> = revisions.into_iter().map(text).collect();
    Ok((texts?, leaves))
}

/// A return with the day that was due when the work left: the one that was agreed on, otherwise the one that the
/// prescription asked for which was in force.
fn asked(
    round: LabRound,
    texts: &[(Document, Moment)],
    folded: (&CaseState, &[Event]),
) -> AskedRound {
    let mut before = texts.iter().rev();
    let in_force = before.find(|(_, at)| at.unix_ms <= round.left.unix_ms);
    let due = in_force.and_then(|(document, _)| {
        let asks = round.is_asked_by(&stages(document));
        let agreed = agreed_at(folded, document.revision, round.left);
        agreed.or(document.due()).filter(|_| asks)
    });
    AskedRound { round, due }
}
