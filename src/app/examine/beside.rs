//! Rows beside the cases against their leaves: one changed, removed or put in is named.

use super::Examined;
use super::rows::compare_row;
use crate::app::AppError;
use crate::app::recorded::beside::{Stands, has_begun, kind_of, stands, version_of};
use crate::store::beside::{Beside, keys_after};
use crate::store::record::{LeafRow, leaves_owned_by};
use crate::store::{Connection, custody::LEAVES_AT_ONCE};
use std::collections::BTreeSet;

/// Every row; answers with the number of leaves that are of one of them.
pub(super) async fn examine(
    examined: &mut Examined,
    conn: &mut Connection,
    known: &mut BTreeSet<String>,
) -> u64 {
    // A database from before is as it was until the next start takes these rows in.
    let has_begun = has_begun(conn).await;
    if examined.read("The record", has_begun) != Some(true) {
        return 0;
    }
    let mut leaves = 0;
    for of in Beside::ALL {
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
            after.clone_from(last);
            for key in keys {
                leaves += one(examined, conn, of, &key).await;
                known.insert(key);
            }
        }
    }
    leaves
}

/// Answers with the number of the row's leaves.
async fn one(examined: &mut Examined, conn: &mut Connection, of: Beside, key: &str) -> u64 {
    examined.beside += 1;
    let kind = kind_of(of).word();
    let leaves = leaves_owned_by(conn, key).await.map_err(AppError::from);
    let what = format!("The record of {kind} {key}");
    let Some(leaves) = examined.read(&what, leaves) else {
        return 0;
    };
    let newest = leaves.last().map(|leaf| leaf.number);
    match stands(conn, of, key).await {
        Ok(Some(row)) => against_leaves(examined, of, key, &row, &leaves),
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
    of: Beside,
    key: &str,
    row: &Stands,
    leaves: &[LeafRow],
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
            Some((_, entry)) => compare_row(examined, leaf, &entry, &BTreeSet::new()),
            // Of a row that is written over, only the version in force is stored.
            None if of != Beside::List && version.is_some_and(|version| version < row.version) => {}
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
