//! Whether rows that the record says are there, counted at a start and while the program runs: a case, a card or a handoff
//! that somebody has taken away is asked for by nobody who does not know of it. And which cases a page or an entry has met
//! since that are not as the record says.

use super::{App, AppError};
use crate::domain::people::party::Side;
use crate::domain::values::ids::{CaseNumber, PartyId, PatientCode};
use crate::domain::values::words::counted;
use crate::record::filed::RowOf;
use crate::store::counted::{
    Counted, MovedCase, OtherHouses, cards_gone, cases_gone, cases_moved, differences,
    of_other_houses, unlistable,
};
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet, HashMap};
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::Duration;
use tokio::sync::Notify;
use tokio::time::{sleep, timeout};

/// Cases that are kept in memory at most: one is enough to look at the database.
const MET_MOST: usize = 100;

/// What of a case was met.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Met {
    /// The case itself, or something of it.
    Case,
    /// How lists show it.
    Listed,
}

#[derive(Debug, Default)]
struct Found {
    /// At the last count, in words; nothing where all is as the record says, or nobody has counted.
    words: Option<String>,
    /// Houses and accounts that were not as the record says when they were looked through last, in words.
    changed: Option<String>,
    /// Cases of a house that the record has and of which no row is there, at the last count.
    gone: BTreeMap<PartyId, BTreeSet<String>>,
    /// The same of patients' cards.
    cards_gone: BTreeMap<PartyId, BTreeSet<String>>,
    /// How many rows a house lacked when somebody of it looked last, and when that was.
    lacking: HashMap<RowOf, (i64, u64)>,
    /// Those of which the row names another house than the record.
    moved: BTreeMap<PartyId, BTreeSet<String>>,
    /// How many of those a house lacks: its own name stands in the row no more.
    moved_away: BTreeMap<PartyId, usize>,
    /// What was not as the record says when it was looked at last.
    met: BTreeSet<(CaseNumber, Met)>,
    /// Cases that are listed for a house and of which the record does not say whose they are, since the last count.
    unsaid: BTreeSet<(PartyId, CaseNumber)>,
}

/// What was found to differ from the record.
#[derive(Debug, Default)]
pub(super) struct CountedRows {
    found: Mutex<Found>,
    asked: Notify,
}

impl CountedRows {
    fn found(&self) -> MutexGuard<'_, Found> {
        // After a panic too: each change is one step.
        self.found.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Comes back when it is to be counted again: after `each`, and sooner where somebody has asked for it, but never before
    /// `least`.
    pub(super) async fn due(&self, least: Duration, each: Duration) {
        sleep(least).await;
        // Whether it was asked for or the time has passed, it is due.
        timeout(each.saturating_sub(least), self.asked.notified())
            .await
            .ok();
    }
}

/// Asks for the next count soon: an alarm was raised.
pub(super) fn ask(app: &App) {
    app.counted.asked.notify_one();
}

/// Counts, and says in the log what differs. Each part is read at a moment of its own, so that no reader is held for all of
/// them.
///
/// # Errors
/// If the database does not answer.
pub async fn look(app: &App) -> Result<(), AppError> {
    let found = differences(&mut *app.store.read_at_once().await?).await?;
    let others = of_other_houses(&mut *app.store.read_at_once().await?).await?;
    let unlisted = unlistable(&mut *app.store.read_at_once().await?).await?;
    let words = words(&found, others, unlisted);
    if let Some(words) = &words {
        tracing::error!("{words}");
    }
    name_missing(app).await?;
    let mut kept = app.counted.found();
    kept.words = words;
    // What a house lacks goes with the names of this count, so it is counted anew when somebody looks.
    kept.lacking.values_mut().for_each(|(at, _)| *at = i64::MIN);
    // What is still so is met again by whoever lists it.
    kept.unsaid.clear();
    Ok(())
}

/// Names what no list has of a house: cases and cards of which no row is there, and cases that are listed for another.
async fn name_missing(app: &App) -> Result<(), AppError> {
    let gone = cases_gone(&mut *app.store.read_at_once().await?).await?;
    let cards = cards_gone(&mut *app.store.read_at_once().await?).await?;
    let moved = cases_moved(&mut *app.store.read_at_once().await?).await?;
    let mut kept = app.counted.found();
    kept.gone = by_house(&gone);
    kept.cards_gone = cards_by_house(&cards);
    let of_moved = moved
        .iter()
        .map(|one| (one.number.clone(), one.leaf.clone()));
    kept.moved = by_house(&of_moved.collect::<Vec<_>>());
    kept.moved_away = moved_away(&moved);
    Ok(())
}

/// How long it holds how many rows a house lacks: whoever looks in a loop costs one count a second.
const HOLDS_MS: i64 = 1_000;

/// Names at once what a house lacks of its cases: before a list of them is drawn.
///
/// # Errors
/// If the database does not answer.
pub(super) async fn look_for_cases(app: &App, house: (Side, &PartyId)) -> Result<(), AppError> {
    let (side, house) = (house.0, house.1.as_str().to_owned());
    let row = match side {
        Side::Office => RowOf::CaseOfOffice(house),
        Side::Lab => RowOf::CaseOfLab(house),
    };
    look_if_lacking(app, row).await
}

/// The same of an office's cards.
///
/// # Errors
/// If the database does not answer.
pub(super) async fn look_for_cards(app: &App, office: &PartyId) -> Result<(), AppError> {
    look_if_lacking(app, RowOf::Card(office.as_str().to_owned())).await
}

/// Everything is looked through each hour, since that reads all leaves of a kind. A house that lacks a row is found by two
/// counts, as soon as somebody of it looks: only where its number of missing rows has changed, they are named then. A row in
/// the place of another is found each hour, as before.
async fn look_if_lacking(app: &App, row: RowOf) -> Result<(), AppError> {
    let now = app.outside.now_ms();
    let before = app.counted.found().lacking.get(&row).copied();
    if before.is_some_and(|(at, _)| (at..at + HOLDS_MS).contains(&now)) {
        return Ok(());
    }
    let lacking = app
        .store
        .lacking(&mut *app.store.read().await?, &row)
        .await?;
    if lacking != before.map_or(0, |(_, lacking)| lacking) {
        tracing::error!(
            ?row,
            lacking,
            "what a house lacks of its rows is another number than before"
        );
        name_missing(app).await?;
        ask(app);
    }
    // Only now: where it could not be named, the next who looks tries again.
    app.counted.found().lacking.insert(row, (now, lacking));
    Ok(())
}

/// How many rows a patient lacks of the cases that the record has for them: of this patient, whoever has the case.
///
/// # Errors
/// If the database does not answer.
pub(super) async fn lacking_of_patient(app: &App, code: &PatientCode) -> Result<u64, AppError> {
    let row = RowOf::CaseOfPatient(code.as_str().to_owned());
    let mut conn = app.store.read().await?;
    Ok(app.store.lacking(&mut conn, &row).await?)
}

/// How many rows a house lacked when somebody of it looked last, beyond those that are told by name.
fn unnamed(kept: &Found, rows: &[RowOf], named: usize) -> usize {
    let found = rows.iter().filter_map(|row| kept.lacking.get(row));
    let lacking: u64 = found.map(|(_, lacking)| *lacking).sum();
    usize::try_from(lacking)
        .unwrap_or(usize::MAX)
        .saturating_sub(named)
}

/// The cards of each office, by the leaves of them.
fn cards_by_house(gone: &[(String, String)]) -> BTreeMap<PartyId, BTreeSet<String>> {
    let mut houses: BTreeMap<PartyId, BTreeSet<String>> = BTreeMap::new();
    for (_, body) in gone {
        let whole: Value = serde_json::from_str(body).unwrap_or_default();
        let said = |place: &str| whole.pointer(place).and_then(Value::as_str);
        if let (Some(code), Some(office)) = (said("/patient/code"), said("/patient/office")) {
            let code =
                PatientCode::parse(code).map_or_else(|_| code.to_owned(), |one| one.to_string());
            houses.entry(PartyId::new(office)).or_default().insert(code);
        }
    }
    houses
}

/// What an office is told of cards that are in no list; empty for most.
pub(super) fn cards_gone_words(app: &App, office: &PartyId) -> String {
    let kept = app.counted.found();
    let none = BTreeSet::new();
    let gone = kept.cards_gone.get(office).unwrap_or(&none);
    let row = RowOf::Card(office.as_str().to_owned());
    said_gone(gone, unnamed(&kept, &[row], gone.len()), "card")
}

/// How many cases each house lacks since their rows name another in its place.
fn moved_away(moved: &[MovedCase]) -> BTreeMap<PartyId, usize> {
    let mut houses: BTreeMap<PartyId, usize> = BTreeMap::new();
    for one in moved {
        let whole: Value = serde_json::from_str(&one.leaf).unwrap_or_default();
        for (place, by_row) in ["/case/office", "/case/lab"].into_iter().zip(&one.houses) {
            let recorded = whole.pointer(place).and_then(Value::as_str);
            if let Some(house) = recorded.filter(|house| *house != by_row.as_str()) {
                *houses.entry(PartyId::new(house)).or_default() += 1;
            }
        }
    }
    houses
}

/// The cases of each house, by the leaves of them.
fn by_house(gone: &[(String, String)]) -> BTreeMap<PartyId, BTreeSet<String>> {
    let mut houses: BTreeMap<PartyId, BTreeSet<String>> = BTreeMap::new();
    for (number, body) in gone {
        let whole: Value = serde_json::from_str(body).unwrap_or_default();
        for place in ["/case/office", "/case/lab"] {
            let Some(house) = whole.pointer(place).and_then(Value::as_str) else {
                continue;
            };
            let number =
                CaseNumber::parse(number).map_or_else(|_| number.clone(), |one| one.to_string());
            houses
                .entry(PartyId::new(house))
                .or_default()
                .insert(number);
        }
    }
    houses
}

/// What a house is told of cases that nobody finds in a list: of its own, and of what may be anybody's; empty for most.
pub(super) fn gone_words(app: &App, house: &PartyId) -> String {
    let kept = app.counted.found();
    let none = BTreeSet::new();
    let gone = kept.gone.get(house).unwrap_or(&none);
    let named = gone.len() + kept.moved_away.get(house).copied().unwrap_or_default();
    let own = house.as_str().to_owned();
    let rows = [RowOf::CaseOfOffice(own.clone()), RowOf::CaseOfLab(own)];
    let gone = said_gone(gone, unnamed(&kept, &rows, named), "case");
    let gone = Some(gone).filter(|words| !words.is_empty());
    let unsaid = kept.unsaid.iter().filter(|(of, _)| of == house).count();
    let unsaid = (unsaid > 0).then(|| said_unsaid(unsaid));
    let words: Vec<String> = gone.into_iter().chain(unsaid).collect();
    words.join(" ")
}

/// Without its number: it may be of other houses.
fn said_unsaid(many: usize) -> String {
    format!(
        "{} listed for you and not shown, since nothing in the record says for whom. Tell your administrator: “vestibule \
         check” says more.",
        counted(i64::try_from(many).unwrap_or(i64::MAX), "case")
    )
}

/// Notes whether the record says whose a case is that is listed for a house.
pub(super) fn note_unsaid(app: &App, house: &PartyId, number: &CaseNumber, is_unsaid: bool) {
    let mut kept = app.counted.found();
    let one = || (house.clone(), number.clone());
    match is_unsaid {
        true if kept.unsaid.len() < MET_MOST => {
            kept.unsaid.insert(one());
        }
        false if !kept.unsaid.is_empty() => {
            kept.unsaid.remove(&one());
        }
        _ => {}
    }
}

/// Those that are known by name, and how many there are beside them; empty where there is none.
fn said_gone(numbers: &BTreeSet<String>, unnamed: usize, what: &str) -> String {
    let which: Vec<&str> = numbers.iter().map(String::as_str).collect();
    let which = match (which.is_empty(), unnamed) {
        (true, 0) => return String::new(),
        (true, _) => String::new(),
        (false, 0) => format!(": {}", which.join(", ")),
        (false, more) => format!(": {}, and {more} more", which.join(", ")),
    };
    format!(
        "{} of yours taken away past this program{which}. Tell your administrator: “vestibule check” says more.",
        counted(numbers.len().saturating_add(unnamed), what)
    )
}

/// What a house is told of its cases that are listed for others, and so perhaps in none of its lists; empty for most.
pub(super) fn moved_words(app: &App, house: &PartyId) -> String {
    let kept = app.counted.found();
    kept.moved.get(house).map_or_else(String::new, said_moved)
}

fn said_moved(numbers: &BTreeSet<String>) -> String {
    let which: Vec<&str> = numbers.iter().map(String::as_str).collect();
    format!(
        "{} of yours listed for another house than the record says: {}. Go by the page of the case, and tell your administrator: \
         “vestibule check” says more.",
        counted(numbers.len(), "case"),
        which.join(", ")
    )
}

/// Notes a case that is not as the record says, where that is written to the log.
pub(super) fn note(app: &App, number: &CaseNumber, what: Met) {
    let mut kept = app.counted.found();
    if kept.met.len() < MET_MOST {
        kept.met.insert((number.clone(), what));
    }
}

/// Whether a case was not as the record says when it was held last: what was read of it before is not shown then.
pub(super) fn is_met(app: &App, number: &CaseNumber) -> bool {
    let kept = app.counted.found();
    !kept.met.is_empty() && kept.met.contains(&(number.clone(), Met::Case))
}

/// The cases that lists were found to show otherwise than their entries say.
pub(super) fn listed_otherwise(app: &App) -> Vec<CaseNumber> {
    let kept = app.counted.found();
    let listed = kept.met.iter().filter(|(_, what)| *what == Met::Listed);
    listed.map(|(number, _)| number.clone()).collect()
}

/// Forgets it, once it was found to be as the record says.
pub(super) fn forget(app: &App, number: &CaseNumber, what: Met) {
    let mut kept = app.counted.found();
    if !kept.met.is_empty() {
        kept.met.remove(&(number.clone(), what));
    }
}

/// What differed at the last count, or what was met since, in words.
pub fn found(app: &App) -> Option<String> {
    let kept = app.counted.found();
    let met = || {
        let numbers: BTreeSet<&CaseNumber> = kept.met.iter().map(|(number, _)| number).collect();
        (!numbers.is_empty()).then(|| said_met(&numbers))
    };
    let changed = || kept.changed.clone();
    kept.words.clone().or_else(changed).or_else(met)
}

/// Notes how many rows of houses and accounts were found changed; none of a kind where all are as the record says.
pub(super) fn note_changed(app: &App, changed: &[(i64, &str)]) {
    let said = changed.iter().map(|(many, what)| counted(*many, what));
    let said: Vec<String> = said.collect();
    let words = (!said.is_empty()).then(|| differs(&said.join("; ")));
    app.counted.found().changed = words;
}

fn said_met(numbers: &BTreeSet<&CaseNumber>) -> String {
    let many = i64::try_from(numbers.len()).unwrap_or(i64::MAX);
    let which: Vec<String> = numbers.iter().take(5).map(ToString::to_string).collect();
    differs(&format!(
        "{}, such as {}",
        counted(many, "case"),
        which.join(", ")
    ))
}

fn words(found: &[Counted], others: OtherHouses, unlisted: i64) -> Option<String> {
    let mut said: Vec<String> = found.iter().map(one).collect();
    for (many, what) in [
        (others.cases, "case"),
        (others.cards, "card"),
        (others.passed, "authorization"),
    ] {
        if many > 0 {
            let rows = counted(many, what);
            said.push(format!("{rows} under another house than the record says"));
        }
    }
    if others.of_other_patients > 0 {
        let cases = counted(others.of_other_patients, "case");
        said.push(format!("{cases} for a patient of another office"));
    }
    if unlisted > 0 {
        let cases = counted(unlisted, "case");
        said.push(format!("{cases} that no list asks for"));
    }
    (!said.is_empty()).then(|| differs(&said.join("; ")))
}

fn differs(what: &str) -> String {
    format!(
        "What is stored is not what the record says: {what}. Somebody has changed it past this program: look at the database \
         with “vestibule check”."
    )
}

fn one(counted: &Counted) -> String {
    let Counted {
        what,
        rows,
        recorded,
    } = counted;
    format!("{rows} {what} instead of {recorded}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_differs_is_said_and_nothing_else() {
        assert_eq!(words(&[], OtherHouses::default(), 0), None);
        let cases = Counted {
            what: "cases",
            rows: 11,
            recorded: 12,
        };
        let others = OtherHouses {
            cases: 2,
            cards: 1,
            of_other_patients: 3,
            passed: 4,
        };
        let none = OtherHouses::default();
        for (found, others, unlisted, said) in [
            (
                vec![cases],
                none,
                0,
                "says: 11 cases instead of 12. Somebody",
            ),
            (vec![], others, 0, "says: 2 cases under another house"),
            (vec![], others, 0, "1 card under another house"),
            (vec![], others, 0, "4 authorizations under another"),
            (vec![], others, 0, "3 cases for a patient of another office"),
            (
                vec![],
                none,
                5,
                "says: 5 cases that no list asks for. Somebody",
            ),
        ] {
            let words = words(&found, others, unlisted).unwrap();
            assert!(words.contains(said), "{words}");
        }
    }

    #[tokio::test(start_paused = true)]
    async fn it_is_counted_each_hour_and_soon_after_an_alarm_but_not_with_each() {
        let (least, each) = (Duration::from_secs(60), Duration::from_secs(3_600));
        let counted = CountedRows::default();
        // Seconds from now until it is due.
        let due = async || {
            let begun = tokio::time::Instant::now();
            counted.due(least, each).await;
            begun.elapsed().as_secs()
        };
        assert_eq!(due().await, 3_600);
        for _ in 0..20 {
            counted.asked.notify_one();
        }
        assert_eq!(due().await, 60);
        assert_eq!(due().await, 3_600);
    }

    #[test]
    fn a_card_that_is_gone_is_missed_once_by_its_office_however_often_it_was_changed() {
        let leaf = |version: i64| {
            let body = format!(
                r#"{{"patient":{{"code":"P1","office":"northgate","version":{version}}}}}"#
            );
            (format!("P1/{version}"), body)
        };
        let houses = cards_by_house(&[leaf(1), leaf(2), ("P2/1".to_owned(), String::new())]);
        assert_eq!(houses.len(), 1);
        let words = said_gone(&houses[&PartyId::new("northgate")], 0, "card");
        assert!(
            words.starts_with("1 card of yours taken away past this program: P1."),
            "{words}"
        );
    }

    #[test]
    fn what_a_house_lacks_beyond_the_names_is_said_as_a_number() {
        let row = RowOf::CaseOfLab("kiln".to_owned());
        let mut kept = Found::default();
        assert_eq!(unnamed(&kept, std::slice::from_ref(&row), 0), 0);
        kept.lacking.insert(row.clone(), (0, 3));
        for (named, more) in [(0, 3), (2, 1), (3, 0), (4, 0)] {
            assert_eq!(unnamed(&kept, std::slice::from_ref(&row), named), more);
        }
        let named = BTreeSet::from(["C1".to_owned(), "C2".to_owned()]);
        for (named, more, said) in [
            (
                &named,
                1,
                "3 cases of yours taken away past this program: C1, C2, and 1 more. Tell",
            ),
            (
                &named,
                0,
                "2 cases of yours taken away past this program: C1, C2. Tell",
            ),
            (
                &BTreeSet::new(),
                1,
                "1 case of yours taken away past this program. Tell",
            ),
            (&BTreeSet::new(), 0, ""),
        ] {
            let words = said_gone(named, more, "case");
            assert!(words.starts_with(said), "{words}");
            assert_eq!(words.is_empty(), said.is_empty());
        }
    }

    #[test]
    fn a_case_that_is_moved_is_lacked_by_the_house_whose_name_was_changed_alone() {
        let moved = |office: &str, lab: &str| MovedCase {
            number: "C1".to_owned(),
            leaf: r#"{"case":{"lab":"kiln","office":"northgate"}}"#.to_owned(),
            houses: [office.to_owned(), lab.to_owned()],
        };
        let (kiln, northgate) = (PartyId::new("kiln"), PartyId::new("northgate"));
        let found = moved_away(&[moved("northgate", "anvil"), moved("kiln", "northgate")]);
        assert_eq!(found, BTreeMap::from([(kiln, 2), (northgate, 1)]));
    }

    #[test]
    fn a_case_that_is_gone_is_missed_by_both_of_its_houses_and_by_no_other() {
        let leaf = r#"{"case":{"lab":"kiln","office":"northgate"}}"#.to_owned();
        let houses = by_house(&[("C1".to_owned(), leaf), ("C2".to_owned(), String::new())]);
        let named: Vec<&str> = houses.keys().map(PartyId::as_str).collect();
        assert_eq!(named, ["kiln", "northgate"]);
        let words = said_gone(&houses[&PartyId::new("kiln")], 0, "case");
        assert!(words.starts_with("1 case of yours taken away"), "{words}");
        assert!(words.contains(": C1. "), "{words}");
        let words = said_moved(&houses[&PartyId::new("kiln")]);
        assert!(
            words.starts_with("1 case of yours listed for another house"),
            "{words}"
        );
    }
}
