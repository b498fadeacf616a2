//! What a program has seen signed, and holds the database against: before anything is written, and where a leaf has to
//! be one of the signed record.
//!
//! Whoever can write the database without the key can put any peaks, hashes and leaves there, and set the whole of it
//! back. What he cannot make is a signature. So nothing is written on a head that the key has not signed as it stands, or
//! that does not contain what it has signed before: as this program remembers it, and as the file beside the key says.

use super::comparing::{Comparer, Comparing};
use super::error::StoreError;
use super::head::{Head, head, signed_as};
use super::last_signed::{LastError, LastSigned};
use super::nodes::{ReadHashes, growth};
use crate::record::checkpoint::Checkpoint;
use crate::record::hash::Hash;
use crate::record::key::Verifier;
use crate::record::tree::{Frontier, inclusion_plan, verify_consistency, verify_inclusion};
use sqlx::AnyConnection;
use std::collections::BTreeMap;
use std::sync::{Mutex, MutexGuard, PoisonError};

/// What one writer has seen.
#[derive(Debug, Default)]
pub(super) struct Trust {
    seen: Mutex<Seen>,
}

#[derive(Debug, Default)]
struct Seen {
    /// The newest head whose signature fitted: the note, and what it says.
    newest: Option<(String, Checkpoint)>,
    /// The leaves that the open transaction has appended, by their numbers: nothing is signed for them yet.
    appended: BTreeMap<u64, Hash>,
    /// What stood against an entry when somebody wanted to write last.
    against: Option<Against>,
    /// The leaf that is not found under what its bytes say, if any, in words.
    misfiled: Option<String>,
    /// While that is being looked at for the first time.
    comparing: Option<Comparing>,
}

/// What stands against an entry.
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
        // It is written in one step each time, so that nothing is half there.
        self.seen.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Whether the record was another one than the key has signed when somebody wanted to write last.
    pub fn is_forked(&self) -> bool {
        let seen = self.seen();
        seen.misfiled.is_some() || matches!(seen.against, Some(Against::Forked(_)))
    }

    /// The newest checkpoint whose signature fitted, as a note; asked before a page is read, since others write meanwhile.
    pub fn newest(&self) -> Option<String> {
        self.seen().newest.as_ref().map(|(note, _)| note.clone())
    }

    /// Holds the checkpoint that a page has read against the newest that was seen before it was read: it is that one, or
    /// a later one of this key. Where it is not, nothing goes on as before until somebody has written on a head that is
    /// in order.
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

    /// Remembers a head that this program has signed, and the database has kept.
    pub fn note(&self, note: String) {
        if let Some(own) = Checkpoint::of_note(&note) {
            self.seen().newest = Some((note, own));
        }
    }

    /// Remembers whether all leaves are found under what their bytes say.
    pub fn note_filing(&self, misfiled: Option<String>) {
        let mut seen = self.seen();
        if let Some(why) = &misfiled {
            tracing::error!(why, "nothing is entered");
            seen.against = Some(Against::Forked(why.clone()));
        }
        seen.misfiled = misfiled;
    }

    /// From here on nothing is entered until [`Trust::note_compared`].
    pub fn begin_to_compare(&self) -> Comparer {
        let (comparer, comparing) = Comparing::begin();
        self.seen().comparing = Some(comparing);
        comparer
    }

    /// What the first look has found; none where all is in order.
    pub fn note_compared(&self, misfiled: Option<String>) {
        self.note_filing(misfiled);
        self.seen().comparing = None;
    }

    /// The first look at how leaves are filed, while it goes on.
    pub fn comparing(&self) -> Option<Comparing> {
        self.seen().comparing.clone()
    }

    /// Asked before each entry: the transaction that is open may have begun before the answer was known.
    ///
    /// # Errors
    /// If a leaf is not found under what its bytes say, or that is not known yet.
    pub fn refuse_unless_filed(&self) -> Result<(), StoreError> {
        let seen = self.seen();
        match (&seen.comparing, &seen.misfiled) {
            (Some(comparing), _) => Err(StoreError::Comparing(comparing.clone())),
            (None, Some(why)) => Err(StoreError::Forked(why.clone())),
            (None, None) => Ok(()),
        }
    }

    /// A leaf of the transaction that is open.
    pub fn append(&self, number: u64, leaf: Hash) {
        self.seen().appended.insert(number, leaf);
    }

    /// Leaves of the open transaction that are taken back, from this number on.
    pub fn take_back(&self, from: u64) {
        self.seen().appended.retain(|number, _| *number < from);
    }

    /// What the key has signed of this head; nothing of one that has come to nothing yet. The signature of the newest
    /// was looked at before.
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

    /// What stands against an entry on this head, asked before each batch of writes: the key has not signed it as it
    /// stands, or it is no continuation of what the key has signed. It is in the log, and remembered for the pages.
    pub async fn ask(
        &self,
        conn: &mut AnyConnection,
        head: &Head,
        (key, last): (&Verifier, Option<&LastSigned>),
    ) -> Result<Option<Against>, StoreError> {
        let found = self.fault_of(conn, head, (key, last)).await?;
        if let Some(against) = &found {
            let why = StoreError::from(against.clone());
            tracing::error!(%why, "nothing is entered");
        }
        let mut seen = self.seen();
        seen.against.clone_from(&found);
        seen.appended.clear();
        Ok(found)
    }

    async fn fault_of(
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
                // That it is not there or takes nothing in is said before anything is appended.
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

    /// Whether a leaf of this number and hash is in the tree that the key has signed, or was appended by the
    /// transaction that is open: whatever hashes are stored, they have to lead to the signed root.
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
        let mut proved = Vec::with_capacity(leaves.len());
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
        }
        Ok(proved)
    }
}

/// Whether the record of this frontier begins with what was signed, by a proof.
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

/// What the file beside the key says beyond this head. It may wait for another program that writes there, on a thread
/// of its own.
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
}
