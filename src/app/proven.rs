//! Rows against the signed record: a row is what its leaf stands for, and the leaf is in the tree that the key has signed.
//!
//! The leaf that lies beside a row can be changed along with it. So it is proved to be in the tree, by whatever hashes
//! are stored: they have to lead to the signed root. What was proved once stays so, since the tree only grows; it is
//! remembered, so that a page that shows fifty entries asks for no fifty proofs each time.

use super::{App, AppError};
use crate::domain::values::digest::sha256_hex;
use crate::domain::values::ids::CaseNumber;
use crate::record::entry::Entry;
use crate::record::hash::{Hash, leaf_hash};
use crate::record::leaf::salts_from_json;
use crate::store::record::{LeafRow, hashes_of_cases};
use crate::store::{Connection, StoreError};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, Ordering};

/// Entries remembered: some 200 bytes each.
const MOST: usize = 50_000;

/// What is remembered by the number of a leaf, in two halves: what is asked for stays among the newer ones, and the older
/// ones go together. So whoever goes through everything does not empty what pages ask for meanwhile.
#[derive(Debug)]
struct ByLeaf<V> {
    newer: BTreeMap<u64, V>,
    older: BTreeMap<u64, V>,
}

impl<V> Default for ByLeaf<V> {
    fn default() -> Self {
        ByLeaf {
            newer: BTreeMap::new(),
            older: BTreeMap::new(),
        }
    }
}

impl<V> ByLeaf<V> {
    fn get(&mut self, number: u64) -> Option<&V> {
        if let Some(value) = self.older.remove(&number) {
            self.put(number, value);
        }
        self.newer.get(&number)
    }

    fn put(&mut self, number: u64, value: V) {
        self.older.remove(&number);
        if self.newer.len() >= MOST / 2 && !self.newer.contains_key(&number) {
            self.older = std::mem::take(&mut self.newer);
        }
        self.newer.insert(number, value);
    }
}

/// What was found to be as the signed record says.
#[derive(Debug, Default)]
pub(super) struct ProvenEntries {
    /// By the number of the leaf: what was compared, and the places of the texts that were erased.
    by_leaf: Mutex<ByLeaf<(String, Vec<String>)>>,
    /// The leaves that were found in the signed tree by themselves.
    signed: Mutex<ByLeaf<Hash>>,
    /// Whether reference data were seen in the record once: no leaf ever goes.
    has_begun: AtomicBool,
    of_leaves_alone: bool,
}

impl ProvenEntries {
    /// For whoever makes the whole tree again.
    pub(super) fn of_leaves_alone() -> ProvenEntries {
        ProvenEntries {
            of_leaves_alone: true,
            ..ProvenEntries::default()
        }
    }

    pub(super) fn has_begun(&self) -> bool {
        self.has_begun.load(Ordering::SeqCst)
    }

    pub(super) fn begin(&self) {
        self.has_begun.store(true, Ordering::SeqCst);
    }

    fn get(&self, number: u64, compared: &str) -> Option<Vec<String>> {
        // A poisoned lock means that a request fell over while holding it; proving again is always right.
        let mut by_leaf = self.by_leaf.lock().ok()?;
        let (before, erased) = by_leaf.get(number)?;
        (before == compared).then(|| erased.clone())
    }

    fn put(&self, number: u64, compared: String, erased: Vec<String>) {
        let Ok(mut by_leaf) = self.by_leaf.lock() else {
            return;
        };
        by_leaf.put(number, (compared, erased));
    }

    fn was_signed(&self, number: u64, own: &Hash) -> bool {
        let signed = self.signed.lock();
        signed.is_ok_and(|mut signed| signed.get(number) == Some(own))
    }

    fn note_signed(&self, number: u64, own: Hash) {
        if let Ok(mut signed) = self.signed.lock() {
            signed.put(number, own);
        }
    }

    /// Remembers those that were found in the signed tree by themselves before; gives back the others, in the order of
    /// their numbers.
    fn still_to_find(&self, leaves: Vec<Unproven>) -> Vec<Unproven> {
        let is_found = |leaf: &Unproven| self.was_signed(leaf.number, &leaf.own);
        let (found, mut others): (Vec<Unproven>, Vec<Unproven>) =
            leaves.into_iter().partition(is_found);
        for leaf in found {
            self.put(leaf.number, leaf.compared, leaf.erased);
        }
        others.sort_by_key(|leaf| leaf.number);
        others
    }
}

/// A leaf that stands for its entry, and is still to be found in the signed tree.
#[derive(Debug)]
pub(super) struct Unproven {
    pub number: u64,
    own: Hash,
    compared: String,
    /// The places of the texts that are erased.
    pub erased: Vec<String>,
}

impl Unproven {
    /// Whether every text of it can be opened.
    pub(super) fn is_whole(&self) -> bool {
        self.erased.is_empty()
    }
}

/// What a leaf says of an entry.
#[derive(Debug)]
pub(super) enum Compared {
    /// It stands for another one.
    Other,
    /// It was found in the signed tree before; with the places of the texts that are erased.
    Proven(Vec<String>),
    ToProve(Unproven),
}

/// Holds an entry against the leaf that lies beside it.
pub(super) fn compare(app: &App, leaf: &LeafRow, entry: &Entry) -> Compared {
    let salts = leaf.salts.as_deref().unwrap_or("{}");
    let bytes = leaf.body.as_bytes();
    let (long, body) = ((bytes.len(), salts.len()), &leaf.body);
    let all = format!("{long:?}{body}{salts}{}", entry.value);
    let compared = sha256_hex(all.as_bytes());
    if let Some(erased) = app.proven.get(leaf.number, &compared) {
        return Compared::Proven(erased);
    }
    let salts = serde_json::from_str(salts).ok();
    let salts = salts.as_ref().and_then(salts_from_json);
    let matched = salts.map(|salts| entry.matches(bytes, &salts));
    let own = leaf_hash(bytes);
    let (Some(Ok(erased)), true) = (matched, own.to_string() == leaf.hash) else {
        return Compared::Other;
    };
    Compared::ToProve(Unproven {
        number: leaf.number,
        own,
        compared,
        erased,
    })
}

/// Looks for leaves in the signed tree, together: many cost little more than one. Gives the numbers of those that are not
/// there.
pub(super) async fn not_in_record(
    app: &App,
    conn: &mut Connection,
    leaves: Vec<Unproven>,
) -> Result<BTreeSet<u64>, AppError> {
    // Of most cases all was proved before.
    let leaves = app.proven.still_to_find(leaves);
    if leaves.is_empty() {
        return Ok(BTreeSet::new());
    }
    let hashes: Vec<(u64, Hash)> = leaves.iter().map(|leaf| (leaf.number, leaf.own)).collect();
    let proved = match app.proven.of_leaves_alone {
        true => vec![true; hashes.len()],
        false => app.store.proves_each(conn, &hashes).await?,
    };
    let mut missing = BTreeSet::new();
    for (leaf, is_proved) in leaves.into_iter().zip(proved) {
        if is_proved {
            app.proven.put(leaf.number, leaf.compared, leaf.erased);
        } else {
            tracing::error!(leaf = leaf.number, "a leaf is not in the signed record");
            missing.insert(leaf.number);
        }
    }
    Ok(missing)
}

/// Cases whose leaves are looked for together at most: with a hundred leaves each as many as are remembered at once.
pub(super) const CASES_TOGETHER: usize = 200;

/// Looks for all leaves of these cases, and of their patients' cards, in the signed tree together, and remembers those that
/// are there: whoever holds the cases one after the other looks for none of them again. It decides nothing: what is not
/// found here is looked for again where its case is held, and is named there. Of [`CASES_TOGETHER`] cases at most, since
/// more would be forgotten before they are held.
///
/// # Errors
/// If the database does not answer.
pub(super) async fn find_together(
    app: &App,
    conn: &mut Connection,
    cases: &[CaseNumber],
) -> Result<(), AppError> {
    let mut hashes = hashes_of_cases(conn, cases).await?;
    hashes.retain(|(number, own)| !app.proven.was_signed(*number, own));
    if hashes.is_empty() {
        return Ok(());
    }
    let proved = match app.store.proves_each(conn, &hashes).await {
        // What stands on every page says that the record is another one.
        Err(StoreError::Forked(_)) => return Ok(()),
        found => found?,
    };
    for ((number, own), is_proved) in hashes.into_iter().zip(proved) {
        if is_proved {
            app.proven.note_signed(number, own);
        }
    }
    Ok(())
}

/// The places of the texts that are erased of what a leaf of the signed record stands for; none where it does not stand
/// for this entry, or is not in the record.
pub(super) async fn erased_of(
    app: &App,
    conn: &mut Connection,
    leaf: &LeafRow,
    entry: &Entry,
) -> Result<Option<Vec<String>>, AppError> {
    let leaf = match compare(app, leaf, entry) {
        Compared::Other => return Ok(None),
        Compared::Proven(erased) => return Ok(Some(erased)),
        Compared::ToProve(leaf) => leaf,
    };
    let erased = leaf.erased.clone();
    let missing = not_in_record(app, conn, vec![leaf]).await?;
    Ok(missing.is_empty().then_some(erased))
}

/// Whether the bytes of a leaf are in the tree that the key has signed, whatever hash is stored beside them.
pub(super) async fn is_signed(
    app: &App,
    conn: &mut Connection,
    leaf: &LeafRow,
) -> Result<bool, AppError> {
    let own = leaf_hash(leaf.body.as_bytes());
    Ok(app.proven.of_leaves_alone || app.store.proves(conn, leaf.number, &own).await?)
}

/// The same for lists, which ask it of the same leaves with each page: what was found there once stays there.
pub(super) async fn is_signed_once(
    app: &App,
    conn: &mut Connection,
    leaf: &LeafRow,
) -> Result<bool, AppError> {
    let own = leaf_hash(leaf.body.as_bytes());
    if app.proven.was_signed(leaf.number, &own) {
        return Ok(true);
    }
    let is_signed = is_signed(app, conn, leaf).await?;
    if is_signed {
        app.proven.note_signed(leaf.number, own);
    }
    Ok(is_signed)
}

/// The same of many leaves together: the numbers of those that are there.
pub(super) async fn signed_among(
    app: &App,
    conn: &mut Connection,
    leaves: &[LeafRow],
) -> Result<BTreeSet<u64>, AppError> {
    let own = |leaf: &LeafRow| (leaf.number, leaf_hash(leaf.body.as_bytes()));
    let mut hashes: Vec<(u64, Hash)> = leaves.iter().map(own).collect();
    hashes.sort_by_key(|(number, _)| *number);
    let proved = match app.proven.of_leaves_alone {
        true => vec![true; hashes.len()],
        false => app.store.proves_each(conn, &hashes).await?,
    };
    let signed = hashes
        .iter()
        .zip(proved)
        .filter(|(_, is_proved)| *is_proved);
    Ok(signed.map(|((number, _), _)| *number).collect())
}

/// Whether a leaf of the signed record stands for this entry, and every text of it can be opened.
pub(super) async fn is_whole(
    app: &App,
    conn: &mut Connection,
    leaf: &LeafRow,
    entry: &Entry,
) -> Result<bool, AppError> {
    let erased = erased_of(app, conn, leaf, entry).await?;
    Ok(erased.is_some_and(|erased| erased.is_empty()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_compared_is_remembered_as_it_was_and_their_number_is_bounded() {
        let proven = ProvenEntries::default();
        proven.put(3, "a".to_owned(), vec!["/event/what/note".to_owned()]);
        assert_eq!(proven.get(3, "a").map(|erased| erased.len()), Some(1));
        assert_eq!(proven.get(3, "b"), None);
        assert_eq!(proven.get(4, "a"), None);
        for number in 0..=MOST as u64 {
            proven.put(number, String::new(), Vec::new());
        }
        let by_leaf = proven.by_leaf.lock().unwrap();
        assert!(by_leaf.newer.len() + by_leaf.older.len() <= MOST);
    }

    #[test]
    fn what_was_found_with_others_is_not_looked_for_again_and_another_leaf_is() {
        let proven = ProvenEntries::default();
        let own = leaf_hash(b"a leaf");
        proven.note_signed(3, own);
        let leaf = |number: u64, own: Hash| Unproven {
            number,
            own,
            compared: "row and leaf".to_owned(),
            erased: Vec::new(),
        };
        let strange = leaf_hash(b"another leaf");
        let left = |leaves| -> Vec<u64> {
            let left = proven.still_to_find(leaves);
            left.iter().map(|leaf| leaf.number).collect()
        };
        assert_eq!(left(vec![leaf(9, own), leaf(3, strange)]), [3, 9]);
        assert_eq!(proven.get(3, "row and leaf"), None);
        assert_eq!(left(vec![leaf(9, own), leaf(3, own)]), [9]);
        assert_eq!(proven.get(3, "row and leaf"), Some(Vec::new()));
    }

    #[test]
    fn what_is_asked_for_meanwhile_stays_while_everything_is_gone_through() {
        let proven = ProvenEntries::default();
        let own = leaf_hash(b"a leaf");
        proven.note_signed(0, own);
        proven.note_signed(1, own);
        for number in 2..3 * MOST as u64 {
            proven.note_signed(number, own);
            if number % 1_000 == 0 {
                assert!(proven.was_signed(0, &own), "{number}");
            }
        }
        assert!(!proven.was_signed(1, &own));
        assert!(!proven.was_signed(0, &leaf_hash(b"another leaf")));
    }
}
