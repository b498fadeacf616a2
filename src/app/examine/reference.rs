//! Rows of reference data against their leaves: one changed, removed or put in is named.

use super::Examined;
use super::acting::Accounts;
use super::compare::compare_row;
use crate::app::AppError;
use crate::app::recorded::reference::{
    Stands, is_in_record, kind_of, of_patient, stands, version_of,
};
use crate::domain::values::ids::PatientCode;
use crate::store::cases::{PatientRow, patients_between};
use crate::store::record::{LeafRow, leaves_between, leaves_owned_by};
use crate::store::reference::{ReferenceData, keys_after};
use crate::store::{Connection, custody::LEAVES_AT_ONCE};
use std::collections::{BTreeMap, BTreeSet};

/// Every row; answers with the number of leaves that are of one of them.
pub(super) async fn examine(
    examined: &mut Examined,
    conn: &mut Connection,
    accounts: &Accounts,
    known: &mut BTreeSet<String>,
) -> u64 {
    // A database from before is as it was until the next start takes these rows in.
    let has_begun = is_in_record(conn).await;
    if examined.read("The record", has_begun) != Some(true) {
        return 0;
    }
    let mut leaves = 0;
    for &of in ReferenceData::ALL {
        let mut after = String::new();
        loop {
            let keys = match keys_after(conn, of, &after, LEAVES_AT_ONCE).await {
                Ok(keys) => keys,
                Err(why) => {
                    let what = kind_of(of).word();
                    examined.fault(
                        None,
                        format!("What is stored as {what} cannot be listed: {why}."),
                    );
                    break;
                }
            };
            let Some(last) = keys.last() else { break };
            for key in keys.iter().filter(|_| of == ReferenceData::Patient) {
                if PatientCode::parse(key).is_ok_and(|read| read.as_str() != key) {
                    let sentence = format!("Patient {key} is not stored as its code is written.");
                    examined.fault(None, sentence);
                }
            }
            let range = (after.as_str(), last.as_str());
            leaves += match patients(conn, of, range).await {
                Some(cards) if cards.len() == keys.len() => {
                    read_together(examined, &cards, accounts)
                }
                _ => {
                    let mut leaves = 0;
                    for key in &keys {
                        leaves += one(examined, conn, of, key, accounts).await;
                    }
                    leaves
                }
            };
            after.clone_from(last);
            known.extend(keys);
        }
    }
    leaves
}

/// A patient's card with its leaves.
type Card = (Stands, Vec<LeafRow>);

/// Cards, of which there are as many as cases, read together; of the other rows there are few. None where
/// something cannot be read so.
async fn patients(
    conn: &mut Connection,
    of: ReferenceData,
    range: (&str, &str),
) -> Option<BTreeMap<String, Card>> {
    if of != ReferenceData::Patient {
        return None;
    }
    let rows = patients_between(conn, range).await.ok()?;
    let card = |row: &PatientRow| (row.code.as_str().to_owned(), (of_patient(row), Vec::new()));
    let mut cards: BTreeMap<String, Card> = rows.iter().map(card).collect();
    for leaf in leaves_between(conn, range).await.ok()? {
        cards
            .entry(leaf.case.clone())
            .and_modify(|card| card.1.push(leaf));
    }
    Some(cards)
}

/// Answers with the number of the cards' leaves.
fn read_together(
    examined: &mut Examined,
    cards: &BTreeMap<String, Card>,
    accounts: &Accounts,
) -> u64 {
    let mut count = 0;
    for (key, (row, leaves)) in cards {
        examined.beside += 1;
        let of = ReferenceData::Patient;
        against_leaves(examined, of, key, (row, leaves), accounts);
        count += leaves.len() as u64;
    }
    count
}

/// Answers with the number of the row's leaves.
async fn one(
    examined: &mut Examined,
    conn: &mut Connection,
    of: ReferenceData,
    key: &str,
    accounts: &Accounts,
) -> u64 {
    examined.beside += 1;
    let kind = kind_of(of).word();
    let leaves = leaves_owned_by(conn, key).await.map_err(AppError::from);
    let what = format!("The record of {kind} {key}");
    let Some(leaves) = examined.read(&what, leaves) else {
        return 0;
    };
    let newest = leaves.last().map(|leaf| leaf.number);
    match stands(conn, of, key).await {
        Ok(Some(row)) => against_leaves(examined, of, key, (&row, &leaves), accounts),
        Ok(None) => examined.fault(newest, format!("{kind} {key} is listed and not stored.")),
        Err(why) => {
            let stands_for = newest
                .map(|number| format!("Leaf {number} stands for {kind} {key}, and that"))
                .unwrap_or_else(|| format!("{kind} {key}"));
            examined.fault(newest, format!("{stands_for} cannot be read: {why}."));
        }
    }
    leaves.len() as u64
}

fn against_leaves(
    examined: &mut Examined,
    of: ReferenceData,
    key: &str,
    (row, leaves): (&Stands, &[LeafRow]),
    accounts: &Accounts,
) {
    let kind = kind_of(of).word();
    let mut left = row.entries.clone();
    let mut before: Option<i64> = None;
    for leaf in leaves {
        let number = leaf.number;
        let place = left.iter().position(|(about, _)| *about == leaf.about);
        let version = version_of(&leaf.about);
        let is_next = version.is_some_and(|version| before.is_none_or(|one| one + 1 == version));
        match place.map(|place| left.remove(place)) {
            _ if leaf.kind != kind || !is_next => examined.fault(
                Some(number),
                format!(
                    "Leaf {number}, {} {}, is not what follows of {kind} {key}.",
                    leaf.kind, leaf.about
                ),
            ),
            Some((_, entry)) => compare_row(examined, leaf, &entry, &BTreeSet::new(), accounts),
            // Of a row that is written over, only the version in force is stored.
            None if !of.keeps_all_versions()
                && version.is_some_and(|version| version < row.version) => {}
            None => examined.fault(
                Some(number),
                format!(
                    "Leaf {number} stands for {kind} {}, and that is not stored any more.",
                    leaf.about
                ),
            ),
        }
        before = version;
    }
    let newest = leaves.last().map(|leaf| leaf.number);
    if leaves.is_empty() {
        return examined.fault(None, format!("{kind} {key} is in no leaf."));
    }
    for (about, _) in left {
        examined.fault(newest, format!("{kind} {about} is in no leaf."));
    }
    if before != Some(row.version) {
        examined.fault(
            newest,
            format!("The newest leaf of {kind} {key} is not of the version that is stored."),
        );
    }
}
