//! A leaf beside the row that it stands for.

use super::Examined;
use super::acting::Accounts;
use crate::record::entry::Entry;
use crate::record::leaf::{Salts, salts_from_json, salts_to_json};
use crate::store::record::LeafRow;
use std::collections::BTreeSet;

/// Also whether who entered it was what it says. `said`: the places whose text an entry says was erased; of all others the text has to be there.
pub(super) fn compare_row(
    examined: &mut Examined,
    leaf: &LeafRow,
    entry: &Entry,
    said: &BTreeSet<String>,
    accounts: &Accounts,
) {
    accounts.examine(examined, leaf, entry);
    let Some(salts) = salts(leaf) else {
        return examined.fault(
            Some(leaf.number),
            format!("The salts of leaf {} cannot be read.", leaf.number),
        );
    };
    match entry.matches(leaf.body.as_bytes(), &salts) {
        Ok(erased) => {
            examined.erased += erased.len() as u64;
            let erased: BTreeSet<String> = erased.into_iter().collect();
            let (number, kind, about) = (leaf.number, &leaf.kind, &leaf.about);
            for place in erased.difference(said) {
                let sentence = format!(
                    "The text at {place} of leaf {number}, {kind} {about}, was taken out, and no entry says so."
                );
                examined.fault(Some(number), sentence);
            }
            for place in said.difference(&erased) {
                let sentence = format!(
                    "The text at {place} of leaf {number}, {kind} {about}, is said to be erased, and is there."
                );
                examined.fault(Some(number), sentence);
            }
        }
        Err(why) => examined.fault(
            Some(leaf.number),
            format!(
                "Leaf {} and its {} {} differ: {why}",
                leaf.number, leaf.kind, leaf.about
            ),
        ),
    }
}

/// The salts as they were written, byte for byte.
fn salts(leaf: &LeafRow) -> Option<Salts> {
    let Some(text) = &leaf.salts else {
        return Some(Salts::new());
    };
    let salts = salts_from_json(&serde_json::from_str(text).ok()?)?;
    let written = salts_to_json(&salts).to_string();
    (written == *text).then_some(salts)
}
