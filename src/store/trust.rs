//! Compares the database with what the key has signed, before anything is written and where a leaf has to be proved.
//!
//! Whoever can write the database without the key can change any leaf and hash, or set the whole database back, but cannot
//! sign. So nothing is written unless the key has signed the record's head as it stands, and the head contains what was
//! signed before, by this program's memory and by the file beside the key.

use super::comparing::{Comparer, Comparing, NotCompared};
use super::error::StoreError;
use super::head::{Head, head, signed_as};
use super::known_leaves::{By, KnownLeaves};
use super::last_signed::{LastError, LastSigned};
use super::nodes::{ReadHashes, growth, missing_under};
use crate::record::checkpoint::Checkpoint;
use crate::record::filed::{FiledUnder, RowOf};
use crate::record::hash::Hash;
use crate::record::key::Verifier;
use crate::record::tree::{
    Frontier, NodePlan, inclusion_plan, verify_consistency, verify_inclusion,
};
use sqlx::AnyConnection;
use std::collections::BTreeMap;
use std::sync::{Mutex, MutexGuard, PoisonError};

/// What one program knows of the signed record.
#[derive(Debug, Default)]
pub(super) struct Trust {
    seen: Mutex<Seen>,
}

#[derive(Debug, Default)]
struct Seen {
    /// The newest signed head: the note, and what it says.
    newest: Option<(String, Checkpoint)>,
    /// Leaves that the open transaction has appended, by number. They are not signed yet.
    appended: BTreeMap<u64, Hash>,
    /// Why no entry was possible when somebody last wanted to write.
    against: Option<Against>,
    /// A leaf whose columns say otherwise than its bytes, in words.
    misfiled: Option<String>,
    /// The first comparison of all leaves, while it goes on.
    comparing: Option<Comparing>,
    /// Why the leaves could not be compared, several times in a row.
    not_compared: Option<(NotCompared, String)>,
    /// What the signed leaves are filed under; none before they were compared, and in a program that only looks.
    known: Option<KnownLeaves>,
}

/// Why no entry is possible.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Against {
    /// The record is not the one that the key has signed, and why.
    Forked(String),
    /// The file beside the key, at this path, holds nothing that the key has signed.
    Unsigned(String),
}

impl From<Against> for StoreError {
    fn from(against: Against) -> StoreError {
        match against {
            Against::Forked(why) => StoreError::Forked(why),
            Against::Unsigned(path) => StoreError::Lacks(LastError::Unsigned { path }.into()),
        }
    }
}

impl Trust {
    fn seen(&self) -> MutexGuard<'_, Seen> {
        // After a panic too: each change is one step, so nothing is half written.
        self.seen.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Whether the record is not the one that the key has signed, as far as this program has looked.
    pub fn is_forked(&self) -> bool {
        let seen = self.seen();
        seen.misfiled.is_some() || matches!(seen.against, Some(Against::Forked(_)))
    }

    /// The newest signed checkpoint, as a note. It is taken before a page is read, for [`Trust::check_read`].
    pub fn newest(&self) -> Option<String> {
        self.seen().newest.as_ref().map(|(note, _)| note.clone())
    }

    /// Compares the checkpoint that a page has read with the newest known before: it has to be the same or a later one of
    /// this key. If not, the record counts as forked until the next write or paper finds its head in order.
    pub fn check_read(&self, before: Option<&str>, read: &str, key: &Verifier) {
        let Some(before) = before.filter(|before| *before != read) else {
            return;
        };
        let size = |note| Checkpoint::of_note(note).map_or(0, |kept| kept.size);
        let is_signed = Checkpoint::open(read, key, &[]).is_ok();
        if is_signed && size(read) > size(before) {
            return;
        }
        let why = match is_signed {
            true => format!(
                "a page has read {} entries, and the key had signed {}",
                size(read),
                size(before)
            ),
            false => "a page has read a checkpoint that the key has not signed".to_owned(),
        };
        tracing::error!(why, "nothing is printed or proved");
        self.seen().against = Some(Against::Forked(why));
    }

    /// Remembers a head that this program has signed and the database has stored.
    pub fn note(&self, note: String) {
        if let Some(own) = Checkpoint::of_note(&note) {
            self.seen().newest = Some((note, own));
        }
    }

    /// Remembers what a comparison of all leaves has found.
    pub fn note_filing(&self, misfiled: Option<String>) {
        let mut seen = self.seen();
        if let Some(why) = &misfiled {
            tracing::error!(why, "nothing is entered");
            seen.against = Some(Against::Forked(why.clone()));
        }
        seen.misfiled = misfiled;
        seen.not_compared = None;
    }

    /// Remembers that the leaves could not be compared, several times in a row. If it is the first comparison, entries are
    /// refused until one succeeds, and nobody waits for it any more.
    pub fn note_not_compared(&self, why: String) {
        tracing::error!(
            why,
            "whether leaves are filed as they say can still not be looked at"
        );
        let mut seen = self.seen();
        let since = match seen.comparing.take() {
            Some(_) => NotCompared::SinceStart,
            None => NotCompared::SinceOthersWrote,
        };
        seen.not_compared = Some((since, why));
    }

    /// Whether the leaves could not be compared, several times in a row.
    pub fn not_compared(&self) -> Option<NotCompared> {
        self.seen().not_compared.as_ref().map(|(since, _)| *since)
    }

    /// From here on nothing is entered until [`Trust::note_compared`].
    pub fn begin_to_compare(&self) -> Comparer {
        let (comparer, comparing) = Comparing::begin();
        self.seen().comparing = Some(comparing);
        comparer
    }

    /// Ends the first comparison with what it has found; none if all is in order.
    pub fn note_compared(&self, misfiled: Option<String>) {
        self.note_filing(misfiled);
        self.seen().comparing = None;
    }

    /// The first comparison of all leaves, while it goes on.
    pub fn comparing(&self) -> Option<Comparing> {
        self.seen().comparing.clone()
    }

    /// Asked before each entry, since the open transaction may have begun before the comparison ended.
    ///
    /// # Errors
    /// If a leaf's columns say otherwise than its bytes, or that is not known yet.
    pub fn refuse_unless_filed(&self) -> Result<(), StoreError> {
        let seen = self.seen();
        if let Some(comparing) = &seen.comparing {
            return Err(StoreError::Comparing(comparing.clone()));
        }
        match (&seen.misfiled, &seen.not_compared) {
            (Some(why), _) => Err(StoreError::Forked(why.clone())),
            (None, Some((NotCompared::SinceStart, why))) => {
                Err(StoreError::NotCompared(why.clone()))
            }
            (None, _) => Ok(()),
        }
    }

    /// Keeps what all leaves are filed under, once they were found to lead to the signed root.
    pub fn keep_known(&self, mut known: KnownLeaves) {
        known.sort();
        self.seen().known.get_or_insert(known);
    }

    /// How far it is known what the leaves are filed under; none where it is not known.
    pub fn known_frontier(&self) -> Option<Frontier> {
        let seen = self.seen();
        seen.known.as_ref().map(|known| known.frontier().clone())
    }

    /// The leaves before this number are known. Asked before a lookup, since others are appended meanwhile.
    pub fn known(&self) -> u64 {
        self.seen().known.as_ref().map_or(0, KnownLeaves::size)
    }

    /// How many rows a house has by the leaves that are known; none where they are not known.
    pub fn rows_of(&self, row: &RowOf) -> Option<u64> {
        let seen = self.seen();
        seen.known.as_ref().map(|known| known.rows_of(row))
    }

    /// Adds the signed leaves that follow on those that are known.
    pub fn extend_known(&self, from: &Frontier, leaves: Vec<(FiledUnder, Hash)>) {
        let mut seen = self.seen();
        // Somebody else may have added them meanwhile.
        if let Some(known) = seen.known.as_mut().filter(|known| known.frontier() == from) {
            for (filed, leaf) in leaves {
                known.append(&filed, leaf);
            }
            known.sort();
        }
    }

    /// Forgets it: the key has signed a leaf of a form that this program does not know.
    pub fn forget_known(&self) {
        tracing::error!("a signed leaf is of no form that this program knows");
        self.seen().known = None;
    }

    /// Holds what a lookup has found, in order, against what is known. `before`: see [`Trust::known`].
    ///
    /// # Errors
    /// If a leaf is missing among it, or is there and does not belong there. Then nothing is entered any more.
    pub fn hold_found(&self, by: By<'_>, before: u64, found: &[u64]) -> Result<(), StoreError> {
        match self.is_as_known(by, before, found) {
            true => Ok(()),
            false => {
                let found = found.iter().copied().filter(|number| *number < before);
                Err(self.differs(by, before, &Vec::from_iter(found)))
            }
        }
    }

    /// The same, asked alone.
    pub fn is_as_known(&self, by: By<'_>, before: u64, found: &[u64]) -> bool {
        let found = found.iter().copied().filter(|number| *number < before);
        self.known_by(by, before)
            .is_none_or(|known| found.eq(known))
    }

    /// Holds what was found against the end of the record, by a head that was read after it.
    ///
    /// # Errors
    /// If a leaf stands beyond it that the open transaction has not appended. Then nothing is entered any more.
    pub fn refuse_beyond(&self, size: u64, found: &[u64]) -> Result<(), StoreError> {
        let strange = {
            let seen = self.seen();
            let is_appended = |number: &u64| seen.appended.contains_key(number);
            let mut beyond = found.iter().filter(|number| **number >= size);
            beyond.find(|number| !is_appended(number)).copied()
        };
        match strange {
            Some(number) => Err(self.note_beyond(number)),
            None => Ok(()),
        }
    }

    /// Remembers a leaf that nobody with the key has appended. Then nothing is entered any more.
    pub fn note_beyond(&self, number: u64) -> StoreError {
        let why = beyond(number);
        self.note_filing(Some(why.clone()));
        StoreError::Forked(why)
    }

    /// Remembers a leaf that cannot be read as one. Then nothing is entered any more.
    pub fn note_illegible(&self) -> StoreError {
        let why =
            "a leaf has a number or a text of another kind than this program writes".to_owned();
        self.note_filing(Some(why.clone()));
        StoreError::Forked(why)
    }

    /// The same of the newest leaf of a case, or of a row of reference data.
    ///
    /// # Errors
    /// See [`Trust::hold_found`].
    pub fn hold_newest(
        &self,
        owner: &str,
        before: u64,
        found: Option<u64>,
    ) -> Result<(), StoreError> {
        match self.is_newest(owner, before, found) {
            true => Ok(()),
            false => Err(self.differs(By::Owner(owner), before, &Vec::from_iter(found))),
        }
    }

    /// The same, asked alone.
    pub fn is_newest(&self, owner: &str, before: u64, found: Option<u64>) -> bool {
        let Some(known) = self.known_by(By::Owner(owner), before) else {
            return true;
        };
        // One that was appended meanwhile is newer than all that are known.
        let is_newer = found.is_some_and(|found| found >= before);
        is_newer || found == known.last().copied()
    }

    fn known_by(&self, by: By<'_>, before: u64) -> Option<Vec<u64>> {
        let seen = self.seen();
        let known = seen.known.as_ref()?.of(by);
        Some(known.filter(|number| *number < before).collect())
    }

    fn differs(&self, by: By<'_>, before: u64, found: &[u64]) -> StoreError {
        let known = self.known_by(by, before).unwrap_or_default();
        let hidden = known.iter().rev().find(|number| !found.contains(number));
        let strange = found.iter().find(|number| !known.contains(number));
        let why = match (hidden, strange) {
            (_, Some(number)) => format!("leaf {number} is found where its bytes do not belong"),
            (Some(number), None) => format!("leaf {number} is not found where its bytes belong"),
            (None, None) => "leaves are not found in their order".to_owned(),
        };
        self.note_filing(Some(why.clone()));
        StoreError::Forked(why)
    }

    /// Remembers a leaf that the open transaction has appended.
    pub fn append(&self, number: u64, leaf: Hash) {
        self.seen().appended.insert(number, leaf);
    }

    /// Forgets the leaves from this number on, which the open transaction takes back.
    pub fn take_back(&self, from: u64) {
        self.seen().appended.retain(|number, _| *number < from);
    }

    /// The checkpoint of this head, if the key has signed it as it stands; none for an empty record. The signature of the
    /// newest head was checked before and is not checked again.
    fn signed(&self, head: &Head, key: &Verifier) -> Result<Option<Checkpoint>, String> {
        if head.frontier.size() == 0 {
            return match head.checkpoint.is_empty() {
                true => Ok(None),
                false => Err("it is empty, and a checkpoint is stored all the same".to_owned()),
            };
        }
        if let Some((note, own)) = &self.seen().newest
            && *note == head.checkpoint
            && (own.size, own.root) == (head.frontier.size(), head.frontier.root())
        {
            return Ok(Some(own.clone()));
        }
        signed_as(head, key).map(Some)
    }

    /// Remembers for the pages why no entry is possible, as a transaction begins or somebody has looked, and writes it to
    /// the log.
    pub fn note_against(&self, found: Option<&Against>) {
        if let Some(against) = found {
            let why = StoreError::from(against.clone());
            tracing::error!(%why, "nothing is entered");
        }
        let mut seen = self.seen();
        seen.against = found.cloned();
        seen.appended.clear();
    }

    /// Why no entry is possible on this head: the key has not signed it as it stands, or it does not contain what the key
    /// has signed before. Asked before each shared transaction.
    pub async fn fault_of(
        &self,
        conn: &mut AnyConnection,
        head: &Head,
        (key, last): (&Verifier, Option<&LastSigned>),
    ) -> Result<Option<Against>, StoreError> {
        let forked = |why: String| Ok(Some(Against::Forked(why)));
        if let Some(why) = self.seen().misfiled.clone() {
            return forked(why);
        }
        let own = match self.signed(head, key) {
            Ok(own) => own,
            Err(why) => return forked(why),
        };
        let remembered = self.seen().newest.clone();
        let is_same = |note: &String| *note == head.checkpoint;
        if let Some(last) = last {
            if let Some((note, before)) = &remembered
                && !is_same(note)
                && !contains(conn, &head.frontier, before).await?
            {
                return forked(does_not_contain(&head.frontier, before));
            }
            match newest_beside(last, head, key).await {
                Ok(None) => {}
                Ok(Some(before)) => {
                    if !contains(conn, &head.frontier, &before).await? {
                        return forked(does_not_contain(&head.frontier, &before));
                    }
                }
                Err(LastError::Unsigned { path }) => return Ok(Some(Against::Unsigned(path))),
                // A missing or unwritable file is reported by `refuse_unless_written_down` before anything is appended.
                Err(_) => {}
            }
        }
        if let Some(own) = own
            && !remembered.is_some_and(|(note, _)| is_same(&note))
        {
            self.seen().newest = Some((head.checkpoint.clone(), own));
        }
        Ok(None)
    }

    /// Whether a leaf with this number and hash is in the tree that the key has signed, or was appended by the open
    /// transaction. Stored hashes are not believed: they have to lead to the signed root.
    ///
    /// # Errors
    /// Also if the key has not signed the head.
    pub async fn proves(
        &self,
        conn: &mut AnyConnection,
        (number, leaf): (u64, &Hash),
        key: &Verifier,
    ) -> Result<bool, StoreError> {
        let proved = self.proves_each(conn, &[(number, *leaf)], key).await?;
        Ok(proved == [true])
    }

    /// The same of each of many leaves. In the order of their numbers they cost least: neighbours are proved by hashes
    /// that are read once.
    ///
    /// # Errors
    /// See [`Trust::proves`].
    pub async fn proves_each(
        &self,
        conn: &mut AnyConnection,
        leaves: &[(u64, Hash)],
        key: &Verifier,
    ) -> Result<Vec<bool>, StoreError> {
        let head = match head(conn).await {
            Err(StoreError::Row { .. }) => return Ok(vec![false; leaves.len()]),
            other => other?,
        };
        let (size, root) = (head.frontier.size(), head.frontier.root());
        if leaves.iter().any(|(number, _)| *number < size) {
            // Then it is not a leaf that is at fault.
            self.signed(&head, key).map_err(StoreError::Forked)?;
        }
        let (mut stored, mut made_again) = (ReadHashes::stored(), ReadHashes::made_again());
        let (mut proved, mut failed) = (Vec::with_capacity(leaves.len()), None);
        for (number, leaf) in leaves {
            let Ok(plan) = inclusion_plan(*number, size) else {
                let is_appended = self.seen().appended.get(number) == Some(leaf);
                proved.push(is_appended);
                continue;
            };
            let leads = |proof: Result<Vec<Hash>, StoreError>| match proof {
                Ok(proof) => Ok(verify_inclusion(leaf, *number, size, &proof, &root).is_ok()),
                Err(StoreError::Row { .. }) => Ok(false),
                Err(other) => Err(other),
            };
            let is_proved =
                leads(stored.of(conn, &plan).await)? || leads(made_again.of(conn, &plan).await)?;
            proved.push(is_proved);
            if !is_proved {
                failed = failed.or(Some(plan));
            }
        }
        if let Some(plan) = failed {
            self.refuse_missing(conn, &plan, size).await?;
        }
        Ok(proved)
    }

    /// Names the leaf that is missing, where that is why a proof cannot be made: it need not be the one that was to be
    /// proved. A server leaves one out while this program runs, and nobody has told it that somebody else has written.
    ///
    /// # Errors
    /// If a leaf is missing beside those of the plan. Then nothing is entered any more.
    pub async fn refuse_missing(
        &self,
        conn: &mut AnyConnection,
        plan: &NodePlan,
        size: u64,
    ) -> Result<(), StoreError> {
        // A program that only looks names every fault by itself.
        if self.known_frontier().is_none() {
            return Ok(());
        }
        match missing_under(conn, plan, size).await? {
            Some(number) => {
                let why = missing(number);
                self.note_filing(Some(why.clone()));
                Err(StoreError::Forked(why))
            }
            None => Ok(()),
        }
    }
}

/// What is wrong where a leaf is not there, in words.
pub(super) fn missing(number: u64) -> String {
    format!("leaf {number} is missing")
}

/// What is wrong with a leaf beyond the end of the record, in words.
pub(super) fn beyond(number: impl std::fmt::Display) -> String {
    format!("leaf {number} stands beyond the end that the key has signed")
}

/// Whether the record of this frontier begins with what was signed. Shown by a proof from the stored hashes.
async fn contains(
    conn: &mut AnyConnection,
    frontier: &Frontier,
    before: &Checkpoint,
) -> Result<bool, StoreError> {
    let (old, new) = (before.size, frontier.size());
    if old == 0 || old >= new {
        return Ok(old == 0 || (old, before.root) == (new, frontier.root()));
    }
    match growth(conn, old, new).await {
        Ok(proof) => {
            let root = frontier.root();
            Ok(verify_consistency(old, new, &proof, &before.root, &root).is_ok())
        }
        Err(StoreError::Row { .. }) => Ok(false),
        Err(other) => Err(other),
    }
}

fn does_not_contain(frontier: &Frontier, before: &Checkpoint) -> String {
    match frontier.size() < before.size {
        true => format!(
            "it has {} entries, and the key has signed {}",
            frontier.size(),
            before.size
        ),
        false => format!(
            "its first {} entries are not those that the key has signed",
            before.size
        ),
    }
}

/// What the file beside the key says, if it is not this head. On a thread of its own, since it may wait for another program
/// that writes there.
async fn newest_beside(
    last: &LastSigned,
    head: &Head,
    key: &Verifier,
) -> Result<Option<Checkpoint>, LastError> {
    let (last, key) = (last.clone(), key.clone());
    let (note, size) = (head.checkpoint.clone(), head.frontier.size());
    let read = move || last.newest_but(&note, size, &key);
    let read = tokio::task::spawn_blocking(read).await;
    read.unwrap_or(Ok(None))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn asked(trust: &Trust) -> &'static str {
        match trust.refuse_unless_filed() {
            Ok(()) => "goes on",
            Err(StoreError::Comparing(_)) => "waits",
            Err(StoreError::Forked(_)) => "refused",
            Err(StoreError::NotCompared(_)) => "not looked at",
            Err(_) => "something else",
        }
    }

    #[tokio::test]
    async fn nothing_is_entered_before_the_first_look_has_ended_nor_after_it_has_found_something() {
        for (found, then) in [(None, "goes on"), (Some("leaf 7".to_owned()), "refused")] {
            let trust = Trust::default();
            assert_eq!(asked(&trust), "goes on");
            let comparer = trust.begin_to_compare();
            assert_eq!((asked(&trust), trust.is_forked()), ("waits", false));
            let ended = tokio::spawn(trust.comparing().unwrap().ended());
            tokio::task::yield_now().await;
            assert!(!ended.is_finished());
            trust.note_compared(found);
            drop(comparer);
            ended.await.unwrap();
            assert!(trust.comparing().is_none());
            assert_eq!(
                (asked(&trust), trust.is_forked()),
                (then, then == "refused")
            );
        }
    }

    #[test]
    fn what_could_not_be_looked_at_is_no_tampering_and_at_a_start_nothing_is_entered() {
        let trust = Trust::default();
        let comparer = trust.begin_to_compare();
        trust.note_not_compared("too many clients".to_owned());
        drop(comparer);
        assert_eq!(trust.not_compared(), Some(NotCompared::SinceStart));
        assert_eq!(
            (
                asked(&trust),
                trust.is_forked(),
                trust.comparing().is_some()
            ),
            ("not looked at", false, false)
        );
        trust.note_compared(None);
        assert_eq!((asked(&trust), trust.not_compared()), ("goes on", None));
        // Entries were made meanwhile as before; that nobody could look has to be said all the same.
        trust.note_not_compared("too many clients".to_owned());
        assert_eq!(trust.not_compared(), Some(NotCompared::SinceOthersWrote));
        assert_eq!((asked(&trust), trust.is_forked()), ("goes on", false));
        trust.note_filing(Some("leaf 7".to_owned()));
        assert_eq!((asked(&trust), trust.not_compared()), ("refused", None));
    }
}
