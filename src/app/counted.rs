//! Whether rows that the record says are there, counted at a start: a case, a card or a handoff that somebody has taken away
//! is asked for by nobody who does not know of it. And which cases a page or an entry has met since that are not as the
//! record says.

use super::{App, AppError};
use crate::domain::values::ids::{CaseNumber, PartyId};
use crate::domain::values::words::counted;
use crate::store::counted::{Counted, OtherHouses, cases_gone, differences, of_other_houses};
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::{Mutex, MutexGuard, PoisonError};

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
    /// Cases of a house that the record has and of which no row is there, at the last count.
    gone: BTreeMap<PartyId, BTreeSet<String>>,
    /// What was not as the record says when it was looked at last.
    met: BTreeSet<(CaseNumber, Met)>,
}

/// What was found to differ from the record.
#[derive(Debug, Default)]
pub(super) struct CountedRows(Mutex<Found>);

impl CountedRows {
    fn found(&self) -> MutexGuard<'_, Found> {
        // After a panic too: each change is one step.
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// Counts, and says in the log what differs.
///
/// # Errors
/// If the database does not answer.
pub async fn look(app: &App) -> Result<(), AppError> {
    let mut conn = app.store.read_at_once().await?;
    let found = differences(&mut conn).await?;
    let others = of_other_houses(&mut conn).await?;
    let gone = cases_gone(&mut conn).await?;
    drop(conn);
    let words = words(&found, others);
    if let Some(words) = &words {
        tracing::error!("{words}");
    }
    let mut kept = app.counted.found();
    kept.words = words;
    kept.gone = by_house(&gone);
    Ok(())
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

/// What a house is told of its cases that nobody finds in a list; empty for most.
pub(super) fn gone_words(app: &App, house: &PartyId) -> String {
    let kept = app.counted.found();
    kept.gone.get(house).map_or_else(String::new, said_gone)
}

fn said_gone(numbers: &BTreeSet<String>) -> String {
    let many = i64::try_from(numbers.len()).unwrap_or(i64::MAX);
    let which: Vec<&str> = numbers.iter().map(String::as_str).collect();
    format!(
        "{} of yours taken away past this program: {}. Tell your administrator: “vestibule check” says more.",
        counted(many, "case"),
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
    kept.words.clone().or_else(met)
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

fn words(found: &[Counted], others: OtherHouses) -> Option<String> {
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
        assert_eq!(words(&[], OtherHouses::default()), None);
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
        for (found, others, said) in [
            (
                vec![cases],
                OtherHouses::default(),
                "says: 11 cases instead of 12. Somebody",
            ),
            (vec![], others, "says: 2 cases under another house"),
            (vec![], others, "1 card under another house"),
            (vec![], others, "4 authorizations under another"),
            (vec![], others, "3 cases for a patient of another office"),
        ] {
            let words = words(&found, others).unwrap();
            assert!(words.contains(said), "{words}");
        }
    }

    #[test]
    fn a_case_that_is_gone_is_missed_by_both_of_its_houses_and_by_no_other() {
        let leaf = r#"{"case":{"lab":"kiln","office":"northgate"}}"#.to_owned();
        let houses = by_house(&[("C1".to_owned(), leaf), ("C2".to_owned(), String::new())]);
        let named: Vec<&str> = houses.keys().map(PartyId::as_str).collect();
        assert_eq!(named, ["kiln", "northgate"]);
        let words = said_gone(&houses[&PartyId::new("kiln")]);
        assert!(words.starts_with("1 case of yours taken away"), "{words}");
        assert!(words.contains(": C1. "), "{words}");
    }
}
